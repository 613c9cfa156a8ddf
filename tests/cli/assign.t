# Machines and boxes to lots. The lots are copies of the small one.

case: a lot in the place of the fleet, a fleet in the place of a lot
$ pushcycle assign small.yaml fleet.yaml; echo $?; pushcycle assign fleet.yaml small.yaml fleet.yaml; echo $?; pushcycle run fleet.yaml 2>&1 | wc -l
out: ^2$
err: ^small\.yaml:3:1: this is the scenario of a lot .*, where the file of a fleet is due; `assign` takes the fleet first, then the lots$
err: ^fleet\.yaml:3:1: this is the file of a fleet .*, where the scenario of a lot is due; `assign` takes the fleet first, then the lots$
no-err: not a known key|is required
out: ^ *1$

case: a plan
$ for n in A B C; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml
out1: ^All 3 lots are done after [0-9.]+ (s|min|h) with 2 of 2 machines, for EUR [0-9.]+\.$
out: ^No plan with this fleet is done sooner\.
out: ^  mid +wide +[ABC] +[0-9.]+ min .* mid with narrow
out: ^  slow +narrow +[ABC] 
out: [Ll]ocal codes
no-err: .

# Three equal lots for two machines: one does two of them, the other is done after one. By least cost the mid one may do all alone.
case: who sets the time
$ for n in A B C; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml --json >p.json; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml >p.txt; $PYTHON -c "import json; R = sorted(json.load(open('p.json'))['routes'], key=lambda r: r['stops'][-1]['done_s']); e = [r['stops'][-1]['done_s'] for r in R]; print(len(e), e[1] - e[0] > 0.05 * e[1], 'Who sets the time: %s on \"%s\", to the end; %s is done %.1f min before it.' % (R[1]['machine'], R[1]['stops'][-1]['lot'], R[0]['machine'], (e[1] - e[0]) / 60) in open('p.txt').read())"; pushcycle assign fleet.yaml A.yaml | grep -c sets || true
out: ^2 True True$
out: ^0$

case: a cost without fuel says so
$ sed "s/^name: .*/name: A/" small.yaml >A.yaml; pushcycle assign fleet.yaml A.yaml; sed "s/ fuel: {per_kwh: 0.25, idle: 4},//" fleet.yaml >dry.yaml; pushcycle assign dry.yaml A.yaml | grep fuel | sed 's/^/dry: /'
no-out: ^The cost is without
out: ^dry: The cost is without the fuel of machines that have no fuel figures \(fuel\.per_kwh and fuel\.idle, with power, mass and traction\): "mid" on "A" is the first of them\.$

case: the plan can be carried out, and its sums are those of its parts
$ for n in A B C; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml --json >p.json; printf '%s\n' 'import json' 'p = json.load(open("p.json"))' 'm = dict(zip("yABC", [[0, 5, 5, 9], [5, 0, 3, 9], [5, 3, 0, 9], [9, 9, 9, 0]]))' 't = {(x["machine"], x["box"], x["lot"]): x["work_s"] for x in p["trials"] if x["used"]}' 'R = p["routes"]; end = []' 'ok = sorted(s["lot"] for r in R for s in r["stops"]) == ["A", "B", "C"] and len({r["machine"] for r in R}) == len(R) == len({r["box"] for r in R})' 'for r in R:' '  now, at = 0, "y"' '  for s in r["stops"]:' '    now += 60 * m[at]["yABC".index(s["lot"])]' '    ok &= abs(now - s["arrive_s"]) < 1e-6' '    now += t[r["machine"], r["box"], s["lot"]]' '    ok &= abs(now - s["done_s"]) < 1e-6' '    at = s["lot"]' '  end.append(now)' 'print(p["format"], p["version"], ok, abs(max(end) - p["finish_s"]) < 1e-6, p["gap"] == 0, p["bound_s"] == p["finish_s"])' >c.py; $PYTHON c.py
out: ^pushcycle-assign 1 True True True True$

case: the least cost is no more than the cost of the quickest, and takes no less time
$ for n in A B C; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml --json >t.json; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml --least cost --json >c.json; $PYTHON -c "import json; t, c = json.load(open('t.json')), json.load(open('c.json')); print(c['cost']['total'] <= t['cost']['total'], c['finish_s'] >= t['finish_s'], c['bound_cost'] == c['cost']['total'], c['bound_s'])"
out: ^True True True None$

case: csv has a row for each lot
$ for n in A B; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; pushcycle assign fleet.yaml A.yaml B.yaml --csv | $PYTHON -c "import csv, sys; r = list(csv.DictReader(sys.stdin)); print(len(r), sorted(x['lot'] for x in r), all(x['second_machine'] for x in r))"
out: ^2 \['A', 'B'\] True$

case: the same bytes for any number of threads
$ for n in A B; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; pushcycle assign fleet.yaml A.yaml B.yaml --replications 3 --threads 1 --json >a; pushcycle assign fleet.yaml A.yaml B.yaml --replications 3 --threads 3 --json >b; cmp a b && echo same
out: ^same$

case: a machine that cannot push a load is left out, with the reason
$ sed "s/^name: .*/name: A/" small.yaml >A.yaml; sed 's/traction: 0.3/traction: 0.02/' fleet.yaml >f.yaml; pushcycle assign f.yaml A.yaml
out: ^Left out:
out: ^  mid with wide, all lots: cannot push a load of this snow \(traction\)

case: a lot that nobody can do
$ sed "s/^name: .*/name: A/" small.yaml >A.yaml; sed -e 's/traction: 0.3/traction: 0.02/' -e '/name: slow/d' fleet.yaml >f.yaml; pushcycle assign f.yaml A.yaml
exit: 1
out1: ^There is no plan: no lot can be done
out: ^No machine with any box can do "A"\.

case: an area that is bound to a loader which the fleet has not is named once, with the lot, and the others are planned
$ for n in A B C; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; sed -i 's/{name: yard,/{name: yard, loaders: [loader],/' B.yaml; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml >o; echo $?; cat o; pushcycle assign fleet.yaml A.yaml C.yaml --json >a; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml --json >b; $PYTHON -c "import json; a, b = json.load(open('a')), json.load(open('b')); print(a['routes'] == b['routes'], a['finish_s'] == b['finish_s'], a['bound_s'] == b['bound_s'], b['found'], b['lots_impossible'])"
out: ^1$
out: ^2 of 3 lots are done after
out: ^No machine with any box can do "B": area "yard" is only for "loader" \(its `loaders`\), and no machine of the fleet is called so; give it one, or mark the lot's own `keep`\.$
no-out: stops with work left|Left out
out: ^True True True True 1$
no-err: .

case: one bound to a machine of the fleet is left to that
$ sed -e "s/^name: .*/name: A/" -e 's/{name: yard,/{name: yard, loaders: [slow],/' -e 's/name: loader/name: slow/; s/loader: loader/loader: slow/' small.yaml >A.yaml; pushcycle assign fleet.yaml A.yaml
out1: ^All 1 lot is done
out: ^  mid with wide, .*: stops with work left: area "yard" is only for "slow" \(its `loaders`\)$
no-out: called so

case: lots that start at different times, or open later, are named in one caution
$ for n in A B C; do sed "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; sed -i '1i starts_at: "22:00"' A.yaml; sed -i '1i starts_at: "1:00 am"' B.yaml; sed -i 's/{name: yard,/{name: yard, opens: 1 h,/' C.yaml; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml 2>&1 >o | grep -c caution; pushcycle assign fleet.yaml A.yaml B.yaml C.yaml >o; sed -i '1d; 2i starts_at: "22:00"' B.yaml; pushcycle assign fleet.yaml A.yaml B.yaml 2>&1 >o | grep -c caution
exit: 1
out: ^1$
out: ^0$
err: ^caution: machines leave the yard at time 0 for every lot, and `opens` counts from their arrival: not looked at are the hours of "A" \(starts_at 22:00\), "B" \(starts_at 1:00 am\), "C" \(opens\)$

case: zones that run full
$ sed -e "s/^name: .*/name: A/" -e 's/height: 5 m}/height: 5 m, volume: 5 m3}/' small.yaml >A.yaml; pushcycle assign fleet.yaml A.yaml
exit: 1
out1: ^(All|[0-9]+ of) [0-9]+ lots? (is|are) done, but for what the full zones of [0-9] can.t hold, after
out: ^The zones of "A" run full with every machine

case: a lot that the fleet does not know
$ pushcycle assign fleet.yaml small.yaml
exit: 2
err: ^fleet\.yaml:[0-9]+:[0-9]+: travel\.places: has no place "Small lot", though a lot has that name; it has "yard", "A", .*$
no-out: .

case: two lots of one name
$ sed "s/^name: .*/name: A/" small.yaml >A.yaml; pushcycle assign fleet.yaml A.yaml A.yaml
exit: 2
err: are both called "A"

case: no prices
$ sed "s/^name: .*/name: A/" small.yaml >A.yaml; grep -v '^money' fleet.yaml >f.yaml; pushcycle assign f.yaml A.yaml --least cost
exit: 2
err: needs prices

case: every fault of the fleet and of the lots is told at once
$ sed 's/count/cuont/; s/width: 4 m/width: 4/' fleet.yaml >f.yaml; pushcycle assign f.yaml faulty.yaml
exit: 2
err: ^f\.yaml:[0-9]+:[0-9]+: boxes\[0\]\.box\.width: 
err: ^faulty\.yaml:

case: a fleet alone
$ pushcycle assign fleet.yaml
exit: 2
err: needs the fleet and at least one lot

case: options
$ pushcycle assign fleet.yaml small.yaml --least money --nodes 0
exit: 2
err: --least: "money" is not allowed; choose time or cost
err: --nodes: "0" is not allowed

case: Ctrl-C ends with what is known, and marks what is not
$ for n in A B C; do sed -e "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; $PYTHON $TESTS/interrupt.py --at 0.4 pushcycle assign fleet.yaml A.yaml B.yaml C.yaml --threads 1 --replications 10000 --json --output p.json; $PYTHON -c "import json; p = json.load(open('p.json')); t = p['trials']; print(p['stopped'], p['trials_untried'] == sum(x['result'] == 'untried' for x in t) > 0, p['bound_s'], p['gap'], p['found'] == (p['lots_open'] == 0))"; ls | grep -c 'p.json\.'
out1: ^exit 1$
out: ^True True None None True$
out: ^0$
err: stopped
exit: 1

case: Ctrl-C while nothing is known
$ for n in A B C; do sed -e "s/^name: .*/name: $n/" small.yaml >$n.yaml; done; $PYTHON $TESTS/interrupt.py --at 0.002 pushcycle assign fleet.yaml A.yaml B.yaml C.yaml --threads 1 --replications 100000
out: ^There is no plan yet: the work was stopped before one was found\.$
out: ^Who can do "C" is not known yet\.$
out: ^exit 1$
err: ^[0-9]+ of 900000 simulations, about [0-9.]+ (s|min|h) left

# A cost of a machine's own is not of `money`.
case: a fleet's prices of an hour that are given as those of a minute
$ sed "s/^name: .*/name: A/" small.yaml >A.yaml; sed 's|machine: 95 /h|machine: 95 /min|' fleet.yaml >minute.yaml; pushcycle assign minute.yaml A.yaml 2>&1 >/dev/null | grep -c "^caution: minute.yaml:12:.*: money.machine: 5700 /h is unusual: a machine costs about 5 /h to 1000 /h; is the unit right?$"; pushcycle assign fleet.yaml A.yaml 2>&1 >/dev/null | grep -c unusual
exit: 1
out: ^1$
out: ^0$
