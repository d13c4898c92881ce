#!/usr/bin/env python3
"""Sixty-four clients ask one desk on loopback for lists, for a minute unless told otherwise.

    many_clients.py ENDPIN [--clients 64] [--seconds 60] [--takes 300] [--pause 0.25] [--hear] [--slow]

Each client keeps its connection and waits PAUSE seconds between two requests, as a page does that
somebody looks at. Holds if no request fails, the 99th percentile of a list's time is below 100 ms and
the desk's memory does not grow by more than 16 MiB after the first fifth of the time. Prints the
figures; exit 0 if it holds. With --hear the takes have a piece and are heard meanwhile;
with --slow, for a build with sanitizers, time and memory are printed and no more.
"""
import argparse, http.client, os, random, shutil, sys, tempfile, threading, time

from faults import Desk, PIECE
from kill_under_load import wav

LISTS = ["/takes?limit=100", "/takes?new=1", "/students", "/groups", "/pieces", "/book", "/lessons"]


def resident_kib(process):
    with open(f"/proc/{process.pid}/status") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))


def client(number, port, until, pause, times, faults):
    chance = random.Random(number)
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    time.sleep(chance.uniform(0, pause))
    while time.monotonic() < until:
        path = chance.choice(LISTS)
        began = time.monotonic()
        try:
            connection.request("GET", "/api" + path)
            answer = connection.getresponse()
            body = answer.read()
        except (OSError, http.client.HTTPException) as fault:
            faults.append(f"{path}: {fault!r}")
            connection.close()
            continue
        times.append(time.monotonic() - began)
        if answer.status != 200 or not body:
            faults.append(f"{path}: {answer.status}")
        time.sleep(pause * chance.uniform(0.5, 1.5))
    connection.close()


def main():
    words = argparse.ArgumentParser()
    words.add_argument("program")
    words.add_argument("--clients", type=int, default=64)
    words.add_argument("--seconds", type=float, default=60)
    words.add_argument("--takes", type=int, default=300)
    words.add_argument("--pause", type=float, default=0.25)
    words.add_argument("--hear", action="store_true")
    words.add_argument("--slow", action="store_true")
    given = words.parse_args()
    clients, seconds = min(given.clients, 90), min(given.seconds, 300)
    root = tempfile.mkdtemp(prefix="endpin-clients-")
    desk = Desk(given.program, os.path.join(root, "book"))
    of = ""
    if given.hear:
        with open(PIECE, "rb") as file:
            of = f"&piece={desk.call('POST', '/pieces?name=piece.musicxml', file.read())[1]['id']}"
    for number in range(given.takes):
        sound = wav(number, 4 if given.hear else 0.1)
        assert desk.call("POST", f"/takes?name=t{number}.wav{of}", sound)[0] == 201
    for name in ("Ada", "Ben", "Cleo"):
        desk.call("POST", "/students", '{"name":"%s","instrument":"cello"}' % name)
    times, faults = [], []
    until = time.monotonic() + seconds
    threads = [threading.Thread(target=client, args=(n, desk.port, until, given.pause, times, faults))
               for n in range(clients)]
    for thread in threads:
        thread.start()
    time.sleep(seconds / 5)
    early = resident_kib(desk.process)
    for thread in threads:
        thread.join()
    late = resident_kib(desk.process)
    desk.end()
    if desk.process.returncode != 0:
        faults.append(f"the desk ended with {desk.process.returncode}: {desk.said}")
    shutil.rmtree(root)
    times.sort()
    at = lambda share: times[min(len(times) - 1, int(share * len(times)))] * 1000
    grown = (late - early) / 1024
    print(f"{clients} clients, {len(times)} lists in {seconds:.0f} s: median {at(0.5):.1f} ms, "
          f"99th percentile {at(0.99):.1f} ms, slowest {times[-1] * 1000:.0f} ms, {len(faults)} faults, "
          f"memory {late // 1024} MiB ({grown:+.1f} MiB)")
    for fault in faults[:10]:
        print(fault)
    quick = at(0.99) < 100 and grown < 16
    sys.exit(0 if not faults and (quick or given.slow) else 1)


if __name__ == "__main__":
    main()
