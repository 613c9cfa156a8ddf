# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults put into a trace or a result, one by one: the auditor has to find each of them, by the check meant for it.
FAULTS: what it is, in which run, the part of the auditor and the check that find it, and how it is put in."""
import csv
import json
import os
import sys
import tempfile

import yaml

from audit import cases
from audit.night import Night
from audit.scenario import Scenario


def rows_of(rows, phase, machine=None, after=0):
    return [n for n, r in enumerate(rows) if r["phase"] == phase and n > after and (machine is None or r["machine"] == machine)]


def move(row, key, by):
    row[key] = f"{float(row[key]) + by:.10g}"


def longer(rows, n, by):
    """A phase takes longer, and all that its machine does after it is later: only the time of that phase is wrong."""
    machine = rows[n]["machine"]
    move(rows[n], "end_s", by)
    for r in rows[n + 1:]:
        if r["machine"] == machine:
            move(r, "start_s", by)
            move(r, "end_s", by)


def shift_dump(rows, result):
    """A machine of two dumps while the other one does, in a zone with one berth."""
    dumps = [r for r in rows if r["phase"] == "dump"]
    one = dumps[4]
    other = next(r for r in dumps if r["machine"] != one["machine"] and r["zone"] == one["zone"])
    other["start_s"], other["end_s"] = one["start_s"], one["end_s"]


def through(rows, result):
    """A way is bent through the middle of the lot's building."""
    n = rows_of(rows, "carry", after=200)[0]
    rows[n]["x1_m"], rows[n]["y1_m"] = "118", "52"


def past(rows, result):
    """A way on open pavement is led past a light pole."""
    n = rows_of(rows, "carry", after=200)[0]
    for key, value in zip(("x0_m", "y0_m", "x1_m", "y1_m"), ("75", "126", "50", "111")):
        rows[n][key] = value


def across(rows, result):
    """A way around a deck is led straight across it."""
    n = next(n for n in rows_of(rows, "carry", "mid loader 1") if float(rows[n]["x0_m"]) > 120)
    for key, value in zip(("x0_m", "y0_m", "x1_m", "y1_m"), ("130", "30", "70", "30")):
        rows[n][key] = value


def lose_snow(rows, result):
    result["snow_kg"]["left"] -= 1.0


def same_lane(rows, result):
    """A machine pushes where another one does."""
    fills = [r for r in rows if r["phase"] == "fill"]
    one = fills[0]
    other = next(r for r in fills if r["machine"] != one["machine"])
    for key in ("x0_m", "y0_m", "x1_m", "y1_m", "swath_m", "start_s", "end_s"):
        other[key] = one[key]


def nth(phase, n, by=0.01, loaded=False):
    return lambda rows, result: longer(
        rows, [k for k in rows_of(rows, phase) if float(rows[k]["load_kg"]) > 0 or not loaded][n], by)


def moved(phase, n, key, by):
    return lambda rows, result: move(rows[rows_of(rows, phase)[n]], key, by)


def told(*path, by):
    def change(rows, result):
        part = result
        for step in path[:-1]:
            part = part[step]
        part[path[-1]] += by
    return change


def swapped(rows, result):
    """A machine works an area that it may not."""
    name = next(m["name"] for m in result["machines"] if m["loader"] == "skid steer")
    n = rows_of(rows, "fill", name)[3]
    for key in ("y0_m", "y1_m"):
        move(rows[n], key, 60.0)


def back_too_soon(rows, result):
    """A machine works again a minute before the end of the break that it began while it waited."""
    longer(rows, rows_of(rows, "idle", rows[0]["machine"])[1], -60.0)


PLAIN, FERRY = "two machines", "the demonstration lot without chance"
FAULTS = [
    ("a gap in time", PLAIN, "rows", "time", moved("carry", 3, "start_s", 0.01)),
    ("a jump", PLAIN, "rows", "place", moved("fill", 5, "x0_m", 0.01)),
    ("a way too short", PLAIN, "rows", "length", moved("carry", 5, "distance_m", -0.01)),
    ("a slow turn", PLAIN, "tour", "turns, loaded", nth("turn", 12, loaded=True)),
    ("a slow return", PLAIN, "tour", "turns, empty", nth("return", 7)),
    ("a slow fill", PLAIN, "ground", "fill time", nth("fill", 6)),
    ("a fast fill", PLAIN, "rows", "speed", nth("fill", 6, -0.01)),
    ("a slow dump", PLAIN, "piles", "dump", nth("dump", 6)),
    ("a slow carry", PLAIN, "tour", "carry", nth("carry", 6, 10.0)),
    ("a raise that takes no time", PLAIN, "tour", "lower and raise", nth("raise", 2, -2.0)),
    ("too much in the box", PLAIN, "rows", "load", moved("dump", 3, "load_kg", 200.0)),
    ("fresh snow that vanishes", PLAIN, "ground", "fresh fill", moved("fill", 0, "load_kg", -0.01)),
    ("two dump at one berth", PLAIN, "piles", "berths", shift_dump),
    ("two push at one place", PLAIN, "crew", "claims", same_lane),
    ("snow that is lost", PLAIN, "sums", "snow", lose_snow),
    ("snow in the wrong zone", PLAIN, "piles", "sums", told("zones", 0, "snow_kg", by=1.0)),
    ("time that is not accounted for", PLAIN, "sums", "sums", told("machines", 0, "time_s", "idle", by=0.01)),
    ("a wrong cost", FERRY, "sums", "cost", told("cost", "total", by=0.01)),
    ("a wrong fuel", FERRY, "sums", "fuel", told("machines", 0, "fuel_l", by=0.001)),
    ("a zone that holds more", FERRY, "piles", "capacity", told("zones", 0, "capacity_m3", by=0.1)),
    ("clear before the last bite", PLAIN, "sums", "areas", told("areas", 0, "done_s", by=-1200.0)),
    ("a bound above the time", PLAIN, "sums", "bound", told("bound_s", by=1e5)),
    ("through a building", FERRY, "ground", "obstacles", through),
    ("close to a pole", FERRY, "ground", "clearance between ends", past),
    ("a break cut short", cases.BREAKS, "crew", "breaks", back_too_soon),
    ("a break that nobody took", cases.BREAKS, "crew", "breaks", told("machines", 0, "stops_s", "break", by=780.0)),
    ("across what is closed", cases.DECK, "ground", "closed", across),
    ("where it may not work", FERRY, "crew", "areas worked", swapped),
]


def runs():
    ferry, starter = cases.read("scenarios/ferry-terminal.yaml"), cases.read("scenarios/starter.yaml")
    return {PLAIN: cases.changed(starter, {"crew": cases.crew_of(starter, 2)}),
            FERRY: cases.changed(ferry, {"chance": {}, "crew.0.box": "12 ft"}),
            **{name: next(c.scenario for c in cases.demonstration() if c.name == name)
               for name in (cases.BREAKS, cases.DECK)}}


def check(binary, run, parts):
    """How many faults were not found."""
    missed = 0
    with tempfile.TemporaryDirectory() as folder:
        for name, scenario in runs().items():
            path = os.path.join(folder, "self.yaml")
            with open(path, "w", encoding="utf-8") as file:
                yaml.dump(scenario, file, Dumper=cases.Plain, sort_keys=False)
            trace, result = run(binary, path, folder, {})
            clean = Night(Scenario(path), trace, result)
            for part in parts.values():
                part.check(clean)
            for _, text in clean.complaints:
                missed += 1
                print(f"audit: self-test: {name} without a fault: {text}", file=sys.stderr)
            missed += sum(not found(fault, path, trace, result, folder, parts) for fault in FAULTS if fault[1] == name)
    print(f"audit: {len(FAULTS) - missed} of {len(FAULTS)} faults put in were found")
    return missed


def found(fault, path, trace, result, folder, parts):
    name, _, part, kind, put_in = fault
    with open(trace, encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    with open(result, encoding="utf-8") as file:
        told_then = json.load(file)
    put_in(rows, told_then)
    bad = os.path.join(folder, "bad.csv"), os.path.join(folder, "bad.json")
    with open(bad[0], "w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    with open(bad[1], "w", encoding="utf-8") as file:
        json.dump(told_then, file)
    night = Night(Scenario(path), *bad)
    parts[part].check(night)
    seen = {check for check, _ in night.complaints}
    if kind not in seen:
        print(f"audit: self-test: \"{name}\" was not found by \"{kind}\", but by {sorted(seen)}", file=sys.stderr)
    return kind in seen
