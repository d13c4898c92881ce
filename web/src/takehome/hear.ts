/// Hears a take with the core that the page carries, in a worker, so that the page stays awake.
import { hearing as shape, ofItem, type Hearing } from "../contracts/hearing";
import type { TakeHome } from "../contracts/lesson";
import { checked } from "../contracts/shape";
import { quarters } from "../contracts/timeline";
import type { HearRequest, ListenAnswer, ListenTrouble } from "./listen.worker";
import source from "./listen.worker.ts?source";
import { oneChannel } from "./one-channel";
import { soundRate } from "./sound-rate";
import type { KeptTake } from "./store";
import type { Task } from "./tasks";
import { bytesOf } from "./voice";

/// Decoding comes before the core begins, and is over too soon to be counted.
const decodedAt = 0.1;

/// Why a recording that could be opened was not heard.
export class CannotListen extends Error {
  constructor(readonly trouble: ListenTrouble) {
    super(trouble);
  }
}

export async function hearTake(
  take: KeptTake,
  task: Task,
  given: TakeHome,
  progress: (share: number) => void,
): Promise<Hearing> {
  const sound = await decoded(take.sound);
  const samples = mono(sound);
  const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  const worker = new Worker(address);
  progress(decodedAt);
  try {
    const answer = await new Promise<ListenAnswer>((resolve, reject) => {
      worker.onmessage = ({ data }: MessageEvent<ListenAnswer>) => {
        if (data.progress === undefined) resolve(data);
        else progress(decodedAt + (1 - decodedAt) * data.progress);
      };
      worker.onerror = () => reject(new CannotListen("other"));
      const core = bytesOf(given.core ?? "");
      const request: HearRequest = {
        kind: "hear",
        core,
        timeline: JSON.stringify(task.timeline),
        samples,
        rate: sound.sampleRate,
        // Only a take that was counted in is known to be at its tempo.
        tempo: take.type === "wav" ? take.tempo * quarters(task.timeline.beat_unit_quarters) : 0,
        step: given.lesson.step,
        language: given.lesson.language,
      };
      worker.postMessage(request, [core, samples.buffer]);
    });
    if (answer.hearing === undefined) throw new CannotListen(answer.trouble ?? "other");
    return ofItem(understood(answer.hearing), 0);
  } finally {
    worker.terminate();
    URL.revokeObjectURL(address);
  }
}

/// What is no hearing came out of a core that broke off.
function understood(text: string): Hearing {
  try {
    return checked(shape, JSON.parse(text), "hearing");
  } catch (error) {
    console.warn(error);
    throw new CannotListen("other");
  }
}

async function decoded(file: Blob): Promise<AudioBuffer> {
  try {
    const bytes = await file.arrayBuffer();
    return await new OfflineAudioContext(1, 1, soundRate(new Uint8Array(bytes))).decodeAudioData(bytes);
  } catch (error) {
    throw error instanceof RangeError ? new CannotListen("memory") : error;
  }
}

function mono(sound: AudioBuffer): Float32Array {
  return oneChannel(
    Array.from({ length: sound.numberOfChannels }, (_, c) => sound.getChannelData(c)),
  );
}
