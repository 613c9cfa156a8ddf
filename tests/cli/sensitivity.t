# Which inputs matter.

case: sensitivity answers in its first line
$ pushcycle sensitivity small.yaml
out1: ^[a-z_.]+ matters most: [-+][0-9.]+ % of the total time \([0-9.]+ (s|min)\) for each per cent\.$
out: ^  input +now +-10 % +\+10 % +elasticity +swing
out: ^  snow\.depth +10 cm +
out: ^  full_at .*only to \+4\.2 %$
out: ^  loaders\.acceleration: it is not given\.$
out: Where the order of the best turns, between 3\.3 cm and 30 cm of snow:
out: [Ll]ocal codes
no-err: .

case: other steps and depths
$ pushcycle sensitivity small.yaml --by "5 %" --depths "5 cm,20 cm" --units us
out: ^  input +now +-5 % +\+5 %
out: between 2 in and 7\.9 in of snow
out: ^  snow\.depth +3\.94 in

case: how fast a storm falls is an input, in the reader's unit
$ for u in metric us; do pushcycle sensitivity small.yaml --units $u --box wide --layout "one pile" --set "storm=[{after: 0 h, rate: 10 cm/h}, {after: 10 min, rate: 0 cm/h}]" | grep "storm\.rate"; done; pushcycle sensitivity small.yaml | grep "storm\.rate"
out: ^  storm\.rate +10 cm/h +[-+][0-9.]+ % +[-+][0-9.]+ % +[-+][0-9.]+ +#
out: ^  storm\.rate +3\.94 in/h +[-+]
out: ^  storm\.rate: it is not given\.$

case: sensitivity json
$ pushcycle sensitivity small.yaml --json --box wide --layout "one pile" | $PYTHON -c "import json, sys; r = json.load(sys.stdin); s = [x['swing_s'] for x in r['rows']]; print(r['format'], r['version'], r['finished'], s == sorted(s, reverse=True), len(r['break_evens']), sorted(set('input low_factor high_factor elasticity swing_s'.split()) - set(r['rows'][0])))"
out: ^pushcycle-sensitivity 1 True True 0 \[\]$

case: sensitivity csv
$ pushcycle sensitivity small.yaml --csv --box wide --layout "one pile" | $PYTHON -c "import csv, sys; r = list(csv.reader(sys.stdin)); print(len({len(x) for x in r}), r[0][0], sorted(x[0] for x in r[1:])[0])"
out: ^1 input boxes\.heap_factor$

case: the same bytes, whatever the threads
$ for n in 1 3; do pushcycle sensitivity small.yaml --set "chance.fill=20 %" --replications 4 --threads $n --json >s$n; done; cmp s1 s3 && echo same
out: ^same$

case: --set comes first
$ pushcycle sensitivity small.yaml --box wide --layout "one pile" --set "loaders[0].acceleration=0.8 m/s2"
out: ^  loaders\.acceleration +0\.8 m/s2

case: work that does not finish
$ pushcycle sensitivity small.yaml --layout "one pile" --set "zones[0].volume=5 m3"
exit: 1
out1: ^The work is not finished as the scenario stands \(pile zones full\)

case: a step that is none
$ pushcycle sensitivity small.yaml --by much
exit: 2
err: --by: "much" is not allowed; give a share

case: one depth is no range
$ pushcycle sensitivity small.yaml --depths "5 cm"
exit: 2
err: --depths: "5 cm" must be two depths

case: Ctrl-C ends with the inputs that are done
$ $PYTHON $TESTS/interrupt.py --at 0.15 pushcycle sensitivity --threads 1 --replications 10 --csv --output s.csv; $PYTHON -c "import csv; r = list(csv.DictReader(open('s.csv'))); done = [x for x in r if x['swing_s']]; print(0 < len(done) < len(r), {x['note'] for x in r if not x['swing_s']}, r[-1]['input'])"; ls | grep -c 's.csv\.'
out1: ^exit 1$
out: ^True \{'the work was stopped before this was done'\} loaders.power$
out: ^0$
err: stopped: [0-9]+ of [0-9]+ inputs are done; what follows is of those
exit: 1

case: Ctrl-C before the first night is over leaves no file
$ $PYTHON $TESTS/interrupt.py 1 pushcycle sensitivity --quiet --threads 1 --replications 100000 --output s.txt
out1: ^exit 1$
err: stopped before the night as it stands was simulated
no-file: s.txt

case: boxes that the crew can't have are left out with the reason, and its own are compared
$ pushcycle sensitivity small.yaml --quiet --layout "one pile" --set "crew=[{loader: loader, box: wide}, {loader: loader, box: narrow}]" --set boxes[1].count=1
out: ^  wide \+ narrow wins above 5\.5 cm, narrow below
out: ^  Left out: wide: there is 1 of "wide", and this crew would need 2\.$
no-out: ^  narrow wins

case: the same as JSON
$ pushcycle sensitivity small.yaml --quiet --layout "one pile" --set "crew=[{loader: loader, box: wide}, {loader: loader, box: narrow}]" --set boxes[1].count=1 --json
out: "break_evens_left_out": \[
out: "name": "wide"
out: "reason": "there is 1 of .*wide.*, and this crew would need 2"
out: "above": "wide \+ narrow"

case: one box alone wins nothing
$ pushcycle sensitivity small.yaml --quiet --layout "one pile" --set "crew=[{loader: loader, box: narrow, count: 2}]" --set boxes[1].count=1
out: ^  Left out: wide: there is 1
out: ^  There are no two of which an order could turn\.$
no-out: wins

case: depths to look between, with nothing whose order could turn
$ pushcycle sensitivity small.yaml --layout "one pile" --box wide --depths "5 cm,20 cm"
exit: 2
err: --depths: with both --layout and --box there is nothing whose order could turn

case: depths of snow stay in inches
$ pushcycle sensitivity small.yaml --quiet --units us --layout "one pile" --depths "2 in,15 in" --set "snow.depth=13 in"
out: between 2 in and 15 in of snow
out: ^ +snow\.depth +13 in
