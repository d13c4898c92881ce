#!/usr/bin/env python3
"""Holds if every test that a document names is there, and every script and tool.

    named_tests.py ROOT DOCUMENT…

A name is `Suite.Name`, `Suite.*`, or a path with a slash in it. Prints those that are missing.
"""
import pathlib, re, subprocess, sys

TEST = re.compile(r"\bTEST(?:_F|_P)?\(\s*(\w+),\s*(\w+)\s*\)|add_test\(NAME (\w+)\.([\w$<>{}]+)"
                  r"|endpin_fuzz\((\w+)")
NAME = re.compile(r"\b([A-Z]\w+)\.([A-Za-z]\w+|\*)$")


def tests_of(root):
    found = set()
    for path in subprocess.run(["git", "-C", root, "ls-files"], capture_output=True, text=True,
                               check=True).stdout.split():
        if not path.endswith((".cpp", "CMakeLists.txt", ".h")):
            continue
        text = (root / path).read_text(errors="replace")
        for test, name, added, other, fuzz in TEST.findall(text):
            found.add((test or added, name or other) if not fuzz else ("Fuzz", fuzz))
    return found


def missing(root, document, tests):
    suites = {suite for suite, _ in tests}
    for words in re.findall(r"`([^`]+)`", document):
        name = NAME.fullmatch(words)
        if name:
            suite, test = name.groups()
            if suite not in suites or (test != "*" and (suite, test) not in tests):
                yield words
        elif re.fullmatch(r"(tests|tools|fuzz|apps|web|libs)/[\w./-]+( .*)?", words):
            if not (root / words.split()[0]).exists():
                yield words


def main():
    root = pathlib.Path(sys.argv[1])
    tests = tests_of(root)
    gone = [f"{name}: {words}" for name in sys.argv[2:]
            for words in missing(root, (root / name).read_text(), tests)]
    for line in gone:
        print(line)
    sys.exit(1 if gone else 0)


if __name__ == "__main__":
    main()
