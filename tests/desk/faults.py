#!/usr/bin/env python3
"""Lets things go wrong under a running desk, one after another.

    faults.py ENDPIN FAILING_DISK

After each fault the desk must have said one line, be alive, have lost nothing that it had
acknowledged, and work again once the fault is over. Prints a line for each; exit 1 if one does not
hold. FAILING_DISK is the library of failing_disk.cpp.
"""
import glob, http.client, json, os, shutil, signal, subprocess, sys, tempfile, time

from kill_under_load import wav


class Desk:
    def __init__(self, program, book, disk=None, library=None):
        surroundings = dict(os.environ)
        if disk:
            surroundings.update(LD_PRELOAD=library, ENDPIN_DISK=disk)
        self.process = subprocess.Popen(
            [program, "desk", "--book", book, "--port", "0", "--web", "/nonexistent"], text=True,
            env=surroundings, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        self.said = ""  # on stderr, once it has ended
        line = self.process.stdout.readline()
        self.port = int(line.rsplit(":", 1)[1].strip().strip("/")) if "http://" in line else None

    def call(self, method, path, body=None):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            connection.request(method, "/api" + path, body, {"X-Endpin": "1"})
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read() or b"null")
        finally:
            connection.close()

    def line(self):
        """Of a desk that did not start: its exit code and what it said."""
        _, said = self.process.communicate(timeout=30)
        return self.process.returncode, said.strip()

    def end(self):
        self.process.send_signal(signal.SIGTERM)
        _, self.said = self.process.communicate(timeout=60)


class Trial:
    """One desk on a fresh book, whose disk can be made to fail."""

    def __init__(self, program, library):
        self.root = tempfile.mkdtemp(prefix="endpin-faults-")
        self.book = os.path.join(self.root, "book")
        self.disk = os.path.join(self.root, "disk")
        self.program, self.library = program, library
        self.let_disk("-")
        self.desk = self.start()
        with open(PIECE, "rb") as file:
            status, piece = self.desk.call("POST", "/pieces?name=piece.musicxml", file.read())
        assert status == 201, piece
        self.piece = piece["id"]

    def start(self):
        return Desk(self.program, self.book, self.disk, self.library)

    def let_disk(self, mode):
        with open(self.disk, "r+b" if os.path.exists(self.disk) else "wb") as file:
            file.write(mode.encode())

    def send(self, number, seconds=0.4):
        return self.desk.call("POST", f"/takes?name=t{number}.wav&piece={self.piece}",
                              wav(number, seconds))

    def ended(self, take, patience=120):
        for _ in range(patience * 10):
            status, now = self.desk.call("GET", f"/takes/{take}")
            if status == 200 and now["state"] in ("heard", "failed"):
                return now
            time.sleep(0.1)
        raise AssertionError(f"take {take} is still {now['state']}")

    def take_files(self):
        return sorted(glob.glob(os.path.join(self.book, "takes", "*", "original*")))

    def close(self):
        if self.desk.process.poll() is None:
            self.desk.end()
        shutil.rmtree(self.root, ignore_errors=True)


def says(answer, status, words=""):
    got, body = answer
    line = body["error"]["line"] if isinstance(body, dict) and "error" in body else ""
    assert got == status, f"{got} instead of {status}: {body}"
    assert line and "\n" not in line and words in line, f"said: {line!r}"


def a_full_disk_refuses_a_take_and_loses_none(trial):
    _, kept = trial.send(1)
    trial.ended(kept["id"])
    trial.let_disk("f")
    says(trial.send(2), 507, "the disk is full")
    assert os.listdir(os.path.join(trial.book, "incoming")) == [], "a part was left"
    assert [t["id"] for t in trial.desk.call("GET", "/takes")[1]["takes"]] == [kept["id"]]
    trial.let_disk("-")
    assert trial.send(2)[0] == 201, "no take is received after there is room again"


def a_full_disk_refuses_a_change_and_keeps_the_book_whole(trial):
    trial.let_disk("f")
    body = json.dumps({"name": "Ada", "instrument": "cello"})
    says(trial.desk.call("POST", "/students", body), 507)
    trial.let_disk("-")
    assert trial.desk.call("GET", "/students")[1]["students"] == []
    assert trial.desk.call("POST", "/students", body)[0] == 201


def a_full_disk_in_a_hearing_is_said_and_can_be_tried_again(trial):
    status, take = trial.send(3, 4)
    assert status == 201
    trial.let_disk("f")
    time.sleep(2)
    trial.let_disk("-")
    ended = trial.ended(take["id"])
    if ended["state"] == "failed":
        assert "\n" not in ended["error"]["line"] and ended["error"]["line"]
        trial.desk.call("POST", f"/takes/{take['id']}/retry", "{}")
        ended = trial.ended(take["id"])
    assert ended["state"] == "heard", ended


def a_folder_that_may_only_be_read_can_still_be_read(trial):
    _, kept = trial.send(4)
    trial.ended(kept["id"])
    trial.let_disk("r")
    got, body = trial.send(5)
    assert got >= 500 and "\n" not in body["error"]["line"], body
    assert trial.desk.call("GET", f"/takes/{kept['id']}/hearing")[0] == 200
    trial.let_disk("-")
    assert trial.send(5)[0] == 201


def a_take_whose_folder_goes_while_it_is_heard_fails_alone(trial):
    _, lost = trial.send(6, 20)
    shutil.rmtree(os.path.dirname(trial.take_files()[0]))
    ended = trial.ended(lost["id"])
    assert ended["state"] == "failed" and "\n" not in ended["error"]["line"], ended
    _, other = trial.send(7)
    assert trial.ended(other["id"])["state"] == "heard"


def a_take_whose_bytes_were_damaged_fails_alone(trial):
    _, take = trial.send(8)
    trial.ended(take["id"])
    with open(trial.take_files()[0], "wb") as file:
        file.write(os.urandom(5000))
    for made in glob.glob(os.path.join(trial.book, "takes", "*", "*")):
        if "original" not in os.path.basename(made):
            os.remove(made)
    trial.desk.call("POST", f"/takes/{take['id']}/retry", "{}")
    ended = trial.ended(take["id"])
    assert ended["state"] == "failed" and "\n" not in ended["error"]["line"], ended
    assert trial.send(9)[0] == 201


def a_book_that_is_moved_away_is_missed_and_found_again(trial):
    _, kept = trial.send(10)
    trial.ended(kept["id"])
    away = trial.book + "-away"
    os.rename(trial.book, away)
    got, body = trial.send(11)
    assert got >= 500 and "\n" not in body["error"]["line"], body
    os.rename(away, trial.book)
    assert trial.send(11)[0] == 201
    assert trial.desk.call("GET", f"/takes/{kept['id']}/peaks")[0] == 200


def a_second_desk_on_the_book_says_so_and_ends(trial):
    second = Desk(trial.program, trial.book)
    code, line = second.line()
    assert code == 3 and line.count("\n") == 0 and line, (code, line)
    assert trial.desk.call("GET", "/book")[0] == 200


def a_damaged_database_is_said_with_the_way_back(trial):
    _, kept = trial.send(12)
    trial.ended(kept["id"])
    _, backup = trial.desk.call("POST", "/book/backup", "{}")
    trial.desk.end()
    database = os.path.join(trial.book, "book.sqlite3")
    with open(database, "r+b") as file:
        file.seek(2048)
        file.write(os.urandom(os.path.getsize(database) - 2048))
    code, line = trial.start().line()
    assert code in (1, 3) and line.count("\n") == 0 and "backup" in line, (code, line)
    assert trial.take_files(), "the recordings were thrown away"
    assert os.path.exists(backup["file"])


TRIALS = [a_full_disk_refuses_a_take_and_loses_none,
          a_full_disk_refuses_a_change_and_keeps_the_book_whole,
          a_full_disk_in_a_hearing_is_said_and_can_be_tried_again,
          a_folder_that_may_only_be_read_can_still_be_read,
          a_take_whose_folder_goes_while_it_is_heard_fails_alone,
          a_take_whose_bytes_were_damaged_fails_alone,
          a_book_that_is_moved_away_is_missed_and_found_again,
          a_second_desk_on_the_book_says_so_and_ends,
          a_damaged_database_is_said_with_the_way_back]
PIECE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "demo", "pieces",
                     "ode-to-joy.musicxml")


def main():
    program, library = sys.argv[1:3]
    failed = 0
    for run in TRIALS:
        trial = Trial(program, library)
        try:
            run(trial)
            assert trial.desk.process.poll() is None or run is TRIALS[-1], "the desk has died"
            print("holds:", run.__name__.replace("_", " "), flush=True)
        except Exception as fault:
            failed += 1
            print("DOES NOT HOLD:", run.__name__.replace("_", " "), "-", repr(fault), flush=True)
        finally:
            trial.close()
    print(f"{len(TRIALS) - failed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
