/// Runs beside the page: the listening core, unchanged, as WebAssembly. Plain functions over its
/// memory; see wasm/ for their contract.

interface Core {
  memory: WebAssembly.Memory;
  _initialize?: () => void;
  endpin_allocate(bytes: number): number;
  endpin_free(at: number): void;
  /// Returns the hearing as a text that ends with a zero byte; the caller frees it. 0: an error.
  endpin_hear(
    timeline: number,
    samples: number,
    count: number,
    rate: number,
    options: number,
  ): number;
}

export interface HearRequest {
  core: ArrayBuffer;
  timeline: string;
  samples: Float32Array;
  rate: number;
  options: string;
}

self.onmessage = (event: MessageEvent<HearRequest>) => {
  void answer(event.data).then(
    (hearing) => self.postMessage({ hearing }),
    (error: unknown) => self.postMessage({ error: String(error) }),
  );
};

async function answer(request: HearRequest): Promise<string> {
  const module = await WebAssembly.compile(request.core);
  const instance = await WebAssembly.instantiate(module, imports(module));
  const core = instance.exports as unknown as Core;
  core._initialize?.();
  const timeline = text(core, request.timeline);
  const options = text(core, request.options);
  const samples = core.endpin_allocate(request.samples.byteLength);
  new Float32Array(core.memory.buffer, samples, request.samples.length).set(request.samples);
  const found = core.endpin_hear(timeline, samples, request.samples.length, request.rate, options);
  if (found === 0) throw new Error("the core gave no answer");
  const bytes = new Uint8Array(core.memory.buffer);
  return new TextDecoder().decode(bytes.slice(found, bytes.indexOf(0, found)));
}

function text(core: Core, value: string): number {
  const bytes = new TextEncoder().encode(value);
  const at = core.endpin_allocate(bytes.length + 1);
  const memory = new Uint8Array(core.memory.buffer);
  memory.set(bytes, at);
  memory[at + bytes.length] = 0;
  return at;
}

/// The core asks the system for nothing; what its runtime names all the same answers zero.
function imports(module: WebAssembly.Module): WebAssembly.Imports {
  const given: WebAssembly.Imports = {};
  for (const wanted of WebAssembly.Module.imports(module)) {
    const group = (given[wanted.module] ??= {});
    if (wanted.kind === "function") group[wanted.name] = () => 0;
  }
  return given;
}
