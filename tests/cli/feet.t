# Units of messages and results, and the lines of what is found only when a lot is made. A foot is 0.3048 m and a
# pound 0.45359237 kg (NIST SP 811, appendix B); numbers worked out by hand from tests/cli/feet.yaml are named beside.

case: a scenario in feet is answered in feet, without a word about it
# 130 ft x 65 ft = 8450 ft2; the shed of 10 ft x 10 ft and the places that a box of 10 ft does not reach are left
$ pushcycle run feet.yaml 2>&1 | sed 's/(914 mm)//'
out: ^caution: feet\.yaml:9:5: site\.areas: no lane of the boxes of this crew reaches [0-9]+ ft2 with [0-9]+ lb of snow.*near \[[0-9.]+, [0-9.]+\] ft\)$
out: 4 in of snow at 6 lb/ft3
out: reaches 20 ft beyond the pavement drawn, with 1300 ft2
out: ^Fuel: [0-9.]+ gal
no-out: [0-9] ?(m|m2|m3|kg|t|km/h|cm|mm|l|ha|km)([ ,;.)]|$)

case: so are check, compare, limits and plan
$ for c in check "compare --layouts all" limits "plan --tries 3"; do pushcycle $c feet.yaml 2>&1 | sed 's/(914 mm)//'; done
out: To clear: 1 area, 8450 ft2
out: holds it
out: width ft
no-out: [0-9] ?(m|m2|m3|kg|t|km/h|cm|mm|l|ha|km)([ ,;.)]|$)
no-out: (m2|m3|kg|km/h|cm|mm)( |$)

case: the middles of places are in feet, as in the file
# east is [[130, 0], [150, 0], [150, 65], [130, 65]], so its middle is [140, 32.5] ft = [42.7, 9.9] m
$ for u in us metric; do pushcycle place feet.yaml --zones 1 --candidates east,west --keep east --quiet --units $u; done
out: ^ +zone +kind +middle x ft +y ft +loads
out: ^ +east +kept +140\.0 +32\.5 
out: ^ +zone +kind +middle x m +y m +loads
out: ^ +east +kept +42\.7 +9\.9 

case: --units metric has the last word
# the zone ends 20 ft = 6.1 m beyond the pavement, with 1300 ft2 = 121 m2
$ pushcycle run feet.yaml --units metric 2>&1
out: ^caution: feet\.yaml:9:5: site\.areas: no lane of the boxes of this crew reaches [0-9.]+ m2 with [0-9]+ kg of snow.*near \[[0-9.]+, [0-9.]+\] m\)$
out: reaches 6\.1 m beyond the pavement drawn, with 121 m2
no-out: [0-9] (ft|ft2|yd3|lb|mph|in|gal)([ ,;.)]|$)

case: --units us turns a scenario in metres
# the zone is moved 100 m - 40 m = 60 m = 197 ft away; 100 m = 328.08 ft, 110 m = 360.89 ft, their middle 344.49 ft; 4 m = 13.1 ft
$ pushcycle run small.yaml --units us --set "zones[0].outline=[[100,0],[110,0],[110,20],[100,20]]"
exit: 2
err: ^caution: --set: zones\[0\]\.outline: the zone lies 197 ft away from every area
err: ^small\.yaml:22:5: zones\[0\]: no machine of the crew can get from the areas to zone "east", near \[344\.49, 32\.81\] ft: a way must be on pavement and at least 13\.1 ft wide \("loader 1" with wide\)$
no-err: [0-9] ?(m|m2|kg)([ ,;.)]|$)

case: ranges, densities and figures that look like a slip, in the reader's units
# 20 m = 65.6168 ft; 917 kg/m3 = 57.2464 lb/ft3 (1 lb/ft3 = 16.018463 kg/m3)
$ pushcycle check feet.yaml --set "boxes[0].width=500 ft" --set "snow.fresh_density=100 lb/ft3"; pushcycle check feet.yaml --set "boxes[0].width=40 ft" --set "loaders[0].mass=0.5 ton" --set "loaders[0].speeds.push=20 mph"
err: boxes\[0\]\.width: 500 ft is outside what is allowed: more than 0 ft, at most 65\.6168 ft
err: fresh_density: 100 lb/ft3 is outside what is allowed: 0\.62428 lb/ft3 … 57\.2464 lb/ft3
out: 40 ft is unusual: boxes and blades are about 3 ft to 33 ft wide
out: 20 mph is unusually fast for pushing
out: 1000 lb is unusually light for a loader

case: depths and areas of faults
# the shed is 10 ft x 10 ft
$ pushcycle check feet.yaml --set "zones[0].outline=[[50,10],[80,10],[80,40],[50,40]]" --set "snow.done_below=5 in"
exit: 2
err: zone "east" lies on building "shed", by 100 ft2
err: a depth of 4 in needs no work: snow below 5 in counts as done

case: JSON stays in SI, whatever the units
$ pushcycle run feet.yaml --json --quiet >a; pushcycle run feet.yaml --json --quiet --units metric >b; cmp a b && echo same
out: ^same$

case: shards of a scenario in feet merge to the same words
$ for i in 1 2; do pushcycle compare feet.yaml --layouts all --shard $i/2 --quiet >p$i || exit 9; done; pushcycle compare feet.yaml --layouts all --quiet >a; pushcycle merge p1 p2 --quiet >b; cmp a b && echo same
out: ^same$

case: a zone that nobody gets to has its line
$ sed 's/\[\[130, 0\], \[150, 0\], \[150, 65\], \[130, 65\]\]/[[330, 0], [350, 0], [350, 65], [330, 65]]/' feet.yaml >far.yaml; pushcycle run far.yaml
exit: 2
err: ^far\.yaml:23:5: zones\[0\]: no machine of the crew can get from the areas to zone "east", near \[340, 32\.5\] ft

case: an area that nobody gets to has its line
$ sed 's/^  obstacles:/    - {name: far yard, outline: [[300, 0], [400, 0], [400, 65], [300, 65]]}\n  obstacles:/' feet.yaml >far.yaml; pushcycle check far.yaml
exit: 2
err: ^far\.yaml:10:7: site\.areas\[1\]: area "far yard": [0-9]+ ft2 can't be reached from any pile zone by "loader 1" with wide, first near

case: a zone that nobody gets to has its line also where headings are to be chosen
$ sed -e 's/\[0, 65\]\]}$/[0, 65]], heading: auto}/' -e 's/\[\[130, 0\], \[150, 0\], \[150, 65\], \[130, 65\]\]/[[330, 0], [350, 0], [350, 65], [330, 65]]/' feet.yaml >far.yaml; pushcycle run far.yaml
exit: 2
err: ^far\.yaml:23:5: zones\[0\]: no machine

case: what stands twice in a list to compare has its line
$ printf 'compare: {depths: [4 in, 8 in, 4 in]}\n' >>feet.yaml; pushcycle compare feet.yaml
err: ^caution: feet\.yaml:31:19: compare\.depths: 4 in stands there more than once

case: what comes from a map is named by its feature
# the second fault of the same kind: a zone of the map that no way leads to, behind one that the scenario has itself
$ sed -e 's/"id": "[^"]*",//' good-lot.geojson >lot.geojson; pushcycle new --from lot.geojson --output lot.yaml; sed -i '/^site:/,/^boxes:/{/^boxes:/!d}' lot.yaml; sed -i '/^zones:/,/^# crew:/{/^# crew:/!d}' lot.yaml; printf 'site: {file: lot.geojson}\nzones: [{name: moon, outline: [[5000,0],[5010,0],[5010,10],[5000,10]]}]\n' >>lot.yaml; pushcycle run lot.yaml
exit: 2
err: ^lot\.yaml:[0-9]+:9: zones\[0\]: no machine of the crew can get from the areas to zone "moon", near \[5005, 5\] m

case: what an option put there is named by the option
$ pushcycle run small.yaml --set "zones=[{name: east, outline: [[100,0],[110,0],[110,20],[100,20]]},{name: west, outline: [[40,0],[46,0],[46,20],[40,20]]}]"
exit: 2
err: ^--set: zones\[0\]: no machine of the crew can get

case: names asked for that are not there keep to the option
$ pushcycle run small.yaml --layout "no piles"
exit: 2
err: --layout: there is no layout "no piles"

# A US gallon is 3.785411784 l, exactly (231 cubic inches: NIST SP 811, appendix B); a mechanical horsepower 0.745699872 kW.
case: fuel comes in litres or gallons
$ f='loaders[0].fuel'; pushcycle run feet.yaml --quiet --json --set "$f={per_kwh: 0.25, idle: 3.785411784, tank: 37.85411784, refuel: 1}" >a; pushcycle run feet.yaml --quiet --json --set "$f={per_kwh: 0.25 l/kWh, idle: 1 gal/h, tank: 10 gal, refuel: 60 l/min}" >b; cmp a b && echo same
out: ^same$

case: the same fuel in gallons is what JSON says in litres
$ pushcycle run feet.yaml --quiet --json >j; l=$($PYTHON -c "import json; a=json.load(open('j'))['fuel_l']; print('Fuel: %.1f gal.|Fuel: %.1f l.' % (a/3.785411784, a))"); for u in us metric; do pushcycle run feet.yaml --quiet --units $u | grep "^Fuel:"; done | paste -sd '|' >t; test "$l" = "$(cat t)" && echo agree
out: ^agree$

case: fuel in a unit of something else
$ pushcycle check feet.yaml --set "loaders[0].fuel.idle=4 gal" --set "loaders[0].fuel.per_kwh=0.1 gallons" --set "loaders[0].fuel.tank=-3 gal"
exit: 2
err: loaders\[0\]\.fuel\.idle: "4 gal": gal is a unit of fuel, not of fuel per time; allowed: l/h gal/h
err: loaders\[0\]\.fuel\.per_kwh: "0\.1 gallons": gallons is not a unit of fuel per work; allowed: l/kWh gal/hph

case: all in feet, but nobody said so
$ sed '/units: ft/d' feet.yaml >lot.yaml; for c in check run compare; do pushcycle $c lot.yaml; done 2>&1 | grep site.units
out: ^caution: lot\.yaml:7:3: site\.units: is not given, so that coordinates are metres and results are told in metres, though every length here is in feet or inches: write units: ft under site

case: all in feet, and results asked for in feet
$ sed '/units: ft/d' feet.yaml >lot.yaml; pushcycle run lot.yaml --units us
err: site\.units: is not given, so that coordinates are metres, though

case: all in feet, and metres meant
$ sed '/units: ft/d' feet.yaml >lot.yaml; pushcycle run lot.yaml --set site.units=m
no-err: site\.units

case: one metric length is enough to be silent, and so is a metric lot
$ sed '/units: ft/d' feet.yaml >lot.yaml; pushcycle run lot.yaml --set "zones[0].height=5 m"; pushcycle run small.yaml; pushcycle check
no-err: site\.units|has no unit

case: a bare fuel figure in a scenario in feet is litres, and told once
$ pushcycle check feet.yaml 2>&1 | grep -c "has no unit"; pushcycle check feet.yaml
out: ^1$
out: ^caution: feet\.yaml:21:21: loaders\[0\]\.fuel\.per_kwh: "0\.25" has no unit and is taken for litres \(l/kWh\), as is every fuel figure without one; write it with its unit, e\.g\. "0\.25 l/kWh" or "0\.05 gal/hph"$

case: fuel figures with units need no caution
$ pushcycle check feet.yaml --set "loaders[0].fuel={per_kwh: 0.05 gal/hph, idle: 1 gal/h}"
no-err: has no unit

case: no snow at all, in inches
$ pushcycle compare feet.yaml --quiet --depths "0 in,4 in" --set "storm=[{after: 0 h, rate: 1 in/h}, {after: 2 h, rate: 0 in/h}]"; pushcycle run feet.yaml --quiet --depth "0 in"
exit: 2
out: ^ +[0-9] +0 in 
err: depth of 0 in needs no work
no-out: [^0-9]0 ft
no-err: [^0-9]0 ft

# 1 in/h is 2.54 cm/h, 28.4 F are -2 C, 0.1 in of water 2.54 mm (NIST SP 811, appendix B); 1 in/h for 3 h is 3 in.
case: a storm in inches and one in centimetres are one night
$ printf 'time,rate_in/h,temperature_F\n0,1,28.4\n3,0,\n' >i.csv; printf 'time,rate,temperature\n0,2.54,-2\n3,0,\n' >c.csv; printf 'time,precipitation_in_h,temperature_f\n0,0.1,28.4\n3,0,30\n' >iw.csv; printf 'time,precipitation,temperature\n0,2.54,-2\n3,0,-1\n' >cw.csv; for f in i c iw cw; do pushcycle run feet.yaml --quiet --json --set storm_file=$f.csv >$f.json || exit 9; done; cmp i.json c.json && cmp iw.json cw.json && echo same; cmp -s i.json iw.json || echo other; pushcycle check feet.yaml --set storm_file=i.csv | grep Storm
out: ^same$
out: ^other$
out: ^Storm: 3 in of fresh snow

case: a storm in a strange unit is not read
$ printf 'time,rate_inches,temperature_K\n0,1,270\n3,0,270\n' >s.csv; pushcycle check feet.yaml --set storm_file=s.csv
exit: 2
err: ^s\.csv:1:6: rate_inches: inches is not a unit of rate of fall; allowed: mm/h cm/h in/h$
err: ^s\.csv:1:18: temperature_K: K is not a unit of temperature; allowed: C F$
