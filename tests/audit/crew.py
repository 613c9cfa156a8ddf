# SPDX-License-Identifier: GPL-3.0-or-later
"""Who works when and where: areas, their order, claims, narrow passages, shifts, breaks and tanks."""
import math
from types import SimpleNamespace as Thing

from audit import geometry as geo
from audit.night import FILLS, spent, straight
from audit.sums import sure
from audit.tour import Way, ways_of
from audit.units import quantity


def check(night):
    bites = all_bites(night)
    for bite in bites:
        allowed(night, bite)
    order(night, bites)
    claims(night, bites)
    for name in night.names:
        shifts(night, name)
        breaks(night, name)
        refuelling(night, name)
    for passage in night.scenario.passages:
        one_by_one(night, passage)
    waited = sum(spent(row) for name in night.names for row, after in zip(night.of[name], night.of[name][1:])
                 if row.phase == "wait" and after.phase != "dump")
    told = sum(p["wait_s"] for p in night.json["passages"])
    slack = 1e-9 * len(night.rows) * (1 + night.json["total_time_s"]["mean"])
    night.within("sums", None, told, waited - slack, waited + slack, "waiting for passages")


def all_bites(night):
    """Each fill with the beginning of its approach."""
    bites = []
    for name in night.names:
        since = None
        for row in night.of[name]:
            if row.phase in ("turn", "return", "carry", "lower") and since is None:
                since = row.start
            elif row.phase in FILLS:
                swath = reach = None
                if straight(row) > 1e-6:
                    swath = geo.rectangle_along(row.a, row.b, row.swath)
                    reach = geo.rectangle_along(*geo.stretched(row.a, row.b, night.scenario.station), row.swath)
                bites.append(Thing(row=row, since=row.start if since is None else since, end=row.end, swath=swath,
                                   machine=night.machine[name], areas=areas_of(night, row, reach)))
                since = None
            elif row.phase in ("dump", "idle", "raise"):
                since = None
    return bites


def areas_of(night, row, swath):
    """Areas that a swath lies in: those that hold a part of it."""
    if swath is None:
        return list(night.scenario.areas)
    small = [(p[0] + (c[0] - p[0]) * 1e-4, p[1] + (c[1] - p[1]) * 1e-4)
             for c in [((row.a[0] + row.b[0]) / 2, (row.a[1] + row.b[1]) / 2)] for p in swath]
    found = []
    for area in night.scenario.areas:
        touches = (any(geo.inside(area.ring, p) for p in small) or any(geo.inside(small, p) for p in area.ring)
                   or any(geo.segments_cross(*e, *f) for e in geo.edges(small) for f in geo.edges(area.ring)))
        if touches:
            found.append(area)
    return found


def allowed(night, bite):
    night.hold("areas worked", bite.row, bool(bite.areas), "pushes outside of all areas")
    night.hold("areas worked", bite.row, any(a in bite.machine.may for a in bite.areas),
               f"works {[a.name for a in bite.areas]}, which are not its own")
    opens = min((a.opens for a in bite.areas if a in bite.machine.may), default=0.0)
    begins = night.scenario.clock(bite.since)
    night.hold("areas worked", bite.row, begins >= opens - 1e-6,
               f"goes at {begins:.1f} s into an area that opens at {opens:.1f} s")


def order(night, bites):
    """Before an area that waits for another is begun, there was a moment at which that one was done."""
    scenario = night.scenario
    for area in scenario.areas:
        mine = [b.since for b in bites if not b.machine.box.blade and sure(b.row, area, scenario)]
        for name in area.after if mine else []:
            other = next(a for a in scenario.areas if a.name == name)
            if not any(other in m.may for m in scenario.machines):
                continue
            began = min(mine)
            busy = [b for b in bites if sure(b.row, other, scenario)]
            ends = [b.end for b in busy if b.end <= began + 1e-6] + [0.0]
            free = any(not any(b.since < e - 1e-6 < b.end - 1e-6 and b.since < e and b.end > e + 1e-6 for b in busy)
                       for e in ends + [began])
            night.hold("order of areas", None, free, f"{area.name} begins at {began:.1f} s, {name} was never left by then")
            if busy and not scenario.storm and scenario.snow.depth > scenario.snow.done_below:
                night.hold("order of areas", None, len(ends) > 1, f"{area.name} begins at {began:.1f} s, before {name}")


def claims(night, bites):
    apart = night.scenario.keep_apart
    bites = sorted((b for b in bites if b.swath), key=lambda b: b.since)
    for n, one in enumerate(bites):
        for other in bites[n + 1:]:
            if other.since >= one.end - 1e-6:
                break
            if other.row.machine == one.row.machine or min(one.end, other.end) - other.since < 1e-6:
                continue
            if len(one.areas) != 1 or one.areas != other.areas:
                continue  # a claim is one of slots, and slots at a border reach over it
            gap = geo.convex_gap(one.swath, other.swath)
            night.hold("claims", other.row, gap >= -1e-4,
                       f"pushes {-gap:.4f} m into what {one.row.machine} works from {one.since:.2f} to {one.end:.2f} s")
            if apart > 0 and gap >= -1e-4:
                night.hold("keep apart", other.row, gap >= apart - 0.01 or gap_of_lines(one, other) >= apart - 1e-4,
                           f"pushes {gap:.3f} m beside {one.row.machine} (line {one.row.line}), keep_apart is {apart:.3f} m")


def gap_of_lines(one, other):
    return geo.segment_distance(one.row.a, one.row.b, other.row.a, other.row.b)


def shifts(night, name):
    machine, scenario = night.machine[name], night.scenario
    busy = [r for r in night.of[name] if r.phase not in ("idle", "wait")]
    if not busy:
        return
    starts = scenario.clock(busy[0].start)
    night.hold("shifts", busy[0], starts >= machine.since - 1e-6, f"at work at {starts:.1f} s, comes at {machine.since:.1f} s")
    if math.isinf(machine.until):
        return
    free_since = None
    for before, row in zip(night.of[name], night.of[name][1:]):
        if before.phase in FILLS or before.phase == "dump":
            free_since = scenario.clock(before.end)
        if row.phase in FILLS and free_since is not None:
            night.hold("shifts", row, free_since <= machine.until + 1e-6,
                       f"takes another bite after a stop at {free_since:.1f} s, its shift ends at {machine.until:.1f} s")


def breaks(night, name):
    """What the clock asks for, in time by the clock."""
    machine = night.machine[name]
    told = next(m for m in night.json["machines"] if m["name"] == name)["stops_s"]["break"]
    if machine.breaks is None:
        return
    each, every = quantity(machine.breaks["for"]), quantity(machine.breaks["every"])
    count = told / each
    night.hold("breaks", None, abs(count - round(count)) < 1e-6, f"breaks of {name}: {told} s are {count} breaks")
    total = max(0.0, min(night.json["total_time_s"]["mean"], machine.until + 3600) - machine.since)
    night.hold("breaks", None, count <= total / every + 1e-6, f"{name}: {count} breaks in {total} s, one in {every} s")
    parts = parts_of(night, name)
    longest = max((p.until - p.since for p in parts if p.phase == "idle"), default=0.0)
    night.hold("breaks", None, told == 0 or longest >= each - 1e-3, f"{name}: no pause of {each} s for its breaks")
    if not machine.loader.breaks_down and math.isinf(machine.loader.tank):
        one_by_one_taken(night, name, parts, round(count), each, every)


def parts_of(night, name):
    """Its rows by the clock; where it stands idle all of it is one."""
    clock, parts = night.scenario.clock, []
    for row in night.of[name]:
        if parts and row.phase == "idle" and parts[-1].phase == "idle":
            parts[-1].until = clock(row.end)
        else:
            parts.append(Thing(row=row, phase=row.phase, since=clock(row.start), until=clock(row.end)))
    return parts


def one_by_one_taken(night, name, parts, count, each, every):
    """Where nothing else is a reason to stand: a break begins at the first stop after it is due, or while the machine
    waits; it is at its end before the machine works again, and the next is due so long after that. What is under way
    when all is clear, or when the shift ends, is not counted."""
    machine, slack = night.machine[name], 1e-6 * (1 + night.json["total_time_s"]["mean"])
    due, least, most, stopped = machine.since + every, 0, 0, None
    for n, part in enumerate(parts):
        if part.phase in FILLS:
            night.hold("breaks", part.row, stopped is None or stopped < due + slack,
                       f"takes another bite after a stop at {stopped or 0:.3f} s, a break is due since {due:.3f} s")
        if part.phase in FILLS + ("dump", "idle"):
            stopped = part.until if part.phase == "dump" or machine.box.blade else None
        begins = max(due, part.since)
        while part.phase == "idle" and begins <= part.until - slack:
            works, whole = n + 1 < len(parts), begins + each <= part.until + slack
            night.hold("breaks", part.row, whole or not works or machine.until < begins + each,
                       f"works again at {part.until:.3f} s, though a break began at {begins:.3f} s and lasts {each:.3f} s")
            if not whole:
                break
            least, most = least + works, most + 1
            due = begins = begins + each + every
    night.within("breaks", None, count, least, most, f"breaks of {name}")


def refuelling(night, name):
    """Where it stands to refuel: as long as what was burnt takes when it set out, nine tenths of the tank or more."""
    loader, clock = night.machine[name].loader, night.scenario.clock
    if math.isinf(loader.tank) or not loader.has_power:
        return
    told = next(m for m in night.json["machines"] if m["name"] == name)["stops_s"]["refuel"]
    burnt, setting_out, filled, fills = 0.0, 0.0, 0.0, 0
    since = night.machine[name].since
    for row in night.of[name]:
        if clock(row.end) <= since * (1 + 1e-9):
            continue  # not there yet
        wanted = (setting_out - filled) / loader.refuel
        if row.phase == "idle" and wanted > 0 and abs(spent(row) - wanted) < 1e-5 + 1e-6 * wanted:
            night.hold("refuelling", row, setting_out - filled >= 0.9 * loader.tank * (1 - 1e-9),
                       f"refuels {(setting_out - filled) * 1000:.3f} l of {loader.tank * 1000:.3f} l")
            filled, fills = setting_out, fills + 1
        working = row.phase not in ("idle", "wait")
        burnt += spent(row) * (0.59 * loader.power * loader.per_kwh if working else loader.idle_rate)
        if row.phase in FILLS + ("dump", "idle"):
            setting_out = burnt + (1 - 1 / clock(1)) * (clock(row.end) - since) * loader.idle_rate
    night.hold("refuelling", None, (fills > 0) == (told > 0), f"{name} refuels {told:.1f} s, {fills} stops are seen")


def one_by_one(night, passage):
    """Ways through a passage, the time of each spread evenly over its length; backing out of a pile is none."""
    inside = []
    for name in night.names:
        dumped = False
        for item in ways_of(night.of[name]):
            if isinstance(item, Way):
                legs = item.legs[1:] if dumped and item.legs and item.legs[0].phase == "return" else item.legs
                spans = within(passage.ring, legs)
                inside += [(since, until, legs[0]) for since, until in spans]
            elif item.phase in ("dump",) + FILLS:
                dumped = item.phase == "dump"
    for since, until, row in inside:
        beside = {r.machine for s, u, r in inside
                  if r.machine != row.machine and s <= since < u - 1e-3 and min(u, until) - max(s, since) > 1e-3}
        night.hold("passages", row, len(beside) < passage.machines,
                   f"in {passage.name} from {since:.3f} to {until:.3f} s with {sorted(beside)}")


def within(ring, legs):
    """Stretches of time in which a way lies in the outline."""
    length, spans = sum(leg.way for leg in legs), []
    if length < 1e-6:
        return spans
    start, pace, along = legs[0].start, (legs[-1].end - legs[0].start) / length, 0.0
    for leg in legs:
        for low, high in geo.stretches_in(ring, leg.a, leg.b):
            since, until = (start + pace * (along + part * leg.way) for part in (low, high))
            if spans and abs(spans[-1][1] - since) < 1e-6:
                since = spans.pop()[0]
            spans.append((since, until))
        along += leg.way
    return spans
