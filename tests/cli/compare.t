# Selection, seasons, the crew's own boxes, and work that is stopped.

case: replications go on until the best is known
$ pushcycle compare small.yaml --policies keep-pushing,straight-runs --set "chance.fill=20 %" --set "chance.carry=40 %" --replications 10 --within "1 s"
out: with 95 % no other is quicker by more than 1 s \(Kim and Nelson 2001\)\. 10 of each at first
out: out after [0-9]+

case: the same as JSON
$ pushcycle compare small.yaml --policies keep-pushing,straight-runs --set "chance.fill=20 %" --replications 10 --within "10 s" --json
out: "procedure": "Kim and Nelson 2001"
out: "settled": true
out: "dropped": true

case: a selection needs a time with its unit
$ pushcycle compare small.yaml --within 5
exit: 2
err: --within: compare.within: "5" needs a unit of time

case: a selection can't be cut into shards
$ pushcycle compare small.yaml --within "1 min" --shard 1/2
exit: 2
err: give --replications instead

case: nothing is promised where a row finishes in some nights only
$ pushcycle compare --quiet hurried.yaml --layouts all --within "6 s" --seed 1
out: stopped with work left in 1 of 10 nights
out: ^Which row is best is not known: 1 of the 2 finished in some of its nights only
no-out: with 95 %

case: nor where it is after the first stage that it does not finish, and it drops out then
$ pushcycle compare --quiet hurried.yaml --layouts all --within "6 s" --seed 2
out: stopped with work left in 1 of 20 nights
out: ^Which row is best is not known: 1 of the 2 finished in some of its nights only
no-out: with 95 %

case: JSON tells that, too
$ pushcycle compare --quiet hurried.yaml --layouts all --within "6 s" --seed 1 --json
out: "settled": false
out: "sometimes_unfinished": 1

case: of rows that finish in every night the best is told all the same
$ pushcycle compare --quiet hurried.yaml --layouts all --within "6 s" --seed 3 --depths "10 cm,12 cm"
out: ^Which row is best is not known: [0-9] of the 4 finished in some of
out: Of those that finished in every night the first is best: with 95 % no other of them is quicker by more than 6 s

case: no row finishes at all
$ pushcycle compare --quiet hurried.yaml --layouts all --within "6 s" --depth "30 cm" --json
exit: 1
out: "settled": false
out: "sometimes_unfinished": 0

case: of rows that finish in some nights, that which does in more of them comes first
$ pushcycle compare --quiet hurried.yaml --layouts all --replications 300
exit: 1
out: ^None of the 2 finishes in every night \(stopped with work left\); nearest is layout "middle" with wide, which does not in [0-9]+ of 300 nights\.$
out: ^ +1 +middle
out: ^ +2 +beside

case: so it does in a season
$ pushcycle compare --quiet hurried.yaml --layouts all --replications 300 --set "season=[{depth: 12 cm, storms: 10}]"
exit: 1
out: ^ +1 +middle .*not finished in 0\.[0-9] of 10 storms
out: ^ +2 +beside .*not finished in 1\.[0-9] of 10 storms

case: a season is summed up
$ pushcycle compare small.yaml --layout "two piles" --box wide --policies keep-pushing,straight-runs --set "season=[{depth: 5 cm, storms: 10}, {depth: 10 cm, storms: 2.5}]" --set "money={machine: 95 /h, operator: 38 /h, interest: 8 %}" --set boxes[0].price=9000
out: ^A season of 12.5 storms \(10 of 5 cm, 2.5 of 10 cm\)
out: ^ +rank +policy +h a season +to best +working EUR +owning EUR +cost EUR
out: ^ +1 +keep-pushing
out: Least cost: layout ".*, EUR [0-9,]+ a season\.

case: one depth says nothing of the season
$ pushcycle compare small.yaml --depth "7 cm" --set "season=[{depth: 5 cm, storms: 10}]"
out: Nothing is said of the season

case: a depth of the season that stands there twice
$ pushcycle compare small.yaml --set "season=[{depth: 5 cm, storms: 10}, {depth: 50 mm, storms: 1}]"
exit: 2
err: season\[1\]\.depth: stands there already

case: storms of a season that need no work
$ pushcycle compare small.yaml --set "season=[{depth: 5 cm, storms: 3}, {depth: 8 mm, storms: 20}]"
exit: 2
err: season\[1\]\.depth: a depth of 8 mm needs no work

case: a season needs both numbers
$ pushcycle check small.yaml --set "season=[{depth: 5 cm}]"
exit: 2
err: season\[0\]\.storms

case: the crew as it is, beside one box for all
$ pushcycle compare --quiet --layout "three piles" --boxes "16 ft,own" --replications 1
out: 16 ft \+ 14 ft

case: the crew as it is, and the same by its boxes, is one row
$ pushcycle compare --layout "three piles" --boxes "own,16 ft + 14 ft" --set "chance={replications: 1}" 2>err; grep -c "compare.boxes: \"16 ft + 14 ft\" stands there already, in other words; it is compared once" err
out: ^ +1 +three piles +16 ft \+ 14 ft
out: ^1$
no-out: ^Tied|^ +2 +three

case: which box on which loader: every way, and who has which
$ pushcycle compare --quiet --layout "three piles" --boxes "12 ft,14 ft,16 ft" --mixed --set boxes[3].count=1 --replications 2
out: ^Quickest: layout "three piles" with 16 ft \+ 14 ft
out: ^That is 16 ft on mid loader 1 and 14 ft on small loader 1\.$
out: ^ +[0-9] +three piles +14 ft \+ 16 ft
out: ^Left out: layout "three piles" with 16 ft: there is 1 of "16 ft", and this crew would need 2\.$
no-out: three piles +16 ft +[0-9]

case: boxes that a loader can carry: mixes put no other on it, and what is asked for by name is left out with the reason
$ pushcycle compare --quiet --layout "three piles" --boxes "12 ft,14 ft,16 ft" --mixed --set "loaders[1].boxes=[12 ft, 14 ft]" --replications 1
out: ^Quickest in the one night simulated: layout "three piles" with 16 ft \+ 14 ft
out: ^ +[0-9] +three piles +14 ft \+ 12 ft
out: ^Left out: layout "three piles" with 16 ft: loader "small loader" does not take "16 ft"; it takes "12 ft", "14 ft"\.$
no-out: ft \+ 16 ft

case: without a list of boxes none is left out, and a plow truck keeps its plow
$ pushcycle compare --quiet --layout "three piles" --mixed --set "loaders[0].boxes=16 ft" --set "loaders[1].boxes=[12 ft, 14 ft]" --set "crew[2].keep=false" --set "crew[3].keep=false" --set "loaders[2].boxes=6 ft" --set "loaders[3].boxes=9 ft blade" --replications 1 --csv | wc -l
out: ^ *3$

case: a box on a loader that does not take it is a fault, named with both
$ for o in "--box=16 ft" "--box=14 ft + 16 ft" "--loader=small loader" "--set=crew[1].box=16 ft" "--set=loaders[1].boxes=[14ft]"; do pushcycle run --quiet --set "loaders[1].boxes=[14 ft, 12 ft]" "$o"; echo $?; done
out: ^2$
no-out: [013-9]
err: ^demonstration lot:[0-9]+:[0-9]+: loaders\[1\]\.boxes: loader "small loader" does not take "16 ft"; it takes "14 ft", "12 ft"$
err: ^--set: crew\[1\]\.box: loader "small loader" does not take "16 ft"; it takes "14 ft", "12 ft" \(loaders\[1\]\.boxes\)$
err: ^--set: loaders\[1\]\.boxes\[0\]: no box is called "14ft"; did you mean "14 ft"\?$

case: limits leave out what a loader does not take, and say so
$ pushcycle limits --quiet --set "loaders[1].boxes=[14 ft, 12 ft]" --loader "small loader"; pushcycle limits --quiet --set "loaders[1].boxes=[14 ft, 12 ft]" --loader "small loader" --box "16 ft"; echo $?
out: ^ +14 ft +4\.27
out: ^Left out, as the loader does not take the box: small loader with .*16 ft.*\.$
out: ^2$
no-out: ^ +16 ft
err: ^pushcycle: there is nothing to show\. Left out, .*16 ft

case: a mix by its name, run and compared, is the same
$ pushcycle run --quiet --layout "three piles" --box "14 ft + 16 ft" --replications 1 --csv | tail -1 >a; pushcycle compare --quiet --layout "three piles" --boxes "14 ft + 16 ft" --replications 1 --csv | tail -1 >b; cat a b
out: 14 ft \+ 16 ft

case: a mix that names what there is not
$ pushcycle compare --boxes "16 ft,14 ft + 15 ft,14 ft + "
exit: 2
err: compare\.boxes\[1\]: no box is called "15 ft"; did you mean
err: compare\.boxes\[2\]: "14 ft \+ ": a box is missing beside a plus

case: so for one box
$ pushcycle run --box "14 ft + 15 ft"
exit: 2
err: --box: there is no box "15 ft"; did you mean

case: a mix of more boxes than the crew has machines
$ pushcycle run --box "16 ft + 14 ft + 12 ft"
exit: 2
no-err: ^box:
err: ^--box: "16 ft \+ 14 ft \+ 12 ft" names 3 boxes, but only 2 machines of the crew can be given one

case: a crew that would need more boxes than there are
$ pushcycle check --set "boxes[3].count=0"
exit: 2
err: boxes\[3\]\.count: there are 0 of "16 ft", and this crew would need 1

case: one box leaves nothing to mix
$ pushcycle compare --box "16 ft" --mixed
exit: 2
err: --box and --mixed exclude each other

case: mixes for each number of machines, of as many boxes as there are, and the best of each
$ pushcycle compare --quiet --layout "three piles" --boxes "14 ft,16 ft" --mixed --crews 2,4 --set boxes[3].count=2 --replications 1
out: ^Left out: layout "three piles" with 16 ft, 4 machines: there are 2 of "16 ft", and 4 machines beside the 2 that stay would need 4\.$
out: ^  16 ft +2 
out: ^  16 ft \+ 14 ft \+ 16 ft \+ 14 ft +4 
out: ^  Layout "three piles" with the best boxes for each number: 4 machines beside the 2 that stay cost least
no-out: ^  14 ft +2 

case: in JSON each step has its boxes, and the group none
$ pushcycle compare --quiet --layout "three piles" --boxes "14 ft,16 ft" --mixed --crews 1,2 --replications 1 --json | $PYTHON -c "import json, sys; g = json.load(sys.stdin)['crews']; print(len(g), g[0]['box'], [(s['machines'], s['box']) for s in g[0]['steps']])"
out: ^1 None \[\(1, '16 ft'\), \(2, '16 ft'\)\]$

case: and a chart has one line through them
$ pushcycle draw chart --of crew --quiet --layout "three piles" --boxes "14 ft,16 ft" --mixed --crews 1,2 --replications 1 --format svg >a.svg; head -c 5 a.svg
out: <\?xml

case: the crew's own boxes are named machine by machine, whatever their number
$ pushcycle compare --quiet --layout "three piles" --boxes own --crews 1..3 --replications 1
out: ^ +[0-9] +three piles +16 ft +1 
out: ^ +[0-9] +three piles +16 ft \+ 14 ft +2 
out: ^ +[0-9] +three piles +16 ft \+ 14 ft \+ 16 ft +3 

case: a chart of crews takes no mixes from the scenario
$ pushcycle draw chart small.yaml --of crew --quiet --set compare.mixed=true | head -c 5
out: <\?xml

case: limits of the boxes of a mix
$ pushcycle limits --quiet --box "16 ft + 14 ft" --loader "mid loader"
out: ^ +14 ft
out: ^ +16 ft
no-out: ^ +12 ft

case: replay has no mixes to show side by side
$ pushcycle replay small.yaml --mixed
exit: 2
err: replay does not take --mixed

case: a mix named among the boxes is begun anew in larger crews
$ pushcycle compare --quiet --layout "three piles" --boxes "16 ft + 14 ft" --crews 1,3 --replications 1 --json
out: "name": "small loader 1"
out: "name": "mid loader 2"

case: Ctrl-C ends with the replications that are done
$ pushcycle run --quiet --replications 100000 --threads 1 --json >out & p=$!; sleep 1; while kill -INT $p 2>/dev/null; do sleep 3; done; wait $p; echo "exit $?"; grep -o '"finished": [a-z]*' out
out: ^exit 1$
out: ^"finished": true$
err: stopped: [0-9]+ of 100000 replications are done

case: Ctrl-C ends with the combinations that are done
$ pushcycle compare small.yaml --depths "2 cm,3 cm,4 cm,5 cm,6 cm,7 cm,8 cm" --set "chance.fill=20 %" --replications 20000 --threads 1 --json >out & p=$!; sleep 1; while kill -INT $p 2>/dev/null; do sleep 3; done; wait $p; echo "exit $?"
out: ^exit 1$
err: stopped

case: a report has the season, too
$ pushcycle report small.yaml --layout "two piles" --box wide --policies keep-pushing,straight-runs --set "season=[{depth: 5 cm, storms: 10}, {depth: 10 cm, storms: 2.5}]" --set "money={machine: 95 /h, operator: 38 /h}" --quiet --output r.html; grep -o '<section id="season"' r.html; grep -o 'A season of 12.5 storms' r.html; grep -o 'href="#season"' r.html; pushcycle report small.yaml --depth "5 cm" --set "season=[{depth: 6 cm, storms: 10}]" --quiet | grep -c season-title
out: ^<section id="season"$
out: ^A season of 12.5 storms$
out: ^href="#season"$
out: ^0$
exit: 1

# Falling snow is told of: 1 cm/h for 6 h, by hand.
case: a season beside a storm
$ pushcycle compare night.yaml --policies keep-pushing,straight-runs --crews 1,2 --set "season=[{depth: 2 cm, storms: 10}, {depth: 5 cm, storms: 2}]"
out1: ^With 2 cm on the ground, 6 cm falling: quickest is
out: ^With 5 cm on the ground, 6 cm falling: quickest is
out: ^How many machines, with 2 cm on the ground, 6 cm falling$
out: ^A season of 12 storms \(10 of 2 cm, 2 of 5 cm; each with 6 cm falling on top\)$
out: ^Why, with 5 cm on the ground, 6 cm falling$
no-out: of snow
err: caution: --set: season: stands beside a storm: .* all of the storm falls, 6 cm; leave `storm` out

case: a season without a storm, or a storm without a season
$ pushcycle check night.yaml; pushcycle compare small.yaml --depths "5 cm,6 cm" --set "season=[{depth: 5 cm, storms: 10}, {depth: 6 cm, storms: 2}]"
out: ^With 5 cm of snow: quickest is
no-out: falling
no-err: caution

# What the headline says is worked out anew from runs of each row: who is clear in time, who of them is quickest. More than ten minutes are told in
# minutes, also where a difference is of seconds.
case: a quickest row that misses a deadline
$ a="site.areas=[{name: yard, outline: [[0, 0], [30, 0], [30, 20], [0, 20]], clear_by: 470 s}, {name: strip, outline: [[30, 0], [40, 0], [40, 20], [30, 20]]}]"; pushcycle compare small.yaml --quiet --box wide --policies keep-pushing,straight-runs,building-out --set "$a" | head -n 2 >o; cat o; for l in "one pile" "two piles"; do for p in keep-pushing straight-runs building-out; do pushcycle run small.yaml --quiet --layout "$l" --policy $p --box wide --set "$a" --json >"$l-$p.json"; done; done; $PYTHON -c "import glob, json; r = [json.load(open(f)) for f in glob.glob('*.json')]; t = lambda x: x['total_time_s']['mean']; q = min(r, key=t); k = min((x for x in r if x['areas'][0]['done_s'] <= 470), key=t); print(q['areas'][0]['done_s'] > 470, [w['layout'] in h and w['policy'] in h for w, h in zip((q, k), open('o'))], ', %.2f min longer.' % ((t(k) - t(q)) / 60) in open('o').read())"
out: ^Quickest: layout .* [0-9]+\.[0-9]{2} min, but 1 area is late\. 
out: ^The quickest that keeps all deadlines: layout .*, [0-9.]+ min longer\. `pushcycle run` says whether
out: ^True \[True, True\] True$

case: deadlines that nobody keeps, that some nights miss, and that all keep
$ for d in "1 min" "482 s" "2 h"; do pushcycle compare small.yaml --quiet --layouts all --box wide --set "chance.carry=60 %" --replications 10 --set "site.areas[0].clear_by=$d"; done
out: ± [0-9.]+ s \(95 %\), but 1 area is late\. 
out: ^None of the 2 keeps all deadlines\.$
out: but 1 area is late in [1-9] of 10 nights\. 

# 2 cm are pushed in less than an hour (the depth of 10 cm takes some 8 min), 80 cm are not.
case: each depth is judged by itself
$ pushcycle compare small.yaml --quiet --layouts all --box wide --depths "2 cm,80 cm" --set "site.areas[0].clear_by=15 min"
out: ^With 2 cm of snow: quickest is .*[^e]\.$
out: ^With 80 cm of snow: quickest is .*, but 1 area is late
out: ^With 80 cm of snow none of the 2 keeps all deadlines\.$
no-out: ^None of|^With 2 cm of snow none|^With 2 cm .*late

# The same nights, counted by a run of that row alone.
case: late in how many nights
$ a="--quiet --box wide --set chance.carry=0.6 --replications 10"; pushcycle compare small.yaml $a --layouts all --set "site.areas[0].clear_by=482 s" >o; pushcycle run small.yaml $a --layout "one pile" --set "site.areas[0].clear_by=482 s" --json | $PYTHON -c "import json, sys; n = json.load(sys.stdin)['areas'][0]['late_replications']; o = open('o').read(); print(0 < n <= 10, ('1 area late in %d of 10 nights' % n if n < 10 else '1 area late ') in o)"
out: ^True True$

case: no deadline, nothing said of one
$ pushcycle compare small.yaml; pushcycle compare small.yaml --set "site.areas[0].clear_by=2 h"
no-out: late|deadline

case: prices stand beside the times
$ pushcycle compare small.yaml --boxes all --set "money={currency: CAD, machine: 95 /h, operator: 38 /h}"
out: ^ +rank .* cost CAD

case: a box that leaves more than another is told of
$ printf 'pushcycle: 1\nsnow: {depth: 10 cm}\nsite: {areas: [{name: yard, outline: [[0, 0], [60, 0], [60, 40], [0, 40]]}, {name: strip, outline: [[60, 10], [90, 10], [90, 13], [60, 13]], clear_by: 1 h}]}\nboxes: [{name: wide, width: 4.5 m, height: 1.2 m}, {name: narrow, width: 2.9 m, height: 1.2 m}]\nloaders: [{name: l, machine_width: 2.5 m, speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\nzones: [{name: z, outline: [[-12, 0], [0, 0], [0, 40], [-12, 40]], height: 5 m}]\ncrew: [{loader: l, box: narrow}]\n' >strip.yaml; pushcycle compare strip.yaml --boxes wide,narrow --quiet; pushcycle run strip.yaml --box wide --quiet
out: leaves 90 m2 more
out: they clear more in their time
out: ^ +strip +never +60.0 min +missed

case: a machine that starts in a building
$ pushcycle run --set "crew[0].start=[125, 50]"
exit: 2
err: crew\[0\]\.start: the start lies in building "ticket hall"

case: a machine that starts in a pole
$ pushcycle check --set "crew[0].start=[60, 34]"
exit: 2
err: crew\[0\]\.start: the start lies in pole

case: a zone on a building
$ pushcycle check --set "zones[0].outline=[[120,40],[150,40],[150,60],[120,60]]"
exit: 2
err: zones\[0\]\.outline: zone "north" lies on building "ticket hall", by 144 m2

case: a plan that can't be saved is no long search
$ pushcycle plan small.yaml --seconds 60 --save nowhere/p.json
exit: 3
err: nowhere/p.json: No such file
no-out: .

case: a loader that can't push its box is told of
$ pushcycle check small.yaml --set "loaders[0].power=2 kW" --set "loaders[0].mass=1 t" --set "loaders[0].traction=0.02" --set "boxes[0].mass=1.5 t" --set "boxes[1].mass=1.5 t"
out: cannot push ".*" at all: it will stand still

case: what is stopped says so in what is written
$ $PYTHON $TESTS/interrupt.py --at 0.3 pushcycle compare small.yaml --depths "2 cm,3 cm,4 cm,5 cm,6 cm,7 cm,8 cm" --set "chance.fill=20 %" --replications 8000 --threads 1 --json >o; tail -n 1 o; sed '$d' o >c.json; $PYTHON -c "import json; c = json.load(open('c.json')); print(c['stopped'], 0 < len(c['rows']) < c['combinations_asked'] == 28)"
out: ^exit 1$
out: ^True True$

case: a report of what is done when Ctrl-C comes
$ $PYTHON $TESTS/interrupt.py --at 0.3 pushcycle report small.yaml --depths "2 cm,3 cm,4 cm,5 cm,6 cm,7 cm,8 cm" --set "chance.fill=20 %" --replications 8000 --threads 1 --output r.html; grep -o 'Stopped: [0-9]* of 28 combinations are done' r.html; tail -n 1 r.html; ls | grep -c 'r.html\.'
out1: ^exit 1$
out: ^Stopped: [0-9]+ of 28 combinations are done$
out: ^</html>$
out: ^0$
exit: 1

case: a second Ctrl-C ends at once, and leaves no file
$ n=900; $PYTHON $TESTS/interrupt.py 2,1 pushcycle run small.yaml --quiet --layout "one pile" --box narrow --set "site.areas[0].outline=[[0,0],[$n,0],[$n,$n],[0,$n]]" --set "zones[1].outline=[[-60,0],[0,0],[0,$n],[-60,$n]]" --set "zones[0].outline=[[$n,0],[960,0],[960,$n],[$n,$n]]" --depth "30 cm" --set "zones[0].height=30 m" --output r.txt
out: ^signal 2$
no-file: r.txt

# Three nights with loads that take twice or half as long: the means are 10 % apart, the interval is wider than that.
case: too few replications are no tie
$ pushcycle compare small.yaml --quiet --layouts all --box wide --set "chance={fill: 1, carry: 1, return: 1}" --replications 3
out: ^3 replications are too few to tell whether it is quicker than layout "one pile" with wide\. About 10 would tell, by how much they vary so far \(Law, Simulation Modeling and Analysis\): --replications 10\.$
out: ^ +2  one pile .* not clear yet 
no-out: [Tt]ied

case: as many as were asked for do tell
$ pushcycle compare small.yaml --quiet --layouts all --box wide --set "chance={fill: 1, carry: 1, return: 1}" --replications 40
no-out: too few|not clear
out: ^Quickest: .* (The other one, |Tied)

case: too few replications, as JSON
$ pushcycle compare small.yaml --quiet --layouts all --box wide --set "chance={fill: 1, carry: 1, return: 1}" --replications 3 --json | $PYTHON -c "import json, sys; print([(r['tied_with_best'], r['replications_to_tell']) for r in json.load(sys.stdin)['rows']])"
out: ^\[\(True, 0\), \(True, 10\)\]$

case: of two rows, too, one night with chance says what one night can say
$ for r in 1 2; do pushcycle compare small.yaml --quiet --layouts all --box wide --set "chance={fill: 0.1}" --replications $r | head -n 1; done; pushcycle compare small.yaml --quiet --layouts all --box wide --set "chance={fill: 0.1}" --replications 1 --depths "5 cm,8 cm" | head -n 2; pushcycle report small.yaml --quiet --layouts all --box wide --set "chance={fill: 0.1}" --replications 1 | grep -c "Quickest: layout"
out1: ^Quickest in the one night simulated: layout "two piles" with wide, [0-9.]+ s\. The other one, layout "one pile" with wide, takes [0-9.]+ s longer \([0-9.]+ %\)\.$
out: ^Quickest: layout "two piles" with wide, .* \(95 %\)
out: ^With 5 cm of snow: quickest in the one night simulated is layout 
out: ^0$
exit: 1

# Without chance all nights are alike, and one says it all.
case: one night without chance settles it
$ pushcycle compare small.yaml --quiet --layouts all --box wide --replications 1
out1: ^Quickest: layout "two piles" with wide, [0-9.]+ s\. The other one, layout "one pile" with wide, takes [0-9.]+ s longer \([0-9.]+ %\)\.$
no-out: one night|One replication

case: one night of a scenario with chance settles nothing
$ pushcycle compare small.yaml --quiet --set "chance={fill: 0.1}" --replications 1; pushcycle report small.yaml --quiet --set "chance={fill: 0.1}" --replications 1 --output r.html; grep -c "One replication does not show what chance does" r.html; grep -c "Nothing varies by chance" r.html
out: ^One replication does not show what chance does
out: ^1$
out: ^0$
no-out: really slower
exit: 1

# Rinott's constant of as many replications: the quantiles that it was made from fail there, and ended the command.
case: ties in very many nights
$ pushcycle compare small.yaml --quiet --layouts all --box wide --set "chance={fill: 0.1}" --set "layouts[1].zones=[east]" --replications 20000
out: tied with best
out: ^To find the best of those tied to within 1 min .*; at most about 20000 replications of each \(Rinott 1978\)\.$

case: machines that stay are told beside the number of those that may change, wherever it is told
$ a='small.yaml --quiet --layout "two piles" --box wide --crews 1..2 --set "crew=[{loader: loader, box: wide}, {loader: loader, box: narrow, keep: true}]"'; eval "pushcycle compare $a"; eval "pushcycle report $a --output r.html"; sed 's/<[^>]*>//g' r.html | grep -c 'machines\? beside the 1 that stays'
out1: with wide, [12] machines? beside the 1 that stays, .* with wide, [12] machines? beside the 1 that stays, takes
out: ^ +rank +layout +box +machines \(\+ 1\) 
out: ^ +machines \(\+ 1\) +time
out: ^  [0-9] machines? beside the 1 that stays cost least
out: ^[1-9][0-9]*$

case: with too few boxes for any number of machines, each number is told
$ pushcycle compare small.yaml --quiet --layout "two piles" --box wide --crews 2..3 --set "crew=[{loader: loader, box: wide}, {loader: loader, box: narrow, keep: true}]" --set boxes[1].count=1
exit: 2
err: there is 1 of "wide", and 2 machines beside the 1 that stays would need 2$
err: there is 1 of "wide", and 3 machines beside the 1 that stays would need 3$

# By what each layout alone gets: 0 deg for one pile, 90 deg for two. The one that is compared first decides, in all rows alike.
case: the lanes of a comparison are those of its first layout, and it says so
$ a="compare small.yaml --quiet --set site.areas[0].heading=auto"; for l in "one pile" "two piles"; do pushcycle run small.yaml --layout "$l" --set site.areas[0].heading=auto --json --quiet >r; pushcycle $a --layout "$l" --box wide --json >1; o="two piles"; test "$l" = "$o" && o="one pile"; pushcycle $a --layouts "$l,$o" --boxes wide --json >2; $PYTHON -c "import json; r, a, b = (json.load(open(n)) for n in 'r12'); h = [x['headings'][0] for x in (r, a, b)]; print(h[0]['layout'], round(h[0]['heading_deg']), h[0] == h[1] == h[2], [y['total_time_s'] for y in b['rows'] if y['layout'] == h[0]['layout']] == [a['rows'][0]['total_time_s']])"; pushcycle $a --layouts "$l,$o" --boxes wide | grep ^Lanes; done; pushcycle $a --layout "two piles" --boxes all | grep -o "^Lanes are .*boxes\."; pushcycle $a --layout "two piles" --box wide | grep -c ^Lanes; pushcycle compare small.yaml --quiet | grep -c ^Lanes; for c in compare report; do pushcycle $c small.yaml --quiet --set site.areas[0].heading=auto --output r.html; grep -c "Lanes are the same in all rows" r.html; done
out: ^one pile 0 True True$
out: ^two piles 90 True True$
out: ^Lanes are the same in all rows: where `heading` is auto they were chosen with layout "one pile"\. Other rows might do better with others: --layout, --box and --loader have them chosen for what they name\.$
out: ^Lanes are the same in all rows: where `heading` is auto they were chosen with layout "two piles"\. 
out: ^Lanes are .* layout "two piles" and the crew's own boxes\.$
out: ^0$
out: ^1$

# No way leads to the zone of the first layout; the second, alone or beside it, gets the same lanes. Without a second that is a fault.
case: lanes are chosen with the next layout where no lot can be made with the first
$ sed -e 's/^layouts: .*/  - {name: moon, outline: [[525,5],[555,5],[555,55],[525,55]]}\nlayouts: [{name: far, zones: [moon]}, {name: one, zones: [east]}]/' gate.yaml >moon.yaml; a="compare moon.yaml --boxes 10ft --set boxes[0].name=10ft --set crew[0].box=10ft --set crew[1].box=10ft --set site.areas[0].heading=auto"; for l in all one far; do pushcycle $a --layouts $l --json >$l 2>e$l; echo $?; done; cat efar; $PYTHON -c "import json; a, b = (json.load(open(n)) for n in ('all', 'one')); print(a['headings'] == b['headings'], a['headings'][0]['layout'], [r['layout'] for r in a['rows']], [r['layout'] for r in a['left_out']])"
out: ^0$
out: ^2$
out: no machine of the crew can get from the areas to zone "moon"
out: ^True one \['one'\] \['far'\]$
