# Where the piles would lie: siting cautions of every command that shows them.

case: check lists every finding with its source
$ pushcycle check siting.yaml
out1: no faults, 8 cautions
out: ^  must not +east +hydrant "hydrant 1" +50 cm +91\.4 cm +NFPA 1 \(2015\), 18\.5\.7$
out: ^  must not +east +accessible "stall" +on it +0 m +28 CFR 36\.211$
out: ^  should not +west +door "way out" +1 m +2 m +common practice, no source$
out: ^  should not +east +sight "exit" +on it
out: ^  look at it +west +hydrant front "hydrant 2" +1\.2 m +1\.52 m
out: ^  look at it +all of layout one pile +room: holds 15 m3 of 20 m3, 5 m3 to haul off +- +-
out: ^  look at it +west +beyond the pavement: 120 m2 +6 m +5 m
no-out: gully
out: ^Where snow may be piled is decided by local codes and by licensed practice

case: check keeps to the units asked for
$ pushcycle check siting.yaml --units us
out: ^  must not +east +hydrant "hydrant 1" +1\.64 ft +3 ft

case: check json has the findings among the cautions, and what every zone holds
$ pushcycle check siting.yaml --json | $PYTHON -c "import json, sys; d = json.load(sys.stdin); c = d['cautions'][0]; print(len(d['cautions']), c['kind'], c['key'], c['severity'], c['distance_m'], c['limit_m'], c['place_m'], c['source']); print([(l['name'], l['holds_it'], [z['name'] for z in l['zones']]) for l in d['layouts']])"
out: ^8 siting zones\[0\] must not 0\.5 0\.9144 \[40\.0, 10\.0\] NFPA 1 \(2015\), 18\.5\.7$
out: ^\[\('one pile', False, \['west'\]\), \('two piles', True, \['east', 'west'\]\)\]$

case: limits of the user's own
$ pushcycle check siting.yaml --set "siting.hydrant=40 cm" --set "siting.hydrant_front=0 m" --set "siting.door=1 m" --set "siting.pavement=6 m"
out1: no faults, 3 cautions
no-out: hydrant [12]"

case: run shows five findings and counts the rest, and ends as before
$ pushcycle run siting.yaml --layout "two piles"
out: ^  must not: zone "east" is 50 cm from hydrant "hydrant 1"; 91\.4 cm stay clear \(NFPA 1 \(2015\), 18\.5\.7\)$
out: ^  and 2 more: see `pushcycle check`$
out: ^Local codes and licensed practice decide

case: run json has the findings of its layout
$ pushcycle run siting.yaml --layout "one pile" --json | $PYTHON -c "import json, sys; print([s['rule'] for s in json.load(sys.stdin)['siting']])"
exit: 0
out: ^\['door', 'hydrant front', 'room', 'pavement'\]$

case: compare has the findings of the layouts compared, each once
$ pushcycle compare siting.yaml --json | $PYTHON -c "import json, sys; print(sorted(s['zone'] or s['layout'] for s in json.load(sys.stdin)['siting']))"
out: ^\['east', 'east', 'east', 'east', 'one pile', 'west', 'west', 'west'\]$

case: compare shows five
$ pushcycle compare siting.yaml
out: ^  and 3 more: see `pushcycle check`$

case: the depth asked for decides about the room
$ pushcycle check siting.yaml --depth "5 cm"
no-out: room: holds

case: nothing to say, nothing said
$ pushcycle run siting.yaml --set "siting.pavement=6 m" --set "site.keep_clear=[]" --layout "two piles"
no-out: Where the piles would lie
out: ^Local codes and licensed practice decide

case: near keys are known, and a half of them alone is told
$ pushcycle check siting.yaml --set "near={distance: 5 m, border: 0.5 m}"
out: near\.distance: slows nobody down

case: near and siting want units
$ pushcycle check siting.yaml --set "near.speed=6" --set "siting.lane=4"
exit: 2
err: near\.speed: "6" needs a unit of speed
err: siting\.lane: "4" needs a unit of length

# Headings that are left open.

case: a heading left open is chosen and told
$ pushcycle run small.yaml --layout "two piles" --set "site.areas[0].heading=auto"
err: ^pushcycle: area "yard": heading (90|270)\.0 deg, [0-9.]+ min; next best (0|180)\.0 deg, [0-9.]+ min$

case: the chosen heading gives the time that was told
$ pushcycle run small.yaml --quiet --json --set "site.areas[0].heading=auto" | $PYTHON -c "import json, sys; d = json.load(sys.stdin); h = d['headings'][0]; print(h['area'], h['time_s'] == d['total_time_s']['mean'], h['next_time_s'] > h['time_s'], h['candidates'])"
no-err: .
out: ^yard True True 4$

case: the choice on the command line is the one that is tried
$ pushcycle run small.yaml --json --policy straight-runs --box narrow --layout "two piles" --set "site.areas[0].heading=auto" | $PYTHON -c "import json, sys; d = json.load(sys.stdin); print(d['headings'][0]['time_s'] == d['total_time_s']['mean'])"
out: ^True$

case: Ctrl-C ends the choice of headings with the best so far
$ $PYTHON $TESTS/interrupt.py --at 0.2 pushcycle run --threads 1 --set "site.areas[0].heading=auto" --replications 1 --json >o; sed -n '/^exit/,$d; p' o >r.json; $PYTHON -c "import json; h = json.load(open('r.json'))['headings'][0]; print(0 < h['tried'] < h['candidates'])"; grep '^exit' o
out: ^True$
out: ^exit 0$
err: area "car park": heading .* \(stopped: the best of [0-9]+ tried of 16\)$

case: check and compare choose as well
$ pushcycle check small.yaml --json --set "site.areas[0].heading=auto" | grep -c heading_deg; pushcycle compare small.yaml --quiet --json --set "site.areas[0].heading=auto" | grep -c '"next_heading_deg"'
out: ^2$
out: ^1$

case: a heading that is neither an angle nor the word
$ pushcycle check small.yaml --set "site.areas[0].heading=Auto"
exit: 2
err: site\.areas\[0\]\.heading: "Auto" is not a number .*, or auto$

# A second area lies beside the yard, behind a seam; a zone parts the yard alone.
case: what ways are led over parts nothing, and what parts the lot is no way
$ for s in 0 0.00001 0.003 0.099 0.101; do pushcycle check small.yaml --layout "one pile" --set "site.areas=[{name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}, {name: side, outline: [[0, -$s], [0, -10], [40, -10], [40, -$s]]}]" --set "zones[0].outline=[[18, 0], [22, 0], [22, 20], [18, 20]]" >o 2>e; echo "$s: $? $(grep -c 'the ways over\|the pavement' o) $(grep -o "can't be reached" e | sort -u)"; done
out: ^0: 0 0 $
out: ^0\.00001: 0 0 $
out: ^0\.003: 0 0 $
out: ^0\.099: 0 0 $
out: ^0\.101: 2 0 can't be reached$

case: ground without piles: told of, drawn, read from a map and given back, and no place for `place`
$ s='site.keep_clear=[{name: fire lane, kind: no-piles, outline: [[-6, 0], [46, 0], [46, 6], [-6, 6]]}]'; pushcycle check siting.yaml --quiet --set "$s"; pushcycle draw map siting.yaml --quiet --set "$s" --format pdf | pdftotext - - | paste -sd ' '; pushcycle check siting.yaml --quiet --set "$s" --set 'site.origin=[20, 60]' --geojson m.geojson >o; grep -o '"kind": *"no-piles"' m.geojson; pushcycle new --from m.geojson | grep -c 'kind: no-piles'; pushcycle run siting.yaml --quiet --set "$s"; g='site.ground=[{name: g, outline: [[-12, -12], [52, -12], [52, 32], [-12, 32]]}]'; pushcycle place small.yaml --quiet --set "$g" --set "$s" --zones 1 --allow | grep "places to choose"; pushcycle place small.yaml --quiet --set "$g" --zones 1 --allow | grep "places to choose"
out: must not  *east  *no piles "fire lane"  *on it  *0 m  the map of the lot$
out: keep clear: X no piles
out: "kind": *"no-piles"
out: ^1$
out: must not: zone "west" lies on ground without piles "fire lane", 36 m2 of it \(the map of the lot\)$
out: left out: 5 must not be used
out: left out: 0 must not be used
