# SPDX-License-Identifier: GPL-3.0-or-later
"""Do two GeoJSON files of `pushcycle check --geojson` describe the same lot? same_lot.py A B

What lies where may differ by a millimetre, and so may radii and heights; volumes by a litre. Lanes follow from the boxes
and do not count."""
import json
import math
import sys

NEAR_M = 1e-3
METRES_A_DEGREE = 111319.5  # of latitude, at most: half of the ellipsoid's girth over 180


def places(geometry):
    def walk(item):
        if isinstance(item[0], (int, float)):
            yield item[:2]
        else:
            for inner in item:
                yield from walk(inner)
    return list(walk(geometry["coordinates"]))


def lot(path):
    with open(path, encoding="utf-8") as file:
        features = json.load(file)["features"]
    return [f for f in features if f["properties"]["kind"] not in ("lane", "path")]


def main():
    first, second = lot(sys.argv[1]), lot(sys.argv[2])
    corners = sizes = 0
    if len(first) != len(second) or not first:
        sys.exit(f"{len(first)} and {len(second)} things")
    for one, other in zip(first, second):
        a, b = one["properties"], other["properties"]
        if a["kind"] != b["kind"] or a["name"] != b["name"] or set(a) != set(b):
            sys.exit(f"{a} and {b}")
        for key in ("opens", "clear_by", "sweep_before", "into"):
            if a.get(key) != b.get(key):
                sys.exit(f"{a['name']}: {key} {a.get(key)} and {b.get(key)}")
        for key in ("radius", "height", "volume"):
            if key in a:
                (x, unit), (y, unit_too) = a[key].split(), b[key].split()
                if unit != unit_too or abs(float(x) - float(y)) > NEAR_M:
                    sys.exit(f"{a['name']}: {key} {a[key]} and {b[key]}")
                sizes += 1
        here, there = places(one["geometry"]), places(other["geometry"])
        if len(here) != len(there):
            sys.exit(f"{a['name']}: {len(here)} and {len(there)} corners")
        for (lon, lat), (lon_too, lat_too) in zip(here, there):
            east = (lon - lon_too) * METRES_A_DEGREE * math.cos(math.radians(lat))
            if math.hypot(east, (lat - lat_too) * METRES_A_DEGREE) > NEAR_M:
                sys.exit(f"{a['name']}: [{lon}, {lat}] and [{lon_too}, {lat_too}]")
            corners += 1
    print(f"same lot, {corners} corners and points, {sizes} sizes")


main()
