# SPDX-License-Identifier: GPL-3.0-or-later
"""The runs that `make test` looks at: the scenarios of this tree and variants of them."""
import copy
from collections import namedtuple

import yaml

from audit import drawn

Case = namedtuple("Case", "name scenario options")

# Checks that the demonstration has to come by.
EVERY_KIND = {
    "rows", "time", "place", "length", "speed", "load", "lower and raise", "turns, loaded", "carry", "return",
    "turns, empty", "dump", "room", "place of a dump", "berths", "waiting", "zones", "sums", "capacity", "fuel", "stops",
    "snow", "cost", "bound", "areas", "obstacles", "piles", "pavement", "clearance", "clearance between ends", "fill time", "fresh fill",
    "areas worked", "order of areas", "claims", "keep apart", "shifts", "breaks", "passages", "starts", "refuelling", "luck",
}
DECK = "a deck that is closed to one"
BREAKS = "breaks while they wait for an area"
NO_CHANCE = {"chance": {}}
STORM = [{"after": "0 h", "rate": "1.5 cm/h", "temperature": "-3 C"}, {"after": "1 h", "rate": "3 cm/h"},
         {"after": "2 h", "rate": "0 cm/h"}]


class Plain(yaml.SafeDumper):
    """Without anchors, which pushcycle does not read."""

    def ignore_aliases(self, data):
        return True


def read(path):
    with open(path, encoding="utf-8") as file:
        return yaml.load(file, Loader=yaml.BaseLoader)


def changed(scenario, changes):
    """With other values: keys are "boxes.0.width", or top keys."""
    out = copy.deepcopy(scenario)
    for path, value in changes.items():
        *way, last = path.split(".")
        part = out
        for step in way:
            part = part[int(step)] if isinstance(part, list) else part.setdefault(step, {})
        part[int(last) if isinstance(part, list) else last] = value
    return out


def crew_of(scenario, count, **more):
    entry = {"loader": scenario["loaders"][0]["name"], "box": scenario["boxes"][0]["name"], "count": str(count)}
    entry.update(more)
    return [entry]


def demonstration():
    ferry, starter = read("scenarios/ferry-terminal.yaml"), read("scenarios/starter.yaml")
    feet, night = read("scenarios/starter-feet.yaml"), read("tests/cli/night.yaml")
    market = read("scenarios/fleet-example/market.yaml")
    power = {"loaders.0.power": "60 kW", "loaders.0.mass": "11 t", "loaders.0.traction": "0.3",
             "loaders.0.acceleration": "0.8 m/s2", "loaders.0.fuel": {"per_kwh": "0.25 l/kWh", "idle": "4 l/h"}}
    tank = dict(power, **{"loaders.0.fuel": {"per_kwh": "0.25 l/kWh", "idle": "4 l/h", "tank": "6 l", "refuel": "10 l/min"},
                          "fuel_point": ["5", "5"]})
    made = [Case("the demonstration lot", ferry, {"layout": "three piles"}),
            Case("the demonstration lot without chance", changed(ferry, NO_CHANCE), {"layout": "one pile", "box": "14 ft"})]
    for policy in ("keep-pushing", "straight-runs", "building-out"):
        made.append(Case(f"three machines, {policy}", changed(starter, {"crew": crew_of(starter, 3)}), {"policy": policy}))
    made += [
        Case("a plan", starter, {"plan": "yes"}),
        Case("in feet, deep", feet, {"layout": "two piles", "depth": "10 in"}),
        Case("power and fuel", changed(starter, power), {"depth": "6 cm"}),
        Case("uphill", changed(starter, dict(power, **{"loaders.0.grade": "2 %"})), {}),
        Case("a tank", changed(starter, tank), {}),
        Case("machines that keep apart", changed(market, {"crew": crew_of(market, 3), "keep_apart": "6 m"}), {}),
        Case("a night with a gate", night, {}),
        Case(DECK, read("tests/cli/closed.yaml"), {}),
        Case("a gate, and two berths beside each other", drawn.Draw(2521).scenario(), {}),
        Case("a back-out as far as a corner", drawn.Draw(1185).scenario(), {}),
        Case("a night of 50 minutes an hour", changed(night, {"work_minutes_per_hour": "50"}), {}),
        Case("a storm", changed(starter, {"storm": STORM, "snow.trigger": "2 cm", "crew": crew_of(starter, 2),
                                          "site.areas.0.clear_by": "2.5 h", "site.areas.0.sweep_before": "20 min"}), {}),
        Case("a pile that runs full", changed(starter, {"zones.0.volume": "40 m3", "zones.1.volume": "60 m3"}), {}),
        Case("a storm and a pile that runs full", changed(starter, {"storm": STORM, "zones.1.volume": "20 m3"}),
             {"layout": "one pile"}),
        Case("a tank filled by who comes late", changed(starter, dict(tank, crew=crew_of(starter, 1, **{"from": "20 min"}),
                                                                      work_minutes_per_hour="50")), {}),
        Case(BREAKS, changed(market, {"crew": crew_of(market, 3, breaks={"every": "37 min", "for": "13 min"}),
                                      "snow.depth": "4 cm", "site.areas.0.opens": "1.5 h"}), {}),
        Case("breaks while they wait for snow",
             changed(starter, {"crew": crew_of(starter, 2, breaks={"every": "33 min", "for": "11 min"}), "storm": STORM,
                               "snow.depth": "1 cm", "snow.trigger": "3 cm"}), {}),
        Case("shifts", changed(market, {"crew": crew_of(market, 1, **{"from": "20 min"})
                                        + crew_of(market, 2, until="30 min")}), {}),
    ]
    return made
