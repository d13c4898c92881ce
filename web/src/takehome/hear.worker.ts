/// Runs beside the page: the listening core, unchanged, as WebAssembly. Plain functions over its
/// memory; wasm/listen_abi.h is their contract.

interface Core {
  memory: WebAssembly.Memory;
  _initialize?: () => void;
  endpin_allocate(bytes: number): number;
  endpin_free(at: number): void;
  endpin_listen_version(): number;
  /// Texts and samples are places in memory and their lengths; 0 beats a minute or hertz: unknown.
  /// Returns a text that ends in a zero byte, 0 without memory.
  endpin_hear(
    timeline: number, timelineLength: number, samples: number, count: number, rate: number,
    tempo: number, a4: number, step: number, stepLength: number, language: number,
    languageLength: number,
  ): number;
}

export interface HearRequest {
  core: ArrayBuffer;
  timeline: string;
  samples: Float32Array;
  rate: number;
  /// Quarters a minute that were asked for; 0: unknown.
  tempo: number;
  step: string;
  language: string;
}

const version = 1;

self.onmessage = (event: MessageEvent<HearRequest>) => {
  void answer(event.data).then(
    (hearing) => self.postMessage({ hearing }),
    (error: unknown) => self.postMessage({ error: String(error) }),
  );
};

async function answer(request: HearRequest): Promise<string> {
  const core = await opened(request.core);
  const timeline = put(core, new TextEncoder().encode(request.timeline));
  const step = put(core, new TextEncoder().encode(request.step));
  const language = put(core, new TextEncoder().encode(request.language));
  const { samples } = request;
  const sound = put(core, new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength));
  const found = core.endpin_hear(
    timeline.at, timeline.length, sound.at, samples.length, request.rate, request.tempo, 0,
    step.at, step.length, language.at, language.length,
  );
  if (found === 0) throw new Error("no memory is left");
  const bytes = new Uint8Array(core.memory.buffer);
  return new TextDecoder().decode(bytes.slice(found, bytes.indexOf(0, found)));
}

async function opened(bytes: ArrayBuffer): Promise<Core> {
  let memory: WebAssembly.Memory | undefined;
  const zeroAt = (...places: number[]) => {
    const words = new Uint32Array(memory?.buffer ?? new ArrayBuffer(0));
    for (const place of places) words[place >> 2] = 0;
    return 0;
  };
  // What the C library's start asks of a system: that memory grew, and the environment, empty here.
  const allowed: Record<string, WebAssembly.ImportValue> = {
    emscripten_notify_memory_growth: () => undefined,
    environ_sizes_get: zeroAt,
    environ_get: () => 0,
  };
  const module = await WebAssembly.compile(bytes);
  const imports: WebAssembly.Imports = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) {
    (imports[from] ??= {})[name] = allowed[name] ?? refusal(name);
  }
  const core = (await WebAssembly.instantiate(module, imports)).exports as unknown as Core;
  memory = core.memory;
  core._initialize?.();
  if (core.endpin_listen_version() !== version) throw new Error("the core is of another version");
  return core;
}

function refusal(name: string): () => never {
  return () => {
    throw new Error(`the core asked the system for ${name}`);
  };
}

function put(core: Core, bytes: Uint8Array): { at: number; length: number } {
  const at = core.endpin_allocate(Math.max(1, bytes.length));
  if (at === 0) throw new Error("no memory is left");
  new Uint8Array(core.memory.buffer).set(bytes, at);
  return { at, length: bytes.length };
}
