#!/usr/bin/env python3
"""Thirty recordings of a minute dropped on the desk at once: how long until all are heard, and what
the page waits for a list meanwhile.

    thirty_takes.py ENDPIN [--takes 30] [--minutes 1] [--lesson]

Each is the piece as `endpin play` plays it, a minute long and different in one sample. With --lesson
the student was given a lesson, so that its warm-ups and drills are looked for as well. Holds if all
are heard in 20 s and the 99th percentile of a list's time is below 100 ms. Prints the figures; exit 0
if it holds. The time is the machine's: run it alone.
"""
import argparse, json, os, resource, shutil, subprocess, sys, tempfile, threading, time, wave

from faults import Desk, PIECE


def minute_of_playing(program, folder, seconds):
    """The piece over and over, until the time is full."""
    played = os.path.join(folder, "played.wav")
    subprocess.run([program, "play", PIECE, "-o", played, "--tempo", "96"], check=True)
    with wave.open(played) as sound:
        kind, once = sound.getparams(), sound.readframes(sound.getnframes())
    frame = kind.sampwidth * kind.nchannels
    length = int(seconds * kind.framerate) * frame
    return kind, (once * (length // len(once) + 1))[:length]


def recording(folder, number, kind, frames):
    place = os.path.join(folder, f"take{number}.wav")
    with wave.open(place, "wb") as sound:
        sound.setparams(kind)
        sound.writeframes(bytes([number]) + frames[1:])
    with open(place, "rb") as file:
        return file.read()


def watch(desk, until_done, waits):
    while not until_done.is_set():
        began = time.monotonic()
        status, _ = desk.call("GET", "/takes?limit=100")
        waits.append(time.monotonic() - began)
        assert status == 200
        time.sleep(0.1)


def main():
    words = argparse.ArgumentParser()
    words.add_argument("program")
    words.add_argument("--takes", type=int, default=30)
    words.add_argument("--minutes", type=float, default=1)
    words.add_argument("--lesson", action="store_true")
    given = words.parse_args()
    root = tempfile.mkdtemp(prefix="endpin-thirty-")
    kind, frames = minute_of_playing(given.program, root, 60 * given.minutes)
    takes = [recording(root, n, kind, frames) for n in range(given.takes)]
    desk = Desk(given.program, os.path.join(root, "book"))
    with open(PIECE, "rb") as file:
        piece = desk.call("POST", "/pieces?name=piece.musicxml", file.read())[1]["id"]
    student = desk.call("POST", "/students", '{"name":"Ada","instrument":"cello"}')[1]["id"]
    if given.lesson:
        body = json.dumps({"piece": piece, "students": [student]})
        lesson = desk.call("POST", "/lessons", body)[1]["id"]
        while desk.call("GET", f"/lessons/{lesson}")[1]["state"] == "making":
            time.sleep(0.2)
    done, waits = threading.Event(), []
    watcher = threading.Thread(target=watch, args=(desk, done, waits))
    watcher.start()
    began = time.monotonic()
    senders = [threading.Thread(target=desk.call, args=(
        "POST", f"/takes?name=take{n}.wav&piece={piece}&student={student}", takes[n]))
        for n in range(given.takes)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join()
    received = time.monotonic() - began
    while True:
        listed = desk.call("GET", "/takes?limit=100")[1]["takes"]
        if len(listed) == given.takes and all(t["state"] in ("heard", "failed") for t in listed):
            break
        time.sleep(0.05)
    heard = time.monotonic() - began
    done.set()
    watcher.join()
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    desk.end()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    work = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    shutil.rmtree(root)
    waits.sort()
    slow = waits[int(0.99 * len(waits))] * 1000
    well = sum(t["state"] == "heard" and t["status"] == "ok" for t in listed)
    print(f"{given.takes} takes of {given.minutes:g} min: all received after {received:.1f} s, heard after "
          f"{heard:.1f} s ({well} ok), {work:.1f} s of processors, {os.getloadavg()[0]:.0f} programs "
          f"at work; lists meanwhile: median {waits[len(waits) // 2] * 1000:.0f} ms, "
          f"99th percentile {slow:.0f} ms, {len(waits)} asked")
    sys.exit(0 if well == given.takes and heard < 20 and slow < 100 else 1)


if __name__ == "__main__":
    main()
