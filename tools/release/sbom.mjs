// node sbom.mjs [OUT.json]        the parts that Endpin is made of, as CycloneDX 1.5
// node sbom.mjs --check           that each of them has a licence in docs/sources.md
//
// Debian's packages are those of setup/apt-packages.txt with the libraries they bring into the
// programs (what the system's linker names, where a program is built), npm's those of
// web/package-lock.json. Versions are what is installed and what is locked; without dpkg a package
// stands without a version. Same input, same bytes: SOURCE_DATE_EPOCH sets the time.

import { execFileSync } from "node:child_process";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
const read = (path) => readFileSync(join(root, path), "utf8");

function run(program, words) {
  try {
    return execFileSync(program, words, { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
  } catch {
    return "";
  }
}

/** Version and source package of an installed Debian package. */
function installed(name) {
  const [version, source] = run("dpkg-query", ["-W", "-f", "${Version}\t${source:Package}", name]).split("\t");
  return { version: version || undefined, source: source || name };
}

function debianParts() {
  const names = read("setup/apt-packages.txt").split("\n").map((line) => line.trim())
    .filter((line) => line && !line.startsWith("#"));
  return names.map((name) => {
    const { version, source } = installed(name);
    return { type: "library", group: "debian", name, version,
      purl: `pkg:deb/debian/${name}${version ? `@${encodeURIComponent(version)}` : ""}`,
      properties: [{ name: "source", value: source }] };
  });
}

function npmParts() {
  const lock = JSON.parse(read("web/package-lock.json"));
  return Object.entries(lock.packages).filter(([path]) => path.startsWith("node_modules/"))
    .map(([path, entry]) => {
      const name = path.replace(/^.*node_modules\//, "");
      const [kind, ...digest] = (entry.integrity ?? "").split("-");
      return { type: "library", group: "npm", name, version: entry.version,
        scope: entry.dev ? "excluded" : "required",
        purl: `pkg:npm/${name.replace("@", "%40")}@${entry.version}`,
        licenses: entry.license ? [{ expression: entry.license }] : undefined,
        hashes: kind === "sha512"
          ? [{ alg: "SHA-512", content: Buffer.from(digest.join("-"), "base64").toString("hex") }]
          : undefined };
    });
}

function bill() {
  const version = /project\(endpin VERSION ([0-9.]+)/.exec(read("CMakeLists.txt"))[1];
  const seconds = Number(process.env.SOURCE_DATE_EPOCH ?? Math.floor(Date.now() / 1000));
  const parts = [...debianParts(), ...npmParts()].sort((a, b) => (a.purl < b.purl ? -1 : 1));
  return { bomFormat: "CycloneDX", specVersion: "1.5", version: 1,
    metadata: { timestamp: new Date(seconds * 1000).toISOString(),
      component: { type: "application", name: "endpin", version,
        licenses: [{ license: { id: "Apache-2.0" } }] } },
    components: parts };
}

// What only builds, tests or serves the machine, and goes nowhere with the programs.
const tools = new Set(["build-essential", "ca-certificates", "ccache", "clang", "clang-format",
  "cmake", "emscripten", "git", "libclang-rt-14-dev", "ninja-build", "nodejs", "pkg-config",
  "poppler-utils", "python3", "espeak-ng", "ffmpeg", "fonts-liberation", "npm", "sox", "aubio-tools",
  "libaubio-dev"]);

/** How docs/sources.md calls a Debian package: without "lib", "-dev" and its number. */
function wordsFor(name) {
  const known = { libavcodec: "libav", libavfilter: "libav", libavformat: "libav", libavutil: "libav",
    libswresample: "libav", "libgtest": "GoogleTest", "libgmock": "GoogleTest",
    "libbenchmark": "Google Benchmark", libcli11: "CLI11", libssl: "OpenSSL",
    "fluid-soundfont-gm": "Fluid R3", "libcpp-httplib": "cpp-httplib", "libeigen3": "Eigen",
    "libsqlite3": "SQLite", "nlohmann-json3": "nlohmann-json" };
  const plain = name.replace(/-dev$/, "");
  return known[plain] ?? plain.replace(/^lib/, "");
}

/** The parts whose licence nobody wrote down, and those that may not be here. */
function faults({ components }) {
  const sources = read("docs/sources.md").toLowerCase();
  const free = /^[()\s]*(apache-2\.0|mit|mit-0|isc|bsd-[23]-clause|0bsd|ofl-1\.1|mpl-2\.0|lgpl-3\.0(-only|-or-later)?|cc0-1\.0|cc-by-4\.0|blueoak-1\.0\.0|python-2\.0|unlicense|wtfpl)/i;
  const found = [];
  for (const part of components) {
    if (part.group === "debian" && !tools.has(part.name)) {
      const word = wordsFor(part.name).toLowerCase();
      if (!sources.includes(word)) found.push(`${part.name}: docs/sources.md does not name ${word}`);
    }
    if (part.group !== "npm") continue;
    const licence = part.licenses?.[0].expression ?? "";
    if (!free.test(licence)) found.push(`${part.name} ${part.version}: licence "${licence}"`);
    const shipped = part.scope === "required";
    const base = part.name.replace(/^@fontsource\//, "").toLowerCase();
    const named = sources.includes(base) || sources.includes(base.replaceAll("-", " "));
    if (shipped && !named) found.push(`${part.name}: goes along, and docs/sources.md does not name it`);
    if (!part.hashes) found.push(`${part.name}: no checksum in web/package-lock.json`);
  }
  return found;
}

const word = process.argv[2];
const made = bill();
if (word === "--check") {
  const wrong = faults(made);
  for (const line of wrong) console.error(line);
  const parts = made.components.length;
  console.log(`${parts - wrong.length} passed, ${wrong.length} failed`);
  process.exit(wrong.length || parts < 20 || !existsSync(join(root, "LICENSE")) ? 1 : 0);
}
const text = `${JSON.stringify(made, (_, value) => value ?? undefined, 1)}\n`;
if (word) writeFileSync(word, text);
else process.stdout.write(text);
