# SPDX-License-Identifier: GPL-3.0-or-later
"""A scenario file as numbers in SI, with the defaults that docs/model.md lists."""
import math
from types import SimpleNamespace as Thing

import yaml

from audit import geometry as geo
from audit.units import (FOOT, FUEL, FUEL_FLOW, FUEL_RATE, FUEL_WORK, moment, quantity, temperature)


def density_of_air(formula, t, wind):
    """docs/model.md, Snow."""
    if formula == "anderson":
        return 50 + 1.7 * (min(t, 2) + 15) ** 1.5 if t > -15 else 50.0
    if formula == "pahaut":
        return max(50.0, 109 + 6 * t + 26 * math.sqrt(wind))
    if formula == "diamond-lowry":
        return 119 + 6.48 * t
    return 67.92 + 51.25 * math.exp(t / 2.59) if t <= 0 else min(119.17 + 20 * t, 200.0)


class Scenario:
    def __init__(self, source, options=None):
        """`source`: a path, or what YAML made of it; `options`: {"layout": …, "box": …, "policy": …, "depth": …}."""
        if not isinstance(source, dict):
            with open(source, encoding="utf-8") as file:
                source = yaml.load(file, Loader=yaml.BaseLoader)
        self.raw, self.options = source, options or {}
        self.starts_at = source.get("starts_at")
        self.snow = self.read_snow(source.get("snow", {}))
        self.read_site(source.get("site", {}))
        self.boxes = {b["name"]: self.read_box(b) for b in source.get("boxes", [])}
        self.loaders = {one["name"]: self.read_loader(one) for one in source.get("loaders", [])}
        self.zones = self.chosen([self.read_zone(z) for z in source.get("zones", [])])
        self.full_at = self.number(source, "full_at", 0.95)
        self.minutes = self.number(source, "work_minutes_per_hour", 60)
        self.station = self.number(source, "station", 2.0)
        self.keep_apart = self.number(source, "keep_apart", 0.0)
        self.policy = self.options.get("policy") or source.get("policy", "keep-pushing")
        near = source.get("near", {})
        self.near = Thing(distance=self.number(near, "distance", 0.0), speed=self.number(near, "speed", math.inf),
                          border=self.number(near, "border", 0.0))
        chance = source.get("chance", {})
        self.chance = {k: self.number(chance, k, 0.0) for k in ("fill", "carry", "dump", "turn", "return")}
        self.storm = self.read_storm(source.get("storm", []))
        self.money = self.read_money(source.get("money"))
        self.fuel_point = self.point(source["fuel_point"]) if "fuel_point" in source else None
        self.machines = self.read_crew(source.get("crew"))

    # ---- single values ----

    @staticmethod
    def number(part, key, default, unit=""):
        return quantity(part[key], unit) if key in part else default

    def moment(self, part, key, default, ends=False):
        return moment(part[key], self.starts_at, ends) if key in part else default

    def point(self, pair):
        return float(pair[0]) * self.scale, float(pair[1]) * self.scale

    def ring(self, corners):
        return [self.point(p) for p in corners]

    # ---- parts ----

    def read_snow(self, part):
        formula, wind = part.get("density_formula", "hedstrom-pomeroy"), self.number(part, "wind", 0.0)
        if "fresh_density" in part:
            rho = quantity(part["fresh_density"])
        elif "air_temperature" in part:
            rho = density_of_air(formula, temperature(part["air_temperature"]), wind)
        else:
            rho = 100.0
        depth = self.options.get("depth") or part.get("depth", 0)
        return Thing(depth=quantity(depth), rho=rho, pushed=self.number(part, "pushed_density", 250.0),
                     piled=self.number(part, "pile_density", 450.0),
                     repose=self.number(part, "repose_angle", math.radians(40)),
                     done_below=self.number(part, "done_below", 0.01), trigger=self.number(part, "trigger", 0.0),
                     formula=formula, wind=wind)

    def read_site(self, part):
        self.scale = FOOT if part.get("units", "m") == "ft" else 1.0
        self.areas = [Thing(name=a["name"], ring=self.ring(a["outline"]), heading=a.get("heading", "0 deg"),
                            opens=self.moment(a, "opens", 0.0), clear_by=self.moment(a, "clear_by", None, True),
                            sweep_before=self.number(a, "sweep_before", 0.0), loaders=a.get("loaders"),
                            open_to=a.get("open_to"), after=a.get("after", []), into=a.get("into")) for a in part.get("areas", [])]
        self.ground = [self.ring(g["outline"]) for g in part.get("ground", [])]
        self.ground_open_to = [g.get("open_to") for g in part.get("ground", [])]
        self.obstacles = [self.read_obstacle(o) for o in part.get("obstacles", [])]
        self.careful = [self.read_obstacle(k) for k in part.get("keep_clear", [])
                        if k.get("kind") in ("door", "accessible")]
        self.passages = [Thing(name=p["name"], ring=self.read_obstacle(p).ring, machines=int(p.get("machines", 1)))
                         for p in part.get("passages", [])]

    def read_obstacle(self, part):
        if "outline" in part:
            ring = self.ring(part["outline"])
            return Thing(kind=part.get("kind"), ring=ring)
        return Thing(kind=part.get("kind"), ring=geo.octagon(self.point(part["at"]), self.number(part, "radius", 0.1)))

    def read_box(self, part):
        box = Thing(name=part["name"], width=quantity(part["width"]), height=self.number(part, "height", 0.0),
                    heap=self.number(part, "heap_factor", None), plate=self.number(part, "side_plate", None),
                    mass=self.number(part, "mass", 0.0), overlap=self.number(part, "overlap", 0.3),
                    leak=self.number(part, "side_leak", 0.02), spill_from=self.number(part, "spill_from", 0.85),
                    leave=self.number(part, "leave", 0.01), blade=part.get("blade", "none") != "none")
        box.swath = box.width - box.overlap
        slope = math.tan(self.snow.repose)
        if box.heap is None and box.plate:
            box.heap = (box.plate - box.plate ** 2 * slope / (2 * box.height) if box.plate < box.height / slope
                        else box.height / (2 * slope))
        elif box.heap is None:
            box.heap = 0.8 * box.height
        box.holds = 0.0 if box.blade else box.width * box.height * box.heap * self.snow.pushed
        return box

    def read_loader(self, part):
        speeds, times, fuel = part["speeds"], part.get("times", {}), part.get("fuel", {})
        out = Thing(name=part["name"], push=quantity(speeds["push"]), carry=quantity(speeds["carry"]),
                    forward=quantity(speeds["return"]), acceleration=self.number(part, "acceleration", math.inf),
                    width=self.number(part, "machine_width", 2.7), length=self.number(part, "machine_length", 8.0),
                    power=self.number(part, "power", None), mass=self.number(part, "mass", None),
                    traction=self.number(part, "traction", None),
                    efficiency=self.number(part, "drive_efficiency", 0.7), mu_s=self.number(part, "snow_friction", 0.4),
                    mu_b=self.number(part, "box_friction", 0.3), c_r=self.number(part, "rolling_resistance", 0.05),
                    grade=self.number(part, "grade", 0.0), breaks_down="breakdown" in part)
        out.reverse = self.number(speeds, "reverse", out.forward * 5 / 8)
        out.back_out = self.number(part, "back_out", out.length)
        for key, default in (("lower", 2), ("raise", 2), ("dump", 8), ("shift", 1.5), ("turn", 8)):
            setattr(out, key + "_s", self.number(times, key, float(default)))
        out.has_power = out.power is not None and out.mass is not None and out.traction is not None
        out.per_kwh = self.number(fuel, "per_kwh", 0.0, FUEL_WORK)
        out.idle_rate = self.number(fuel, "idle", 0.0, FUEL_RATE)
        out.tank = self.number(fuel, "tank", math.inf, FUEL)
        out.refuel = self.number(fuel, "refuel", math.inf, FUEL_FLOW)
        out.has_fuel = bool(fuel)
        return out

    def read_zone(self, part):
        zone = Thing(name=part["name"], ring=None, at=None, height=self.number(part, "height", 5.0),
                     volume=self.number(part, "volume", None), berths=int(part.get("berths", 1)),
                     stack=self.number(part, "stack", 0.5), exact=1e-9)
        if "outline" in part:
            zone.ring = self.ring(part["outline"])
        else:
            zone.at = self.point(part["at"])
        return zone

    def chosen(self, zones):
        """Those of the layout asked for, with their capacities."""
        layouts = self.raw.get("layouts", [])
        name = self.options.get("layout") or (layouts[0]["name"] if layouts else None)
        for layout in layouts:
            if layout["name"] == name:
                zones = [z for n in layout["zones"] for z in zones if z.name == n]
        for zone in zones:
            volume = zone.volume
            if volume is None and zone.ring:
                volume, zone.exact = geo.heap_volume(zone.ring, zone.height, math.tan(self.snow.repose))
            zone.capacity = math.inf if volume is None else volume * self.snow.piled
        return zones

    def read_storm(self, pieces):
        out = []
        for piece in pieces:
            rho = self.snow.rho
            if "temperature" in piece:
                rho = density_of_air(self.snow.formula, temperature(piece["temperature"]), self.snow.wind)
            out.append(Thing(after=self.moment(piece, "after", 0.0), rate=quantity(piece["rate"]), rho=rho))
        return out

    def read_money(self, part):
        if part is None:
            return None
        return Thing(machine=self.number(part, "machine", 0.0), operator=self.number(part, "operator", 0.0),
                     fuel=self.number(part, "fuel", 0.0), haul_off=self.number(part, "haul_off", 0.0))

    def read_crew(self, entries):
        if entries is None:
            entries = [{"loader": next(iter(self.loaders)), "box": next(iter(self.boxes))}]
        machines = []
        for entry in entries:
            keep = entry.get("keep") == "true"
            box = entry["box"] if keep else self.options.get("box") or entry["box"]
            one = Thing(loader=self.loaders[entry["loader"]], box=self.boxes[box], areas=entry.get("areas"),
                        first=entry.get("first", []), since=self.moment(entry, "from", 0.0),
                        until=self.moment(entry, "until", math.inf, True), breaks=entry.get("breaks"))
            one.may = [a for a in self.areas if self.may_work(one, a)]
            one.start = self.point(entry["start"]) if "start" in entry else None
            machines += [Thing(**vars(one)) for _ in range(int(entry.get("count", 1)))]
        return machines

    @staticmethod
    def may_work(machine, area):
        return ((machine.areas is None or area.name in machine.areas)
                and (area.loaders is None or machine.loader.name in area.loaders)
                and (area.open_to is None or machine.loader.name in area.open_to))

    def closed_to(self, machine):
        """Outlines of pavement where the machine may not drive."""
        lists = [(a.ring, a.open_to) for a in self.areas] + list(zip(self.ground, self.ground_open_to))
        return [ring for ring, open_to in lists if open_to is not None and machine.loader.name not in open_to]

    @property
    def chancy(self):
        return any(self.chance.values()) or any(m.loader.breaks_down for m in self.machines)

    def clock(self, work_s):
        """Time by the clock of a time at work."""
        return work_s * 60 / self.minutes
