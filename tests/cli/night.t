# The night in the results: storms, deadlines, areas, passages, stops; and how many machines.

# 6 cm fall in 6 h on 1200 m2: 1.2 t/h at 100 kg/m3, 7.2 t. A load of 800 kg (4 m x 1 m x 0.8 m, SAE J1265, at 250 kg/m3)
# takes minutes.
case: a crew that keeps up
$ pushcycle run night.yaml --quiet
out1: ^Total time 6\.0[0-9] h, finished; lower bound 6\.00 h
out: ^Storm: the crew keeps up with the snow: never more than [0-9.]+ cm on any area \(mean\), with 1\.2 t/h in the heaviest stretch\.$
out: ^Night: .* 5 cm of snow at 100 kg/m3 \(6000 kg\), 6 cm more fall \(7200 kg\) by 6 h\.$
out: ^Snow: 6000 kg at the start, 7200 kg fallen since

# A deadline of 2 min is missed by either area: 6,000 kg in loads of 800 kg take longer than that.
case: keeping up with the snow and being late are told together
$ for late in 0 1 "0 1"; do s=; for a in $late; do s="$s --set site.areas[$a].clear_by=2min"; done; pushcycle run night.yaml --quiet $s | grep Storm:; done; pushcycle run night.yaml --quiet --set starts_at=22:30 --set "site.areas[0].clear_by=2 min" | grep Storm:; pushcycle run night.yaml --quiet --set "site.areas[0].clear_by=2 min" --set chance.fill=1 --replications 4 | grep Storm:; pushcycle compare night.yaml --quiet --crews 1..2 --set "site.areas[0].clear_by=2 min" | grep "up with the"
out1: ^Storm: the crew keeps up with the snow: never more than .* heaviest stretch; but area "yard" is late, clear at [23]\.[0-9] min\.$
out: heaviest stretch; but area "back" is late, clear at [45]\.[0-9] min\.$
out: heaviest stretch; but 2 areas are late\.$
out: heaviest stretch; but area "yard" is late, clear at 22:32\.$
out: heaviest stretch; but area "yard" is late in [1-3] of 4 nights\.$
out: ^  1 machine keeps up with the storm, but not with every deadline\. 
no-out: keeps up:

# The rows of 3 to 6 h are missing: 2 cm/h from 2 h to 7 h are 10 cm, as the run takes it; 1 + 1 + 10 + 1 + 1 + 1 cm fall.
case: a storm file that jumps is cautioned of, and worked with
$ printf 'time,rate\n0,1\n1,1\n2,2\n7,1\n8,1\n9,1\n10,0\n' >s.csv; sed '/^storm/,/^[a-z]*:/{/^storm/d;/^  /d}' night.yaml >n.yaml; pushcycle check n.yaml --set storm_file=s.csv; pushcycle run n.yaml --quiet --set storm_file=s.csv --set "zones[0].volume=9000 m3" | grep -o "15 cm more fall"
out: ^caution: s\.csv:5: time: jumps from 2 to 7, though rows are 60 min apart: 2 cm/h of snow is taken to fall all that time$
out: ^15 cm more fall$

case: areas, passages and stops
$ pushcycle run night.yaml --quiet
out: ^  area  clear for good at  deadline +deepest \(mean\)$
out: ^  yard +[0-9.]+ h +7\.00 h  kept +[0-9.]+ cm$
out: ^  back +[0-9.]+ h +-  - +[0-9.]+ cm$
out: ^  passage  machines at once  waiting for it$
out: ^  gate +1 +[0-9.]+ s$
out: ^  machine +breaks$
no-out: refuelling|repairs

case: without a night there are no such tables
$ pushcycle run small.yaml
no-out: ^(Areas|Narrow passages|Stops|Storm)

# 80 cm/h on 1200 m2 are 96 t/h: 120 loads of 800 kg in an hour, a minute for each of two machines' loads.
case: a crew that does not keep up
$ pushcycle run night.yaml --quiet --set "storm[0].rate=80 cm/h" --set "zones[0].volume=9000 m3"
out: ^Storm: the crew can't keep up: snow falls faster \(96\.0 t/h\) than it is cleared \([0-9][0-9.]+ t/h\): [0-9.]+ c?m of the 2.4 m that fall in the second half of the heaviest stretch stay on the ground

# 96 t/h in short tons of 2000 lb (NIST SP 811): 105.8.
case: the same in US units
$ pushcycle run night.yaml --quiet --units us --set "storm[0].rate=80 cm/h" --set "zones[0].volume=9000 m3"
out: falls faster \(105\.8 ton/h\)

case: a deadline missed is said but leaves the exit status
$ pushcycle run night.yaml --quiet --set "site.areas[0].clear_by=2 min"
out: ^Area "yard" is clear at 2\.[0-9] min, 0\.[0-9] min after its deadline\.$
out: ^  yard .* 2\.0 min  0\.[0-9] min late 

case: where a deadline is missed, working that area first is tried and told
$ pushcycle run two.yaml --quiet; pushcycle run two.yaml --quiet --json >a; pushcycle run two.yaml --quiet --json --set "crew[0].first=[front]" >b; $PYTHON -c "import json; a, b = json.load(open('a')), json.load(open('b')); o = a['order']; print(o['first'], o['machines'], o['late_now'], o['late_then'], o['total_time_s'] == b['total_time_s'], o['areas'] == b['areas'], b['order'])"; for i in 1 2; do pushcycle run two.yaml --quiet --shard $i/2 --output p$i; done; pushcycle merge --quiet --json p1 p2 | cmp - a && echo merged
out: ^With "front" worked first by loader 1 \(--set "crew\[0\]\.first=\[front\]"\): "front" is clear at [0-9.]+ min, in time in every night; all of it takes [0-9.]+ min instead of [0-9.]+ min\.$
out: ^\['front'\] \['loader 1'\] 3 0 True True None$
out: ^merged$

case: an order that keeps none but makes them less late is told, and one that does not is not
$ pushcycle run two.yaml --quiet --set "site.areas[0].clear_by=2 min"; pushcycle run two.yaml --quiet --set "site.areas[0].opens=1 h" --set "site.areas[0].clear_by=61 min" --set "site.areas[1].clear_by=2 h"; pushcycle run two.yaml --quiet --set "crew[0].first=[front]" --set "site.areas[0].clear_by=2 min"
out: ^With "front" worked first by .*: "front" is clear at [0-9.]+ min on average, late in 3 of 3 nights, [0-9.]+ min after its deadline; all of it takes
out: ^Worked before all others, what is late would be as late\.$
out: ^No machine that works what is late has other work that could wait, or it works that first already\.$

case: a machine that has left does not keep an area from being clear, and one that comes too late does not come
$ for u in "until: 2 h" "from: 8 h"; do pushcycle run wide.yaml --quiet --set "crew=[{loader: l, box: 16 ft, $u}, {loader: l, box: 14 ft}]" --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); m = r['machines']; print(r['finished'], m[0]['cycles'] > 0, r['total_time_s']['mean'] == max(a['done_s'] for a in r['areas']) or r['total_time_s']['mean'] < 7 * 3600)"; done
out: ^True True True$
out: ^True False True$

case: the options that are offered give what was told, for each machine its own areas, and what came first before
$ pushcycle run three.yaml --quiet >o; o=$(grep -o -- '--set "[^)]*"' o); echo "$o"; eval "pushcycle run three.yaml --quiet $o" >p; sed -n 's/.*all of it takes \([0-9.]*\) min instead.*/\1/p' o; sed -n 's/^Total time \([0-9.]*\) min.*/\1/p' p
out: ^--set "crew\[0\]\.first=\['O''Neil, west', middle\]" --set "crew\[1\]\.first=\[east, middle\]"$
out: ^29\.7$

case: with them all deadlines are kept
$ pushcycle run three.yaml --quiet >o; o=$(grep -o -- '--set "[^)]*"' o); eval "pushcycle run three.yaml --quiet --json $o" | grep -c '"late": false'
out: ^3$

case: one of several machines is told as an entry of its own
$ pushcycle run three.yaml --quiet --set "crew=[{loader: loader, box: wide, count: 2, start: [20, 0]}, {loader: loader, box: wide, start: [100, 0], areas: [middle, east]}]" --set "site.areas[0].clear_by=18 min" | grep worked; pushcycle run three.yaml --quiet --set "crew=[{loader: loader, box: wide, start: [20, 0], first: ['O''Neil, west']}, {loader: loader, box: wide, start: [20, 0]}, {loader: loader, box: wide, start: [100, 0], areas: [middle, east]}]" --set "site.areas[0].clear_by=18 min"
out: worked first by loader 1 \(as an entry of its own in crew, with first: \['O''Neil, west'\]\): "O'Neil, west" is clear at 17\.5 min, in time in every night; all of it takes 20\.2 min, as now\.$
out: ^Total time 20\.2 min
out: O'Neil, west +17\.5 min

case: headings that were chosen stand with the options
$ pushcycle run three.yaml --quiet --set "site.areas[0].heading=auto" --set "site.areas[1].heading=auto"
out: --set "crew\[1\]\.first=\[east, middle\]" --set "site\.areas\[O'Neil, west\]\.heading=[0-9]+ deg" --set "site\.areas\[middle\]\.heading=[0-9]+ deg"\): 

case: what is offered can be pasted into a shell, whatever names hold, and is what was told
$ export HOME=/nowhere; pushcycle run odd.yaml --quiet >told; echo "pushcycle run odd.yaml --quiet $(sed -n 's/.* worked first by all machines (\(--set .*\)): ".*/\1/p' told)" >pasted; cat told; sh pasted
out: --set 'crew\[0\]\.first=\['\\''O'\\'''\\''Neil, west'\\'', '\\''a "\$HOME" and `id`'\\''\]' --set 'crew\[1\].* --set 'site\.areas\[it'\\''s .*all of it takes 26\.7 min instead
out: ^Total time 26\.7 min
out: ^  O'Neil, west +19\.3 min +20\.0 min +kept
out: ^  it's \\ 5 \$ ! +15\.7 min +20\.0 min +kept

# Where the scenario has no crew, what stands in brackets is an option as well, and does what is told.
case: what would come first without a crew is an option to be pasted
$ { grep -v '^crew' hurried.yaml | sed -e 's/^site.*/site: {areas: [{name: front, outline: [[0, 0], [60, 0], [60, 10], [0, 10]], clear_by: 8 min}, {name: back, outline: [[0, 10], [60, 10], [60, 40], [0, 40]]}]}/' -e '/^chance/d'; } >alone.yaml; pushcycle run alone.yaml --quiet >told; echo "pushcycle run alone.yaml --quiet $(sed -n 's/.* worked first by loader 1 (\(--set .*\)): ".*/\1/p' told)" >pasted; cat told; sh pasted
out: ^With "front" worked first by loader 1 \(--set "crew=\[\{loader: loader, box: wide, first: \[front\]\}\]"\): "front" is clear at [0-9.]+ min, .*all of it takes 29\.6 min instead of 31\.3 min
out: ^Total time 29\.6 min

# A heading that was chosen along an edge of no round angle is told to the last bit, so the option gives what is told.
case: what is offered with a heading that was chosen is what was told
$ sed -e 's/^site.*/site: {areas: [{name: front, heading: auto, outline: [[0, 0], [57.3, 18.1], [53.7, 29.5], [-3.6, 11.4]], clear_by: 8 min}, {name: back, outline: [[-3.6, 11.4], [53.7, 29.5], [45, 57], [-12.3, 38.9]], heading: auto}]}/' -e 's/outline: \[\[15, 40\].*/outline: [[-12.3, 38.9], [45, 57], [42, 66.5], [-15, 48.4]]}/' -e '/- {name: beside/d; /^layouts/d; /^chance/d' -e 's/, until: 1850 s//' hurried.yaml >slant.yaml; pushcycle run slant.yaml --quiet >told; sed -n 's/.* worked first by loader 1 (\(--set .*\)): ".*all of it takes \([0-9.]* [a-z]*\).*/pushcycle run slant.yaml --quiet \1; echo "told \2"/p' told >pasted; sh pasted | sed -n 's/^Total time \([0-9.]* [a-z]*\).*/first \1/p; /^told/p' | awk '{ print $1; t[$2 $3] } END { n = 0; for (i in t) n++; print n " time" }'
out: ^first$
out: ^told$
out: ^1 time$

case: areas that come first, and what may stand there
$ pushcycle check two.yaml --set "crew[0].areas=[back]" --set "crew[0].first=[front, bakc]"; pushcycle check two.yaml --quiet --set "crew[0].first=[back, back]"; pushcycle check two.yaml --set "boxes[0].blade=left" --set "crew[0].first=[front]" | grep effect
err: crew\[0\]\.first\[1\]: no area is called "bakc"; did you mean "back"\?
err: crew\[0\]\.first\[0\]: "front" is not among the areas that it works
err: crew\[0\]\.first\[1\]: "back" stands twice in this list
out: crew\[0\]\.first\[0\]: has no effect: who clears with a blade

case: who may not work there does not work it first, and who carves out keeps to its own order
$ pushcycle check two.yaml --set "site.areas[0].loaders=[other]" --set "crew[0].first=[front]"; pushcycle check two.yaml --set "site.areas[0].into=back" --set "crew[0].first=[front]"; pushcycle brief two.yaml --quiet --set "site.areas[0].into=back" --set "crew[0].first=[front]" --output b.pdf; pdftotext b.pdf - | grep -c 'comes first' || true
err: crew\[0\]\.first\[0\]: loader may not work in "front" \(loaders of that area\)
out: crew\[0\]\.first\[0\]: has no effect: .* carves snow out
out: ^0$

case: a brief tells whom it concerns what comes first
$ pushcycle brief two.yaml --quiet --set "crew[0].first=[front]" --output b.pdf && pdftotext b.pdf - | tr -s ' \n' ' ' | grep -o 'front comes first: .\{100\}'
out: ^front comes first: work it whenever there is snow to push, until it is clear 18 min after the start or later\.

case: forty areas that are all late
$ { echo 'pushcycle: 1'; echo 'name: Strips'; grep '^snow' two.yaml; echo 'site:'; echo '  areas:'; for i in $(seq 0 39); do echo "    - {name: a$i, outline: [[0, $((4 * i))], [30, $((4 * i))], [30, $((4 * i + 4))], [0, $((4 * i + 4))]], heading: 0 deg, clear_by: $((i + 1)) s}"; done; sed -n '/^boxes/,/^zones/p' two.yaml; echo '  - {name: east, outline: [[30, 0], [40, 0], [40, 160], [30, 160]], height: 5 m}'; echo 'crew: [{loader: loader, box: wide}]'; } >forty.yaml; timeout 60 pushcycle run forty.yaml --quiet >o; echo $?; grep -c deadline o
out: ^0$
out: ^41$

case: compare points to that
$ pushcycle compare two.yaml --quiet
out: ^None of the 2 keeps all deadlines\. `pushcycle run` says whether working those areas first keeps them\.$

case: a deadline met while it snows is met
$ pushcycle run night.yaml --quiet --set "site.areas[0].clear_by=5 h"
no-out: is not clear

case: a few minutes late
$ pushcycle run night.yaml --quiet --set "site.areas[0].clear_by=2 min" --set storm=[]
out: ^Area "yard" is clear at [0-9.]+ s, [0-9.]+ s after its deadline\.$

case: an area that is never clear
$ pushcycle run night.yaml --quiet --set "crew[0].until=4 h"
exit: 1
out1: ^Stopped after .*not finished
out: ^Area "yard" misses its deadline at 7\.00 h: it is never clear\.$
out: ^  yard +never +7\.00 h  missed

case: json of the night
$ pushcycle run night.yaml --quiet --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); a = r['areas']; print([x['name'] for x in a], a[0]['clear_by_s'], a[1]['clear_by_s'], a[0]['late'], a[0]['done_s'] < 25200, a[0]['late_replications'], a[0]['clear_replications'], round(a[0]['max_depth_m'], 3)); print([p['name'] for p in r['passages']], r['passages'][0]['wait_s'] > 0, [m['stops_s'] for m in r['machines']] == 2 * [{'break': 1800.0, 'refuel': 0.0, 'repair': 0.0}]); s = r['storm']; print(s['keeps_up'], s['from_s'], s['to_s'], round(s['fall_kgps'] * 3.6, 9), round(s['fallen_m'], 9), s['deepest_m'] >= a[0]['max_depth_m'])"
out: ^\['yard', 'back'\] 25200\.0 None False True 0 1 0\.05$
out: ^\['gate'\] True True$
out: ^True 10800\.0 21600\.0 1\.2 0\.03 True$

# By mass: what lies at the end of the storm is no more than what fell and lay.
case: the depth over time
$ pushcycle run night.yaml --quiet --json | $PYTHON -c "import json, sys; d = json.load(sys.stdin)['depth_over_time']; print(d[0], len(d), d[-1]['time_s'], all(a['time_s'] < b['time_s'] for a, b in zip(d, d[1:])), all(len(x['depth_m']) == 2 for x in d), all(0 <= y <= 0.11 for x in d for y in x['depth_m']))"
out: ^\{'time_s': 0\.0, 'depth_m': \[0\.05[0-9]*, 0\.05[0-9]*\]\} 181 21600\.0 True True True$

case: a long storm is thinned
$ pushcycle run night.yaml --quiet --json --set "storm[1].after=24 h" | $PYTHON -c "import json, sys; d = json.load(sys.stdin)['depth_over_time']; print(len(d), d[0]['time_s'], d[-1]['time_s'])"
out: ^300 0\.0 86400\.0$

case: json without a storm
$ pushcycle run small.yaml --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); print(r['storm'], r['depth_over_time'], r['passages'], len(r['areas']), r['areas'][0]['done_s'] <= r['total_time_s']['mean'], r['cost']['fuel_included'])"
out: ^None \[\] \[\] 1 True True$

case: the night in csv, at the end of the line
$ pushcycle run night.yaml --quiet --csv --set "site.areas[0].clear_by=2 min" | $PYTHON -c "import csv, sys; r = list(csv.DictReader(sys.stdin))[0]; print(list(r)[-7:], r['areas_late'], r['break_s'], float(r['passage_wait_s']) > 0)"
out: ^\['unfinished', 'areas_late', 'break_s', 'refuel_s', 'repair_s', 'passage_wait_s', 'crossing_cycles'\] 1 3600 True$

case: how many machines
$ pushcycle compare small.yaml --crews 1..3 --layout "one pile" --box wide
out1: ^Quickest: layout "one pile" with wide, [23] machines, 
out: ^  rank  layout    box   machines  time 
out: ^How many machines$
out: ^  machines  time min  speed-up  cost EUR  to the one before  working  waiting  waits most at +match factor$
out: ^ +1 +[0-9.]+ +1\.00 +[0-9.]+ +- +100 % +0 %  - +0\.[0-9]+$
out: ^ +3 +[0-9.]+ +[12]\.[0-9]+ +[0-9.]+ +[-+][0-9.]+ +[0-9]+ % +[0-9]+ %  zone east
out: ^  1 machine costs least, EUR [0-9.]+; 
out: The last step that saves at least 10 % of the time with each machine is the one to 3; more were not compared\.$
no-out: without fuel

# A slow machine that stays works alone in the back: more of the others stand idle meanwhile.
case: what holds a crew back
$ pushcycle compare night.yaml --quiet --crews 1..3 --set "storm=[]" --set "boxes=[{name: wide, width: 4 m, height: 1 m}, {name: small, width: 2 m, height: 0.6 m}]" --set "crew=[{loader: loader, box: wide, areas: [yard]}, {loader: loader, box: small, areas: [back], keep: true}]" --set "site.areas[1].after=[]" >out; cat out
out: ^  What holds [1-3] machines? beside the 1 that stays back: loader 2 with small, in area "back": busy (9[0-9]|100) % of the time, the others [0-9]+ %\. It stays whatever the number\.$

case: the place that holds a crew back
$ pushcycle compare small.yaml --crews 1..8 --layout "one pile" --box wide --set "loaders[0].times.dump=60 s" >out; grep "holds" out; pushcycle compare small.yaml --crews 1..2 --json --layout "one pile" --box wide | grep -o '"held_back_by": null' | wc -l
out: ^  What holds [2-8] machines back: zone east: machines wait there [0-9]+ % of their time\.$
out: ^ *2$

# Cost: 95 + 38 an hour for each machine, and fuel; speed-up: T(1)/T(n).
case: how many machines, in json
$ pushcycle compare small.yaml --crews 1,2,4 --json >r.json && $PYTHON -c "import json; r = json.load(open('r.json')); print(len(r['rows']), sorted({x['machine_count'] for x in r['rows']}), len(r['crews']), [len(g['steps']) for g in r['crews']]); g = r['crews'][0]; s = g['steps']; print(all(abs(x['speed_up'] * x['time_s'] - s[0]['time_s']) < 1e-6 for x in s), abs(s[1]['cost'] - s[0]['cost'] - s[1]['cost_difference']) < 1e-9, [x['pays'] == (x['cost_difference'] < 0) for x in s[1:]], g['least_cost'] == min(s, key=lambda x: x['cost'])['machines']); x = [x for x in r['rows'] if x['machine_count'] == 4][0]; print(len(x['machines']), x['keeps_up'], x['waits_most_at']['kind'], abs(x['cost']['total'] - 4 * 133 / 3600 * x['total_time_s']['mean'] - 1.6 * x['fuel_l']) < 1e-6, 0 < x['working_share'] <= 1, x['match_factor'] > 0)"
out: ^12 \[1, 2, 4\] 4 \[3, 3, 3, 3\]$
out: ^True True \[True, True\] True$
out: ^4 None zone True True True$

case: how many machines, in csv
$ pushcycle compare small.yaml --crews 1..2 --depths "5 cm,10 cm" --csv | $PYTHON -c "import csv, sys; r = list(csv.DictReader(sys.stdin)); print(len(r), list(r[0])[-12:]); print(all((x['speed_up'] == '1') == (x['machines'] == x['crew'] == '1') for x in r), [x['rank'] for x in r] == 2 * [str(i) for i in range(1, 9)])"
out: ^16 \['replications', 'crew', 'machines', 'speed_up', 'cost_difference', 'working_share', 'waiting_share', 'waits_most_at', 'waits_most_s', 'match_factor', 'keeps_up', 'crossing_cycles'\]$
out: ^True True$

case: without a choice of crews there is no such table
$ pushcycle compare small.yaml
no-out: machines

case: crews in the scenario
$ pushcycle compare night.yaml --quiet --set "compare.crews=1..2"
out: ^ +2 .* keeps up +5[.0-9]* cm$
out: 1 machine keeps up with the storm\.

case: several layouts, one table
$ pushcycle compare small.yaml --crews 1,2 --depths "5 cm,10 cm"
out: ^How many machines, with 5 cm of snow$
out: ^  layout     box     machines  time min  speed-up
out: ^  two piles  narrow +2 
out: ^  Layout "two piles" with wide: 

case: no such number of machines
$ pushcycle compare small.yaml --crews 0
exit: 2
err: compare\.crews.*1 … 64

case: crews that are no numbers
$ pushcycle compare small.yaml --crews "1..x"
exit: 2
err: compare\.crews: "1\.\.x" must be a range

case: a cost without fuel says so
$ pushcycle run night.yaml --quiet
out: ^The cost is without fuel: loader "loader" has no fuel figures
no-out: ^Fuel:

case: in a comparison, once, in the same words; in its report, too
$ pushcycle run night.yaml --quiet | grep "^The cost is without fuel" >a; pushcycle compare night.yaml --quiet --crews 1,2 | grep "without fuel" >b; cmp a b && wc -l <b; pushcycle report night.yaml --quiet --output r.html; sed 's/"/\&#34;/g' a >q; grep -o "The cost is without fuel[^<]*" r.html | diff - q && echo same; pushcycle compare small.yaml --quiet | grep -c "without fuel"
exit: 1
out: ^1$
out: ^same$
out: ^0$

case: and so does json
$ pushcycle run night.yaml --quiet --json
out: "fuel_included": false

case: one price alone is counted, and what the cost is without is told: by check, in the text, in a comparison with its crews, a report and JSON
$ one="--set=money={machine: 140 /h}"; pushcycle check small.yaml "$one" | grep -c "without operators"; pushcycle run small.yaml --quiet "$one" | grep -A1 "^Cost:"; pushcycle compare small.yaml --quiet --crews 1,2 "$one" | grep "without operators\|cost EUR  to"; pushcycle report small.yaml --quiet "$one" --output r.html; grep -c "The cost is without operators: money.operator is not given" r.html; pushcycle run small.yaml --quiet --json "$one"
out: ^1$
out: ^Cost: EUR [0-9]+\.[0-9]+\.$
out: ^The cost is without operators: money\.operator is not given\.$
out: cost EUR  to the one before
out: "total": [0-9]+\.
out: "machines_included": true
out: "operators_included": false
no-err: .

case: the other prices alone; and none at all, of which nothing is said
$ for m in "operator: 38 /h" "haul_off: 12 /m3" "fuel: 1.60 /l" "interest: 5 %"; do pushcycle run small.yaml --quiet --set "money={$m}" | grep -i "cost"; done; pushcycle run night.yaml --quiet --set "money={fuel: 1.60 /l}" | grep cost
out: ^The cost is without machines: money\.machine is not given\.$
out: ^Cost: EUR 0\.00\.$
out: ^The cost is without machines and operators: money\.machine and money\.operator are not given\.$
out: ^No cost is worked out, as only fuel has a price: loader "loader" has no fuel figures

case: a fleet, too
$ sed "s/^name: .*/name: A/" small.yaml >A.yaml; sed "s/^money: .*/money: {machine: 95 \/h}/" fleet.yaml >f.yaml; pushcycle assign f.yaml A.yaml
err: ^caution: f\.yaml:[0-9]+:[0-9]+: money: the cost of machines that have none of their own is without operators: money\.operator is not given$

case: a depth given twice is compared once
$ pushcycle compare small.yaml --layout "one pile" --box wide --depths "5 cm,10 cm,5 cm" --csv
err: caution: .*compare\.depths: 5 cm stands there more than once; it is compared once
out: ^1,one pile,wide,loader,keep-pushing,0\.1,
no-out: ^2,

case: nothing varies
$ pushcycle run small.yaml --replications 5
out1: ^Total time [0-9.]+ min, finished; lower bound [0-9.]+ min 
out: ^All 5 replications took the same time: nothing varies by chance here
no-out: ±

case: nothing varies in a comparison
$ pushcycle compare small.yaml --replications 3
out: ^Every replication took the same time: nothing varies by chance here
no-out: ±

# The shift ends at about the time that the work takes, so that luck decides.
case: some nights that do not finish
$ pushcycle run small.yaml --set "crew[0].until=7.8 min" --set "chance.carry=60 %" --replications 6
exit: 1
out1: ^Total time [0-9.]+ min ± [0-9.]+ min \(95 %\), but [1-5] of 6 nights did not finish \(stopped with work left\): on average [0-9.]+ kg of snow is left\.$

case: some nights that do not finish, in a comparison
$ pushcycle compare small.yaml --layout "one pile" --box wide --set "crew[0].until=7.8 min" --set "chance.carry=60 %" --replications 6
exit: 1
out: ^ +1 .* stopped with work left in [1-5] of 6 nights 

case: check of a storm onto bare ground, by the clock
$ pushcycle check clock.yaml --units us --depth "0 in"
out: zones and obstacles on them included; no snow lies at the start\.$
out: ^Storm: 2\.36 in of fresh snow at 6\.24 lb/ft3 fall until 04:30: about 15,873 lb more\.$

# 1 cm/h for 6 h, 2 cm/h for as long as the row before: 3 h. 12 cm at 100 kg/m3 on 800 m2 are 9600 kg, 10 cm 8000 kg; 6 cm on
# 1200 m2 7200 kg, 15,873 lb of 0.45359237 kg (NIST SP 811).
case: check tells until when snow falls
$ printf 'time,rate\n0,1\n3,1\n6,2\n' >s.csv; pushcycle check small.yaml --set storm_file=s.csv | grep Storm; echo 8,0 >>s.csv; pushcycle check small.yaml --set storm_file=s.csv | grep Storm; pushcycle check night.yaml --units us | grep Storm; pushcycle check small.yaml | grep -c Storm
out: ^Storm: 12 cm of fresh snow at 100 kg/m3 fall until 9 h after the start: about 9600 kg more\. The last row of its file has no end: it is taken to hold for 3 h \(as long as the row before it;
out: ^Storm: 10 cm of fresh snow at 100 kg/m3 fall until 8 h after the start: about 8000 kg more\.$
out: ^Storm: 2\.36 in of fresh snow at 6\.24 lb/ft3 fall until 6 h after the start: about 15,873 lb more\.$
out: ^0$
exit: 1

case: what is offered in a storm, pasted, gives what it promised, and the brief says when to be back
$ a='--quiet --set site.areas[1].clear_by=154min'; pushcycle run sweep.yaml $a >o; grep '^With' o; eval "pushcycle run sweep.yaml $a $(sed -n 's/^With.*deadline (\(.*\)): .*/\1/p' o)" >p; grep '^Total\|^  dock' p; sed -n 's/^With.*all of it takes \([0-9.]* h\).*/\1/p' o >t; grep -c "^Total time $(cat t)" p; eval "pushcycle brief sweep.yaml $a $(sed -n 's/^With.*deadline (\(.*\)): .*/\1/p' o) --output b.pdf"; pdftotext b.pdf - | tr '\n' ' '
out: ^With "dock" worked first by loader 1, and swept, however thin the snow, from 15 min before its deadline \(--set "crew\[0\]\.first=\[dock\]" --set "site\.areas\[dock\]\.sweep_before=15 min"\): "dock" is clear at 2\.[0-9]+ h, in time;
out: ^  dock .* 2\.57 h  kept
out: ^1$
out: dock: from 2\.32 h after the start on push all snow there, however thin, to have it clear 2\.57 h after the start\.

case: a sweep where all snow is pushed anyhow
$ pushcycle check sweep.yaml --set "site.areas[1].clear_by=2h" --set "site.areas[1].sweep_before=20min" --set snow.trigger=0cm; pushcycle check sweep.yaml --set "site.areas[1].clear_by=2h" --set "site.areas[1].sweep_before=20min" --set "storm=[]"; pushcycle check sweep.yaml --set "site.areas[1].clear_by=2h" --set "site.areas[1].sweep_before=20min" --set "snow.done_below=3 cm"; pushcycle check sweep.yaml --set "site.areas[1].sweep_before=20min"
exit: 2
out: sweep_before: has no effect: all snow is pushed anyhow where snow\.trigger is not given
out: sweep_before: has no effect: all snow is pushed anyhow where snow\.trigger is no deeper than snow\.done_below
out: sweep_before: has no effect: all snow is pushed anyhow where none falls during the work
err: sweep_before: needs a deadline \(clear_by\) to be before

# Common practice, no source: a truck brings snow out from docks to where the loader takes it. 120 x 10 m at 10 kg/m2 are 12 t.
case: what only blades work
$ pushcycle check docks.yaml; pushcycle run docks.yaml --quiet
out: ^caution: docks\.yaml:6:7: site\.areas\[0\]: only blades work in "docks": the windrow that they leave along its outer edge is taken by nobody\. With "into: AREA"
out: ^Snow: 48 t at the start, 35\.[0-9]+ t piled, 12\.[0-9] t left \(film and thin windrows, and those of blades that nobody takes\)\.$

# A lane along the heading of 90 degrees meets the border with its end, and a blade lays its snow beside its swath (geometry).
case: lanes across the border with the area that is to take it
$ pushcycle check docks.yaml --set "site.areas[docks].into=yard" --set "site.areas[docks].heading=90 deg"; pushcycle brief docks.yaml --quiet --set "site.areas[docks].into=yard" --set "site.areas[docks].heading=90 deg" --output b.pdf; pdftotext b.pdf - | tr '\n' ' '
out: docks, from 0:00 h after the start; the windrow along its outer edge stays: nobody takes it
no-out: laid over into
out: ^caution: docks\.yaml:6:7: site\.areas\[0\]: only blades work in "docks", and its lanes do not run along "yard" \(into\): .* a heading along their border; or
no-out: With "into: AREA"

case: laid over into the yard
$ pushcycle check docks.yaml --set "site.areas[docks].into=yard"; pushcycle run docks.yaml --quiet --set "site.areas[docks].into=yard"; pushcycle brief docks.yaml --set "site.areas[docks].into=yard" --output b.pdf; pdftotext b.pdf - | tr '\n' ' '
no-out: taken by nobody
out: ^Snow: 48 t at the start, 4[67]\.[0-9]+ t piled, [0-9]+ kg left \(film and thin windrows\)\.$
out: docks, from .* laid over into yard

case: of the sweeps that are tried, that of 45 min alone keeps the deadline
$ pushcycle run sweep.yaml --quiet --set "site.areas[2].clear_by=135min" --set "chance={fill: 10 %, carry: 20 %, turn: 20 %, replications: 4}"
out: ^With "court" worked first .* from 45 min before its deadline .*in time in every night
no-out: ^Tried:

case: where a deadline is still missed, the sweeps that were tried are told
$ pushcycle run sweep.yaml --quiet --set "site.areas[0].clear_by=114min" --set "chance={fill: 10 %, carry: 20 %, turn: 20 %, replications: 5}"
out: ^With "yard" worked first .* late in [1-4] of 5 nights
out: ^Tried: with no sweep, and swept from 15, 30, 45 and 60 min before the deadline\.$

case: a crew that keeps up with all areas together, but leaves one alone
$ pushcycle run sweep.yaml --quiet --set "snow.depth=0 cm" --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 6 h, rate: 0 cm/h}]" --set "site.areas[2].opens=8 h"; pushcycle run sweep.yaml --quiet --json --set "snow.depth=0 cm" --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 6 h, rate: 0 cm/h}]" --set "site.areas[2].opens=8 h"
out: ^Storm: the crew keeps up with the snow if all areas are taken together, with .* in the heaviest stretch; but 1 area lies untouched until it ends, under up to 6 cm \(mean\)\.$
out: "untouched_areas": 1
no-out: never more than

case: what a crew clears is told, not what it might if no machine ever rested
$ pushcycle run sweep.yaml --quiet --set "snow.depth=0 cm" --set "storm=[{after: 0 h, rate: 6 cm/h}, {after: 4 h, rate: 0 cm/h}]" --set "crew[1].areas=[court]"
out: ^Storm: the crew can't keep up: snow falls faster .* stay on the ground; its machines are at work [0-9]+ % of their time then\.$
no-out: while it works

# Both machines may work the back, so both wait for the yard, and so does the page for the lot: three pages. Times in its list stand
# beside what else it waits for.
case: a brief tells everybody who may work an area what it waits for, and in a storm when to come back
$ pushcycle brief night.yaml --quiet --output b.pdf; pdftotext b.pdf - | tr -s ' \n' ' ' >t; grep -o 'back: wait until yard is clear, whatever the clock says\.' t | wc -l; grep -o 'yard, from 0:00 h after the start, clear by 7:00 h; again from [0-9]:[0-9][0-9], .\{20\}' t; grep -o '2\. back, from [0-9:]* h after the start, once yard is clear; again from' t; grep -o 'While it snows come back once more than [0-9.]* [a-z]* lies there again\.' t; grep -o 'the shade that of your first push at a place' t
out: ^3$
out: ^2\. back, from [0-9]:[0-9]{2} h after the start, once yard is clear; again from$
out: ^yard, from 0:00 h after the start, clear by 7:00 h; again from 0:
out: ^While it snows come back once more than [0-9.]+ cm lies there again\.$
out: ^the shade that of your first push at a place$

case: a brief tells when areas open, and whom it does not concern nothing
$ pushcycle brief night.yaml --quiet --set "starts_at=22:00" --set "site.areas[1].opens=23:30" --set "crew=[{loader: loader, box: wide, start: [0, 0], areas: [yard]}, {loader: loader, box: wide, start: [0, 0]}]" --output b.pdf; for p in 1 2 3; do echo $p $(pdftotext -f $p -l $p b.pdf - | tr -s ' \n' ' ' | grep -o 'back: wait[^.]*\.\|2\. back, from 23:30, once'); done
out: ^1 back: wait until 23:30, and until yard is clear, whatever the clock says\.$
out: ^2$
out: ^3 back: wait until 23:30, and until yard is clear, whatever the clock says\. 2\. back, from 23:30, once$

case: without a storm and without waiting a brief says nothing of it
$ pushcycle brief two.yaml --quiet --output b.pdf; pdftotext b.pdf - | tr -s ' \n' ' ' | grep -o 'wait until\|again from\|once front\|While it snows\|the shade that\|It is the order of one simulated night' | sort | uniq -c
out: ^ +1 It is the order of one simulated night$
no-out: wait|again|once|shade

case: a report says that no snow lies at the start
$ pushcycle report night.yaml --quiet --set "snow.depth=0 cm" --output r.html; grep -o "of fresh snow fall.*at the start" r.html; pushcycle report night.yaml --quiet --output r.html; grep -o "of fresh snow fall.*at the start" r.html
out: ; no snow lies at the start$
out: ; 5 cm lie at the start$

# One pile of 5 m3 does not hold 8 t at 450 kg/m3, 18 m3: what that costs to bring away is in the sum only if it has a price.
case: a cost without hauling off says so
$ a="small.yaml --quiet --set zones[0].volume=5m3"; for p in "" "--set money.haul_off=10/m3"; do pushcycle run $a --layout "one pile" $p | grep "^The cost"; echo "$?"; pushcycle compare $a $p | grep -c "^The cost is without hauling off"; done; pushcycle report $a --output r.html; grep -c "The cost is without hauling off what the zones can&#39;t hold: money.haul_off is not given" r.html; pushcycle run small.yaml --quiet | grep -c "hauling off"
exit: 1
out: ^The cost is without hauling off what the zones can't hold: money\.haul_off is not given\.$
out: ^1$
out: ^0$

# By hand: hours from the last load to the end, times 95 + 38 an hour for machine and operator. The skid steer is done after half an hour: with
# an `until` of 2 h it is paid for no more.
case: what a crew is paid for after its last load
$ pushcycle run --quiet --replications 2 --set "money={machine: 95 /h, operator: 38 /h}" >t; pushcycle run --quiet --json --replications 2 >j; $PYTHON -c "import json, re; j = json.load(open('j')); t = open('t').read(); h = {m['name']: (j['total_time_s']['mean'] - m['done_s']) / 3600 for m in j['machines']}; told = float(re.search(r'Of this, EUR ([0-9.,]+) is the pay of skid steer 1 and plow truck 1 from', t)[1].replace(',', '')); print(abs(told - 133 * (h['skid steer 1'] + h['plow truck 1'])) < 0.01, told > 700)"; pushcycle run --quiet --replications 2 --set "money={machine: 95 /h, operator: 38 /h}" --set "crew[2].until=2 h" | grep -o 'is the pay of plow truck 1 from'; pushcycle run small.yaml --quiet --set "money={machine: 95 /h}" | grep -c 'Of this'
exit: 1
out: ^True True$
out: ^is the pay of plow truck 1 from$
out: ^0$

# What is cautioned of is what a run does: without a storm it begins at once, whatever the trigger; in one that stays below it, at its end.
case: a trigger that is never reached
$ pushcycle run small.yaml --set "snow.trigger=50 cm" --json 2>e >j; cat e; $PYTHON -c "import json; print(json.load(open('j'))['finished'])"; pushcycle run sweep.yaml --quiet --set "snow.trigger=50 cm" --trace t.csv >/dev/null; awk -F, '$4 == "fill" {print $5; exit}' t.csv; pushcycle check sweep.yaml --set "snow.trigger=50 cm"
out: ^caution: --set: snow\.trigger: has no effect: none falls during the work \(no storm is given\), so it begins at once$
out: ^True$
out: ^108[0-9][0-9]
out: snow\.trigger: 50 cm is never reached: 15\.5 cm lie at the start and fall; so work begins only when the storm ends

# By hand: 1 cm/h on 120 x 30 m at 100 kg/m3 are 3.6 t/h. In six hours all is pushed while machines rest three quarters of the time; what the truck
# lays aside on the docks stays there, and is no snow that the crew did not get to.
case: a windrow that nobody takes is no snow that a crew can't keep up with
$ pushcycle run docks.yaml --quiet --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 6 h, rate: 0 cm/h}]" >t; grep '^Storm' t; grep -c '^Total time 6\.0[0-9] h, finished' t; pushcycle run docks.yaml --quiet --set "storm=[{after: 0 h, rate: 30 cm/h}, {after: 2 h, rate: 0 cm/h}]" | grep '^Storm'; pushcycle run docks.yaml --quiet --set "site.areas[1].loaders=[truck]" --set "crew=[{loader: truck, box: plow}]" --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 6 h, rate: 0 cm/h}]" | grep -c '^Storm'
exit: 1
out: ^Storm: the crew keeps up with the snow: never more than 10 cm on any area \(mean\), with 3\.6 t/h in the heaviest stretch\.$
out: ^1$
out: ^Storm: the crew can't keep up: snow falls faster \(108\.0 t/h\)
out: ^0$
no-out: untouched

case: one but in a sentence
$ S="storm=[{after: 0 h, rate: 1 cm/h}, {after: 6 h, rate: 0 cm/h}]"; pushcycle run sweep.yaml --quiet --set "snow.depth=0 cm" --set "$S" --set "site.areas[2].opens=8 h" --set "site.areas[2].clear_by=8.001 h" | grep '^Storm'; pushcycle run sweep.yaml --quiet --set "site.areas[0].clear_by=1 min" | grep '^Storm'
out: ^Storm: the crew keeps up .*; but 1 area lies untouched until it ends, under up to 6 cm \(mean\); and area "court" is late, clear at 48[0-9]\.[0-9] min\.$
out: ^Storm: .*; but area "yard" is late, clear at [0-9.]+ h\.$

# By hand: 8 cm fall, done_below is 1 cm. With a trigger of 5 cm there are fewer loads, of more snow each.
case: a storm without a trigger
$ S="storm=[{after: 0 h, rate: 1 cm/h}, {after: 8 h, rate: 0 cm/h}]"; pushcycle run small.yaml --quiet --set "$S" --set "snow.depth=0 cm" >a; pushcycle run small.yaml --quiet --set "$S" --set "snow.depth=0 cm" --set "snow.trigger=5 cm" >b; grep -A 1 '^Storm' a; grep -c 'go out for' b; for f in a b; do sed -n 's/.* in \([0-9]*\) loads\.$/\1/p' $f; done | sort -n -c 2>&1 | grep -c disorder; pushcycle run small.yaml --quiet --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 2 h, rate: 0 cm/h}]" | grep -c 'go out for'; pushcycle run small.yaml --units us --quiet --set "$S" | grep -o 'with a snow.trigger, 2 in, say'
out: ^Storm: the crew keeps up
out: ^  While it snows they go out for every 1 cm \(done_below\): with a snow\.trigger, 5 cm, say, they let so much lie first\.$
out: ^0$
out: ^1$
out: ^0$
out: ^with a snow\.trigger, 2 in, say$
