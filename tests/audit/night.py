# SPDX-License-Identifier: GPL-3.0-or-later
"""A run as it was written: the rows of its trace by machine, and its JSON; and the complaints about it."""
import csv
import json
import math
from types import SimpleNamespace as Thing

PHASES = ("lower", "fill", "clean_up", "raise", "turn", "carry", "wait", "dump", "return", "idle")
DRIVES, FILLS = ("fill", "clean_up", "carry", "return"), ("fill", "clean_up")
DIGITS = 2e-9  # rows have ten significant digits


class Night:
    def __init__(self, scenario, trace, result):
        self.scenario, self.complaints, self.checked = scenario, [], {}
        with open(result, encoding="utf-8") as file:
            self.json = json.load(file)
        with open(trace, encoding="utf-8", newline="") as file:
            self.rows = [self.row(n, r) for n, r in enumerate(csv.DictReader(file), 2)]
        self.names = [m["name"] for m in self.json["machines"]]
        self.of = {name: [r for r in self.rows if r.machine == name] for name in self.names}
        self.machine = dict(zip(self.names, scenario.machines))

    @staticmethod
    def row(line, r):
        def number(key):
            return float(r[key]) if r[key] else 0.0
        return Thing(line=line, replication=r["replication"], machine=r["machine"], cycle=int(r["cycle"]),
                     phase=r["phase"], start=number("start_s"), end=number("end_s"),
                     a=(number("x0_m"), number("y0_m")), b=(number("x1_m"), number("y1_m")),
                     way=number("distance_m"), load=number("load_kg"), swath=number("swath_m"), box=r["box"],
                     zone=r["zone"], direction=r.get("direction"))

    def complain(self, check, row, text):
        where = f"line {row.line}, {row.machine}, {row.phase} at {row.start:.3f} s: " if row is not None else ""
        self.complaints.append((check, where + text))

    def expect(self, check, row, value, wanted, what, slack=1e-6):
        """value = wanted to `slack` of it (and the digits written)."""
        self.checked[check] = self.checked.get(check, 0) + 1
        if not abs(value - wanted) <= slack * max(1.0, abs(wanted)):
            self.complain(check, row, f"{what} is {value:.9g}, should be {wanted:.9g}")

    def within(self, check, row, value, low, high, what, slack=1e-6):
        self.checked[check] = self.checked.get(check, 0) + 1
        slack *= max(1.0, abs(value))
        if not low - slack <= value <= high + slack:
            self.complain(check, row, f"{what} is {value:.9g}, should be {low:.9g} to {high:.9g}")

    def hold(self, check, row, true, text):
        self.checked[check] = self.checked.get(check, 0) + 1
        if not true:
            self.complain(check, row, text)


def seconds_slack(row):
    """Of the difference of two times with ten digits."""
    return 2 * DIGITS * max(1.0, abs(row.end))


def spent(row):
    return row.end - row.start


def straight(row):
    return math.dist(row.a, row.b)
