# SPDX-License-Identifier: GPL-3.0-or-later
"""Each row by itself and against the one before: time without gaps, places without jumps, ways that are as long as
they look, loads that the box takes."""
import math

from audit import formulas
from audit import geometry as geo
from audit.night import DIGITS, DRIVES, FILLS, PHASES, seconds_slack, spent, straight

PLACE = 1e-6  # m, of coordinates with ten digits


def check(night):
    for name in night.names:
        rows, machine = night.of[name], night.machine[name]
        for row in rows:
            check_row(night, row, machine)
        for before, row in zip(rows, rows[1:]):
            check_pair(night, before, row)
        if rows:
            night.hold("time", rows[0], rows[0].start == 0, "a machine's time should begin at 0")
            starts(night, rows[0], machine)
    known = set(night.names)
    night.checked["row"] = len(night.rows)
    for row in night.rows:
        night.hold("rows", row, row.machine in known and row.replication == "0", "row of no machine of the crew")


def starts(night, row, machine):
    """At `start`, or at the first corner of the first area that it works."""
    if machine.start is None and not machine.may:
        return
    at = machine.start or machine.may[0].ring[0]
    night.hold("starts", row, math.dist(row.a, at) <= PLACE, f"starts at {row.a}, should at {at}")


def check_row(night, row, machine):
    night.hold("rows", row, row.phase in PHASES, f"no phase: {row.phase}")
    night.hold("time", row, row.end >= row.start, "ends before it begins")
    night.hold("rows", row, row.box == machine.box.name, f"has box {row.box}, not {machine.box.name}")
    if row.phase in FILLS:
        fill_length(night, row)
    elif row.phase in DRIVES:
        night.expect("length", row, row.way, straight(row), "the length of a straight leg", 1e-7)
    elif row.phase != "idle":  # an idle machine may drive to a fuel point
        night.hold("place", row, straight(row) <= PLACE, f"moves {straight(row):.3f} m in a phase that stands")
        night.hold("length", row, row.way == 0, f"has a way of {row.way} m")
    if row.phase in DRIVES:
        one = machine.loader
        fastest = {"fill": one.push, "clean_up": one.push, "carry": max(one.push, one.carry),
                   "return": max(one.forward, one.reverse)}[row.phase]
        if not night.scenario.chance["fill" if row.phase in FILLS else row.phase]:
            night.hold("speed", row, row.way <= fastest * spent(row) * (1 + 1e-9) + fastest * seconds_slack(row),
                       f"{row.way:.6g} m in {spent(row):.6g} s is faster than {fastest:.6g} m/s")
    if not machine.box.blade:
        most = formulas.largest_load(machine, night.scenario.full_at)
        night.hold("load", row, 0 <= row.load <= most * (1 + 1e-9), f"load {row.load:.9g} kg of at most {most:.9g} kg")
    else:
        night.hold("load", row, row.load == 0, "a blade holds nothing")
    if row.phase in ("return", "raise", "idle"):
        night.hold("load", row, row.load == 0 or row.phase == "idle", f"{row.phase} with {row.load} kg in the box")


def fill_length(night, row):
    """A box sweeps whole slots; where the middle of its lane leaves the area before its corner does, or meets a wall,
    the machine is placed there. So a fill may be longer than it looks: as far as the lane holds any of an area."""
    most = straight(row)
    if row.way > most * (1 + 1e-7) and most > 0:
        d = ((row.b[0] - row.a[0]) / most, (row.b[1] - row.a[1]) / most)
        u = [d[0] * p[0] + d[1] * p[1] for p in (row.a, row.b)]
        side = -d[1] * row.a[0] + d[0] * row.a[1]
        reach = [0.0]
        for area in night.scenario.areas:
            lane = geo.half_plane(area.ring, -d[1], d[0], side - row.swath)
            lane = geo.half_plane(lane, d[1], -d[0], -side - row.swath)
            ends = [d[0] * p[0] + d[1] * p[1] for p in lane]
            if ends and min(ends) < u[1] and max(ends) > u[0]:
                reach.append(max(0.0, u[0] - min(ends)) + max(0.0, max(ends) - u[1]))
        most += max(reach) + 2 * night.scenario.station
    else:
        most = max(most, 1e-6 if most > 0 else math.inf)
    night.within("length", row, row.way, straight(row), most, "the length of a fill", 1e-7)


def check_pair(night, before, row):
    night.hold("time", row, abs(before.end - row.start) <= DIGITS * max(1.0, row.start),
               f"begins at {row.start:.9g} s, the phase before it ends at {before.end:.9g} s")
    gap = math.dist(before.b, row.a)
    night.hold("place", row, gap <= PLACE, f"begins {gap:.3f} m from where the phase before it ends")
    night.hold("rows", row, row.cycle in (before.cycle, before.cycle + 1), f"cycle {row.cycle} after {before.cycle}")
    if before.phase == "dump":
        night.hold("load", row, row.load == 0, f"{row.load} kg in the box after a dump")
    else:
        grows = row.phase in FILLS + ("carry", "turn")
        night.hold("load", row, row.load >= before.load * (1 - 1e-9) and (grows or row.load <= before.load * (1 + 1e-9)),
                   f"{before.load:.9g} kg in the box become {row.load:.9g} kg")
