# SPDX-License-Identifier: GPL-3.0-or-later
"""Loads at the zones: how long a dump takes, what fits, where it lies, berths and who waits for them."""
from audit import formulas
from audit import geometry as geo
from audit.night import seconds_slack, spent

TIE = 1e-6  # s


def check(night):
    zones = {z.name: z for z in night.scenario.zones}
    for zone in night.scenario.zones:
        check_zone(night, zone, sorted((r for r in night.rows if r.phase == "dump" and r.zone == zone.name),
                                       key=lambda r: r.start))
    for row in night.rows:
        night.hold("zones", row, row.zone == "" or row.zone in zones, f"no such zone: {row.zone}")
        if row.phase == "dump" and not row.zone:
            carved(night, row)
    for told in night.json["zones"]:
        if told["name"] in zones:
            balance(night, zones[told["name"]], told)


def carved(night, row):
    """Dropped on another area: the time of a dump on nothing."""
    machine = night.machine[row.machine]
    night.hold("zones", row, any(a.into for a in machine.may), "dumps in no zone, and carves nothing out")
    if not night.scenario.chance["dump"]:
        night.expect("dump", row, spent(row), machine.loader.dump_s, "its time", seconds_slack(row) + 1e-9)


def check_zone(night, zone, dumps):
    for n, row in enumerate(dumps):
        filled = sum(r.load for r in dumps[:n] if r.end <= row.start + TIE)
        begun = sum(r.load for r in dumps[:n])
        loader = night.machine[row.machine]
        times = [formulas.dump_time(loader, zone.stack, kg / zone.capacity) for kg in (filled, begun)]
        if not night.scenario.chance["dump"]:
            slack = seconds_slack(row) + zone.exact * max(times)
            night.within("dump", row, spent(row), times[0] - slack, times[1] + slack, "its time", 1e-9)
        night.hold("room", row, begun + row.load <= zone.capacity * (1 + zone.exact),
                   f"{begun + row.load:.9g} kg do not fit into {zone.capacity:.9g} kg")
        if zone.ring:
            night.hold("place of a dump", row, geo.depth_in(zone.ring, row.a) >= -1e-5,
                       f"dumps {-geo.depth_in(zone.ring, row.a):.4f} m beside zone {zone.name}")
        elif zone.berths == 1:
            night.hold("place of a dump", row, geo.math.dist(row.a, zone.at) <= 1e-5, "dumps beside a zone given as a point")
        beside = [r for r in dumps[:n] if r.end > row.start + TIE]
        night.hold("berths", row, len(beside) < zone.berths,
                   f"dumps in zone {zone.name} with {zone.berths} berths while {len(beside)} do")
    check_waits(night, zone, dumps)
    luck(night, zone, dumps)


def luck(night, zone, dumps):
    """With chance: ln X ~ N(−σ²/2, σ²) of the factors on dumps of even times, mean and spread to five standard errors."""
    cv = night.scenario.chance["dump"]
    logs, filled = [], 0.0
    for row in dumps:
        usual = formulas.dump_time(night.machine[row.machine], zone.stack, filled / zone.capacity)
        filled += row.load
        if usual > 0.5:
            logs.append(geo.math.log(spent(row) / usual))
    if cv == 0 or zone.berths > 1 or len(logs) < 30:
        return
    n, variance = len(logs), geo.math.log(1 + cv * cv)
    mean = sum(logs) / n
    spread = sum((x - mean) ** 2 for x in logs) / (n - 1)
    night.within("luck", None, (mean + variance / 2) / (variance / n) ** 0.5, -5.0, 5.0, f"mean luck of dumps in {zone.name}")
    night.within("luck", None, (spread / variance - 1) / (2 / (n - 1)) ** 0.5, -5.0, 5.0, f"spread of luck in {zone.name}")


def check_waits(night, zone, dumps):
    """Nobody waits while a berth is free, and who came first goes first."""
    arrived = {}
    for name in night.names:
        for before, row in zip(night.of[name], night.of[name][1:]):
            if row.phase == "dump" and row.zone == zone.name:
                arrived[row.line] = before.start if before.phase == "wait" else row.start
    for n, row in enumerate(dumps):
        since = arrived.get(row.line, row.start)
        if row.start - since > TIE:
            ends = [r.end for r in dumps if r is not row]
            night.hold("waiting", row, any(abs(e - row.start) <= 1e-5 for e in ends),
                       f"waits for zone {zone.name} until nobody leaves it")
            half = (since + row.start) / 2
            busy = sum(1 for r in dumps if r.start <= half < r.end and r is not row)
            night.hold("waiting", row, busy >= zone.berths, f"waits while {busy} of {zone.berths} berths are in use")
        for later in dumps[n + 1:]:
            night.hold("waiting", later, arrived[later.line] >= since - TIE or later.start <= row.start + TIE,
                       f"came to zone {zone.name} before {row.machine}, and dumps after it")


def balance(night, zone, told):
    loads = [r.load for r in night.rows if r.phase == "dump" and r.zone == zone.name]
    night.expect("sums", None, told["loads"], len(loads), f"loads of zone {zone.name}")
    night.expect("sums", None, told["snow_kg"], sum(loads), f"snow in zone {zone.name}", 1e-8)
    night.expect("sums", None, told["volume_m3"], sum(loads) / night.scenario.snow.piled, f"volume in {zone.name}", 1e-8)
    if told.get("capacity_m3") is not None:
        night.expect("capacity", None, told["capacity_m3"], zone.capacity / night.scenario.snow.piled,
                     f"capacity of zone {zone.name}", max(2e-6, zone.exact))
    else:
        night.hold("capacity", None, zone.capacity == geo.math.inf, f"zone {zone.name} has no capacity")
    waited = sum(spent(before) for name in night.names for before, row in zip(night.of[name], night.of[name][1:])
                 if row.phase == "dump" and row.zone == zone.name and before.phase == "wait")
    slack = 1e-9 * len(loads) * night.json["total_time_s"]["mean"]
    night.within("sums", None, told["wait_s"], waited - slack, waited + slack, f"waiting for zone {zone.name}")
