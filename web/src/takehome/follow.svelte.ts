/// Follows a playing through the microphone: where the player is, and never whether it was right.
import source from "../recorder/capture.worklet.ts?source";
import { Microphone } from "../recorder/microphone";
import { quarters, type Timeline } from "../contracts/timeline";
import type { FollowRequest, ListenAnswer, ListenTrouble, Place } from "./listen.worker";
import workerSource from "./listen.worker.ts?source";
import type { Key } from "../words/words.svelte";
import { bytesOf } from "./voice";
import { keepAwake } from "./wake";

/// Below this the place is not shown (ours: more likely there than anywhere else).
const sure = 0.5;

export class Follower {
  on = $state(false);
  /// Why it does not follow, though it was asked to.
  trouble = $state<Key | undefined>();
  /// Played quarters; nothing while it is not known.
  place = $state<number | undefined>();
  private microphone: Microphone | undefined;
  private worker: Worker | undefined;
  private address = "";
  private release = () => {};

  constructor(
    private readonly core: string,
    private readonly timeline: Timeline,
  ) {}

  /// `tempo` is in quarters a minute.
  async start(tempo: number): Promise<void> {
    this.trouble = undefined;
    this.on = true;
    this.release = keepAwake();
    try {
      const worklet = `data:text/javascript,${encodeURIComponent(source)}`;
      const microphone = await Microphone.open({
        worklet,
        level: () => undefined,
        sound: (samples, rate) => this.hand(samples, rate, tempo),
        lost: () => this.fail("home.stoppedListening"),
      });
      if (this.on) this.microphone = microphone;
      else microphone.close();
    } catch {
      this.fail("home.cannotFollow");
    }
  }

  stop(): void {
    this.on = false;
    this.release();
    this.place = undefined;
    this.microphone?.close();
    this.microphone = undefined;
    this.worker?.terminate();
    this.worker = undefined;
    URL.revokeObjectURL(this.address);
  }

  private fail(trouble: Key): void {
    this.stop();
    this.trouble = trouble;
  }

  private hand(samples: Float32Array, rate: number, tempo: number): void {
    if (!this.on) return;
    this.worker ??= this.begun(rate, tempo);
    // A copy: the microphone's block is looked at elsewhere too.
    this.worker.postMessage(samples.slice());
  }

  private begun(rate: number, tempo: number): Worker {
    this.address = URL.createObjectURL(new Blob([workerSource], { type: "text/javascript" }));
    const worker = new Worker(this.address);
    worker.onmessage = (event: MessageEvent<ListenAnswer>) => {
      if (event.data.place) this.show(event.data.place);
      else if (event.data.trouble) this.fail(cannotFollow(event.data.trouble));
    };
    const core = bytesOf(this.core);
    const timeline = JSON.stringify(this.timeline);
    const request: FollowRequest = { kind: "follow", core, timeline, rate, tempo };
    worker.postMessage(request, [core]);
    return worker;
  }

  private show(at: Place): void {
    const note = this.timeline.notes[at.note];
    const known = note && at.confidence >= sure;
    this.place = known
      ? placeIn(quarters(note.onset_quarters), quarters(note.duration_quarters), at)
      : undefined;
  }
}

function cannotFollow(trouble: ListenTrouble): Key {
  return trouble === "other" ? "home.cannotFollow" : `home.cannotFollow.${trouble}`;
}

/// Played quarters: the note's own, and as much of it as has passed at the tempo heard, but never
/// into the next note before that has been heard.
export function placeIn(onset: number, duration: number, at: Place): number {
  const passed = ((at.understood - at.onset) * at.tempo) / 60;
  return onset + Math.max(0, Math.min(passed, 0.95 * duration));
}
