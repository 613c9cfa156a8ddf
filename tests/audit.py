#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Audits runs from outside: what docs/model.md says of times, ways, loads, order and sums, recomputed from the scenario
file and held against the trace and the JSON of `pushcycle run`. It shares no code with the program.

    audit.py BINARY                          the runs that `make test` looks at, and the self-test
    audit.py BINARY SCENARIO.yaml [OPTION …]  one run; --layout, --box, --policy, --depth, --plan as for `run`
    audit.py BINARY --random FIRST COUNT     random scenarios of these seeds; --keep FOLDER keeps their files
    audit.py BINARY --selftest               traces and results with a fault put in, which has to be found
"""
import collections
import concurrent.futures
import os
import shutil
import subprocess
import sys
import tempfile

import yaml

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
# pylint: disable=wrong-import-position
from audit import cases, crew, drawn, ground, piles, rows, selftest, sums, tour  # noqa: E402
from audit.night import Night  # noqa: E402
from audit.scenario import Scenario  # noqa: E402

SHOWN = 5  # complaints of one kind about one run


PARTS = {"rows": rows, "tour": tour, "piles": piles, "sums": sums, "ground": ground, "crew": crew}


def look(night):
    for part in PARTS.values():
        part.check(night)
    return night


class Refused(Exception):
    pass


def run(binary, path, folder, options):
    """One replication of a scenario; (trace, result)."""
    trace, result = os.path.join(folder, "trace.csv"), os.path.join(folder, "result.json")
    command = [binary, "run", path, "--quiet", "--replications", "1", "--threads", "1", "--json", "--output", result,
               "--trace", trace]
    for key, value in options.items():
        command += ["--" + key, value]
    done = subprocess.run(command, capture_output=True, check=False, timeout=300)
    if done.returncode not in (0, 1) or not os.path.exists(trace):
        raise Refused(done.stderr.decode().strip())
    return trace, result


def audit(binary, path, options, folder):
    trace, result = run(binary, path, folder, options)
    return look(Night(Scenario(path, options), trace, result))


def plan(binary, path, folder):
    saved = os.path.join(folder, "plan.json")
    subprocess.run([binary, "plan", path, "--quiet", "--tries", "16", "--threads", "1", "--save", saved],
                   capture_output=True, check=False)
    return saved


def one_case(binary, case):
    """(name, checks made, complaints, reason or why there was no run) of a case."""
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "case.yaml")
        with open(path, "w", encoding="utf-8") as file:
            yaml.dump(case.scenario, file, Dumper=cases.Plain, sort_keys=False)
        options = dict(case.options)
        if options.pop("plan", None):
            options["plan"] = plan(binary, path, folder)
        try:
            night = audit(binary, path, options, folder)
        except Refused as why:
            return case.name, {}, [], str(why)
        return case.name, night.checked, night.complaints, night.json["reason"]


def report(name, complaints):
    told = collections.Counter()
    for check, text in complaints:
        told[check] += 1
        if told[check] <= SHOWN:
            print(f"audit: {name}: {check}: {text}", file=sys.stderr)
    for check, count in told.items():
        if count > SHOWN:
            print(f"audit: {name}: {check}: and {count - SHOWN} more", file=sys.stderr)


def look_at_all(binary, all_cases, may_refuse):
    """Prints what is wrong, and one line at the end; how many complaints."""
    checks, ends, wrong = collections.Counter(), collections.Counter(), 0
    with concurrent.futures.ProcessPoolExecutor(int(os.environ.get("JOBS", "2"))) as pool:
        for name, checked, complaints, reason in pool.map(one_case, [binary] * len(all_cases), all_cases):
            checks.update(checked)
            ends[reason if checked else "refused"] += 1
            if not checked and not may_refuse:
                complaints = [("run", reason)]
            wrong += len(complaints)
            report(name, complaints)
    rows_seen = checks.pop("row", 0)
    told = ", ".join(f"{reason} {count}" for reason, count in sorted(ends.items()))
    print(f"audit: {len(all_cases)} runs ({told}), {rows_seen} rows, {sum(checks.values())} checks of {len(checks)} kinds: "
          + ("ok" if wrong == 0 else f"{wrong} complaints"))
    return wrong, checks


def main():
    arguments = sys.argv[1:]
    if not arguments or arguments[0].startswith("-"):
        sys.exit(__doc__)
    binary, rest = os.path.abspath(arguments[0]), arguments[1:]
    if not rest:
        os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
        wrong, checks = look_at_all(binary, cases.demonstration(), False)
        for kind in cases.EVERY_KIND - set(checks):
            wrong += 1
            print(f"audit: nothing was held to \"{kind}\": the check is blind", file=sys.stderr)
        wrong += selftest.check(binary, run, PARTS)
    elif rest[0] == "--selftest":
        wrong = selftest.check(binary, run, PARTS)
    elif rest[0] == "--random":
        first, count = int(rest[1]), int(rest[2])
        made = [cases.Case(f"seed {n}", drawn.Draw(n).scenario(), {}) for n in range(first, first + count)]
        wrong = look_at_all(binary, made, True)[0]
        if "--keep" in rest:
            for case in made:
                with open(os.path.join(rest[rest.index("--keep") + 1], case.name.replace(" ", "") + ".yaml"), "w",
                          encoding="utf-8") as file:
                    yaml.dump(case.scenario, file, Dumper=cases.Plain, sort_keys=False)
    else:
        options = {key.lstrip("-"): value for key, value in zip(rest[1::2], rest[2::2])}
        folder = tempfile.mkdtemp()
        night = audit(binary, rest[0], options, folder)
        shutil.rmtree(folder)
        wrong = len(night.complaints)
        report(rest[0], night.complaints)
        print(f"audit: {len(night.rows)} rows, {sum(night.checked.values())} checks, {wrong} complaints")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
