// node bench/take-home.mjs [RECORDING.wav]
// The take-home page in Chromium: how large, how soon it can be used, and what hearing a minute
// costs. Seconds on the clock depend on what else the machine does; processor seconds hardly do.
import { execFileSync } from "node:child_process";
import { readFileSync, statSync } from "node:fs";
import { cpus, loadavg } from "node:os";
import { fileURLToPath } from "node:url";
import { closeAll, openPage, temporaryFolder } from "../browser/desk.mjs";
import { endpin, score, takeHome } from "../browser/files.mjs";

const core = fileURLToPath(new URL("../../build/wasm/wasm/endpin-listen.wasm", import.meta.url));

/// The demo tune, slow enough to last a minute.
function aMinute() {
  const file = `${temporaryFolder({ keep: true })}/minute.wav`;
  execFileSync(endpin, ["play", score, "-o", file, "--tempo", "64"]);
  return file;
}

async function renderers(devtools) {
  const { processInfo } = await devtools.send("SystemInfo.getProcessInfo");
  return processInfo.filter((p) => p.type === "renderer");
}

/// What the renderers hold for themselves, in MB: the private pages of each, added up. The browser's
/// own program text, which they share, is not the page's.
function held(processes) {
  const kilobytes = processes.map(({ id }) => {
    const pages = readFileSync(`/proc/${id}/smaps_rollup`, "utf8");
    return [...pages.matchAll(/^Private_\w+:\s+(\d+)/gm)].reduce((sum, m) => sum + Number(m[1]), 0);
  });
  return kilobytes.reduce((a, b) => a + b, 0) / 1000;
}

/// The most that is held until `done`, looked at twenty times a second.
async function peakUntil(devtools, done) {
  const processes = await renderers(devtools);
  let most = held(processes);
  const timer = setInterval(() => (most = Math.max(most, held(processes))), 50);
  await done.finally(() => clearInterval(timer));
  return most;
}

const cpu = (processes) => processes.reduce((sum, p) => sum + p.cpuTime, 0);

async function measured(home, recording) {
  const { page } = await openPage({ width: 390, height: 844, home });
  const devtools = await page.context().browser().newBrowserCDPSession();
  const began = performance.now();
  await page.goto(home, { waitUntil: "commit" });
  await page.locator(".dock .play").waitFor();
  const usable = (performance.now() - began) / 1000;
  const usableCpu = cpu(await renderers(devtools));
  const before = held(await renderers(devtools));
  await page.getByRole("button", { name: /The piece/ }).click();
  await page.locator('input[data-role="recording"]').setInputFiles(recording);
  const hear = page.getByRole("button", { name: "What do you hear?" });
  await hear.waitFor();
  const cpuBefore = cpu(await renderers(devtools));
  const heardFrom = performance.now();
  await hear.click();
  const peak = await peakUntil(devtools, page.locator("[data-said]").waitFor({ timeout: 120000 }));
  const heard = (performance.now() - heardFrom) / 1000;
  const after = await renderers(devtools);
  return { usable, usableCpu, heard, heardCpu: cpu(after) - cpuBefore, before, peak };
}

/// The share of one core that following takes, beside what the open page and microphone take anyway.
async function following(home, microphone) {
  const seconds = 12;
  const { page } = await openPage({ width: 390, height: 844, home, microphone });
  const devtools = await page.context().browser().newBrowserCDPSession();
  await page.goto(home);
  await page.getByRole("button", { name: /The piece/ }).click();
  const spent = async () => {
    const before = cpu(await renderers(devtools));
    await page.waitForTimeout(1000 * seconds);
    return (cpu(await renderers(devtools)) - before) / seconds;
  };
  await page.getByRole("button", { name: "Follow me" }).click();
  await page.locator(".over .bow").waitFor({ timeout: 30000 });
  return spent();
}

try {
  const home = takeHome();
  const recording = process.argv[2] ?? aMinute();
  console.log(`page ${(statSync(fileURLToPath(home)).size / 1e6).toFixed(2)} MB, core ${statSync(core).size} bytes`);
  console.log(`${cpus().length} cores, load ${loadavg()[0].toFixed(1)}`);
  const m = await measured(home, recording);
  console.log(`usable after ${m.usable.toFixed(2)} s (${m.usableCpu.toFixed(2)} s of processor)`);
  console.log(`heard in ${m.heard.toFixed(2)} s (${m.heardCpu.toFixed(2)} s of processor)`);
  console.log(`memory ${m.before.toFixed(0)} MB opened, ${m.peak.toFixed(0)} MB at most while hearing`);
  await closeAll();
  const share = await following(takeHome(), recording);
  console.log(`following takes ${(100 * share).toFixed(0)} % of a core, drawing and microphone with it`);
} finally {
  await closeAll();
}
