#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The reference lot with policy straight-runs as a second, independent model on SimPy: slow and plain.

Usage: reference.py CASE, a JSON object with every number of the case (tests/unit/test_twin.c writes it).

Written from the rules, not from the C code: one generator per machine, snow as a plain list of lists, berths as
simpy.Resource. Prints JSON: total time, cycles, and for each machine the time in each phase.
"""
import json
import math
import sys

import simpy


class Yard:
    """Snow in lanes along x; lane k covers y from edge[k] to edge[k + 1]; all lengths in metres."""

    def __init__(self, case):
        self.length, self.width = case["length"], case["width"]
        swath = case["swath"]
        # as few lanes as the swath allows, all of the same width
        lanes = math.ceil(self.width / swath - 1e-9)
        self.edge = [self.width * k / lanes for k in range(lanes + 1)]
        self.step_count = math.ceil(self.length / case["station"] - 1e-9)
        self.step = self.length / self.step_count
        weight = case["depth"] * case["density"]
        thin = case["done_below"] * case["density"]
        self.snow = [[weight * self.wide(k) * self.step for _ in range(self.step_count)] for k in range(lanes)]
        self.untouched = [[True] * self.step_count for _ in range(lanes)]
        self.where = [[(i * self.step, (i + 1) * self.step) for i in range(self.step_count)] for _ in range(lanes)]
        self.thin = [thin * self.wide(k) * self.step for k in range(lanes)]
        self.owner = [None] * lanes
        self.x_cuts = [i * self.step for i in range(self.step_count + 1)]

    def wide(self, k):
        return self.edge[k + 1] - self.edge[k]

    def middle(self, k):
        return (self.edge[k] + self.edge[k + 1]) / 2

    def dirty(self, k, i):
        return self.snow[k][i] > self.thin[k]

    def slots_ahead(self, x, sign):
        """Slots met from x on in one direction; a place on a border belongs to the slot ahead."""
        place = x / self.step
        if abs(place - round(place)) < 1e-9:
            place = round(place)
        first = math.floor(place) if sign > 0 else math.ceil(place) - 1
        first = min(max(first, 0), self.step_count - 1)
        return range(first, self.step_count) if sign > 0 else range(first, -1, -1)

    def far_side(self, i, sign):
        return (i + 1 if sign > 0 else i) * self.step

    def dirty_way(self, a, b):
        """How much of the straight way from a to b lies in dirty blocks: cut it at every border."""
        dx, dy, long = b[0] - a[0], b[1] - a[1], math.dist(a, b)
        cuts = [0.0, 1.0]
        if dx:
            cuts += [(x - a[0]) / dx for x in self.x_cuts]
        if dy:
            cuts += [(y - a[1]) / dy for y in self.edge]
        cuts = sorted(c for c in cuts if 0.0 <= c <= 1.0)
        total = 0.0
        for one, two in zip(cuts, cuts[1:]):
            half = (one + two) / 2
            x, y = a[0] + half * dx, a[1] + half * dy
            if not (0 <= x <= self.length and 0 <= y <= self.width):
                continue
            k = max(n for n in range(len(self.snow)) if self.edge[n] <= y)
            # along a border between two stations each counts half; at the yard's end there is only one
            for i in (int(x / self.step - 1e-9), int(x / self.step + 1e-9)):
                i = min(max(i, 0), self.step_count - 1)
                low, high = self.where[k][i]
                x1, x2 = sorted((a[0] + one * dx, a[0] + two * dx))
                if x2 - x1 > 1e-9:
                    part = max(0.0, min(x2, high) - max(x1, low)) / (x2 - x1)
                else:
                    part = float(low - 1e-6 <= x <= high + 1e-6)
                total += 0.5 * self.dirty(k, i) * part * (two - one) * long
        return total

    def ahead(self, k, i, x, sign, goal):
        """Where the snow of a slot lies between a box at x and its goal, (begin, end), and how much it is."""
        low, high = self.where[k][i]
        begin, end = (low, high) if sign > 0 else (high, low)
        if (x - begin) * sign > 1e-9 * self.step:
            begin = x if (end - x) * sign > 0 else end
        if (end - goal) * sign > 1e-9 * self.step:
            end = goal if (goal - begin) * sign > 0 else begin
        return begin, end, self.snow[k][i] * abs(end - begin) / (high - low)

    def take(self, k, i, x0, x1, kg):
        """A box has run from x0 to x1 in a slot and taken kg; the rest lies where it was, if that is one piece."""
        low, high = self.where[k][i]
        pieces = [(low, min(high, x0, x1)), (max(low, x0, x1), high)]
        pieces = [piece for piece in pieces if piece[1] - piece[0] > 1e-9 * self.step]
        whole = (i * self.step, (i + 1) * self.step)
        self.where[k][i] = pieces[0] if len(pieces) == 1 else whole
        self.untouched[k][i] &= kg < self.snow[k][i] * (1 - 1e-12)
        self.snow[k][i] -= kg

    def put_aside(self, k, i, kg):
        """Snow out of the way of a full box: half into each neighbour lane, all into the only one."""
        sides = [n for n in (k - 1, k + 1) if 0 <= n < len(self.snow)]
        for n in sides or [k]:
            self.snow[n][i] += kg / max(len(sides), 1)
            self.where[n][i] = (i * self.step, (i + 1) * self.step)


class Machine:
    def __init__(self, env, yard, crew, number, case):
        self.env, self.yard, self.crew, self.case, self.number = env, yard, crew, case, number
        self.at, self.facing = tuple(case["start"]), (1.0, 0.0)
        self.load, self.cycles = 0.0, 0
        self.lane, self.last_lane, self.sign, self.front = None, None, 1, 0.0
        self.time = dict.fromkeys(
            ["lower", "fill", "clean_up", "raise", "turn", "carry", "wait", "dump", "return", "idle"], 0.0)

    # ---- small helpers; each returns seconds or a direction ----

    def spend(self, phase, seconds):
        self.time[phase] += seconds
        return seconds

    def turning(self, a, b):
        cosine = max(-1.0, min(1.0, a[0] * b[0] + a[1] * b[1]))
        angle = math.acos(cosine) if abs(cosine) < 0.9 else math.atan2(abs(a[0] * b[1] - a[1] * b[0]), cosine)
        return self.case["turn"] * angle / math.pi

    def towards(self, place):
        way = math.dist(self.at, place)
        return ((place[0] - self.at[0]) / way, (place[1] - self.at[1]) / way) if way > 1e-9 else self.facing

    # ---- which lane ----

    def next_slots(self):
        """(start, slots) of the rest of the own lane that still holds snow, or None."""
        ahead = list(self.yard.slots_ahead(self.front, self.sign))
        wanted = [i for i in ahead if self.yard.dirty(self.lane, i)]
        if not wanted:
            return None
        start = self.front if wanted[0] == ahead[0] else self.yard.far_side(wanted[0], -self.sign)
        if (self.yard.far_side(wanted[-1], self.sign) - start) * self.sign <= 1e-9:
            return None  # what is left lies behind the box, at the lane's end
        return start, ahead[ahead.index(wanted[0]):ahead.index(wanted[-1]) + 1]

    def choose(self):
        yard = self.yard
        if self.lane is not None:
            rest = self.next_slots()
            if rest:
                return rest
            yard.owner[self.lane] = None
            self.last_lane, self.lane = self.lane, None
        for k in range(len(yard.snow)):
            snowy = [i for i in range(yard.step_count) if yard.dirty(k, i)]
            if not snowy or yard.owner[k] is not None:
                continue
            ends = [(yard.far_side(snowy[0], -1), 1), (yard.far_side(snowy[-1], 1), -1)]
            ways = [math.dist(self.at, (end[0], yard.middle(k))) for end in ends]
            self.front, self.sign = ends[ways[0] > ways[1] * (1 + 1e-9)]
            self.lane = self.last_lane = k
            yard.owner[k] = self.number
            return self.next_slots()
        return None

    # ---- what the box does ----

    def full(self):
        return self.load >= self.case["capacity"] * (1 - 1e-12)

    def sweep(self, k, x, slots, sign, until=None):
        """Takes up the snow of these slots until full; returns (where it stopped, slots met, of them untouched)."""
        yard, met, new = self.yard, 0, 0
        for i in slots:
            room, x0 = self.case["capacity"] - self.load, x
            met += 1
            new += yard.untouched[k][i]
            goal = until if until is not None and i == slots[-1] else yard.far_side(i, sign)
            begin, end, kg = yard.ahead(k, i, x, sign, goal)
            if kg >= room:
                x = begin + (end - begin) * room / kg
                yard.take(k, i, x0, x, room)
                self.load = self.case["capacity"]
                return x, met, new
            x = goal
            yard.take(k, i, x0, x, kg)
            self.load += kg
        return x, met, new

    def plough_along(self, face):
        """A loaded way that runs along the lane just worked for at least its width clears it to the sides."""
        yard, k, (x, y) = self.yard, self.last_lane, self.at
        dx, dy = face[0] - x, face[1] - y
        leave_y = yard.edge[k + 1] if dy > 0 else yard.edge[k]
        stop = x + dx * min(1.0, (leave_y - y) / dy) if dy else face[0]
        stop = min(max(stop, 0.0), yard.length)
        if abs(stop - x) < yard.wide(k):
            return
        sign = 1 if stop > x else -1
        last = yard.slots_ahead(stop, -sign)[0]
        if not self.full():
            slots = [i for i in yard.slots_ahead(x, sign) if (i - last) * sign <= 0]
            x = self.sweep(k, x, slots, sign, stop)[0]
        for i in [i for i in yard.slots_ahead(x, sign) if (i - last) * sign <= 0]:
            x0, x = x, stop if i == last else yard.far_side(i, sign)
            begin, end, kg = yard.ahead(k, i, x0, sign, x)
            if yard.dirty(k, i) and kg > 0:
                yard.take(k, i, x0, x, kg)
                yard.put_aside(k, i, kg)

    # ---- driving ----

    def carry(self, to, dirty):
        case, way, heading = self.case, math.dist(self.at, to), self.towards(to)
        seconds = self.spend("turn", self.turning(self.facing, heading))
        slow = min(dirty, way)
        seconds += self.spend("carry", slow / case["push"] + (way - slow) / case["carry"])
        self.at, self.facing = to, heading
        return seconds

    def go_empty(self, to, push):
        case, way = self.case, math.dist(self.at, to)
        ahead = self.towards(to)
        if way <= 1e-9:
            turn, drive = self.turning(self.facing, push), 0.0
        else:
            behind = (-ahead[0], -ahead[1])
            ways = [(self.turning(self.facing, ahead) + self.turning(ahead, push), way / case["return"]),
                    (self.turning(self.facing, behind) + self.turning(behind, push), way / case["reverse"])]
            turn, drive = min(ways, key=sum)
        return self.spend("turn", turn) + self.spend("return", drive) + self.spend("lower", case["lower"])

    def run(self):
        env, yard, case = self.env, self.yard, self.case
        while True:
            job = self.choose()
            if job is None and self.load == 0:
                self.crew.stopped[self.number] = env.event()
                before = env.now
                self.crew.woke(self)
                yield self.crew.stopped[self.number]
                self.spend("idle", env.now - before)
                continue
            if job is not None:
                start, slots = job
                place, push = (start, yard.middle(self.lane)), (float(self.sign), 0.0)
                if self.load > 0:
                    seconds = self.carry(place, yard.dirty_way(self.at, place))
                    seconds += self.spend("turn", self.turning(self.facing, push))
                else:
                    seconds = self.go_empty(place, push)
                self.at, self.facing = place, push
                self.crew.woke(self)
                yield env.timeout(seconds)
                self.front, met, new = self.sweep(self.lane, start, slots, self.sign)
                seconds = abs(self.front - start) / case["push"]
                yield env.timeout(self.spend("clean_up" if 2 * new < met else "fill", seconds))
                self.at = (self.front, place[1])
                self.crew.finished_something = self.number
                if not self.full():
                    continue
            pile = min(range(len(case["zones"])), key=lambda z: math.dist(self.at, case["zones"][z]))
            face = tuple(case["zones"][pile])
            dirty = yard.dirty_way(self.at, face)
            self.plough_along(face)
            seconds = self.carry(face, dirty)
            self.crew.woke(self)
            yield env.timeout(seconds)
            with self.crew.berths[pile].request() as berth:
                arrived = env.now
                yield berth
                self.spend("wait", env.now - arrived)
                yield env.timeout(self.spend("dump", case["dump"]))
            self.load = 0.0
            self.cycles += 1
            self.crew.last_dump = env.now
            self.crew.finished_something = self.number


class Crew:
    """Machines that find no lane stand still until another one has filled its box or dumped."""

    def __init__(self, env, case):
        yard = Yard(case)
        self.berths = [simpy.Resource(env, case["berths"]) for _ in case["zones"]]
        self.stopped, self.finished_something, self.last_dump = {}, None, 0.0
        self.machines = [Machine(env, yard, self, n, case) for n in range(case["machines"])]
        for machine in self.machines:
            env.process(machine.run())

    def woke(self, machine):
        """After a machine has chosen its next job, those that stand still look again, in order."""
        if self.finished_something != machine.number:
            return
        self.finished_something = None
        for number in sorted(n for n in self.stopped if n != machine.number):
            self.stopped.pop(number).succeed()


def main():
    case = json.loads(sys.argv[1])
    env = simpy.Environment()
    crew = Crew(env, case)
    env.run()
    for machine in crew.machines:
        machine.time["idle"] = crew.last_dump - sum(v for k, v in machine.time.items() if k != "idle")
    json.dump({"total_time_s": crew.last_dump,
               "machines": [{"cycles": m.cycles, "time_s": m.time} for m in crew.machines]}, sys.stdout)


if __name__ == "__main__":
    main()
