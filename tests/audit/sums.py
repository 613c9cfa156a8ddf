# SPDX-License-Identifier: GPL-3.0-or-later
"""What the JSON of one replication says, from the rows of the trace and the scenario."""
import math

from audit import formulas
from audit import geometry as geo
from audit.night import FILLS, seconds_slack, spent

GROUPS = {"fill": ("fill",), "clean_up": ("clean_up",), "carry": ("carry",), "dump": ("dump",), "return": ("return",),
          "turn": ("turn",), "lower_raise": ("lower", "raise"), "wait": ("wait",)}


def check(night):
    total = night.json["total_time_s"]["mean"]
    for name, told in zip(night.names, night.json["machines"]):
        machine_sums(night, name, told, total)
    crew_sums(night)
    snow(night)
    money(night, total)
    bound(night, total)
    areas(night, total)


def machine_sums(night, name, told, total):
    rows, machine, minutes = night.of[name], night.machine[name], night.scenario.minutes
    night.hold("sums", None, told["loader"] == machine.loader.name and told["box"] == machine.box.name,
               f"{name} is {told['loader']} with {told['box']}")
    for group, phases in GROUPS.items():
        mine = [r for r in rows if r.phase in phases]
        slack = 1e-9 + sum(seconds_slack(r) for r in mine)
        night.within("sums", None, told["time_s"][group], sum(map(spent, mine)) - slack, sum(map(spent, mine)) + slack,
                     f"{group} of {name}", 1e-9)
    night.expect("sums", None, sum(told["time_s"].values()), total, f"all phases of {name}", 1e-9)
    dumps = [r for r in rows if r.phase == "dump"]
    night.expect("sums", None, told["cycles"], max([r.cycle for r in dumps], default=0), f"cycles of {name}")
    night.expect("sums", None, told["placed_kg"], sum(r.load for r in dumps if r.zone), f"placed by {name}", 1e-8)
    if machine.box.blade:
        return
    most = formulas.largest_load(machine, night.scenario.full_at)
    night.expect("capacity", None, told["capacity_kg"] * night.scenario.full_at, most, f"largest load of {name}", 1e-9)
    idle = told["time_s"]["idle"] + told["time_s"]["wait"]
    night.within("sums", None, told["absent_s"], 0, idle, f"absence of {name}", 1e-9)
    litres = formulas.fuel_l(machine, total - idle, idle - told["absent_s"])
    if litres is not None:
        night.expect("fuel", None, told["fuel_l"], litres * 1000, f"fuel of {name}", 1e-8)
    stops(night, name, told, minutes)


def stops(night, name, told, minutes):
    """Stops fit into what is idle; a break is as long as the scenario says."""
    pauses = told.get("stops_s", {})
    night.hold("stops", None, sum(pauses.values()) - pauses.get("refuel", 0) <= told["time_s"]["idle"] * (1 + 1e-9) + 1e-6,
               f"stops of {name} are longer than it idles")
    breaks = night.machine[name].breaks
    if breaks is None:
        night.hold("stops", None, pauses.get("break", 0) == 0, f"{name} takes breaks that nobody gave it")
    if not night.machine[name].loader.breaks_down:
        night.hold("stops", None, pauses.get("repair", 0) == 0, f"{name} is repaired without a breakdown")
    if math.isinf(night.machine[name].loader.tank):
        night.hold("stops", None, pauses.get("refuel", 0) == 0, f"{name} refuels without a tank")


def crew_sums(night):
    machines = night.json["machines"]
    for group in list(GROUPS) + ["idle"]:
        night.expect("sums", None, night.json["time_s"][group], sum(m["time_s"][group] for m in machines),
                     f"{group} of all machines", 1e-9)
    for group, phases in (("fill", FILLS), ("carry", ("carry",)), ("return", ("return",))):
        ways = sum(r.way for r in night.rows if r.phase in phases)
        night.expect("sums", None, night.json["distance_m"][group], ways, f"ways of {group}", 1e-7)
    night.expect("sums", None, night.json["cycles"]["mean"], sum(m["cycles"] for m in machines), "all cycles")


def pavement(scenario):
    """Area to be cleared, zones and obstacles cut out, and how exact that is."""
    holes = [z.ring for z in scenario.zones if z.ring] + [o.ring for o in scenario.obstacles]
    net = geo.region_area([a.ring for a in scenario.areas], holes)
    return net, 1e-8 * net


def snow(night):
    told, scenario = night.json["snow_kg"], night.scenario
    placed = sum(r.load for r in night.rows if r.phase == "dump" and r.zone)
    night.expect("snow", None, told["placed"], placed, "what is placed", 1e-8)
    night.expect("snow", None, told["placed"] + told["left"], told["start"] + told["fallen"], "snow that is left or placed", 1e-9)
    area, slack = pavement(scenario)
    small = night.json["left_for_smaller_machine"]
    net = area - small["area_m2"]
    rho = scenario.snow.rho * scenario.snow.depth
    night.within("snow", None, told["start"], (net - slack) * rho, (net + slack) * rho, "snow at the start", 1e-6)
    if rho > 0 and not scenario.storm:
        night.within("snow", None, small["snow_kg"], small["area_m2"] * rho * (1 - 1e-6), small["area_m2"] * rho * (1 + 1e-6),
                     "snow left for a smaller machine")
    total = night.json["total_time_s"]["mean"]
    falls = formulas.storm_between(scenario.storm, 0, math.inf)
    if night.json["finished"] and all(math.isinf(m.until) for m in scenario.machines):
        night.within("snow", None, told["fallen"], (net - slack) * falls, (net + slack) * falls, "fallen snow", 1e-6)
    else:
        night.within("snow", None, told["fallen"], 0, (net + slack) * falls, "fallen snow", 1e-6)
    waste = told["haul_off"]
    night.within("snow", None, waste, 0, told["left"], "what has to be hauled off")
    if night.json["finished"]:
        night.hold("snow", None, waste == 0, f"{waste} kg have to be hauled off though all is done")


def money(night, total):
    told, prices = night.json["cost"], night.scenario.money
    if prices is None or told is None:
        night.hold("cost", None, (prices is None) == (told is None or told.get("total") is None),
                   "cost without prices, or the other way")
        return
    hourly = (prices.machine + prices.operator) if told["machines_included"] or told["operators_included"] else 0.0
    cost = sum(hourly * max(0.0, min(m.until, total) - m.since) for m in night.scenario.machines)
    litres = [m["fuel_l"] for m in night.json["machines"]]
    if told["fuel_included"]:
        cost += sum(x or 0 for x in litres) / 1000 * prices.fuel
    cost += night.json["snow_kg"]["haul_off"] / night.scenario.snow.piled * prices.haul_off
    night.expect("cost", None, told["total"], cost, "the cost", 1e-8)


def bound(night, total):
    told = night.json["bound_s"]
    if told is None:
        return
    efficiency = night.json["efficiency"]
    if not night.json["finished"] or total == 0:
        night.hold("bound", None, efficiency is None, f"efficiency {efficiency} of a run that did not finish")
        return
    night.expect("bound", None, efficiency, told / total, "efficiency", 1e-9)
    if not night.scenario.chancy:
        night.hold("bound", None, told <= total * (1 + 1e-9), f"bound {told} s above the run's {total} s")


def areas(night, total):
    """Without a storm an area is clear for good when its last bite has ended."""
    scenario = night.scenario
    for area, told in zip(scenario.areas, night.json["areas"]):
        night.hold("areas", None, told["name"] == area.name, f"area {told['name']} in the place of {area.name}")
        by = told["clear_by_s"]
        night.hold("areas", None, (by is None) == (area.clear_by is None) and (by is None or abs(by - area.clear_by) < 1e-6),
                   f"deadline of {area.name}: {by}, should be {area.clear_by}")
        if by is not None and told["ready_s"] is not None:
            late = told["ready_s"] - by
            night.hold("areas", None, told["late"] == (late > 1e-9 * by), f"{area.name} late: {told['late']}, by {late} s")
            night.expect("areas", None, told["late_s"], max(0.0, late), f"lateness of {area.name}", 1e-9)
        if told["done_s"] is not None:
            night.hold("areas", None, told["done_s"] <= max(total, storm_end(scenario)) * (1 + 1e-9),
                       f"{area.name} is clear after the end")
            last = [scenario.clock(r.end) for r in night.rows if r.phase in FILLS and sure(r, area, scenario)]
            if last and not scenario.storm:
                night.within("areas", None, told["done_s"], max(last) * (1 - 1e-9), total, f"clear time of {area.name}", 1e-8)


def storm_end(scenario):
    return scenario.storm[-1].after if scenario.storm else 0.0


def sure(row, area, scenario):
    """Whether a fill is one of that area: lanes that meet a border askew reach over it."""
    half = ((row.a[0] + row.b[0]) / 2, (row.a[1] + row.b[1]) / 2)
    return geo.depth_in(area.ring, half) > row.swath + scenario.station
