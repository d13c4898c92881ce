// node wasm/agrees.mjs LISTEN.wasm LISTEN-NATIVE [TIMELINE.json SAMPLES.f32 RATE]
// Hears the same recording by WebAssembly and natively: the same notes in the same state, their
// onsets within a millisecond, their pitches within a cent. Without a recording it plays one itself:
// a scale with a restart, harmonic tones with soft attacks. The module's size is watched too, since
// every take-home page carries it inside.
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const [wasmPath, nativePath, ...given] = process.argv.slice(2);
if (!existsSync(wasmPath)) {
  console.log(`${wasmPath} is not built: cmake --preset wasm && cmake --build --preset wasm`);
  process.exit(77);
}
const mostBytes = 400_000;
const rate = given[2] ? Number(given[2]) : 24000;

function scale() {
  const pitches = [55, 57, 59, 60, 62, 64, 66, 67, 66, 64, 62, 60, 59, 57, 55, 55];
  const bars = [], notes = [];
  pitches.forEach((midi, i) => {
    if (i % 4 === 0) {
      bars.push({ bar: String(i / 4 + 1), written_index: i / 4, pass: 1, start_quarters: String(i),
        length_quarters: "4", beats: 4, beat_type: 4 });
    }
    notes.push({ index: i, id: `n${i}`, bar: String(Math.floor(i / 4) + 1), pass: 1,
      onset_quarters: String(i), duration_quarters: "1", midi });
  });
  return { schema: "endpin.timeline/1", title: "", part: "", instrument: "violin",
    tempo: [{ at_quarters: "0", quarter_bpm: 90 }], tempo_is_given: true, beat_unit_quarters: "1",
    fifths: 1, minor: false, bars, notes };
}

function play(timeline) {
  const order = [0, 1, 2, 3, 4, 5, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15];
  const each = 0.6, samples = new Float32Array(Math.round(rate * (order.length * each + 1)));
  order.forEach((index, place) => {
    const hz = 440 * 2 ** ((timeline.notes[index].midi - 69) / 12);
    const from = Math.round((0.5 + place * each) * rate), length = Math.round(each * 0.94 * rate);
    for (let n = 0; n < length; n += 1) {
      const t = n / rate;
      const level = Math.min(1, t / 0.04, (length - n) / rate / 0.03) * 0.2;
      for (let h = 1; h <= 8; h += 1) {
        samples[from + n] += (level / h) * Math.sin(2 * Math.PI * hz * h * t + h);
      }
    }
  });
  return samples;
}

async function hearByWasm(timeline, samples) {
  // The C library may name a call of the system, never make it; anything else is left undefined.
  const refused = (from, name) => {
    const refuse = () => {
      throw new Error(`the module asked for ${from} ${name}`);
    };
    return from.startsWith("wasi") ? refuse : refuse();
  };
  const module = await WebAssembly.compile(readFileSync(wasmPath));
  let memory;
  const shares = [];
  const allowed = {
    emscripten_notify_memory_growth: () => {},
    environ_sizes_get: (count, size) => {
      new Uint32Array(memory.buffer)[count >> 2] = 0;
      new Uint32Array(memory.buffer)[size >> 2] = 0;
      return 0;
    },
    environ_get: () => 0,
    endpin_progress: (share) => shares.push(share),
  };
  const imports = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) {
    (imports[from] ??= {})[name] = allowed[name] ?? refused(from, name);
  }
  const { exports } = await WebAssembly.instantiate(module, imports);
  memory = exports.memory;
  exports._initialize?.();
  const text = new TextEncoder().encode(timeline);
  const put = (bytes) => {
    const at = exports.endpin_allocate(bytes.byteLength);
    new Uint8Array(exports.memory.buffer, at, bytes.byteLength)
      .set(new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength));
    return at;
  };
  const textAt = put(text), samplesAt = put(samples);
  const begin = performance.now();
  const at = exports.endpin_hear(textAt, text.byteLength, samplesAt, samples.length, rate, 0, 0, 0, 0,
    0, 0);
  const spent = (performance.now() - begin) / 1000;
  const bytes = new Uint8Array(exports.memory.buffer);
  let end = at;
  while (bytes[end] !== 0) end += 1;
  const heard = JSON.parse(new TextDecoder().decode(bytes.subarray(at, end)));
  for (const place of [textAt, samplesAt, at]) exports.endpin_free(place);
  return { heard, shares, speed: samples.length / rate / spent };
}

function differences(a, b) {
  const found = [];
  if (a.status !== b.status) found.push(`status ${a.status} and ${b.status}`);
  if (a.restarts.length !== b.restarts.length) found.push("restarts");
  a.notes.forEach((note, i) => {
    const other = b.notes[i];
    if (note.state !== other.state) found.push(`note ${i}: ${note.state} and ${other.state}`);
    if (!note.heard || !other.heard) return;
    const apart = Math.abs(note.heard.onset_s - other.heard.onset_s);
    if (apart > 0.001) found.push(`note ${i}: onsets ${apart} s apart`);
    const cents = Math.abs(note.heard.intonation_cents - other.heard.intonation_cents);
    if (cents > 1) found.push(`note ${i}: ${cents} cents apart`);
  });
  const kinds = (h) => h.findings.map((f) => f.kind).join(" ");
  if (kinds(a) !== kinds(b)) found.push(`findings ${kinds(a)} and ${kinds(b)}`);
  return found;
}

const folder = mkdtempSync(join(tmpdir(), "endpin-"));
try {
  const timeline = given[0] ? readFileSync(given[0], "utf8") : JSON.stringify(scale());
  const bytes = given[1] ? readFileSync(given[1]) : null;
  const samples = bytes
    ? new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength))
    : play(scale());
  writeFileSync(join(folder, "timeline.json"), timeline);
  writeFileSync(join(folder, "samples.f32"), Buffer.from(samples.buffer));
  const native = JSON.parse(execFileSync(nativePath,
    [join(folder, "timeline.json"), join(folder, "samples.f32"), String(rate)],
    { maxBuffer: 1 << 28 }));
  const { heard, shares, speed } = await hearByWasm(timeline, samples);
  const found = differences(native, heard);
  if (!given[0] && heard.restarts.length !== 1) found.push("the restart was not heard");
  const rises = shares.every((share, i) => share >= (shares[i - 1] ?? 0) && share <= 1);
  if (shares.length < 3 || !rises || shares.at(-1) !== 1) found.push(`progress ${shares}`);
  const clearly = heard.notes.filter((n) => n.state === "heard").length;
  console.log(`${heard.status}: ${clearly} of ${heard.notes.length} notes heard, ` +
    `${speed.toFixed(0)} times real time in WebAssembly`);
  if (heard.status !== "ok" || clearly === 0) found.push("nothing was heard");
  const size = statSync(wasmPath).size;
  console.log(`${size} bytes, at most ${mostBytes}`);
  if (size > mostBytes) found.push(`${size} bytes are too many`);
  for (const line of found) console.error(`differs: ${line}`);
  process.exitCode = found.length > 0 ? 1 : 0;
} finally {
  rmSync(folder, { recursive: true });
}
