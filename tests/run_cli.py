#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs the command-line cases of tests/cli/*.t against a binary: run_cli.py BINARY [FILE.t ...]

A case is a block of lines, ended by a blank line:
  case: NAME
  $ COMMAND            a shell command; `pushcycle` is the binary, $PYTHON a Python 3, $TESTS the folder of this file
  exit: N              expected exit status (default 0)
  out: REGEX           standard output has a line that matches (regular expression); repeatable
  out1: REGEX          its first line matches
  no-out: REGEX        no line of it matches
  err:, no-err:        the same for standard error
  file: NAME           the file exists afterwards
  no-file: PATTERN     nothing of this name does
Every case runs in a fresh directory that holds copies of tests/cli/*.yaml and of a good map. Lines that start with # are
comments. No environment but LC_ALL=C. One more of them is at work at once, as some wait, than
JOBS (default: the number of processors).
SLOWEST=N names the N cases that took longest.
"""
import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor

TESTS = os.path.dirname(os.path.abspath(__file__))
KINDS = ("out", "out1", "no-out", "err", "no-err", "file", "no-file")
MOST_S = 600  # whatever hangs has failed


class Case:
    def __init__(self, file, name):
        self.file, self.name, self.command, self.status, self.checks, self.took_s = file, name, None, 0, [], 0.0


def read_cases(file):
    cases, case = [], None
    with open(file, encoding="utf-8") as lines:
        for number, line in enumerate(lines, 1):
            line = line.rstrip("\n")
            kind, _, words = line.partition(": ")
            if line.startswith("#"):
                continue
            if not line:
                case = None
            elif kind == "case" and case is None:
                case = Case(file, words)
                cases.append(case)
            elif case and line.startswith("$ ") and case.command is None:
                case.command = line[2:]
            elif case and kind == "exit":
                case.status = int(words)
            elif case and kind in KINDS:
                case.checks.append((kind, words))
            else:
                sys.exit(f"{file}:{number}: not understood: {line}")
    for case in cases:
        if not case.command:
            sys.exit(f"{file}: case \"{case.name}\" has no command")
    return cases


def complaint(kind, words, streams, work):
    """What is wrong, or None."""
    if kind == "file":
        return None if os.path.exists(os.path.join(work, words)) else f"no file: {words}"
    if kind == "no-file":
        return f"a file is left: {words}" if any(re.search(words, name) for name in os.listdir(work)) else None
    stream = "out" if kind.endswith(("out", "out1")) else "err"
    lines = streams[stream]
    name = {"out": "standard output", "err": "standard error"}[stream]
    if kind == "out1":
        return None if lines and re.search(words, lines[0]) else f"first line of {name} is not: {words}"
    found = any(re.search(words, line) for line in lines)
    if kind.startswith("no-"):
        return f"{name} has: {words}" if found else None
    return None if found else f"{name} lacks: {words}"


def run(case, scratch, environment):
    """The text to print of a case that failed, or None."""
    place = tempfile.mkdtemp(dir=scratch)
    work = os.path.join(place, "work")
    shutil.copytree(os.path.join(scratch, "fresh"), work)
    begun = time.monotonic()
    streams, paths = {}, {stream: os.path.join(place, stream) for stream in ("out", "err")}
    with open(paths["out"], "wb") as out, open(paths["err"], "wb") as err:
        try:
            status = subprocess.run(["sh", "-c", case.command], cwd=work, env=environment, stdin=subprocess.DEVNULL, stdout=out,
                                    stderr=err, timeout=MOST_S, check=False).returncode
        except subprocess.TimeoutExpired:
            status = f"none after {MOST_S} s"
    case.took_s = time.monotonic() - begun
    for stream, path in paths.items():
        with open(path, encoding="utf-8", errors="replace", newline="") as text:
            streams[stream] = text.read().split("\n")
        if streams[stream][-1] == "":
            streams[stream].pop()
    problems = [] if status == case.status else [f"exit status {status}, not {case.status}"]
    problems += filter(None, (complaint(kind, words, streams, work) for kind, words in case.checks))
    shutil.rmtree(place, ignore_errors=True)
    if not problems:
        return None
    text = [f"FAILED {case.name} ({case.file})", *(f"    {problem}" for problem in problems), f"    command: {case.command}"]
    text += [f"    {stream}: {line}" for stream in ("out", "err") for line in streams[stream][:3]]
    return "\n".join(text)


def main():
    if len(sys.argv) < 2 or not os.access(sys.argv[1], os.X_OK):
        print("usage: run_cli.py BINARY [FILE.t ...]", file=sys.stderr)
        return 2
    cases = [case for file in sys.argv[2:] or sorted(glob.glob(f"{TESTS}/cli/*.t")) for case in read_cases(file)]
    scratch = tempfile.mkdtemp()
    try:
        for folder in ("bin", "fresh"):
            os.mkdir(os.path.join(scratch, folder))
        for file in [*glob.glob(f"{TESTS}/cli/*.yaml"), f"{TESTS}/geojson/good-lot.geojson"]:
            shutil.copy(file, os.path.join(scratch, "fresh"))
        os.symlink(os.path.abspath(sys.argv[1]), os.path.join(scratch, "bin", "pushcycle"))
        python = "/usr/bin/python3" if os.access("/usr/bin/python3", os.X_OK) else "python3"
        environment = {**os.environ, "PYTHON": python, "TESTS": TESTS, "LC_ALL": "C",
                       "PATH": os.path.join(scratch, "bin") + os.pathsep + os.environ["PATH"]}
        with ThreadPoolExecutor(int(os.environ.get("JOBS") or os.cpu_count() or 1) + 1) as pool:
            failed = 0
            for text in pool.map(lambda case: run(case, scratch, environment), cases):
                if text:
                    failed += 1
                    print(text, flush=True)
    finally:
        shutil.rmtree(scratch, ignore_errors=True)
    for case in sorted(cases, key=lambda case: -case.took_s)[:int(os.environ.get("SLOWEST") or 0)]:
        print(f"{case.took_s:7.2f} s  {case.name} ({os.path.basename(case.file)})")
    print(f"{len(cases) - failed} passed, {failed} failed")
    return 1 if failed or not cases else 0


if __name__ == "__main__":
    sys.exit(main())
