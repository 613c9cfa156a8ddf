# SPDX-License-Identifier: GPL-3.0-or-later
"""The cycle of each machine, taken apart into ways: which turns, legs and shifts it should have and how long they
should take (docs/model.md, "The cycle and its times")."""
import math

from audit import formulas
from audit.night import FILLS, seconds_slack, spent, straight
from audit.units import quantity

SHORT = 1e-6  # m: a way of no length


def direction(row):
    way = straight(row)
    return ((row.b[0] - row.a[0]) / way, (row.b[1] - row.a[1]) / way) if way > SHORT else None


def opposite(d):
    return -d[0], -d[1]


def angle(a, b):
    return abs(math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]))


def bends(legs):
    """Turning at the corners of a way."""
    ways = [direction(leg) for leg in legs if direction(leg)]
    return sum(angle(a, b) for a, b in zip(ways, ways[1:]))


class Way:
    """Turns and legs between two phases of another kind; `wait` may stand among them."""

    def __init__(self):
        self.turns, self.legs, self.before, self.after = [], [], None, None

    @property
    def length(self):
        return sum(leg.way for leg in self.legs)

    @property
    def turning_s(self):
        return sum(spent(t) for t in self.turns)

    @property
    def driving_s(self):
        return sum(spent(leg) for leg in self.legs)

    @property
    def slack(self):
        return 1e-7 + sum(seconds_slack(r) for r in self.turns + self.legs)


def ways_of(rows):
    """Ways and other rows in order: [(Way or row)…]."""
    out, now = [], None
    for row in rows:
        if row.phase in ("turn", "carry", "return"):
            if now is None:
                now = Way()
                now.before = next((r for r in reversed(out) if not isinstance(r, Way)), None)
                out.append(now)
            (now.turns if row.phase == "turn" else now.legs).append(row)
        elif row.phase == "wait" and now is not None:
            out.insert(len(out) - 1, row)  # for a passage, after turning; or for a berth
        else:
            if now is not None:
                now.after = row
            now = None
            out.append(row)
    return out


class Tour:
    def __init__(self, night, name):
        self.night, self.machine, self.one = night, night.machine[name], night.machine[name].loader
        self.scenario, self.facing, self.reversing = night.scenario, None, False
        self.rows = night.of[name]

    def walk(self):
        items = ways_of(self.rows)
        for i, item in enumerate(items):
            if isinstance(item, Way):
                self.way(item, items[i + 1:])
            elif item.phase in FILLS:
                self.facing, self.reversing = direction(item), False  # none where it stays in a corner of its lane
            elif item.phase in ("lower", "raise"):
                self.night.expect("lower and raise", item, spent(item), getattr(self.one, item.phase + "_s"),
                                  "its time", seconds_slack(item) + 1e-9)
            elif item.phase == "idle" and straight(item) > SHORT:
                self.facing = None  # it has driven, to refuel

    def way(self, way, later):
        """Splits off what backs out of a pile; the rest is one way to the next bite or pile."""
        after_dump = way.before is not None and way.before.phase == "raise"
        loaded = any(leg.phase == "carry" for leg in way.legs) or (not way.legs and way.turns and way.turns[0].load > 0)
        push = next((direction(r) for r in later if not isinstance(r, Way) and r.phase in FILLS), None)
        to_bite = way.after is not None and way.after.phase in ("lower",) + FILLS
        if to_bite and push is None:
            self.facing = None
        if loaded:
            self.loaded(way, push if to_bite else None)
        else:
            backing = way.legs[0] if after_dump and way.legs and self.facing and self.backs(way.legs[0]) else None
            self.empty(way, backing, push if to_bite else None)

    def backs(self, leg):
        d = direction(leg)
        return d is not None and angle(d, opposite(self.facing)) < 1e-5

    # ---- loaded ----

    def loaded(self, way, push):
        legs = [leg for leg in way.legs if direction(leg)]
        if self.facing is not None:
            turned = angle(self.facing, direction(legs[0])) + bends(legs) if legs else 0.0
            last = direction(legs[-1]) if legs else self.facing
            turned += angle(last, push) if push else 0.0
            wanted = self.one.turn_s * turned / math.pi
            if not self.scenario.chance["turn"]:
                self.night.expect("turns, loaded", (way.turns or way.legs)[0], way.turning_s, wanted,
                                  "the time of its turns", way.slack + 1e-6)
        if legs:
            self.facing = direction(legs[-1])
            self.carry(way)
        if push:
            self.facing = push

    def carry(self, way):
        scenario, load, length = self.scenario, way.legs[-1].load, way.length
        met = scenario.snow.rho * scenario.snow.depth * self.machine.box.swath
        free = formulas.carry_speed(self.machine, way.legs[0].load)
        slow = min(free, formulas.push_speed(self.machine, load, met), formulas.carry_speed(self.machine, load))
        fast = max(free, formulas.push_speed(self.machine, way.legs[0].load, met))
        least = formulas.leg_time(length, fast, self.one.acceleration)
        most = formulas.leg_time(length, slow, self.one.acceleration)
        most += length * max(0.0, 1 / scenario.near.speed - least / max(length, 1e-9))
        if not scenario.chance["carry"]:
            self.night.within("carry", way.legs[0], way.driving_s, least - way.slack, most + way.slack,
                              "the time of its way")

    # ---- empty ----

    def empty(self, way, backing, push):
        legs = [leg for leg in way.legs if direction(leg) and leg is not backing]
        turned, drive = 0.0, 0.0
        if backing is not None:
            turned += self.one.shift_s
            drive += formulas.leg_time(backing.way, self.one.reverse, self.one.acceleration)
            self.reversing = True
        first = (way.turns or way.legs)[0]
        if self.facing is None or (legs and not push and way.after is not None):
            self.facing = None
            return
        ahead, back = self.plans(legs, push)
        options = [(turned + t, drive + d) for t, d in (ahead, back)]
        turns_s, drives_s = min(options, key=sum)
        chance = self.scenario.chance
        near = sum(leg.way for leg in way.legs) / self.scenario.near.speed
        if not chance["turn"] and not chance["return"] and push:
            spent_s = way.turning_s + way.driving_s
            self.night.within("return", first, spent_s, turns_s + drives_s - way.slack,
                              turns_s + drives_s + near + way.slack, "its turns and legs")
            if not near:
                fits = any(abs(way.turning_s - t) <= 1e-6 + way.slack and abs(way.driving_s - d) <= 1e-6 + way.slack
                           for t, d in options)
                self.night.hold("turns, empty", first, fits, f"turns {way.turning_s:.6f} s and legs {way.driving_s:.6f} "
                                f"s are neither of {[tuple(round(x, 6) for x in o) for o in options]}")
        self.facing, self.reversing = (push, False) if push else (None, False)

    def plans(self, legs, push):
        """(turning, driving) forward and reversing."""
        one, length = self.one, sum(leg.way for leg in legs)
        per = one.turn_s / math.pi
        out = push or (direction(legs[-1]) if legs else self.facing)
        if not legs:
            still = per * angle(self.facing, out) + (one.shift_s if self.reversing else 0.0)
            return (still, 0.0), (still, 0.0)
        enter, leave, corners = direction(legs[0]), direction(legs[-1]), bends(legs)
        ahead = per * (angle(self.facing, enter) + corners + angle(leave, out))
        back = per * (angle(self.facing, opposite(enter)) + corners + angle(opposite(leave), out)) + one.shift_s
        if self.reversing:
            ahead += one.shift_s
        else:
            back += one.shift_s
        return ((ahead, formulas.leg_time(length, one.forward, one.acceleration)),
                (back, formulas.leg_time(length, one.reverse, one.acceleration)))


def start_facing(night, machine):
    """Facing the heading of the first area of the site."""
    areas = night.scenario.areas
    if areas[0].heading == "auto" or not machine.may:
        return None
    heading = quantity(areas[0].heading)
    return math.cos(heading), math.sin(heading)


def check(night):
    for name in night.names:
        tour = Tour(night, name)
        tour.facing = start_facing(night, night.machine[name])
        tour.walk()
