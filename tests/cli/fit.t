# Timed cycles: what is printed, and what is refused.

case: the trace of a run is such a file
$ pushcycle run small.yaml --set "chance.carry=10 %" --set "chance.fill=5 %" --set "snow.depth=40 cm" --trace t.csv --quiet >/dev/null && pushcycle fit t.csv
out1: ^# Fitted from t\.csv: [0-9]+ rows, 1 loader\. Errors are one standard error\.$
out: ^#  speeds\.push +[0-9.]+ +km/h +[0-9.]+ +[0-9]+ .*(good|fair|poor)$
out: ^#  .*times\.turn \(through 180 degrees\) is not known
out: ^loaders:$
out: ^  - name: 'loader'$
out: ^    speeds: \{push: [0-9.]+ km/h, carry: [0-9.]+ km/h, return: [0-9.]+ km/h
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
$ { echo phase,duration_s,distance_m; for d in 20 22 24 26 28 30 32 34 36 38; do for p in fill carry return; do echo $p,$((d / 2)),$d; done; done; } >h.csv; pushcycle fit h.csv
out: ^    speeds: \{push: 7\.20 km/h, carry: 7\.20 km/h, return: 7\.20 km/h\}$
out: No acceleration is seen
out: times\.dump is not known: fewer than 5 rows

case: every bad row is told with its place
$ printf 'phase,duration_s,distance_m\nfil,3,10\ncarry,x,10\nreturn,3,10,\n' >h.csv; pushcycle fit h.csv
exit: 2
err: ^h\.csv:2:1: phase: "fil" is no phase; did you mean fill\?
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

case: distances in feet are told of, and which are wanted
$ printf 'phase,duration_s,distance_ft,load,colour\nfill,16,92,1,red\n' >h.csv; pushcycle fit h.csv; pushcycle fit - <h.csv
exit: 2
err: ^caution: h\.csv:1: columns that are not used: distance_ft \(wanted as distance_m, in metres\), load \(wanted as load_kg, in kilograms\), colour$
err: ^h\.csv: fill: loader: no row times it, or none has a distance$
err: ^h\.csv: return: loader: no row times it
err: ^-: fill: loader: no row times it

case: beside the distances that are wanted, others are no slip
$ { echo phase,duration_s,distance_ft,distance_m; for d in 20 22 24 26 28 30 32 34 36 38; do for p in fill carry return; do echo $p,$((d / 2)),1,$d; done; done; } >h.csv; pushcycle fit h.csv
err: ^caution: h\.csv:1: columns that are not used: distance_ft$

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
err: must not overwrite

case: help says what it reads
$ pushcycle fit --help
out1: ^usage: pushcycle fit \[OPTIONS\] TIMES\.csv$
out: --by loader\|machine
