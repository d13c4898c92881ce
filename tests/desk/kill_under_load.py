#!/usr/bin/env python3
"""Ends the desk with SIGKILL at random moments while takes are sent and heard, again and again.

    kill_under_load.py ENDPIN [--kills 20] [--seed 1] [--piece SCORE]

Holds if no take that was acknowledged (201) is lost or changed, no half take is shown, no file is
left without a row, and the queue goes on and empties in the end. Prints the figures; exit 0 if it
holds, 1 if not.
"""
import argparse, hashlib, http.client, json, os, random, shutil, signal, struct, subprocess, sys
import tempfile, threading, time


def wav(seed, seconds=0.4, rate=8000):
    noise = random.Random(seed)
    samples = [noise.randint(-9000, 9000) for _ in range(int(seconds * rate))]
    data = struct.pack("<%dh" % len(samples), *samples)
    return (b"RIFF" + struct.pack("<I", 36 + len(data)) + b"WAVEfmt "
            + struct.pack("<IHHIIHH", 16, 1, 1, rate, 2 * rate, 2, 16) + b"data"
            + struct.pack("<I", len(data)) + data)


class Desk:
    def __init__(self, program, book):
        self.process = subprocess.Popen(
            [program, "desk", "--book", book, "--port", "0", "--web", "/nonexistent"],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        line = self.process.stdout.readline()
        if "http://" not in line:
            raise SystemExit("the desk did not start: " + line + self.process.stderr.read())
        self.port = int(line.rsplit(":", 1)[1].strip().strip("/"))

    def call(self, method, path, body=None):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        connection.request(method, "/api" + path, body, {"X-Endpin": "1"})
        answer = connection.getresponse()
        read = answer.read()
        connection.close()
        return answer.status, json.loads(read or b"null")

    def end(self, how):
        self.process.send_signal(how)
        self.process.wait()
        self.process.stdout.close()
        self.process.stderr.close()


def sender(desk, piece, acknowledged, counter, lock):
    while True:
        with lock:
            counter[0] += 1
            number = counter[0]
        body = wav(number)
        try:
            status, take = desk.call("POST", f"/takes?name=take{number}.wav&piece={piece}", body)
        except (OSError, http.client.HTTPException, ValueError):
            return
        if status == 201:
            with lock:
                acknowledged[take["id"]] = hashlib.sha256(body).hexdigest()


def takes_since(desk, oldest):
    """Newest first, down to the one with the id `oldest`."""
    takes, before = [], ""
    while True:
        _, page = desk.call("GET", "/takes?limit=200" + before)
        takes += [t for t in page["takes"] if t["id"] >= oldest]
        if page["next"] is None or len(takes) == 0 or page["next"] < oldest:
            return takes
        before = f"&before={page['next']}"


def originals(book, seen):
    """The hash of each take's file whose folder is not among `seen`, which gets them."""
    kept = set()
    root = os.path.join(book, "takes")
    for folder in os.listdir(root):
        if folder in seen:
            continue
        seen.add(folder)
        for name in os.listdir(os.path.join(root, folder)):
            if name.startswith("original"):
                with open(os.path.join(root, folder, name), "rb") as file:
                    kept.add(hashlib.sha256(file.read()).hexdigest())
    return kept


def check(desk, book, acknowledged, oldest=0, seen=None):
    """The takes from the id `oldest` on, with what is wrong with them."""
    takes = {t["id"]: t for t in takes_since(desk, oldest)}
    faults = []
    for take_id, digest in acknowledged.items():
        if take_id < oldest:
            continue
        if take_id not in takes:
            faults.append(f"take {take_id} was acknowledged and is lost")
        elif takes[take_id]["sha256"] != digest:
            faults.append(f"take {take_id} has other bytes")
    kept = originals(book, set() if seen is None else seen)
    for take in takes.values():
        if take["sha256"] not in kept:
            faults.append(f"take {take['id']} is shown, but its file is not whole")
    if len(takes) != len(kept):
        faults.append(f"{len(kept)} files for {len(takes)} takes")
    return takes, faults


def main():
    words = argparse.ArgumentParser()
    words.add_argument("program")
    words.add_argument("--kills", type=int, default=20)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--piece", default=os.path.join(
        os.path.dirname(__file__), "..", "..", "demo", "pieces", "ode-to-joy.musicxml"))
    given = words.parse_args()
    chance = random.Random(given.seed)
    root = tempfile.mkdtemp(prefix="endpin-kill-")
    book = os.path.join(root, "book")
    acknowledged, counter, lock, faults = {}, [0], threading.Lock(), []
    desk = Desk(given.program, book)
    with open(given.piece, "rb") as file:
        _, piece = desk.call("POST", "/pieces?name=piece.musicxml", file.read())
    # After a kill only what came since the last is looked at, so that a kill stays cheap.
    oldest, seen = 0, set()
    for _ in range(given.kills):
        threads = [threading.Thread(target=sender,
                                    args=(desk, piece["id"], acknowledged, counter, lock))
                   for _ in range(2)]
        for thread in threads:
            thread.start()
        time.sleep(chance.uniform(0.02, 0.6))
        desk.end(signal.SIGKILL)
        for thread in threads:
            thread.join()
        desk = Desk(given.program, book)
        takes, found = check(desk, book, acknowledged, oldest, seen)
        faults += found
        oldest = max([oldest - 1, *takes]) + 1
    # However many there are: as long as it goes on, it is waited for.
    waiting, since = None, time.time()
    while waiting != 0:
        takes, found = check(desk, book, acknowledged)
        now_waiting = sum(t["state"] not in ("heard", "failed") for t in takes.values())
        if now_waiting != waiting:
            waiting, since = now_waiting, time.time()
        elif time.time() > since + 120:
            faults.append(f"the queue stands still with {waiting} takes in it")
            break
        time.sleep(1)
    faults += found
    failed = [t for t in takes.values() if t["state"] == "failed"]
    desk.end(signal.SIGTERM)
    if desk.process.returncode != 0:
        faults.append(f"SIGTERM ended the desk with {desk.process.returncode}")
    shutil.rmtree(root)
    print(f"{given.kills} kills, {counter[0]} takes sent, {len(acknowledged)} acknowledged, "
          f"{len(takes)} kept, {len(failed)} failed to be heard, {len(faults)} faults")
    for fault in faults[:20]:
        print(fault)
    sys.exit(1 if faults or failed else 0)


if __name__ == "__main__":
    main()
