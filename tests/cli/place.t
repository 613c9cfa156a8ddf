# Where to put the pile zones.

case: place names the best, what each further zone is worth, and the bound
$ pushcycle place small.yaml --zones 2
out1: ^Best 2 pile zones: .*; total time [0-9.]+ min\.$
out: ^Lower bound for any 2 of the [0-9]+ places: [0-9.]+ min \(gap [0-9]+ %\)
out: ^What each further zone is worth$
out: ^  The second zone (saves|costs|makes)
out: ^Local codes and licensed practice decide
no-err: .

case: only the given places
$ pushcycle place small.yaml --zones 1 --candidates east,west --json | $PYTHON -c "import json, sys; d = json.load(sys.stdin); s = d['steps'][0]; print(d['format'], d['version'], d['places'], s['simulated'], s['all'], s['bound_s'] <= s['best']['time_without_chance_s'], [z['name'] for z in d['zones']])"
out: ^pushcycle-place 1 2 2 True True \['(east|west)'\]$

case: a place to keep is among them
$ pushcycle place small.yaml --zones 2 --keep west --set place.simulations=8 --json | $PYTHON -c "import json, sys; d = json.load(sys.stdin); print(all('west' in f['zones'] for f in d['finalists']), d['steps'][0]['best']['zones'])"
out: ^True \['west'\]$

case: the scenario comes back with one more layout, and nothing else changed
$ pushcycle place small.yaml --zones 2 --set place.simulations=8 --candidates generated --size "10 m x 6 m" --step "10 m" --output new.yaml && diff small.yaml new.yaml | grep -c '^<'; pushcycle run new.yaml --layout "placed 2" --quiet
out: ^0$
out: layout "placed 2"
out: ^  place [0-9]
err: new\.yaml has the layout "placed 2" now
file: new.yaml

case: what is written gives the time that was told
$ pushcycle place small.yaml --zones 1 --set place.simulations=8 --candidates generated --size "10 m x 6 m" --step "10 m" --quiet --output new.yaml --json >a.json && pushcycle run new.yaml --quiet --layout "placed 1" --json >b.json && $PYTHON -c "import json; a, b = (json.load(open(n))['total_time_s']['mean'] for n in ('a.json', 'b.json')); print(abs(a / b - 1) < 1e-6)"
out: ^True$

case: the command that is suggested gives the time that was told, with all that bears on it
$ a='--box narrow --depth 8cm --set chance.fill=10% --replications 3 --seed 7 --set site.areas[0].heading=auto'; pushcycle place small.yaml $a --zones 1 --set place.simulations=8 --candidates generated --size "10 m x 6 m" --step "10 m" --output new.yaml --json >a.json 2>said; cat said; eval "$(sed -n 's/.* now: //p' said) --quiet --json" >b.json && $PYTHON -c "import json; a, b = (json.load(open(n))['total_time_s']['mean'] for n in ('a.json', 'b.json')); print(abs(a / b - 1) < 1e-3)"
out: now: pushcycle run new\.yaml --layout "placed 1" --box "narrow" --depth "8cm" --replications "3" --seed "7" --set "chance\.fill=10%" --set "site\.areas\[0\]\.heading=auto" .*--set "site\.areas\[yard\]\.heading=[0-9.]+ deg"$
out: ^True$

case: a file that exists is left alone
$ echo keep >old.yaml; pushcycle place small.yaml --output old.yaml; s=$?; cat old.yaml; exit $s
exit: 2
out: ^keep$
err: old\.yaml exists already

case: so is the scenario
$ pushcycle place small.yaml --output small.yaml
exit: 2
err: must not overwrite the scenario

case: candidates beside the zones
$ pushcycle place small.yaml --zones 1 --candidates north --set "place.candidates=[{name: north, outline: [[0, 20], [40, 20], [40, 26], [0, 26]]}]" --output new.yaml && pushcycle run new.yaml --layout "placed 1"
out1: ^Best 1 pile zone: north;
out: layout "placed 1"

case: what is said of the new scenario can be pasted, whatever its name
$ pushcycle place small.yaml --zones 1 --set place.simulations=4 --candidates generated --output 'my $HOME.yaml' 2>&1 >/dev/null | sed 's/.* now: //; s/$/ --quiet/' >pasted; cat pasted; sh pasted
out: ^pushcycle run 'my \$HOME\.yaml' --layout "placed 1" --quiet$
out: ^Total time

case: in another folder the names of other files lead to the same files
$ mkdir -p lots/sub; mv good-lot.geojson lots; printf 'time,rate\n0,1\n1,0\n' >storm.csv; printf 'snow: {depth: 10 cm}\nsite: {file: good-lot.geojson}\nstorm_file: ../storm.csv   # of tonight\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\nplace: {zones: 1, simulations: 4, among: [south, corner]}\n' >lots/lot.yaml; for o in here.yaml lots/sub/there.yaml lots/beside.yaml $PWD/lots/sub/whole.yaml; do pushcycle place lots/lot.yaml --quiet --output $o >/dev/null && pushcycle check $o --quiet --layout "placed 1" | grep 'fault'; grep -h 'file:' $o; done
out: here\.yaml: no faults
out: ^site: \{file: 'lots/good-lot\.geojson'\}$
out: ^storm_file: 'storm\.csv'   # of tonight$
out: there\.yaml: no faults
out: ^site: \{file: '\.\./good-lot\.geojson'\}$
out: ^storm_file: '\.\./\.\./storm\.csv'   # of tonight$
out: beside\.yaml: no faults
out: ^storm_file: \.\./storm\.csv   # of tonight$
out: whole\.yaml: no faults

case: a name that can't be changed for another folder is told, and nothing is written
$ mkdir sub; printf 'snow: {depth: 10 cm}\nsite:\n  file: >-\n    good-lot.geojson\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\nplace: {zones: 1, simulations: 4, among: [south, corner]}\n' >lot.yaml; pushcycle place lot.yaml --quiet --output sub/new.yaml
exit: 2
err: site\.file: has to be another name in another folder, and is written in a way that cannot be changed
no-file: sub/new.yaml

case: nor is one that leads through a folder that no scenario can name
$ D=$(printf 'l\366t'); mkdir $D; mv good-lot.geojson $D; printf 'snow: {depth: 10 cm}\nsite: {file: good-lot.geojson}\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\nplace: {zones: 1, simulations: 4, among: [south, corner]}\n' >$D/lot.yaml; pushcycle place $D/lot.yaml --quiet --output new.yaml
exit: 2
err: site\.file: leads through a folder whose name cannot stand in a scenario
no-file: new.yaml

case: a byte order mark is no hindrance
$ mkdir sub; printf '\357\273\277site: {file: good-lot.geojson}\nsnow: {depth: 10 cm}\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\nplace: {zones: 1, simulations: 4, among: [south, corner]}\n' >lot.yaml; pushcycle place lot.yaml --quiet --output sub/new.yaml >/dev/null; grep -c "site: {file: '\.\./good-lot\.geojson'}" sub/new.yaml; pushcycle check sub/new.yaml --quiet --layout "placed 1" | grep fault
out: ^1$
out: no faults

case: a scenario from standard input, or a pipe, is written too
$ for s in '-' /dev/stdin; do cat small.yaml | pushcycle place $s --zones 1 --set place.simulations=4 --candidates generated --quiet --output new.yaml >/dev/null; pushcycle place small.yaml --zones 1 --set place.simulations=4 --candidates generated --quiet --output same.yaml >/dev/null; cmp new.yaml same.yaml && pushcycle run new.yaml --quiet --layout "placed 1"; rm new.yaml same.yaml; done
out: layout "placed 1"
no-err: .

case: faults of standard input have its name
$ sed 's/depth:/dept:/' small.yaml | pushcycle place - --output new.yaml
exit: 2
err: ^standard input:[0-9]+:.*dept
no-file: new.yaml

case: a scenario that needs what the command line says is written as it is
$ sed '/depth:/s/depth: [^,}]*,/trigger: 0 cm,/' small.yaml >bare.yaml; pushcycle check bare.yaml 2>&1 | grep -c 'snow.depth: is required'; pushcycle place bare.yaml --depth "10 cm" --zones 1 --set place.simulations=4 --candidates generated --quiet --output new.yaml >/dev/null && pushcycle run new.yaml --depth "10 cm" --quiet --layout "placed 1"
out: ^1$
out: layout "placed 1"

case: names that do not exist
$ pushcycle place small.yaml --candidates easy --keep wets
exit: 2
err: --candidates.*no zone or candidate is called "easy"; did you mean "east"\?
err: --keep.*no zone or candidate is called "wets"; did you mean "west"\?

case: too few places
$ pushcycle place small.yaml --zones 3 --candidates east,west
exit: 2
err: place\.zones: 3 zones are to be chosen, but there are only 2 places

case: why no lot can be made with the last place has the line of its zone, and never another's
$ for w in far beyond generated; do pushcycle place fenced.yaml --zones 1 --size "20 m x 8 m" --candidates $w --set place.off_areas=true; done; grep -n 'name: far' fenced.yaml
exit: 0
out: ^19:
err: ^fenced\.yaml:19:5: zones\[1\]: no machine of the crew can get from the areas to zone "far"
err: ^fenced\.yaml:23:7: place\.candidates\[0\]: no machine of the crew can get from the areas to zone "beyond"
err: ^fenced\.yaml:22:3: place: no machine of the crew can get from the areas to zone "place [0-9]+"
no-err: zones\[[02-9]\]

case: more snow than they hold
$ pushcycle place small.yaml --zones 2 --candidates east,west --depth "3 m" --set snow.done_below="1 cm"
exit: 2
err: place\.zones: no 2 of the 2 places hold the snow

case: sizes need units and a cross
$ pushcycle place small.yaml --size "10 x 6"
exit: 2
err: --size.*needs a unit of length

case: a size of one length is none
$ pushcycle place small.yaml --size "10 m"
exit: 2
err: --size

case: the same bytes for one thread and for five
$ pushcycle place small.yaml --zones 2 --set place.simulations=20 --threads 1 --json >1.json; pushcycle place small.yaml --zones 2 --set place.simulations=20 --threads 5 --json >5.json; cmp 1.json 5.json && echo same
out: ^same$

case: Ctrl-C ends with the best so far, which says that it is no more, and the scenario with it
$ $PYTHON $TESTS/interrupt.py --at 0.002 pushcycle place --threads 1 --set place.simulations=4000 --output new.yaml --json >o; tail -n 1 o; sed '$d' o >p.json; $PYTHON -c "import json; p = json.load(open('p.json')); print(p['stopped'], p['zones_asked'], p['steps'][-1]['all'], {s['bound_s'] for s in p['steps']}, len(p['zones']) == p['steps'][-1]['zones'], p['steps'][-1]['simulated'] > 0)"; pushcycle check new.yaml --quiet >c; echo "check $?"; ls | grep -c 'new.yaml\.'
exit: 1
out: ^exit 1$
out: ^True 3 False \{None\} True True$
out: ^check 0$
out: ^0$
err: stopped: what follows is the best so far
file: new.yaml

case: Ctrl-C before anything is simulated leaves no file
$ $PYTHON $TESTS/interrupt.py 0.5 pushcycle place --quiet --threads 1 --set station="0.25 m" --output new.yaml
out1: ^exit 1$
err: stopped before any choice of places was found
no-file: new.yaml

case: the time that is left is shown on a terminal
$ $PYTHON $TESTS/interrupt.py --at 0.1 pushcycle place --threads 1
err: ^[0-9]+ of [0-9]+ simulations, about [0-9.]+ (s|min|h) left
out: ^exit 1$

case: a scenario without zones gets its first ones, and nothing else of it changes
$ sed -e '/^zones:/,/^crew:/{/^crew:/!d}' small.yaml >none.yaml; pushcycle place none.yaml --zones 2 --set place.simulations=8 --candidates generated --size "10 m x 6 m" --step "10 m" --output new.yaml >o && diff none.yaml new.yaml | grep -c '^<'; grep -A 9 '^compare:' new.yaml; pushcycle check new.yaml --quiet; pushcycle run new.yaml --quiet; pushcycle compare new.yaml --quiet
out: ^0$
out: ^zones:$
out: ^layouts:$
out: ^  - \{name: 'placed 2', zones: \['place [0-9]+', 'place [0-9]+'\]\}$
no-out: all zones
out: ^new\.yaml: no faults
out: ^Total time .* finished
out: ^Quickest: .*"placed 2"

case: so without --candidates, in feet, and beside a map without zones
$ sed -e '/^zones:/,/^[a-y]/{/^[a-y]/!d}' -e '/^layouts:/,/^[a-km-z]/{/^[a-km-z]/!d}' -e 's/layouts: all, //' feet.yaml >f.yaml; sed 's/"kind": "zone"/"kind": "lane"/' good-lot.geojson >bare.geojson; printf 'snow: {depth: 10 cm}\nsite: {file: bare.geojson} # the map\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\n' >m.yaml; for f in f m; do pushcycle check $f.yaml 2>&1 >/dev/null | grep -o '^..yaml:.*zones: there are none'; pushcycle place $f.yaml --zones 1 --set place.simulations=4 --quiet --output new-$f.yaml >/dev/null; pushcycle run new-$f.yaml --quiet; grep -c 'the map' new-$f.yaml; done
out: ^f\.yaml:[0-9]+:[0-9]+: zones: there are none$
out: ^m\.yaml:1:1: zones: there are none$
out: ^Total time .* finished
out: ^1$

case: candidates of one's own where there are no zones
$ sed -e '/^zones:/,/^crew:/{/^crew:/!d}' small.yaml >none.yaml; printf 'place:\n  zones: 1\n  candidates:\n    - {name: north, outline: [[0, 20], [40, 20], [40, 26], [0, 26]]}   # the meadow\n  among: [north]\n' >>none.yaml; pushcycle place none.yaml --quiet --output new.yaml; sed -n '/^zones:/,$p' new.yaml; pushcycle run new.yaml --quiet; pushcycle place none.yaml --zones 2
exit: 2
out1: ^Best 1 pile zone: north;
out: ^  - \{name: 'north', outline: \[\[0, 20\], \[40, 20\], \[40, 26\], \[0, 26\]\], height: 5 m\}$
out: ^Total time .* finished
err: place\.zones: 2 zones are to be chosen, but there is only 1 place:

case: headings that are open are chosen without zones, and the command that follows answers the same
$ sed -e '/^zones:/,/^crew:/{/^crew:/!d}' small.yaml >none.yaml; pushcycle place none.yaml --set site.areas[0].heading=auto --zones 1 --set place.simulations=8 --size "10 m x 6 m" --step "10 m" --output new.yaml --json >a.json 2>said; cat said; eval "$(sed -n 's/.* now: //p' said) --quiet --json" >b.json && $PYTHON -c "import json; a, b = (json.load(open(n))['total_time_s']['mean'] for n in ('a.json', 'b.json')); print(abs(a / b - 1) < 1e-3)"
out: ^True$
out: ^pushcycle: area "yard": heading 90\.0 deg, [0-9.]+ min, .*; next best 0\.0 deg, [0-9.]+ min
out: --set "site\.areas\[yard\]\.heading=[0-9]+ deg"

# Exit statuses are those of the manual page: 2 for a scenario that is not enough.
case: what runs refuses without zones, and says how to go on
$ sed -e '/^zones:/,/^crew:/{/^crew:/!d}' small.yaml >none.yaml; for c in check run compare "compare --mixed" "compare --crews 1..2" sensitivity "plan --tries 1" "brief --output o" "report --output o" "replay --output o" "run --geojson o" "run --shard 1/2" "run --set site.areas[0].heading=auto"; do pushcycle $c none.yaml >o2 2>e; echo "$? $(grep -c '^none.yaml:3:1: zones: there are none, .*place FILE --candidates generated --output NEW.yaml' e)"; grep -v "no effect\|zones: there" e; done; for w in timeline chart; do pushcycle draw $w none.yaml; echo "$w $?"; done; pushcycle limits none.yaml --quiet | sed -n 3p
out: ^2 1$
no-out: ^[0134-9] |^2 [02-9]
out: ^timeline 2$
out: ^chart 2$
out: ^loader$
err: zones: there are none
no-file: ^o$

# 8 t in loads of 0.8 t: the whole takes more than a second, and less than a day, wherever the pile lies.
case: places for which a deadline is missed
$ for t in 1s 24h; do pushcycle place small.yaml --zones 1 --set place.simulations=8 --set "site.areas[0].clear_by=$t" --quiet >o; grep "^With this choice" o; pushcycle place small.yaml --zones 1 --set place.simulations=8 --set "site.areas[0].clear_by=$t" --quiet --json | $PYTHON -c "import json, sys; d = json.load(sys.stdin); print([f['areas_late'] for f in d['finalists'][:1]], d['steps'][0]['best']['areas_late'])"; done
out: ^With this choice "yard" misses its deadline: places are chosen for the time of all of it; `pushcycle run` on this layout says by how much, and what would keep it\.$
out: ^\[1\] 1$
out: ^\[0\] 0$

# International Fire Code 503.4 (from memory): such drives are not to be obstructed. Who has drawn none hears so once, who has drawn some is asked for all.
case: drives of fire engines that nobody drew are called to mind, once
$ k="{name: fire lane, kind: no-piles, outline: [[0, 0], [5, 0], [5, 20], [0, 20]]}, {name: stalls, kind: no-piles, outline: [[10, 0], [15, 0], [15, 5], [10, 5]]}"; for c in "site.keep_clear=[{name: tap, kind: hydrant, at: [1, 1], radius: 0.2 m}]" "site.keep_clear=[$k]"; do pushcycle place small.yaml --zones 1 --set place.simulations=2 --quiet --set "$c" >o; grep "fire engines" o; grep -c "ambulances" o; done; pushcycle check small.yaml | grep -c "Drives of fire engines and ambulances stay open .*International Fire Code 503.4"
out: ^No ground without piles is drawn \(`keep_clear`, kind `no-piles`\): a place may lie where fire engines and ambulances drive\. Draw these drives, or look at the places before they are used\.$
out: ^Kept free: 2 grounds without piles\. Is each drive of fire engines and ambulances drawn so\? A place may lie on one that is not\.$
out: ^1$
no-out: ^[02]$

# A place of 40 x 10 m, the usual size, takes half of a lot of 40 x 20 m. Places of 10 x 5 m find room; of two of the usual size
# on 40 x 30 m nothing could be said but that they are in each other's way.
case: a lot too small for places of the usual size
$ pushcycle place small.yaml --zones 4 --candidates generated; pushcycle place small.yaml --zones 2 --candidates all --set "site.areas=[{name: yard, outline: [[0, 0], [40, 0], [40, 30], [0, 30]]}]" --set "zones=[{name: corner, outline: [[40, 20], [46, 20], [46, 30], [40, 30]], height: 2.5 m}]" --set "layouts=[]"; pushcycle place small.yaml --zones 2 --candidates generated --size "10 m x 5 m" --set "place.simulations=6" --quiet | head -n 1
err: place\.zones: 4 zones are to be chosen, but there is only 1 place: .* or where machines start; smaller ones than 40 m x 10 m \(--size\) may find room$
err: place\.zones: no 2 of the 2 places .* get the lot cleared; take fewer zones, or places smaller than 40 m x 10 m \(--size\)$
out: ^Best 2 pile zones: place
