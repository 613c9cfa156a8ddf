# Timed cycles: what is printed, and what is refused.

case: the trace of a run is such a file
$ pushcycle run small.yaml --set "loaders[0].speeds.reverse=5 km/h" --set "loaders[0].times.turn=3 s" --set "chance.carry=10 %" --set "chance.fill=5 %" --set "snow.depth=40 cm" --trace t.csv --quiet >/dev/null && pushcycle fit t.csv
out1: ^# Fitted from t\.csv: [0-9]+ rows, 1 loader\. Errors are one standard error\.$
out: ^#  speeds\.push +[0-9.]+ +km/h +[0-9.]+ +[0-9]+ .*(good|fair|poor)$
out: ^#  .*times\.turn \(through 180 degrees\) is not known
out: ^loaders:$
out: ^  - name: 'loader'$
out: ^    speeds: \{push: [0-9.]+ km/h, carry: [0-9.]+ km/h, return: 1[5-7]\.[0-9]+ km/h, reverse: [45]\.[0-9]+ km/h\}
out: ^    times: \{lower: 2\.00 s, raise: 2\.00 s, dump: [0-9.]+ s\}$
out: ^chance: \{fill: [0-9.]+ %, carry: [0-9.]+ %, dump: [0-9.]+ %

case: the fragment goes into a file
$ pushcycle run small.yaml --set "chance.carry=10 %" --set "snow.depth=40 cm" --trace t.csv --quiet >/dev/null && pushcycle fit t.csv --output f.yaml --units us && grep -q "^loaders:" f.yaml && grep -q " mph" f.yaml
no-out: .
file: f.yaml

case: fit json
$ pushcycle run small.yaml --set "chance.carry=10 %" --set "snow.depth=40 cm" --trace t.csv --quiet >/dev/null && pushcycle fit t.csv --json --by machine | $PYTHON -c "import json, sys; r = json.load(sys.stdin); v = r['loaders'][0]['values']; print(r['format'], r['version'], r['loaders'][0]['name'], v[0]['what'], len(v), sorted(r['chance']))"
out: ^pushcycle-fit 1 loader 1 speeds\.push 9 \['carry', 'dump', 'fill', 'return'\]$

# A speed of 2 m/s by hand: 20 m in 10 s, 30 m in 15 s, …; the rows that are no good are all told.
case: rows by hand
$ { echo phase,duration_s,distance_m,direction; for d in 20 22 24 26 28 30 32 34 36 38; do for p in fill carry return; do echo $p,$((d / 2)),$d,forward; done; done; } >h.csv; pushcycle fit h.csv
out: ^    speeds: \{push: 7\.20 km/h, carry: 7\.20 km/h, return: 7\.20 km/h\}$
out: No acceleration is seen
out: times\.dump is not known: fewer than 5 rows

case: returns of which no row says the direction are not pasted as a fact, and an old trace is still read
$ { echo phase,duration_s,distance_m; for d in 20 22 24 26 28 30 32 34 36 38; do for p in fill carry return; do echo $p,$((d / 2)),$d; done; done; } >h.csv; pushcycle fit h.csv; { echo phase,duration_s,distance_m; for d in 20 22 24 26 28 30 32 34 36 38; do for p in fill carry return; do echo $p,$((d / 2)),$d; done; echo return,$d,$d; done; } >h.csv; pushcycle fit h.csv; pushcycle run small.yaml --set "snow.depth=40 cm" --trace t.csv --quiet >/dev/null; cut -d, -f1-15 t.csv >old.csv; pushcycle fit old.csv | grep -c 'speeds: {push.*carry: [0-9.]* km/h}$'; pushcycle fit old.csv --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); l = r['loaders'][0]; print(l['directions_told'], [v['error_mps'] for v in l['values'] if v['what'] == 'speeds.return'], r['chance']['return'])"
out: ^    speeds: \{push: 7\.20 km/h, carry: 7\.20 km/h\}$
out: ^    # speeds\.return is to be filled in: 7\.20 km/h if none of the returns was in reverse$
out: ^#  speeds\.return +7\.20 +km/h +- +10 +0 +- +mixed$
out: ^    # speeds\.return is to be filled in: going by pace alone 7\.20 km/h, and in reverse 3\.60 km/h$
out: ^#  speeds\.reverse +3\.60 +km/h +- +10 +0 +- +by pace$
out: ^1$
out: ^False \[None\] None$
no-out: , return:
no-err: .

case: where few returns are forward, their speed is not known, and the rest is
$ pushcycle run small.yaml --set "chance.return=10 %" --set "snow.depth=40 cm" --trace t.csv --quiet >/dev/null; head -n 1 t.csv | grep -o 'zone,direction$'; pushcycle fit t.csv
err: ^caution: t\.csv: return: loader: [1-7] forward (is|are) too few to tell a speed from chance; time at least 8$
out: ^#  speeds\.return +- +km/h +- +[1-7] +0 +- +too few$
out: ^    speeds: \{push: [0-9.]+ km/h, carry: [0-9.]+ km/h, reverse: (9\.[5-9]|10\.[0-5])[0-9]* km/h\}$
out: ^    # speeds\.return is to be filled in: [1-7] rows? forward (is|are) too few to tell it$
out: ^zone,direction$

case: every bad row is told with its place
$ printf 'phase,duration_s,distance_m\nfil,3,10\ncarry,x,10\nreturn,3,10,\npush,3,10\n' >h.csv; pushcycle fit h.csv
exit: 2
err: ^h\.csv:2:1: phase: "fil" is no phase; did you mean fill\?
err: ^h\.csv:5:1: phase: "push" is no phase; did you mean fill\?
err: ^h\.csv:3:7: duration_s: "x" must be a plain number
err: ^h\.csv:4: has 4 fields where the first line names 3 columns
no-out: .

case: what cannot be told apart is refused, and why
$ { echo phase,duration_s,distance_m; for i in 1 2 3 4 5 6 7 8 9; do echo carry,1$i,40; echo fill,10,20; done; } >h.csv; pushcycle fit h.csv
exit: 2
err: ^h\.csv: fill: loader: all distances are alike
err: ^h\.csv: carry: loader: all distances are alike \(40 m to 40 m\)
err: ^h\.csv: return: loader: no row times it
no-out: .

# 1 ft is 0.3048 m, 1 lb 0.45359237 kg, exactly (NIST SP 811, appendix B).
case: distances in feet and loads in pounds are read, and answered in miles an hour
$ for p in fill carry return; do for d in 20 22 24 26 28 30 32 34 36 38; do echo $p,$d,forward; done; done >rows; { echo phase,duration_s,distance_m,load_kg,direction; $PYTHON -c "for l in open('rows'): p, d, w = l.strip().split(','); print('%s,%r,%r,%r,forward' % (p, int(d) / 2, int(d) * 0.3048, 500 * 0.45359237))"; } >m.csv; { echo phase,duration_min,distance_ft,load_lb,direction; $PYTHON -c "for l in open('rows'): p, d, w = l.strip().split(','); print('%s,%r,%s,500,forward' % (p, int(d) / 120, d))"; } >us.csv; for u in "" "--units us" "--units metric"; do pushcycle fit us.csv $u | grep -v "^#" >a; pushcycle fit m.csv ${u:---units us} | grep -v "^#" >b; cmp a b && grep speeds a; done; pushcycle fit us.csv --json >a; pushcycle fit m.csv --json >b; $PYTHON -c "import json; a, b = ([x for v in json.load(open(f))['loaders'][0]['values'] for x in v.values() if isinstance(x, float)] for f in 'ab'); print(len(a), all(x == y or abs(x - y) < 1e-9 for x, y in zip(a, b)))"
out: ^    speeds: \{push: 1\.36 mph, carry: 1\.36 mph, return: 1\.36 mph\}$
out: ^    speeds: \{push: 2\.19 km/h, carry: 2\.19 km/h, return: 2\.19 km/h\}$
out: ^[1-9][0-9]* True$

case: what is wrong in a column in feet is told by its own name, and in feet
$ { echo phase,duration_s,distance_ft; echo fill,3,-1; echo fill,3,x; } >h.csv; pushcycle fit h.csv; { echo phase,duration_s,distance_ft; for i in 1 2 3 4 5 6 7 8 9; do echo carry,1$i,40; done; } >g.csv; pushcycle fit g.csv
exit: 2
err: ^h\.csv:2:8: distance_ft: must not be less than 0$
err: ^h\.csv:3:8: distance_ft: "x" must be a plain number$
err: ^g\.csv: carry: loader: all distances are alike \(40 ft to 40 ft\)
no-out: .

case: a column in a unit that is none
$ printf 'phase,duration_s,distance_feet,load_stone\nfill,16,92,1\n' >h.csv; pushcycle fit h.csv; printf 'phase,duration_lb,distance_m\nfill,16,92\n' >g.csv; pushcycle fit g.csv
exit: 2
err: ^h\.csv:1:18: distance_feet: feet is not a unit of length; allowed: mm cm m km in ft yd mi$
err: ^h\.csv:1:32: load_stone: stone is not a unit of mass; allowed: kg t lb ton$
err: ^g\.csv:1:7: duration_lb: lb is not a unit of time; allowed: s min h$
no-out: .

case: a unit is one word
$ printf 'phase,duration_min 30 s,distance_ft 3 in\nfill,16,92\n' >h.csv; pushcycle fit h.csv
exit: 2
err: ^h\.csv:1:7: duration_min 30 s: min 30 s is not a unit of time; allowed: s min h$
err: ^h\.csv:1:25: distance_ft 3 in: ft 3 in is not a unit of length

case: feet make miles an hour, wherever the column stands
$ { echo phase,duration_s,distance_ft,machine,direction; for p in fill carry return; do for i in 1 2 3 4 5 6 7 8 9; do echo "$p,1$i,1${i}0,a loader with a long name,"; done; done; } >l.csv; pushcycle fit l.csv
out: ^# +speeds\.return .* mph 

case: a distance in two units
$ printf 'phase,duration_s,distance_ft,distance_yd\nfill,16,92,1\n' >h.csv; pushcycle fit h.csv
exit: 2
err: ^h\.csv:1:30: distance_yd: stands beside distance_ft; give one of the two$

case: columns without a unit are not used, and which are wanted is told
$ printf 'phase,duration_s,distance,load,colour\nfill,16,92,1,red\n' >h.csv; pushcycle fit h.csv; pushcycle fit - <h.csv
exit: 2
err: ^caution: h\.csv:1: columns that are not used: distance \(wanted as distance_m, in metres\), load \(wanted as load_kg, in kilograms\), colour$
err: ^h\.csv: fill: loader: no row times it, or none has a distance$
err: ^-: fill: loader: no row times it

case: beside the distances that are wanted, others are no slip
$ { echo phase,duration_s,distance_ft,distance_m; for d in 20 22 24 26 28 30 32 34 36 38; do for p in fill carry return; do echo $p,$((d / 2)),1,$d; done; done; } >h.csv; pushcycle fit h.csv
err: ^caution: h\.csv:1: columns that are not used: distance_ft$

# The same rows with what an export may have beside them: numbers and names of loads are no loads in another unit.
case: numbers, names and remarks of an exported table are no quantities, and are named once
$ for p in fill carry return; do for d in 20 22 24 26 28 30 32 34 36 38; do echo $p,$((d / 2)),$d; done; done >rows; { echo phase,duration_s,distance_m; cat rows; } >p.csv; { echo phase,duration_s,distance_m,load_no,cycle_no,Load_ID,load_serial_No,distance_note,duration_source,operator_name; sed 's/$/,L-1,7,b 2,3,by tape,watch,"Ann, B"/' rows; } >x.csv; pushcycle fit p.csv | grep -v '^#' >p; pushcycle fit x.csv >o 2>e; cat e; grep -v '^#' o | cmp - p && echo alike; grep -c "not used" e
out1: ^caution: x\.csv:1: columns that are not used: load_no, cycle_no, Load_ID, load_serial_No, distance_note, duration_source, operator_name$
out: ^alike$
out: ^1$

# load_no beside a load: which is which. A quantity stays one, whatever stands in its place.
case: a load in a unit that is none stays an error beside the number of a load
$ printf 'phase,duration_s,distance_m,load_no,load_lb,load_nos\nfill,16,92,x,x,1\n' >h.csv; pushcycle fit h.csv; printf 'phase,duration_s,distance_m,load_no,load_lb\nfill,16,92,x,y\n' >g.csv; pushcycle fit g.csv
exit: 2
err: ^h\.csv:1:45: load_nos: stands beside load_lb; give one of the two$
err: ^g\.csv:2:14: load_lb: "y" must be a plain number$
no-out: .

case: fit needs a file
$ pushcycle fit
exit: 2
err: needs a CSV file of timed cycles

case: a file that is not there
$ pushcycle fit nowhere.csv
exit: 3
err: nowhere\.csv

case: fit by what
$ printf 'phase,duration_s\nfill,3\n' >h.csv; pushcycle fit h.csv --by crew
exit: 2
err: --by: "crew" is not allowed; choose loader or machine

case: the fragment never takes the place of the rows
$ printf 'phase,duration_s\nfill,3\n' >h.csv; pushcycle fit h.csv --output h.csv
exit: 2
err: ^pushcycle: --output must not overwrite the timed cycles "h\.csv"$

case: help says what it reads
$ pushcycle fit --help
out1: ^usage: pushcycle fit \[OPTIONS\] TIMES\.csv$
out: --by loader\|machine

case: one row is one row
$ printf 'machine,phase,duration_s,distance_m\nL1,fill,18,24\nL1,carry,25,55\nL1,carry,20,44\n' >f.csv; pushcycle fit f.csv
exit: 2
err: fill: L1: 1 row is too few to tell a speed from chance; time at least 8
err: carry: L1: 2 rows are too few to tell a speed from chance; time at least 8
