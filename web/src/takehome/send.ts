/// A take as it goes back to the teacher: the sound and what is known of it, in one zip file.
import type { HomeTake, TakeHome } from "../contracts/lesson";
import { zip } from "./zip";
import type { KeptTake } from "./store";

export async function packed(take: KeptTake, given: TakeHome): Promise<File> {
  const sound = new Uint8Array(await take.sound.arrayBuffer());
  const ending = take.type === "wav" ? "wav" : (/\.(\w{1,5})$/.exec(take.name)?.[1] ?? "bin");
  const about: HomeTake = {
    schema: "endpin.take/1",
    take_id: take.id,
    lesson_id: given.lesson_id,
    student_token: given.student_token,
    piece_sha256: given.piece_sha256,
    item: take.item,
    bars: take.bars,
    tempo: take.tempo,
    beat_unit: given.lesson.tempo.beat_unit,
    recorded_at: take.recorded_at,
    playback: take.playback,
    microphone: take.microphone,
    audio_sha256: await sha256(sound),
    hearing: take.hearing,
  };
  const archive = zip([
    { name: "take.json", bytes: new TextEncoder().encode(JSON.stringify(about)) },
    { name: `take.${ending}`, bytes: sound },
  ]);
  const day = take.recorded_at.slice(0, 10);
  return new File([archive], `${plain(given.lesson.title)}-${day}.zip`, { type: "application/zip" });
}

/// Shares the file where the phone can, else saves it. False if the person turned back.
export async function handOver(file: File): Promise<boolean> {
  if (navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return true;
    } catch (error) {
      if (error instanceof DOMException && error.name === "AbortError") return false;
    }
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  return true;
}

/// Null where the page may not compute it (an address without https).
async function sha256(bytes: Uint8Array): Promise<string | null> {
  if (!globalThis.crypto?.subtle) return null;
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes as BufferSource));
  return [...digest].map((b) => b.toString(16).padStart(2, "0")).join("");
}

function plain(title: string): string {
  return title.normalize("NFKD").replace(/[^\w]+/g, "-").replace(/^-+|-+$/g, "").toLowerCase() || "take";
}
