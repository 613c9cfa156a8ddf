# SPDX-License-Identifier: GPL-3.0-or-later
"""Random scenarios: rows of yards with obstacles, zones, crews, storms, and every rule of the night."""
import random


def m(value):
    return f"{value:.4f} m"


def s(value):
    return f"{value:.3f} s"


class Draw:
    def __init__(self, seed):
        self.d = random.Random(seed)
        self.opens = random.Random(f"open {seed}")  # of its own: what is drawn else stays as it was
        self.seed = seed

    def once(self, n):
        return self.d.randrange(n) == 0

    def between(self, low, high):
        return self.d.uniform(low, high)

    def rectangle(self, x0, y0, x1, y1):
        return [[round(x, 3), round(y, 3)] for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]

    # ---- where ----

    def make_areas(self):
        self.x, self.y, areas = [0.0], [], []
        for n in range(self.d.randint(1, 3)):
            self.x.append(self.x[-1] + self.between(15, 60))
            self.y.append(self.between(15, 50))
            area = {"name": f"area {n + 1}", "outline": self.rectangle(self.x[n], 0, self.x[n + 1], self.y[n])}
            if self.once(3):
                area["heading"] = "90 deg" if self.once(2) else f"{self.between(-180, 180):.2f} deg"
            if n > 0 and self.once(4):
                area["after"] = [f"area {n}"]
            if n > 0 and self.once(4):
                area["into"] = f"area {n}"
            if self.once(6):
                area["opens"] = s(self.between(0, 3600))
            if self.once(3):
                area["clear_by"] = s(3600 + self.between(600, 9000))
                if self.once(2):
                    area["sweep_before"] = s(self.between(1, 3600))
            if self.once(8):
                area["loaders"] = ["loader 1"]
            if "into" not in area and self.opens.random() < 0.12:
                area["open_to"] = ["loader 1"]
            areas.append(area)
        self.areas = areas
        return areas

    def make_obstacle(self, n):
        a = self.d.randrange(len(self.y))
        x, y = self.between(self.x[a], self.x[a + 1]), self.between(0, self.y[a])
        kind = self.d.choice(["building", "island", "pole", "parked", "fence", "old-pile"])
        if self.once(3):
            return {"name": f"thing {n}", "kind": kind, "at": [round(x, 3), round(y, 3)],
                    "radius": m(self.between(0.1, 2))}
        return {"name": f"thing {n}", "kind": kind,
                "outline": self.rectangle(x, y, x + self.between(0.5, 8), y + self.between(0.5, 8))}

    def make_zone(self, n):
        a = self.d.randrange(len(self.y))
        high, third = self.y[a], (self.x[a + 1] - self.x[a]) / 3
        x = self.x[a] + third * (n - 1) + self.between(0, third / 2)
        to = min(x + self.between(4, 25), self.x[a] + third * n)  # so that zones do not overlap
        zone = {"name": f"zone {n}", "berths": self.d.randint(1, 2), "height": m(self.between(1.5, 6)),
                "stack": round(self.between(0, 1), 3)}
        if self.once(4):
            zone["at"] = [round(x, 3), 0 if self.once(2) else round(high, 3)]
        elif self.once(2):
            zone["outline"] = self.rectangle(x, high, to, high + self.between(3, 10))
        else:
            zone["outline"] = self.rectangle(x, -self.between(3, 10), to, 0)
        if self.once(4):
            zone["volume"] = f"{self.between(5, 200):.3f} m3"
        return zone

    def make_site(self):
        site = {"units": "m", "areas": self.make_areas()}
        if self.once(2):
            site["obstacles"] = [self.make_obstacle(n) for n in range(1, self.d.randint(1, 4) + 1)]
        if self.once(3):
            site["ground"] = [{"name": "apron",
                               "outline": self.rectangle(0, -self.between(4, 12), self.x[-1], 0)}]
        if len(self.y) > 1 and self.once(3):
            wide = self.between(1, 4)
            site["passages"] = [{"name": "gate", "machines": self.d.randint(1, 2), "outline": self.rectangle(
                self.x[1] - wide, -1, self.x[1] + wide, min(self.y[:2]) + 1)}]
        return site

    # ---- with what ----

    def make_box(self, n):
        box = {"name": f"box {n}", "width": m(self.between(1.8, 5.5)), "height": m(self.between(0.7, 1.5)),
               "overlap": m(0 if self.once(3) else self.between(0, 0.6)),
               "side_leak": 0 if self.once(3) else round(self.between(0, 0.15), 4),
               "spill_from": round(self.between(0.3, 1), 4), "leave": 0 if self.once(3) else round(self.between(0, 0.05), 4)}
        if self.once(3):
            box["heap_factor"] = m(self.between(0.5, 1.5))
        elif self.once(2):
            box["side_plate"] = m(self.between(0.3, 1.5))
        if self.once(3):
            box["mass"] = f"{self.between(300, 1500):.1f} kg"
        if n > 1 and self.once(4):
            box["blade"] = self.d.choice(["left", "right"])
        return box

    def make_loader(self, n):
        one = {"name": f"loader {n}", "machine_width": m(self.between(1.5, 3)),
               "speeds": {k: f"{self.between(low, high):.4f} m/s" for k, low, high in
                          (("push", 1, 4), ("carry", 1, 5), ("return", 1.5, 6))},
               "times": {k: s(self.between(0, most)) for k, most in
                         (("turn", 12), ("shift", 3), ("dump", 15), ("lower", 4), ("raise", 4))}}
        if self.once(2):
            one["speeds"]["reverse"] = f"{self.between(1, 4):.4f} m/s"
        if self.once(2):
            one["acceleration"] = f"{self.between(0.3, 2):.4f} m/s2"
        if self.once(2):
            one["back_out"] = m(self.between(0, 10))
        if self.once(2):
            one.update(power=f"{self.between(50, 250):.3f} kW", mass=f"{self.between(5, 25):.3f} t",
                       traction=round(self.between(0.15, 0.45), 4), fuel={"per_kwh": 0.25, "idle": 4})
            if self.once(4):
                one["grade"] = round(self.between(-0.03, 0.03), 4)
            if self.once(2):
                one["fuel"].update(tank=f"{self.between(5, 60):.3f} l", refuel=f"{self.between(0.2, 2):.3f} l/s")
        if self.once(6):
            one["breakdown"] = {"between": s(self.between(1800, 72000)), "repair": s(self.between(300, 7200))}
        return one

    def make_entry(self, first, loaders, boxes):
        entry = {"loader": self.d.choice(loaders)["name"], "count": self.d.randint(1, 2),
                 "box": (boxes[0] if first else self.d.choice(boxes))["name"]}
        areas = [a["name"] for a in self.areas if entry["loader"] in a.get("loaders", [entry["loader"]])
                 and entry["loader"] in a.get("open_to", [entry["loader"]])]
        if self.once(2):
            n = self.d.randrange(len(self.y))
            entry["start"] = [round(self.x[n], 3), 0]
        if self.once(6):
            entry["from"] = s(self.between(0, 3600))
        if self.once(6):
            entry["until"] = s(3600 + self.between(600, 20000))
        if self.once(5):
            entry["breaks"] = {"every": s(self.between(900, 7200)), "for": s(self.between(60, 1800))}
        if areas and not first and self.once(4):
            entry["areas"] = [self.d.choice(areas)]
        if areas and self.once(4):
            entry["first"] = list(entry.get("areas", [self.d.choice(areas)]))
        return entry

    # ---- what falls ----

    def make_storm(self, scenario):
        after, pieces, storm = 0.0 if self.once(2) else self.between(60, 3600), self.d.randint(1, 4), []
        for i in range(pieces + 1):
            rate = 0 if i == pieces or self.once(5) else self.between(0.1, 4)
            piece = {"after": s(after), "rate": f"{rate:.4f} cm/h"}
            if self.once(3):
                piece["temperature"] = f"{self.between(-12, 1):.2f} C"
            storm.append(piece)
            after += self.between(300, 5400)
        scenario["storm"] = storm
        if self.once(3):
            scenario["snow"]["depth"] = "0 cm"
        if self.once(3):
            scenario["snow"]["trigger"] = m(self.between(0.01, 0.06))

    def scenario(self):
        one = {"pushcycle": 1, "name": f"seed {self.seed}", "site": self.make_site()}
        one["zones"] = [self.make_zone(n) for n in range(1, self.d.randint(1, 3) + 1)]
        one["boxes"] = boxes = [self.make_box(n) for n in range(1, self.d.randint(1, 3) + 1)]
        one["loaders"] = loaders = [self.make_loader(n) for n in range(1, self.d.randint(1, 3) + 1)]
        one["crew"] = [self.make_entry(n == 0, loaders, boxes) for n in range(self.d.randint(1, 3))]
        one["snow"] = {"depth": m(self.between(0.3, 0.5) if self.once(12) else self.between(0.02, 0.2)),
                       "fresh_density": f"{self.between(40, 180):.3f} kg/m3",
                       "pushed_density": f"{self.between(200, 350):.3f} kg/m3",
                       "pile_density": f"{self.between(360, 550):.3f} kg/m3",
                       "done_below": m(0.01 if self.once(3) else self.between(0.004, 0.02))}
        if self.once(3):
            self.make_storm(one)
        one["policy"] = self.d.choice(["straight-runs", "keep-pushing", "keep-pushing", "building-out"])
        one["full_at"], one["station"] = round(self.between(0.6, 1), 3), m(self.between(0.8, 3))
        if self.once(3):
            one["work_minutes_per_hour"] = round(self.between(40, 60), 2)
        if self.once(4):
            one["keep_apart"] = m(self.between(0.5, 6))
        if self.once(4):
            one["near"] = {"distance": m(self.between(0.5, 5)), "speed": f"{self.between(0.5, 3):.3f} m/s",
                           "border": m(0 if self.once(2) else self.between(0.1, 1))}
        if self.once(5):
            one["chance"] = {k: round(self.between(0, 0.3), 3) for k in ("fill", "carry", "dump", "turn", "return")}
        if self.once(3):
            one["money"] = {"machine": "95 /h", "operator": "38 /h", "fuel": "1.60 /l", "haul_off": "12 /m3"}
        if self.once(4):
            one["fuel_point"] = [0, 0]
        return one
