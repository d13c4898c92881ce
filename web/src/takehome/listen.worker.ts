/// Runs beside the page: the listening core, unchanged, as WebAssembly. Plain functions over its
/// memory; wasm/listen_abi.h is their contract.

interface Core {
  memory: WebAssembly.Memory;
  _initialize?: () => void;
  endpin_allocate(bytes: number): number;
  endpin_free(at: number): void;
  /// Missing in a core that is older than this contract.
  endpin_listen_version?(): number;
  /// Texts and samples are places in memory and their lengths; 0 beats a minute or hertz: unknown.
  /// Returns a text that ends in a zero byte, 0 without memory.
  endpin_hear(
    timeline: number, timelineLength: number, samples: number, count: number, rate: number,
    tempo: number, a4: number, step: number, stepLength: number, language: number,
    languageLength: number,
  ): number;
  /// Missing in a core that cannot follow. 0: it cannot follow this.
  endpin_follow_begin?(
    timeline: number, timelineLength: number, rate: number, tempo: number, a4: number,
  ): number;
  /// Returns where six doubles stand: note, its onset, understood up to, confidence, jumps, tempo.
  endpin_follow(follower: number, samples: number, count: number): number;
}

export interface HearRequest {
  kind: "hear";
  core: ArrayBuffer;
  timeline: string;
  samples: Float32Array;
  rate: number;
  /// Quarters a minute that were asked for; 0: unknown.
  tempo: number;
  step: string;
  language: string;
}

/// First this, then Float32Array after Float32Array of one channel.
export interface FollowRequest {
  kind: "follow";
  core: ArrayBuffer;
  timeline: string;
  rate: number;
  tempo: number;
}

/// Where a player is. Times are seconds from the first sample on.
export interface Place {
  /// Index of the note that began last.
  note: number;
  onset: number;
  understood: number;
  /// 0…1
  confidence: number;
  /// Quarters a minute; 0 while not known.
  tempo: number;
}

/// Why the core cannot listen: it is of another version than the page, memory is short, or the
/// browser cannot run it; else something that nobody can mend from outside.
export type ListenTrouble = "version" | "memory" | "browser" | "other";

/// One of them. `progress`: the share of a hearing that is done, 0…1, before it is there.
export type ListenAnswer = { hearing?: string; trouble?: ListenTrouble; place?: Place; progress?: number };

const version = 2;
/// Seconds of sound that are handed to the core at a time at most: the microphone's blocks are 50 ms.
const longestBlock = 1;
/// A hearing takes memory in pieces of some MiB: where no more than this is left, it was that.
const littleMemory = 16 * 2 ** 20;
const wasmPage = 2 ** 16;
let memory: WebAssembly.Memory | undefined;
let follow: ((samples: Float32Array) => Place | undefined) | undefined;

class Trouble extends Error {
  constructor(
    readonly trouble: ListenTrouble,
    message: string,
  ) {
    super(message);
  }
}

self.onmessage = (event: MessageEvent<HearRequest | FollowRequest | Float32Array>) => {
  void answer(event.data).then(
    (said) => said && self.postMessage(said),
    (error: unknown) => {
      console.warn(error);
      self.postMessage({ trouble: troubleOf(error) } satisfies ListenAnswer);
    },
  );
};

/// The core has no exceptions: where it finds no memory, it stops as it would at any other fault.
/// Which it was is told by asking for some more.
function troubleOf(error: unknown): ListenTrouble {
  if (error instanceof Trouble) return error.trouble;
  if (error instanceof RangeError) return "memory";
  if (!("WebAssembly" in self)) return "browser";
  if (error instanceof WebAssembly.CompileError) return "browser";
  if (error instanceof WebAssembly.LinkError) return "version";
  return memory && isFull(memory) ? "memory" : "other";
}

function isFull(of: WebAssembly.Memory): boolean {
  try {
    of.grow(littleMemory / wasmPage);
    return false;
  } catch {
    return true;
  }
}

async function answer(
  request: HearRequest | FollowRequest | Float32Array,
): Promise<ListenAnswer | undefined> {
  if (request instanceof Float32Array) {
    const place = follow?.(request);
    return place && { place };
  }
  const core = await opened(request.core);
  if (request.kind === "hear") return { hearing: hear(core, request) };
  follow = follower(core, request);
  return undefined;
}

function hear(core: Core, request: HearRequest): string {
  const timeline = put(core, new TextEncoder().encode(request.timeline));
  const step = put(core, new TextEncoder().encode(request.step));
  const language = put(core, new TextEncoder().encode(request.language));
  const { samples } = request;
  const sound = put(core, new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength));
  const found = core.endpin_hear(
    timeline.at, timeline.length, sound.at, samples.length, request.rate, request.tempo, 0,
    step.at, step.length, language.at, language.length,
  );
  if (found === 0) throw new Trouble("memory", "no memory is left");
  const bytes = new Uint8Array(core.memory.buffer);
  return new TextDecoder().decode(bytes.slice(found, bytes.indexOf(0, found)));
}

function follower(core: Core, request: FollowRequest): (samples: Float32Array) => Place | undefined {
  const timeline = put(core, new TextEncoder().encode(request.timeline));
  const begun = core.endpin_follow_begin?.(timeline.at, timeline.length, request.rate, request.tempo, 0);
  if (!begun) throw new Trouble("other", "the core cannot follow this");
  const most = Math.round(longestBlock * request.rate);
  const room = core.endpin_allocate(4 * most);
  if (room === 0) throw new Trouble("memory", "no memory is left");
  return (samples) => {
    const block = samples.subarray(0, most);
    new Float32Array(core.memory.buffer, room, block.length).set(block);
    const at = core.endpin_follow(begun, room, block.length);
    const [note = -1, onset = 0, understood = 0, confidence = 0, , tempo = 0] =
      new Float64Array(core.memory.buffer, at, 6);
    return note < 0 ? undefined : { note, onset, understood, confidence, tempo };
  };
}

async function opened(bytes: ArrayBuffer): Promise<Core> {
  const zeroAt = (...places: number[]) => {
    const words = new Uint32Array(memory?.buffer ?? new ArrayBuffer(0));
    for (const place of places) words[place >> 2] = 0;
    return 0;
  };
  // What the C library's start asks of a system: that memory grew, and the environment, empty here;
  // and what a hearing says while it goes on.
  const allowed: Record<string, WebAssembly.ImportValue> = {
    emscripten_notify_memory_growth: () => undefined,
    environ_sizes_get: zeroAt,
    environ_get: () => 0,
    endpin_progress: (share: number) => self.postMessage({ progress: share } satisfies ListenAnswer),
  };
  const module = await WebAssembly.compile(bytes);
  const imports: WebAssembly.Imports = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) {
    (imports[from] ??= {})[name] = allowed[name] ?? refusal(name);
  }
  const core = (await WebAssembly.instantiate(module, imports)).exports as unknown as Core;
  memory = core.memory;
  core._initialize?.();
  if (core.endpin_listen_version?.() !== version) {
    throw new Trouble("version", "the core is of another version");
  }
  return core;
}

function refusal(name: string): () => never {
  return () => {
    throw new Error(`the core asked the system for ${name}`);
  };
}

function put(core: Core, bytes: Uint8Array): { at: number; length: number } {
  const at = core.endpin_allocate(Math.max(1, bytes.length));
  if (at === 0) throw new Trouble("memory", "no memory is left");
  new Uint8Array(core.memory.buffer).set(bytes, at);
  return { at, length: bytes.length };
}
