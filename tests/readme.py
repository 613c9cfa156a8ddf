#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds the figures of README.md against what the command prints now: readme.py BINARY [README.md]

Indented blocks of its first result are outputs: a line "…" stands for any lines, … within a line for any words. Of
the sentences around them each that tells a figure stands below with the command that gives it. A block or a figure
with a decimal point that is not held against anything is a failure, too."""
import json
import os
import re
import subprocess
import sys

SECTION = ("## A first result", "## Your own lot")
NEAR = "three piles"  # the layout that the sentences are about
LOADER = ["compare", "--loader", "small loader", "--layout", NEAR]
MIXED = ["compare", "--mixed", "--boxes", "14 ft,16 ft", "--layout", NEAR, "--set", "boxes[3].count=1"]
CREWS = ["compare", "--crews", "1..4", "--layout", NEAR, "--box", "16 ft"]
BLOCKS = {"Quickest:": ["compare"], "small loader": ["limits"]}  # by how they begin


class Command:
    def __init__(self, binary):
        self.binary, self.known = os.path.abspath(binary), {}

    def __call__(self, words):
        key = tuple(words)
        if key not in self.known:
            environment = dict(os.environ, LC_ALL="C.UTF-8")
            self.known[key] = subprocess.run([self.binary, *words, "--quiet"], env=environment, check=True,
                                             stdout=subprocess.PIPE).stdout.decode()
        return self.known[key]

    def rows(self, words, **wanted):
        """Of a comparison, those with these values."""
        rows = json.loads(self([*words, "--json"]))["rows"]
        return [r for r in rows if all(r.get(key) == value for key, value in wanted.items())]

    def row(self, words, **wanted):
        (row,) = self.rows(words, **wanted)
        return row


def hours(seconds):
    return f"{seconds / 3600:.2f}"


def mean(row):
    return hours(row["total_time_s"]["mean"])


def difference(row):
    return hours(row["difference_to_best_s"]["mean"]), hours(row["difference_to_best_s"]["half_width"])


# Sentences of the page, and what their groups should be. A pair is a range, for what is said in words.
def lot(run):
    told = re.search(r"([\d.]+) ha \(.*; (\d+) cm of snow .* about (\d+) t\.", run(["check"]))
    return round(float(told[1]), 1), told[2], told[3]


def piles(run):
    best = run.row(["compare"], rank=1)
    one, three = (run.row(["compare"], layout=name, box="16 ft") for name in ("one pile", NEAR))
    saved = (one["total_time_s"]["mean"] - three["total_time_s"]["mean"]) / 3600
    assert 1.4 < saved < 1.6 and best["layout"] == "five piles", f"a second and a third pile save {saved} h"
    return mean(one), *difference(three)


def wide(run):
    cells = re.search(r"\nsmall loader\n(?:.*\n)*?  16 ft +(.*)", run(["limits"]))[1].split()
    return f"{float(cells[2]):.1f}", f"{float(cells[3]):.1f}"


def small_loader(run):
    narrow, broad = (run.row(LOADER, box=box) for box in ("14 ft", "16 ft"))
    return mean(narrow), mean(broad), *difference(broad)


def mixed(run):
    best, other = (run.row(MIXED, box=box) for box in ("16 ft + 14 ft", "14 ft + 16 ft"))
    longer = (other["total_time_s"]["mean"] - best["total_time_s"]["mean"]) / 60
    assert 37 < longer < 43 and best["rank"] == 1, f"the lot takes {longer} min longer"
    return mean(best), mean(other)


def crews(run):
    (group,) = json.loads(run([*CREWS, "--json"]))["crews"]
    assert [step["machines"] for step in group["steps"]] == [1, 2, 3, 4]
    return tuple(hours(step["time_s"]) for step in group["steps"])


SENTENCES = [
    (r"ferry terminal car park of (\S+) ha under (\d+) cm of damp snow \((\d+) t\)", lot),
    (r"with one pile the same work takes (\S+) h; a second and a third pile save an hour and a half.*"
     r"A fourth and a fifth save (\S+) ± (\S+) h more", piles),
    (r"The 16 ft box holds (\S+) t, .* the tyres push only (\S+) t", wide),
    (r"(\S+) h with 14 ft, (\S+) h with 16 ft \((\S+) ± (\S+) h longer\)", small_loader),
    (r"it belongs on the mid loader, (\S+) h; on the small one, (\S+) h, the lot takes forty minutes longer", mixed),
    (r"gives (\S+), (\S+), (\S+) and (\S+) h, the cost of each", crews),
]


def pattern_of(block):
    """A page breaks long lines, so that the end of a line may be a blank."""
    made = []
    for line in block:
        words = r"[^\S\n]+".join(re.escape(word) for word in line.split()).replace("…", r"[^\n]*?")
        made.append(r"(?:[^\n]*\n)*?" if line.strip() == "…" else words)
    return r"^\s*" + r"\s+".join(made).replace(r")*?\s+", r")*?\s*") + r"\s*$"


def blocks_of(lines):
    blocks, block = [], []
    for line in lines + ["end"]:
        if line.startswith("    "):
            block.append(line)
        elif line == "" and block:
            block.append(line)
        elif block:
            blocks.append([text for text in block if text])
            block = []
    return blocks


def main():
    run, page = Command(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "README.md"
    text = open(page, encoding="utf-8").read()
    section = text[text.index(SECTION[0]):text.index(SECTION[1])]
    prose = " ".join(re.sub(r"(?m)^    (?!  ).*$|^      +\S.*$", "", section).split())
    bad, held = [], 0
    blocks = blocks_of(re.sub(r"(?m)^  (?=    )", "", section).split("\n"))
    for block in blocks:
        owner = next((words for begin, words in BLOCKS.items() if block[0].strip().startswith(begin)), None)
        if owner is None:
            bad.append(f'no command is said (in BLOCKS of tests/readme.py) for the block that begins "{block[0].strip()}"')
        elif not re.search(pattern_of(block), run(owner), re.MULTILINE):
            right = next(n for n in range(len(block), -1, -1)
                         if n == 0 or re.search(pattern_of(block[:n]), run(owner), re.MULTILINE))
            bad.append(f"`pushcycle {' '.join(owner)}` does not print this line, or not at this place:\n{block[right]}")
        held += len(block)
    for sentence, value in SENTENCES:
        found = re.search(sentence, prose)
        if not found:
            bad.append(f"the sentence is gone or has changed: {sentence}")
            continue
        wanted = tuple(str(part) for part in value(run))
        if found.groups() != wanted:
            bad.append(f"{found[0]}\n  is now: {', '.join(wanted)}")
        held += len(wanted)
        prose = prose.replace(found[0], "")
    for figure in re.findall(r"\d+\.\d+", prose):
        bad.append(f"no command is said (in SENTENCES of tests/readme.py) for the figure {figure}")
    if len(blocks) < len(BLOCKS):
        bad.append(f"there are {len(blocks)} blocks of output, {len(BLOCKS)} are known")
    for text in bad:
        print(f"{page}: {text}", file=sys.stderr)
    print(f"{page}: {held} lines and figures, {len(bad)} not as printed")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
