#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Keeps the pages of the model honest: model.py BINARY

- Every file of this tree that docs/model.md and docs/bound.md name is there, and so is every heading that any page of
  the documents links to.
- Every default on the page is the one that `pushcycle schema` tells, and every numeric default of the schema is on the
  page, but for those that other pages list.
- It is also the one in force: a run with all of them written out gives the bytes of a run with none, and a run with
  any one of them changed gives others.
- Every constant on the page stands so in its file."""
import concurrent.futures
import json
import os
import re
import subprocess
import sys
import tempfile

MODEL, BOUND = "docs/model.md", "docs/bound.md"
ROOTS = ("lib/", "tests/", "docs/", "cli/", "tools/", "scenarios/")
# Defaults that other pages list: docs/siting.md, docs/place.md, docs/compare.md. A storm's rate is what it is about.
ELSEWHERE = ("siting.", "place.", "compare.", "storm.")
# A lot on which the defaults matter: power, an obstacle, a passage, a storm, piles that fill, two machines.
LOT = """\
pushcycle: 1
snow: {depth: 6 cm}
site:
  areas: [{name: a, outline: [[0, 0], [44, 0], [44, 24], [0, 24]]}]
  obstacles: [{name: o, outline: [[20, 8], [22, 8], [22, 11], [20, 11]]}]
  passages: [{name: p, at: [40, 12], radius: 6 m}]
boxes: [{name: b, width: 3 m, height: 1 m}]
loaders:
  - {name: l, speeds: {push: 8 km/h, carry: 10 km/h, return: 16 km/h}, power: 20 kW, mass: 9 t, traction: 0.25}
zones: [{name: z, outline: [[44, 4], [47, 4], [47, 20], [44, 20]]}]
crew: [{loader: l, box: b}, {loader: l, box: b}]
storm: [{after: 0 h, rate: 5 cm/h}, {after: 30 min, rate: 0 cm/h}]
"""
# What a default in words comes to on that lot; None: no value can be written for it.
IN_NUMBERS = {
    "loaders.speeds.reverse": "10 km/h",
    "loaders.back_out": "8 m",
    "boxes.heap_factor": "0.8 m",
}
# What else has to be set for a key to matter at all.
BESIDE = {
    "snow.wind": ["snow.density_formula=pahaut", "snow.air_temperature=-5 C"],
    "snow.density_formula": ["snow.air_temperature=-5 C"],
    "chance.seed": ["chance.fill=0.2"],
    "near.distance": ["near.speed=3 km/h"],
    "near.border": ["site.obstacles[0].kind=fence"],
    "loaders.box_friction": ["boxes[0].mass=500 kg"],
    "site.areas.sweep_before": ["snow.trigger=5 cm", "site.areas[0].clear_by=25 min"],
}
# Another value than the default, where the default times 1.5 is none or changes nothing.
ANOTHER = {
    "snow.density_formula": "anderson",
    "snow.wind": "9 m/s",
    "snow.trigger": "8 cm",
    "snow.done_below": "3 cm",
    "site.areas.heading": "90 deg",
    "site.passages.machines": "2",
    "boxes.mass": "500 kg",
    "boxes.spill_from": "0.5",
    "loaders.drive_efficiency": "0.5",
    "loaders.grade": "0.02",
    "loaders.machine_width": "5 m",
    "loaders.machine_length": "12 m",
    "site.areas.opens": "1 h",
    "site.areas.sweep_before": "15 min",
    "zones.height": "1 m",
    "zones.berths": "2",
    "crew.count": "2",
    "crew.from": "1 h",
    "policy": "straight-runs",
    "full_at": "0.6",
    "work_minutes_per_hour": "50",
    "keep_apart": "9 m",
    "near.distance": "3 m",
    "near.border": "1 m",
    "chance.replications": "2",
    "chance.seed": "2",
    "chance.fill": "0.2",
    "chance.carry": "0.2",
    "chance.dump": "0.2",
    "chance.turn": "0.2",
    "chance.return": "0.2",
}
# Of no effect on a run: weather records, the cost of a season, and how many boxes a comparison may use.
NO_RUN = ("snow.snow_below", "snow.rain_above", "boxes.seasons", "boxes.count", "money.interest")

faults = []


def complain(text):
    faults.append(text)


def table(text, heading):
    """The cells of the first table under a heading, without its head."""
    part = text.split("\n## " + heading + "\n")[1].split("\n## ")[0]
    rows = [line for line in part.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in rows[2:]]


def check_files(page, text):
    names = set(re.findall(r"`((?:%s)[^`\s]+)`" % "|".join(ROOTS), text))
    for name in sorted(names):
        if not os.path.exists(name):
            complain(f"{page}: {name} is not there")
    return len(names)


def anchors(text):
    """Of headings, as the usual renderers make them."""
    made = set()
    for line in text.splitlines():
        if re.match(r"#+ ", line):
            words = line.lstrip("#").strip().lower()
            made.add(re.sub(r"[^\w\- ]", "", words).replace(" ", "-"))
    return made


def check_anchors():
    pages = ["README.md", "DEVELOPERS.md"] + ["docs/" + f for f in os.listdir("docs") if f.endswith(".md")]
    count = 0
    for page in pages:
        with open(page, encoding="utf-8") as file:
            text = file.read()
        for target, anchor in re.findall(r"\]\(([^)#: ]*)#([^)]+)\)", text):
            path = os.path.normpath(os.path.join(os.path.dirname(page), target)) if target else page
            with open(path, encoding="utf-8") as file:
                count += 1
                if anchor not in anchors(file.read()):
                    complain(f"{page}: {path} has no heading for #{anchor}")
    return count


def schema_defaults(schema):
    """Key → default in words; entries of lists have the key of their list."""
    found = {}

    def walk(node, key):
        node = node["items"] if isinstance(node.get("items"), dict) else node
        for variant in node.get("anyOf", []) + node.get("oneOf", []):
            walk(variant, key)
        if "$ref" in node:
            walk(schema["$defs"][node["$ref"].split("/")[-1]], key)
        for name, child in node.get("properties", {}).items():
            here = key + "." + name if key else name
            told = re.search(r"Default: (.*)\.$", child.get("description", ""))
            if told:
                found[here] = told.group(1)
            walk(child, here)

    walk(schema, "")
    return found


def plain(default):
    """Without what explains it: "0 m: off" and "2 C (an assumption)" are 0 m and 2 C."""
    return re.split(r": | \(", default)[0]


def value_of(key, default):
    return IN_NUMBERS.get(key) or re.search(r"[^ ]+( ?(?:cm|m|s|h|%|C|deg|kg/m3|kg|m/s))?$", default).group(0)


def larger(value):
    number, unit = re.match(r"([\d.]+)(.*)", value).groups()
    return "%g%s" % (float(number) * 1.5 if float(number) > 0 else 1.0, unit)


def set_path(key):
    parts = key.split(".")
    lists = ("boxes", "loaders", "zones", "crew")
    if parts[0] in lists:
        parts[0] += "[0]"
    if parts[:2] in (["site", "areas"], ["site", "passages"]):
        parts[1] += "[0]"
    return ".".join(parts)


def run(binary, lot, pairs):
    command = [binary, "run", lot, "--json", "--quiet", "--threads", "1"]
    for pair in pairs:
        command += ["--set", pair]
    done = subprocess.run(command, capture_output=True, check=False)
    if done.returncode not in (0, 1) or not done.stdout:
        return None, done.stderr.decode()
    return done.stdout, ""


def check_in_force(binary, rows):
    keys = {key: value_of(key, default) for key, default in rows if key not in NO_RUN}
    with tempfile.TemporaryDirectory() as folder, concurrent.futures.ThreadPoolExecutor(4) as pool:
        lot = os.path.join(folder, "lot.yaml")
        with open(lot, "w", encoding="utf-8") as file:
            file.write(LOT)

        def went(key, value):
            """What a run gives with this value, or where nothing is said of the key."""
            output, why = run(binary, lot, BESIDE.get(key, []) + ([set_path(key) + "=" + value] if value else []))
            if output is None:
                complain(f"{MODEL}: {key}: {why}")
            return output

        bare = dict(zip(keys, pool.map(lambda key: went(key, None) if key in BESIDE else None, keys)))
        plain_run, why_not = run(binary, lot, [])
        if plain_run is None:
            complain(f"the lot of this test does not run: {why_not}")
        bare = {key: output or plain_run for key, output in bare.items()}
        # All that matter by themselves at once; only if that differs, which one does it.
        alone = [key for key in keys if key not in BESIDE]
        all_out = run(binary, lot, [set_path(key) + "=" + keys[key] for key in alone])[0]
        doubtful = [key for key in keys if key in BESIDE or all_out != plain_run]
        for key, output in zip(doubtful, pool.map(lambda key: went(key, keys[key]), doubtful)):
            if output != bare[key]:
                complain(f"{MODEL}: {key} is not {keys[key]} where nothing is said of it: a run with it differs")
        others = pool.map(lambda key: went(key, ANOTHER.get(key) or larger(keys[key])), keys)
        for key, output in zip(keys, others):
            if output == bare[key]:
                complain(f"{MODEL}: {key}: {ANOTHER.get(key) or larger(keys[key])} changes nothing: the check is blind")
    return len(keys)


def check_defaults(binary, text):
    schema = json.loads(subprocess.run([binary, "schema"], capture_output=True, check=True).stdout)
    told = schema_defaults(schema)
    rows = []
    for key, default, source in table(text, "Default values"):
        key = key.strip("`")
        if key not in told:
            complain(f"{MODEL}: the schema tells no default of {key}")
            continue
        if plain(told[key]) != default:
            complain(f"{MODEL}: {key} is {default} there, but {told[key]} in the schema")
        if not source:
            complain(f"{MODEL}: {key} has no source")
        rows.append((key, plain(told[key])))
    there = {key for key, _ in rows}
    for key, default in told.items():
        if re.match(r"[\d.]", default) and key not in there and not key.startswith(ELSEWHERE):
            complain(f"{MODEL}: the default of {key}, {default}, is missing")
    return len(rows), check_in_force(binary, rows)


def check_constants(text):
    rows = table(text, "Constants of the code")
    for _, code, path in rows:
        if not os.path.exists(path.strip("`")):
            continue  # told of above
        with open(path.strip("`"), encoding="utf-8") as file:
            if code.strip("`") not in file.read():
                complain(f"{MODEL}: {path.strip('`')} does not have {code}")
    return len(rows)


def main():
    binary = os.path.abspath(sys.argv[1])
    os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
    files = 0
    for page in (MODEL, BOUND):
        with open(page, encoding="utf-8") as file:
            files += check_files(page, file.read())
    with open(MODEL, encoding="utf-8") as file:
        text = file.read()
    links = check_anchors()
    defaults, in_force = check_defaults(binary, text)
    constants = check_constants(text)
    for fault in faults:
        print("model: " + fault, file=sys.stderr)
    if faults or min(files, links, defaults, in_force, constants) == 0:
        sys.exit(1)
    print(f"model: {files} files, {links} headings, {defaults} defaults ({in_force} by runs), {constants} constants: ok")


main()
