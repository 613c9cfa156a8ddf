# SPDX-License-Identifier: GPL-3.0-or-later
"""Where machines drive and push: nothing that stands there is driven through, ways keep their distance, and fills take
up what lies there."""
import math

from audit import formulas
from audit import geometry as geo
from audit.units import quantity
from audit.night import DRIVES, FILLS, seconds_slack, spent, straight

SHALLOW = 0.02  # m that a leg may reach into an outline: outlines are shrunk a little, circles have corners


def check(night):
    scenario = night.scenario
    solid = [o.ring for o in scenario.obstacles]
    piles = {z.name: z.ring for z in scenario.zones if z.ring}
    before = {}
    for name in night.names:
        rows = night.of[name]
        closed = scenario.closed_to(night.machine[name])
        whole = [a.ring for a in scenario.areas if a.ring not in closed] + list(piles.values())
        floor = Floor(whole, [g for g in scenario.ground if g not in closed], closed)
        for n, row in enumerate(rows):
            if row.phase in DRIVES and straight(row) > 1e-6:
                crossing(night, row, solid, piles, own_zone(rows, n))
                on_floor(night, row, floor)
                kept_off(night, row, floor)
                clearance(night, row, solid + list(piles.values()), floor)
                between_ends(night, row, solid + list(piles.values()), floor)
            if row.phase in FILLS:
                before[row.line] = rows[n - 1].load if n else 0.0
    fills(night, before, [(r, 0.01) for r in solid] + [(r, -1e-6) for r in piles.values()])


class Floor:
    """Pavement for one machine: areas and zones are whole; what is closed to it is taken out of other ground."""

    def __init__(self, whole, ground, closed):
        self.whole, self.ground, self.closed = whole, ground, closed

    def holds(self, p):
        return (any(geo.inside(ring, p) for ring in self.whole)
                or (any(geo.inside(ring, p) for ring in self.ground) and not any(geo.inside(ring, p) for ring in self.closed)))


def own_zone(rows, n):
    """The zone that a machine carries to, or comes out of."""
    row = rows[n]
    if row.phase == "carry":
        return row.zone
    if row.phase == "return":
        for back in reversed(rows[:n]):
            if back.phase == "dump":
                return back.zone
            if back.phase in FILLS:
                return ""
    return ""


def crossing(night, row, solid, piles, own):
    for ring in solid:
        deep = geo.deepest(ring, row.a, row.b)
        if deep > SHALLOW and own in piles and geo.region_area([ring], [piles[own]]) < abs(geo.ring_area(ring)) - 1e-6:
            continue  # lies partly in the zone that the machine is in
        night.hold("obstacles", row, deep <= SHALLOW, f"goes {deep:.3f} m into an obstacle at {ring[0]}")
    reach = reach_over(night, row)
    for name, ring in piles.items():
        if name != own:
            deep = geo.deepest(ring, row.a, row.b)
            night.hold("piles", row, deep <= SHALLOW + reach, f"goes {deep:.3f} m into zone {name}")


def reach_over(night, row):
    """How far lanes may reach over an edge: those that meet none askew do not, nor do ways to and from them."""
    askew = night.__dict__.setdefault("askew", any(is_askew(a) for a in night.scenario.areas))
    return 2 * night.machine[row.machine].box.swath if askew else 0.0


def is_askew(area):
    if area.heading == "auto":
        return True
    heading = quantity(area.heading)
    return any(abs(math.sin(2 * (math.atan2(b[1] - a[1], b[0] - a[0]) - heading))) > 1e-6 for a, b in geo.edges(area.ring))


def on_floor(night, row, floor):
    """On pavement; but a lane may reach beyond it, at edges that it meets askew, and so ways from and to it do."""
    lane = reach_over(night, row)
    for part in (0.0, 0.17, 0.37, 0.5, 0.63, 0.83, 1.0):
        p = (row.a[0] + part * (row.b[0] - row.a[0]), row.a[1] + part * (row.b[1] - row.a[1]))
        rings = floor.whole + floor.ground + floor.closed
        off = 0.0 if any(geo.inside(ring, p) for ring in rings) else max(geo.depth_in(ring, p) for ring in rings)
        night.hold("pavement", row, off >= -SHALLOW - lane, f"is {-off:.3f} m off the pavement at {p}")


def kept_off(night, row, floor):
    """Off pavement that is closed to the machine."""
    lane = reach_over(night, row)
    for part in (0.03, 0.17, 0.37, 0.5, 0.63, 0.83, 0.97) if floor.closed else ():
        p = (row.a[0] + part * (row.b[0] - row.a[0]), row.a[1] + part * (row.b[1] - row.a[1]))
        deep = 0.0 if floor.holds(p) else max(geo.depth_in(ring, p) for ring in floor.closed)
        night.hold("closed", row, deep <= SHALLOW + lane, f"goes {deep:.3f} m into what is closed to it at {p}")


def clearance(night, row, things, floor):
    """A leg that neither begins nor ends near anything, or near the end of the pavement, keeps half a width from
    everything; but those to a zone do not."""
    if row.phase in FILLS or not things or (row.phase == "carry" and row.zone):
        return
    machine = night.machine[row.machine]
    half = max(machine.loader.width, machine.box.width) / 2
    near = 1.5 * half + night.scenario.station
    if any(geo.nearer(ring, p, near) for ring in things for p in (row.a, row.b)):
        return
    if not all(on_open_floor(p, near, floor) for p in (row.a, row.b)):
        return
    for ring in things:
        far = geo.segment_ring_distance(ring, row.a, row.b, 2 * half)
        night.hold("clearance", row, far >= half - SHALLOW - 0.02 * half,
                   f"passes {far:.3f} m from something at {ring[0]}, half a width is {half:.3f} m")


def between_ends(night, row, things, floor):
    """A leg that begins or ends near something gets away from it, or to it, and keeps half a width from all in
    between: what it passes nearer than that lies before the first place, or behind the last, that is farther than
    a width from everything (mitred corners reach that far)."""
    if row.phase in FILLS or not things:
        return
    machine = night.machine[row.machine]
    half = max(machine.loader.width, machine.box.width) / 2
    least = half - SHALLOW - 0.02 * half
    close = [ring for ring in things if geo.segment_ring_distance(ring, row.a, row.b, 2 * half) < least]
    if not close:
        return
    free, count = 2 * half + 0.05, max(1, math.ceil(straight(row) / 0.25))
    places = [(row.a[0] + i / count * (row.b[0] - row.a[0]), row.a[1] + i / count * (row.b[1] - row.a[1]))
              for i in range(count + 1)]
    far = [min(-geo.depth_in(ring, p) for ring in close) for p in places]
    passed = [i for i in range(count + 1) if far[i] < least]
    if not passed:
        return

    def is_open(i):
        return not any(geo.nearer(ring, places[i], free) for ring in things) and on_open_floor(places[i], free, floor)

    first = next((i for i in range(passed[-1]) if is_open(i)), count)
    last = next((i for i in range(count, passed[0], -1) if is_open(i)), 0)
    for i in passed:
        night.hold("clearance between ends", row, not first < i < last,
                   f"passes {far[i]:.3f} m from something, between open places; half a width is {half:.3f} m")


def on_open_floor(p, far, floor):
    around = [(p[0] + far * math.cos(i * math.pi / 24), p[1] + far * math.sin(i * math.pi / 24)) for i in range(48)]
    return all(floor.holds(q) for q in around)


def fills(night, before, things):
    ordered = sorted((r for r in night.rows if r.phase in FILLS + ("carry",)), key=lambda r: r.start)
    touched = []
    for row in ordered:
        if row.phase in FILLS:
            bounds(night, row, before[row.line])
            if row.phase == "fill" and is_virgin(night, row, touched, things):
                exact(night, row, before[row.line])
        if straight(row) > 1e-6:
            touched.append((row.a, row.b))


def bounds(night, row, load):
    """No slower than with the fullest box in the deepest snow, no faster than with the emptiest in none."""
    scenario, machine = night.scenario, night.machine[row.machine]
    if scenario.chance["fill"]:
        return
    fresh = scenario.snow.rho * scenario.snow.depth + formulas.storm_between(scenario.storm, 0, scenario.clock(row.end))
    deep = 6 * fresh * row.swath + (row.load - load) / max(row.way, 0.1) * 6
    if machine.box.blade:
        deep += fresh * 200
    if any(a.into for a in scenario.areas):  # whole loads lie on single slots
        deep += 40 * max(m.box.holds for m in scenario.machines)
    acceleration = machine.loader.acceleration
    least = formulas.leg_time(row.way, formulas.push_speed(machine, load, 0), acceleration)
    slow = min(formulas.push_speed(machine, row.load, deep), scenario.near.speed)
    night.within("fill time", row, spent(row), least, formulas.leg_time(row.way, slow, acceleration), "its time",
                 1e-7 + seconds_slack(row))


def is_virgin(night, row, touched, things):
    """Nobody has been within a lane of it, it lies inside one area, and no snow falls."""
    scenario = night.scenario
    if scenario.storm or night.machine[row.machine].box.blade or straight(row) < 0.5 or row.way > straight(row) * (1 + 1e-7):
        return False
    swath = geo.rectangle_along(row.a, row.b, row.swath)
    if not any(all(geo.depth_in(a.ring, p) > -1e-6 for p in swath) and geo.is_convex(a.ring) for a in scenario.areas):
        return False
    whole = geo.rectangle_along(*geo.stretched(row.a, row.b, scenario.station), row.swath)  # of its slots
    if scenario.near.border > 0 or not all(geo.is_convex(ring) for ring, _ in things):
        return False
    if any(geo.convex_gap(whole if apart > 0 else swath, ring) < apart for ring, apart in things):
        return False
    if any(m.box.blade or any(a.into for a in m.may) for m in scenario.machines):
        return False
    return all(geo.segment_distance(row.a, row.b, c, d) > 2.01 * row.swath for c, d in touched)


def exact(night, row, load):
    scenario, machine = night.scenario, night.machine[row.machine]
    met = scenario.snow.rho * scenario.snow.depth * row.swath
    gained = formulas.gain(machine.box, load, met * row.way)
    night.expect("fresh fill", row, row.load - load, gained, "what a fill of fresh snow takes up", 1e-6)
    if scenario.chance["fill"] or scenario.near.distance > 0:
        return
    pace = formulas.fill_time(machine, load, met, row.way, scenario.station) / row.way
    night.expect("fresh fill", row, spent(row), formulas.leg_time(row.way, 1 / pace, machine.loader.acceleration),
                 "the time of a fill of fresh snow", 1e-3 if machine.loader.has_power else 1e-8 + seconds_slack(row))
