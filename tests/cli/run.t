# What the commands print.

case: run answers in its first line
$ pushcycle run small.yaml
out1: ^Total time [0-9.]+ (s|min), finished; lower bound [0-9.]+ (s|min) \(efficiency [0-9]+ %\)
out: layout "one pile"
out: ^  loader 1 +wide 
out: ^  east 
out: ^Fuel: [0-9.]+ l\.
out: ^Cost: EUR [0-9.]+\.
out: [Ll]ocal codes
no-err: .

# 40 m x 20 m x 0.1 m x 100 kg/m3 = 8000 kg; 17,637 lb with the pound of NIST SP 811.
case: snow mass in metric units
$ pushcycle run small.yaml
out: 10 cm of snow at 100 kg/m3 \(8000 kg\)

case: snow mass in US units
$ pushcycle run small.yaml --units us
out: 3\.94 in of snow at 6\.24 lb/ft3 \(17,637 lb\)
out: ^Fuel: [0-9.]+ gal\.

case: the interval of several replications
$ pushcycle run small.yaml --set "chance.fill=20 %" --replications 5
out1: ^Total time [0-9.]+ (s|min) ± [0-9.]+ (s|min) \(95 %\), finished
out: 5 replications

case: run json
$ pushcycle run small.yaml --json >r.json && $PYTHON -m json.tool r.json >/dev/null && $PYTHON -c "import json; r = json.load(open('r.json')); m = r['machines'][0]; print(r['format'], r['version'], r['finished'], r['snow_kg']['start'], abs(sum(m['time_s'].values()) - r['total_time_s']['mean']) < 1e-6, abs(sum(r['snow_kg'][k] for k in ('placed', 'left')) - 8000) < 1e-6)"
out: ^pushcycle-run 1 True 8000\.0 True True$

case: run json has every key
$ pushcycle run small.yaml --json >r.json && $PYTHON -c "import json; r = json.load(open('r.json')); print(sorted(set('format version scenario layout policy seed replications finished reason total_time_s cycles time_s distance_m snow_kg bound_s efficiency fuel_l cost machines zones'.split()) - set(r)), sorted(r['time_s']), sorted(r['total_time_s']))"
out: ^\[\] \['carry', 'clean_up', 'dump', 'fill', 'idle', 'lower_raise', 'return', 'turn', 'wait'\] \['half_width', 'level', 'max', 'mean', 'min'\]$

case: run csv is one row
$ pushcycle run small.yaml --csv | $PYTHON -c "import csv, sys; r = list(csv.reader(sys.stdin)); print(len(r), len(r[0]) == len(r[1]), r[1][0])"
out: ^2 True Small lot$

case: the same seed gives the same bytes, whatever the threads
$ pushcycle run small.yaml --set "chance.fill=20 %" --replications 6 --threads 1 --json >a; pushcycle run small.yaml --set "chance.fill=20 %" --replications 6 --threads 3 --json >b; cmp a b && echo same
out: ^same$

case: trace
$ pushcycle run small.yaml --trace t.csv >/dev/null && $PYTHON -c "import csv; r = list(csv.DictReader(open('t.csv'))); print(','.join(r[0].keys())); print(all(a['end_s'] == b['start_s'] for a, b in zip(r, r[1:])), {x['phase'] for x in r} <= set('lower fill clean_up raise turn carry wait dump return idle'.split()), r[0]['box'])"
out: ^replication,machine,cycle,phase,start_s,end_s,x0_m,y0_m,x1_m,y1_m,distance_m,load_kg,swath_m,box,zone,direction$
out: ^True True wide$
no-file: ^t\.csv\..

# 5 m3 hold 2000 kg at the pile density given; of 8000 kg, between (8000 - 2000) / 400 = 15 m3 less the film, and all of
# 20 m3, have to be hauled off.
case: zones that run full
$ pushcycle run small.yaml --set "zones[0].volume=5 m3"
exit: 1
out1: ^Stopped after .*not finished \(pile zones full\): 1[0-9.]+ m3 of piled snow to be hauled off

# The bound is one on clearing the lot, here not before the snow ends: nothing to hold a run against that stopped early.
case: no efficiency of a run that did not finish
$ for v in "5 m3" "900 m3"; do pushcycle run small.yaml --quiet --json --set "zones[0].volume=$v" --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 5 h, rate: 0 cm/h}]" | $PYTHON -c "import json, sys; r = json.load(sys.stdin); e = r['efficiency']; print(r['finished'], e is None or 0 < e <= 1, e is None)"; done
out: ^False True True$
out: ^True True False$

# The tyres cannot push a load if traction is no more than rolling resistance (handbook method, US Army FM 5-434).
case: a machine that cannot move its load
$ pushcycle run small.yaml --set "loaders[0].traction=0.05" --json
exit: 1
out: "finished": false
out: "limited_by": "traction"

case: the demonstration lot says so
$ pushcycle limits
out: limited by
err: built-in demonstration lot

case: unless it is to be quiet
$ pushcycle limits --quiet
no-err: .

# Blade rating 0.8 W H^2 (SAE J1265): 4 m wide, 1 m high: 3.2 m3, 0.80 t at 250 kg/m3. What the tyres can push (handbook
# method, US Army FM 5-434): (0.25 - 0.05) * 14 t / 0.4 = 7 t.
case: limits
$ pushcycle limits small.yaml
out: ^  wide +4\.00 +3\.2 +0\.80 +7\.00 +0\.80 .* volume$
out: ^  Best box by this rate: wide, 
out: ^  Resistance with a full wide: .* rolling

# As above, in short tons of 2000 lb and feet (NIST SP 811).
case: limits in US units
$ pushcycle limits small.yaml --units us --box wide
out: ^  wide +13\.12 +4\.2 +0\.88 +7\.72 +0\.88 
no-out: narrow

# 1 cm/h for 4 h and 2 cm/h for 3 h are 10 cm, as small.yaml has at the start; both at 100 kg/m3.
case: limits where all snow falls during the work
$ for s in '' ', temperature: -1 C'; do pushcycle limits small.yaml --depth "0 cm" --set "storm=[{after: 1 h, rate: 1 cm/h$s}, {after: 5 h, rate: 2 cm/h$s}, {after: 8 h, rate: 0 cm/h}]" >s; sed -n 1p s; sed 1,2d s >t; pushcycle limits small.yaml | sed 1,2d >l; cmp -s l t && echo same || echo other; done
out: ^No snow lies at the start, so this is for all that falls, as if it lay at once: 10 cm at 100 kg/m3\.$
out: ^No snow lies at the start, so this is for all that falls, as if it lay at once: 10 cm at 1[0-9.]+ kg/m3\.$
out: ^same$
out: ^other$
no-out: none of these boxes

case: limits of the snow that lies, whatever falls later
$ pushcycle limits small.yaml --set "storm=[{after: 1 h, rate: 1 cm/h}, {after: 5 h, rate: 0 cm/h}]" | sed 1,2d >s; pushcycle limits small.yaml | sed 1,2d >l; cmp s l && echo same; pushcycle limits small.yaml --json --depth "0 cm" --set "storm=[{after: 1 h, rate: 1 cm/h}, {after: 5 h, rate: 0 cm/h}]"
out: ^same$
out: "depth_m": 0\.04,

case: limits json and csv
$ pushcycle limits small.yaml --json | $PYTHON -m json.tool >/dev/null && pushcycle limits small.yaml --csv
out: ^loader,wide,4,3\.7,3\.2,800,7000,

case: compare answers first
$ pushcycle compare small.yaml
out1: ^Quickest: layout "[a-z ]+" with (narrow|wide), [0-9.]+ 
out: ^ +rank +layout +box +time
out: ^ +4 
out: ^Why
out: loader with wide: limited by volume

case: compare lists narrow what is compared
$ pushcycle compare small.yaml --layout "two piles" --boxes wide --depths "5 cm,10 cm" --csv
out: ^rank,layout,box,loader,policy,depth_m,
out: ^1,two piles,wide,loader,keep-pushing,0\.05,
out: ^1,two piles,wide,loader,keep-pushing,0\.1,
no-out: one pile
no-out: narrow

case: compare json
$ pushcycle compare small.yaml --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); print(r['format'], len(r['rows']), sorted(set('rank layout box loader policy depth_m total_time_s difference_to_best_s tied_with_best cycles time_s efficiency finished cost'.split()) - set(r['rows'][0])), r['rows'][0]['difference_to_best_s']['mean'])"
out: ^pushcycle-compare 4 \[\] 0\.0$

# Two boxes of one size meet the same luck, so nothing but a tie is right.
case: compare tells what is tied
$ pushcycle compare small.yaml --layout "one pile" --boxes narrow,wide --set "boxes[0].width=4 m" --set "chance.carry=50 %" --replications 4
out: ^Tied with it .*: layout "one pile" with (narrow|wide)\.$
out: ^ +2 .* 0\.0 +0\.0 +([0-9.,]+ +)?tied with best

case: straight runs into a zone that runs full
$ pushcycle run small.yaml --policy straight-runs --set "zones[0].volume=5 m3"
exit: 1
out1: ^Stopped after .*not finished \(pile zones full\): 1[0-9.]+ m3 of piled snow to be hauled off\.$

# 20 kW push neither box at 8 km/h when it is full; without chance there are no intervals to show.
case: compare names power as the limit
$ pushcycle compare small.yaml --set "loaders[0].power=20 kW"
out: loader with wide: limited by power; .* pushes a full load at [0-7]\.[0-9] of the 8\.0 km/h given
out: ^ +1 .* power$
no-out: ±

# With little traction (0.06 - 0.05) * 14 t / 0.4 = 350 kg is all that the tyres push less 0.3 / 0.4 of the box: a heavy wide box
# takes that away (handbook method, US Army FM 5-434).
case: compare says why the widest box is not the quickest
$ pushcycle compare small.yaml --set "loaders[0].traction=0.06" --set "boxes[wide].mass=400 kg"
out: ^  So the widest box is not the quickest on loader: wide takes .* It could hold 800 kg, but the tyres of loader push only 50 kg\.

case: nothing in a comparison finishes
$ pushcycle compare small.yaml --layout "one pile" --set "zones[0].volume=5 m3"
exit: 1
out1: ^None of the 2 finishes \(pile zones full\)

case: check
$ pushcycle check small.yaml
out1: ^small\.yaml: no faults
out: ^To clear: 1 area, 800 m2
out: ^  two piles +2 
out: NFPA 1
out: 28 CFR 36\.211
out: 1926\.602\(a\)\(9\)\(ii\)
out: ANSI/ISEA 107

# 8 t at 400 kg/m3 are 20 m3.
case: check finds zones that are too small
$ pushcycle check small.yaml --set "zones[0].volume=15 m3" --layout "one pile"
out: ^  look at it +all of layout one pile +room: holds 15 m3 of 20 m3, 5 m3 to haul off
out: ^  one pile +1 +15 m3 +20 m3 +no$

case: check json
$ pushcycle check small.yaml --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); print(r['format'], r['faults'])"
out: ^pushcycle-check \[\]$

case: a caution where the box can never be full
$ pushcycle check small.yaml --set full_at=1
out: caution: .*full_at: box "narrow" spills from 85 % full

# One unit of time for a headline, its table and what is said about it; common practice, no source.
case: a headline and its table have one unit of time
$ for d in "3 cm" "20 cm" "60 cm" "150 cm" "500 cm"; do pushcycle compare small.yaml --quiet --depth "$d" --set "chance.dump=20 %" --replications 3 --set "zones[0].volume=9999 m3" --set "zones[1].volume=9999 m3" >t; sed -n '1s/.*, [0-9.]* \(s\|min\|h\) ±.*takes [0-9.]* \(s\|min\|h\) .*/\1 \2/p' t; grep -o "time [a-z]*  " t | head -n 1; grep -o "to best [a-z]*" t; done | tr '\n' ' '
out: ^(s s time s   to best s |min min time min   to best min |h h time h   to best h ){5}$
out: min min
out: s s time

case: so have the areas of a night and its length
# a deadline missed by 22.5 s is told in seconds, and so is all of it
$ pushcycle run night.yaml --quiet --set "site.areas[0].clear_by=2 min" --set storm=[]; pushcycle run night.yaml --quiet
out: ^Total time [0-9.]+ s, finished; lower bound [0-9.]+ s
out: ^  yard +[0-9.]+ s +120\.0 s +[0-9.]+ s late
out: ^Total time [0-9.]+ h
out: ^  yard +[0-9.]+ h

# Paid are the hours by the clock between 0:30 and the end, at 133 a hour and no fuel; snow falls for 6 h by the clock.
case: hours of 50 minutes of work leave pay and storm to the clock
$ pushcycle run night.yaml --quiet --json --set work_minutes_per_hour=50 >o; $PYTHON -c "import json; r = json.load(open('o')); print(r['depth_over_time'][-1]['time_s'] >= 6 * 3600, r['total_time_s']['mean'] >= 6 * 3600)"; pushcycle run small.yaml --quiet --json --set work_minutes_per_hour=50 --set "crew[0].from=30 min" --set "money.fuel=0 /l" >o; $PYTHON -c "import json; r = json.load(open('o')); print(abs(r['cost']['total'] - 133 * (r['total_time_s']['mean'] - 1800) / 3600) < 0.01)"
out1: ^True True$
out: ^True$

case: a night of more loads than are simulated
$ pushcycle run small.yaml --set "boxes[1]={name: wide, width: 4 m, height: 0.5 mm}"
exit: 2
err: crew: would have to move more than 1000000 loads: 8000 kg of snow, with boxes that hold [0-9.]+ (g|kg) at most

# Before the mend it went on for minutes, with millions of loads of a milligram through the gate.
case: … also where others with larger boxes do not get to
$ pushcycle run gate.yaml --set "boxes[0].heap_factor=0.001 mm"
exit: 2
err: crew: would have to move more than 1000000 loads in area "annex": [0-9,.]+ (lb|ton) of snow, to which no box gets that holds more than [0-9.]+ lb

case: a heading a hair below a whole turn reads as none
$ pushcycle run small.yaml --set "site.areas=[{name: yard, heading: auto, outline: [[0, 0], [40, -0.0002], [40, 20], [0, 20]]}]"
err: ^pushcycle: area "yard": heading .*\b0\.0 deg
no-err: 360

# As one area the L leaves a strip of 84 m2 along its leg, as two it leaves nothing. 45.6 m in 13 lanes (a
# swath is 3.7 m) put a border of lanes at y = 20 + 12 x 3.508 = 62.09, the leg begins at 60.6: the middle of the strip is at 61.35, to 1/32 of
# a lane, and halfway to x = 100 from where it begins, 84 / 1.49 = 56 m before.
case: what a leg of an L leaves on no lane is told with what mends it
$ for set in "{name: ell, outline: [[0, 20], [40, 20], [40, 60.6], [100, 60.6], [100, 65.6], [0, 65.6]]}" "{name: trunk, outline: [[0, 20], [40, 20], [40, 65.6], [0, 65.6]]}, {name: leg, outline: [[40, 60.6], [100, 60.6], [100, 65.6], [40, 65.6]]}"; do pushcycle check small.yaml --set "crew[0].box=wide" --set "site.areas=[{name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}, $set]" 2>&1 | sed -n 's/.*\(the largest place.*\)/\1/p'; echo "."; done
out: ^the largest place, 84 m2, near \[72, 61\.3[0-9]\] m; the leg of an L, say, is better drawn as an area of its own\)$

# The bound knows of no order: it is the same (but for what the runs leave lying) with a machine first that works a corner of the lot only.
case: the order of the crew does not change the bound
$ m="{loader: mid loader, box: 16 ft, start: [10, 10]}" s="{loader: small loader, box: 14 ft, start: [230, 30]}" k="{loader: skid steer, box: 6 ft, start: [197, 8], areas: [long stay]}" t="{loader: plow truck, box: 9 ft blade, start: [22, 5], areas: [drop-off]}"; for c in "$m, $s, $k, $t" "$t, $k, $s, $m" "$k, $s, $m, $t"; do pushcycle run --layout "three piles" --quiet --json --set "crew=[$c]" --set "chance={replications: 1}"; done | $PYTHON -c "import json, sys; text, bounds = sys.stdin.read(), []; exec('while text.strip():\n value, end = json.JSONDecoder().raw_decode(text.lstrip()); bounds.append(value[\"bound_s\"]); text = text.lstrip()[end:]'); print(len(bounds), max(bounds) / min(bounds) < 1.01)"
out: ^3 True$

# The truck passes over 120 x 10 m within minutes; only the loader may work the yard beside it.
case: who sets the time, and who is done long before
$ pushcycle run docks.yaml --quiet; pushcycle run docks.yaml --quiet --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); e, t = r['sets_the_time'], {m['name']: m['done_s'] for m in r['machines']}; print(e['machines'], e['area'], e['no_other_may_work_there'], e['others'], e['done_s'] == t['loader 1'] == r['total_time_s']['mean'], e['others_done_s'] == t['truck 1'])"; pushcycle compare docks.yaml --quiet; pushcycle compare docks.yaml --quiet --crews 1..2 | grep -c sets; pushcycle run small.yaml --json | grep sets_the_time; pushcycle report docks.yaml --quiet --output r.html; grep -c "sets the time: loader 1, at work" r.html; pushcycle brief docks.yaml --quiet --output b.pdf; pdftotext b.pdf - | tr '\n' ' ' | grep -o "Who sets the time: loader 1"
out: ^Who sets the time: loader 1, at work to the end, only in area "yard", where no other machine may work; truck 1 is done 3[0-9.]+ min before it\.$
out: ^\['loader 1'\] yard True \['truck 1'\] True True$
out: ^Who sets the time: loader 1, at work to the end, only in area "yard", where no other machine may work; truck 1 is done 3[0-9.]+ min before it\.$
out: ^0$
out: ^ "sets_the_time": null,$
out: ^1$
out: ^Who sets the time: loader 1$

# Four alike in a long storm: what falls keeps two of them busy. The times told are those of JSON.
case: of equal machines those that stand while the others work are told
$ a="clock.yaml --quiet --set crew[0].count=3"; pushcycle run $a | grep '^Who'; pushcycle run $a --json | $PYTHON -c "import json, sys; r = json.load(sys.stdin); e, t = r['sets_the_time'], {m['name']: (r['total_time_s']['mean'] - m['done_s']) / 60 for m in r['machines']}; print(e['machines'], e['others'], [round(t[n], 1) for n in e['others']], max(t[n] for n in e['machines']) < 5)"
out: ^Who sets the time: loader 1 and loader 2, at work to the end; loader 3 is done 21\.0 min before it, loader 4 99\.1 min\.$
out: ^\['loader 1', 'loader 2'\] \['loader 3', 'loader 4'\] \[21\.0, 99\.1\] True$

case: a blade has no capacity and no limit
$ pushcycle run docks.yaml --quiet; pushcycle compare docks.yaml --quiet
out: ^  truck 1 +plow +0 +-  - +[0-9.]+ %
out: ^  truck with plow: a blade, holds nothing and lays its snow aside\.$
no-out: holds 0 kg
