#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs a page of the documents: tutorial.py BINARY PAGE.md [--renew]

A fenced block whose fence names a file (```yaml yard.yaml) is that file. In an indented block a line that begins
with "$ " is a command, the lines after it what it prints, on standard output and standard error; a line that is
only "…" stands for any lines. All of a page runs in one folder. With --renew what is printed is put into the
page; lines left out stay so where the line before and after them are still there."""
import os
import re
import subprocess
import sys
import tempfile


def fits(wanted, got):
    """True if the lines wanted, with … for any number of lines, are the lines got."""
    if not wanted:
        return not got
    if wanted[0] == "…":
        return any(fits(wanted[1:], got[i:]) for i in range(len(got) + 1))
    return bool(got) and wanted[0] == got[0] and fits(wanted[1:], got[1:])


def cut(wanted, got):
    """The lines got, with those left out again that … stood for."""
    made, at = [], 0
    for k, line in enumerate(wanted):
        if line != "…":
            continue
        before = wanted[k - 1] if k else None
        after = wanted[k + 1] if k + 1 < len(wanted) else None
        first = next((i for i in range(at, len(got)) if got[i][:24] == (before or "")[:24]), None)
        start = at if before is None else None if first is None else first + 1
        end = len(got) if after is None else next(
            (i for i in range(start or 0, len(got)) if got[i][:24] == after[:24]), None)
        if start is None or end is None:
            return got
        made += got[at:start] + ["…"]
        at = end
    return made + got[at:]


def run(command, folder, binary):
    environment = dict(os.environ, LC_ALL="C.UTF-8", PATH=f"{os.path.dirname(binary)}:{os.environ['PATH']}")
    done = subprocess.run(["sh", "-c", command], cwd=folder, env=environment, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, check=False)
    return [line.rstrip() for line in done.stdout.decode().rstrip("\n").split("\n")] if done.stdout else []


def main():
    binary, page = os.path.abspath(sys.argv[1]), sys.argv[2]
    renew = "--renew" in sys.argv[3:]
    lines = open(page, encoding="utf-8").read().split("\n")
    out, at, bad, commands = [], 0, 0, 0
    with tempfile.TemporaryDirectory() as folder:
        while at < len(lines):
            fence = re.match(r"```\w+ (\S+)$", lines[at])
            command = re.match(r"    \$ (.*)$", lines[at])
            out.append(lines[at])
            at += 1
            if fence:
                start = at
                while lines[at] != "```":
                    at += 1
                with open(os.path.join(folder, fence.group(1)), "w", encoding="utf-8") as file:
                    file.write("\n".join(lines[start:at]) + "\n")
                out += lines[start:at]
            elif command:
                start = at
                while at < len(lines) and (lines[at].startswith("    ") and not lines[at].startswith("    $ ")
                                           or not lines[at] and at + 1 < len(lines)
                                           and lines[at + 1].startswith("    ")
                                           and not lines[at + 1].startswith("    $ ")):
                    at += 1
                wanted = [line[4:].rstrip() for line in lines[start:at]]
                got = run(command.group(1), folder, binary)
                commands += 1
                if renew:
                    wanted = cut(wanted, got)
                elif not fits(wanted, got):
                    bad += 1
                    print(f"{page}:{start}: $ {command.group(1)}\n  the page says:", *wanted,
                          "  it printed:", *got, sep="\n  ", file=sys.stderr)
                out += [f"    {line}".rstrip() for line in wanted]
    if renew:
        with open(page, "w", encoding="utf-8") as file:
            file.write("\n".join(out))
    print(f"{page}: {commands} commands, {bad} not as printed")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
