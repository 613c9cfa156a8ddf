# Maps of lots: new --from, site.file, --geojson.

case: a scenario around a map runs at once
$ pushcycle new --from good-lot.geojson --output lot.yaml && pushcycle run lot.yaml --quiet
out1: ^Total time [0-9.]+ h, finished
file: lot.yaml
no-err: .

case: a scenario around a map has metres, the origin and what the map says
$ pushcycle new --from good-lot.geojson
out1: made from good-lot\.geojson
out: ^  origin: \[20\.0017920, 60\.0004937\]
out: ^    - name: 'west yard'$
out: ^      outline: \[\[-99\.99[0-9]+, -55\.00[0-9]+\], \[0, -55\.00[0-9]+\]
out: ^      heading: 90 deg$
out: ^    berths: 2$
out: ^    volume: 900 m3$
out: ^      radius: 1 m$
out: ^  - name: 14 ft$
no-out: Example yard

# Latitude and longitude of what both describe differ by less than a millimetre; a degree of latitude is about 111 km, and one of
# longitude at 60 degrees half of that. A foot is 0.3048 m, a cubic yard 0.764554857984 m3 (NIST SP 811, appendix B).
case: a scenario around a map in feet describes the lot that one in metres does
$ sed -e '/"door"\|"hydrant"/s/"1 m"/"3.7 m"/' good-lot.geojson >lot.geojson; for u in metric us; do pushcycle new --from lot.geojson --units $u --output $u.yaml && pushcycle check $u.yaml --quiet --geojson $u.geojson >/dev/null || exit 9; done; $PYTHON $TESTS/same_lot.py metric.geojson us.geojson; grep -c 'units: ft ' us.yaml; pushcycle run us.yaml --quiet
out: ^same lot, [1-9][0-9]* corners and points, [1-9][0-9]* sizes$
out: ^1$
out: ^Snow: [0-9.]+ ton at the start
no-err: .

case: a scenario around a map in feet has feet, pounds and the words of the starter in feet
# 1 m = 3.281 ft, 4 m = 13.123 ft, 900 m3 = 1177.155 yd3
$ pushcycle new --from good-lot.geojson --units us
out: ^# A scenario for pushcycle, made from good-lot\.geojson\. Coordinates are feet from site\.origin
out: ^  units: ft 
out: ^      outline: \[\[-328\.06[0-9]*, -180\.45[0-9]*\], \[0, -180\.46[0-9]*\]
out: ^      radius: 3\.281 ft$
out: ^    height: 13\.123 ft$
out: ^    volume: 1177\.155 yd3$
out: ^      push: 5 mph 
no-out: (^[^#]*[0-9] (m|cm|km/h|m3|kg|t|l)\b)

case: areas that touch in a map touch in the scenario made of it, and do not overlap by what coordinates are rounded by
$ P='"type":"Feature","geometry":{"type":"Polygon","coordinates"'; echo '{"type":"FeatureCollection","features":[{'$P':[[[22.40785656,61.29991007],[22.40935305,61.29991007],[22.40935305,61.30053957],[22.40785656,61.30053957],[22.40785656,61.29991007]]]},"properties":{"kind":"area"}},{'$P':[[[22.40804363,61.30053957],[22.40916599,61.30053957],[22.40916599,61.30085432],[22.40804363,61.30085432],[22.40804363,61.30053957]]]},"properties":{"kind":"area"}},{'$P':[[[22.40065656,61.3],[22.40115656,61.3],[22.40115656,61.3005],[22.40065656,61.3005],[22.40065656,61.3]]]},"properties":{"kind":"zone"}}]}' >touch.geojson; for u in metric us; do pushcycle new --from touch.geojson --units $u --output $u.yaml; pushcycle check $u.yaml; done
exit: 2
err: ^us\.yaml:.*no machine of the crew can get from the areas to zone
no-err: overlap

# RFC 7946 (11.2): six decimals of a degree are about 10 cm. The south edges of the upper areas end within the north edge of the
# lower one, which lies askew.
case: what was drawn along one line touches where its coordinates were rounded, and what overlaps is told
$ m() { $PYTHON -c "import json, math, sys; k, u = math.cos(math.radians(61)) * 111.3e3, 70 - float(sys.argv[1]); at = lambda p: [round(-150 + (p[0] * 0.978 - p[1] * 0.208) / k, 6), round(61 + (p[0] * 0.208 + p[1] * 0.978) / 111.4e3, 6)]; box = lambda kind, x, y, x1, y1: {'type': 'Feature', 'properties': {'kind': kind}, 'geometry': {'type': 'Polygon', 'coordinates': [[at(p) for p in ((x, y), (x1, y), (x1, y1), (x, y1), (x, y))]]}}; print(json.dumps({'type': 'FeatureCollection', 'features': [box('area', 0, 0, 220, 70), box('area', 11, u, 139, 150), box('area', 150, u, 210, 150), box('building', 20, -20, 200, 0), box('zone', 30, 150, 100, 160)]}))" $1 >six.geojson; }; for d in 0 0.3; do m $d; echo "$d: $(pushcycle new --from six.geojson 2>&1 >six.yaml | grep -c overlap)"; pushcycle check six.yaml --quiet >/dev/null 2>&1 && echo "$d is sound"; done; :
out: ^0: 0$
out: ^0 is sound$
out: ^0\.3: 2$

case: a map with clock times gives a scenario with a start, for all times that the map has
$ sed -e 's/"name": "west yard",/& "clear_by": "04:30", "opens": "23:00", "into": "east yard",/' -e 's/"name": "east yard"/&, "clear_by": "5.5 h"/' good-lot.geojson >map.geojson; pushcycle new --from map.geojson --output lot.yaml; cat lot.yaml; pushcycle check lot.yaml --quiet --set "site.areas[1].heading=0 deg" | grep fault; pushcycle run lot.yaml --quiet --json --set "site.areas[1].heading=0 deg" | grep -A1 clear_by
err: ^pushcycle: map\.geojson has clock times, but does not say when the work starts: 22:00 stands as an example in starts_at$
out: ^starts_at: "22:00"  .*# clock time at which the work starts\. An example, well before
out: ^      opens: "23:00"$
out: ^      clear_by: "04:30"$
out: ^      into: 'east yard'$
out: ^      clear_by: 5\.5 h$
out: ^lot\.yaml: no faults
out: "clear_by_s": 23400
out: "clear_by_s": 19800

case: a map with am and pm gives a start with pm, one without clock times a start to fill in
$ pushcycle new --from good-lot.geojson | grep starts_at; sed -i 's/"name": "west yard",/& "clear_by": "4:30 am",/' good-lot.geojson; pushcycle new --from good-lot.geojson --quiet --units us --output lot.yaml; grep 'starts_at:\|clear_by: "' lot.yaml; pushcycle check lot.yaml --quiet | grep fault
out: ^# starts_at: "22:30"  
out: ^starts_at: "10:00 pm"  
out: ^      clear_by: "4:30 am"$
out: ^lot\.yaml: no faults

case: the most that a map may say is not too much in feet
# 100 m are 328.0839… ft: rounded up it would be more than 100 m
$ sed -e 's/"4 m"/"100 m"/' good-lot.geojson >high.geojson; pushcycle new --from high.geojson --units us --output lot.yaml; grep height: lot.yaml; pushcycle check lot.yaml --quiet
out: ^    height: 328\.083 ft$
out: ^lot\.yaml: no faults

case: a map without zones in feet: the example is in feet, too
$ sed 's/"kind": "zone"/"kind": "lane"/' good-lot.geojson >no-zones.geojson; pushcycle new --from no-zones.geojson --units us --output lot.yaml; sed -i -e '/^# zones:/,/^$/s/^# //' lot.yaml; grep 'strip 25 ft wide' lot.yaml; pushcycle run lot.yaml --quiet
out: strip 25 ft wide along the first area$
out: ^Pile zones

# A lot that lies askew, with a building along its longest edge: the strip is along the next one that is free.
case: the example of a zone can be taken as it is, and place begins with it
$ $PYTHON -c "import json; t = lambda x, y: [20 + (x * 0.8 - y * 0.6) / 55.8e3, 60 + (x * 0.6 + y * 0.8) / 111.4e3]; f = lambda kind, *p: {'type': 'Feature', 'properties': {'kind': kind}, 'geometry': {'type': 'Polygon', 'coordinates': [[t(*q) for q in p + p[:1]]]}}; print(json.dumps({'type': 'FeatureCollection', 'features': [f('area', (0, 0), (60, 0), (60, 40), (0, 38)), f('building', (10, -9), (50, -9), (50, -1), (10, -1)), f('area', (60, 0), (90, 0), (90, 40), (60, 40))]}))" >askew.geojson; pushcycle new --from askew.geojson --output lot.yaml; sed -i -e '/^# zones:/,/^$/s/^# //' lot.yaml; pushcycle check lot.yaml | grep -c "lies on\|building \""; pushcycle run lot.yaml --quiet; pushcycle place lot.yaml --quiet --zones 1 --candidates generated --size "20 m x 6 m"
out: ^0$
out: ^Total time .* finished
out: ^Best .*: place [0-9]+; total time
err: ^pushcycle: askew\.geojson has no zones: .*\(an example stands in it\)

case: a map without zones still gives a scenario, which check explains
$ sed 's/"kind": "zone"/"kind": "lane"/' good-lot.geojson >no-zones.geojson; pushcycle new --from no-zones.geojson --output lot.yaml; grep -c '^# zones:' lot.yaml; pushcycle check lot.yaml
exit: 2
out: ^1$
err: no-zones\.geojson has no zones.*place FILE --candidates generated --output NEW\.yaml
err: ^lot\.yaml:[0-9]+:1: zones: there are none.*place FILE --candidates generated --output NEW\.yaml

case: from a map without zones to a night: drawn, placed, run
$ sed 's/"kind": "zone"/"kind": "lane"/' good-lot.geojson >no-zones.geojson; pushcycle new --from no-zones.geojson --quiet --output lot.yaml; pushcycle draw map lot.yaml --output lot.pdf; pdftotext lot.pdf - | paste -sd ' '; pushcycle place lot.yaml --zones 1 --set place.simulations=4 --candidates generated --quiet --output placed.yaml >/dev/null; diff lot.yaml placed.yaml | grep -c '^<'; pushcycle run placed.yaml --quiet
out: ^no-zones: no pile zones yet
out: ^0$
out: ^Total time .* finished

case: every fault of a map at once, under its own name
$ sed -e 's/"4 m"/4/' -e 's/"1 m"/"1 kg"/' good-lot.geojson >bad.geojson; pushcycle new --from bad.geojson
exit: 2
no-out: .
err: ^bad\.geojson: features\[2\]\.properties\.height: "4" needs a unit of length.*\(feature "south"\)
err: ^bad\.geojson: features\[4\]\.properties\.radius: .*kg is a unit of mass

case: new --from of a map with any name at all: what is made can be read
$ i=0; for n in "$(printf 'l\366t')" "$(printf 'l\342\200\250t')" "$(printf 'two\nlines')" "$(printf 'n\302\205l')" "$(printf 'f\357\277\277')" "it's \"so\"" "$(printf 'l\342\202')"; do i=$((i + 1)); cp good-lot.geojson "$n.geojson"; pushcycle new --from "$n.geojson" --output $i.yaml && pushcycle check $i.yaml --quiet | grep fault; grep -h '^name:' $i.yaml; done
out: ^1\.yaml: no faults
out: ^2\.yaml: no faults
out: ^name: 'l t' 
out: ^3\.yaml: no faults
out: ^name: 'two lines' 
out: ^4\.yaml: no faults
out: ^5\.yaml: no faults
out: ^6\.yaml: no faults
out: ^name: 'it''s "so"' 
out: ^7\.yaml: no faults
no-err: .

case: new --from of no file
$ pushcycle new --from nothing.geojson
exit: 3
err: ^nothing\.geojson: there is no such file

case: new --from leaves an existing file alone
$ echo old >lot.yaml; pushcycle new --from good-lot.geojson --output lot.yaml; s=$?; cat lot.yaml; exit $s
exit: 2
out: ^old$

case: the map is found beside the scenario
$ mkdir lots; mv good-lot.geojson lots; printf 'snow: {depth: 10 cm}\nsite: {file: good-lot.geojson}\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\n' >lots/lot.yaml; pushcycle check lots/lot.yaml
out1: ^lots/lot\.yaml: no faults

case: a map from the command line is found from where one stands
$ mkdir lots; mv small.yaml lots; pushcycle check lots/small.yaml --set site.file=good-lot.geojson --set "site.areas=[]"
out: ^To clear: 2 areas

case: what the map holds can be set, by number and by name
$ sed '/"MultiPolygon"/,$s/"volume": "900 m3"/"volume": "900 m3", "height": "1 km"/' good-lot.geojson >map.geojson; printf 'snow: {depth: 10 cm}\nsite: {file: map.geojson}\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\n' >lot.yaml; pushcycle run lot.yaml --quiet --set "site.areas[0].clear_by=1 min" --set "site.areas[east yard].clear_by=9 h" --set "zones[corner].height=9 m"
out: ^Area "west yard" is clear at .* after its deadline
no-out: ^Area "east yard"

case: what the map holds and how it may not be set
$ printf 'snow: {depth: 10 cm}\nsite: {file: good-lot.geojson}\nboxes: [{width: 4 m, height: 1 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\n' >lot.yaml; for s in "zones[0].heigth=3 m" "zones[south].height=3" "zones[2].height=3 m" "zones[0].outline=[]" "zones[0]={}" "zones[0].berths=0"; do pushcycle check lot.yaml --set "$s" >/dev/null; echo $?; done | sort | uniq -c
out: ^ *6 2$
err: ^--set: zones\[0\]\.heigth: is not a known key; did you mean "height"\? \(feature "south"\)$
err: ^--set: zones\[0\]\.height: "3" needs a unit of length
err: ^--set: zones\[2\]\.height: the list "zones" has no entry \[2\]; it has 2: \[0\] or \[south\], \[1\] or \[corner\]$
err: ^--set: zones\[0\]\.outline: is drawn in the map of the lot
err: ^--set: zones\[0\]: comes from the map of the lot: set its keys one by one$
err: ^--set: zones\[0\]\.berths: 0 is outside what is allowed

case: a map that is not there
$ pushcycle check small.yaml --set site.file=nothing.geojson
exit: 3
err: site\.file: "nothing\.geojson": there is no such file

case: check writes the lot and its lanes
$ pushcycle new --from good-lot.geojson >lot.yaml; pushcycle check lot.yaml --geojson out.geojson >/dev/null && $PYTHON -c "import json; print(sorted({f['properties']['kind'] for f in json.load(open('out.geojson'))['features']}))"
out: ^\['area', 'hydrant', 'lane', 'zone'\]$
no-file: ^out\.geojson\..

case: run writes driven ways too, and the trace beside them
$ pushcycle new --from good-lot.geojson >lot.yaml; pushcycle run lot.yaml --quiet --geojson out.geojson --trace t.csv >/dev/null && $PYTHON -c "import json; p = [f for f in json.load(open('out.geojson'))['features'] if f['properties']['kind'] == 'path']; print(len(p) > 500, all({'machine', 'phase', 'start_s', 'end_s', 'load_kg'} <= set(f['properties']) for f in p), 'crs' in json.load(open('out.geojson')))"
out: ^True True False$
file: t.csv

case: what is written can be read again
$ pushcycle new --from good-lot.geojson >lot.yaml; pushcycle check lot.yaml --geojson out.geojson >/dev/null; pushcycle new --from out.geojson --output again.yaml; pushcycle check again.yaml
out1: ^again\.yaml: no faults

# The scenario's times are given by the clock and as hours; 22:00 + 5.51 h is 03:30:36, no clock time.
case: what a map can say of areas goes there and back, and what it can not say is told
$ o='--set site.origin=[20,60] --set site.areas[1].opens=1h --set site.areas[1].into=front --set site.areas[1].after=[front] --set site.areas[1].loaders=[loader]'; for t in 22:00 "10:00 pm"; do pushcycle check two.yaml $o --set "starts_at=$t" --set "site.areas[0].clear_by=390 min" --set "site.areas[0].sweep_before=20 min" --set "site.areas[1].clear_by=5.51 h" --geojson a.geojson >/dev/null; rm -f back.yaml; pushcycle new --quiet --from a.geojson --output back.yaml; sed -i "s/^starts_at: [^#]*/starts_at: \"$t\" /" back.yaml; pushcycle check back.yaml --quiet --geojson b.geojson >/dev/null; for f in a b; do grep '"area"' $f.geojson | sed 's/.*"name"//; s/}.*//'; done; done; pushcycle check two.yaml $o --geojson c.geojson --quiet >/dev/null; grep -o '"clear_by[^}]*' c.geojson
err: ^caution: a\.geojson: a map does not hold after of area "back", loaders of area "back": a scenario made from it has to say so again$
no-err: c\.geojson
out: ^: "front", "heading": "0 deg", "clear_by": "04:30", "sweep_before": "20 min"$
out: ^: "back", "heading": "0 deg", "opens": "23:00", "clear_by": "5\.51 h", "into": "front"$
out: ^: "front", "heading": "0 deg", "clear_by": "4:30 am", "sweep_before": "20 min"$
out: ^: "back", "heading": "0 deg", "opens": "11:00 pm", "clear_by": "5\.51 h", "into": "front"$
out: ^"clear_by": "0\.3 h"$

case: areas with all that a map says of them are the same lot when they come back
$ pushcycle check two.yaml --set "site.origin=[20,60]" --set "site.areas[0].sweep_before=20 min" --set "site.areas[1].into=front" --quiet --geojson a.geojson >/dev/null; pushcycle new --from a.geojson --output back.yaml; pushcycle check back.yaml --quiet --geojson b.geojson >/dev/null; $PYTHON $TESTS/same_lot.py a.geojson b.geojson; grep -A1 clear_by back.yaml
out: ^same lot, 
out: ^      clear_by: 0\.3 h$
out: ^      sweep_before: 20 min$

case: without an origin there is no map
$ pushcycle run small.yaml --geojson out.geojson
exit: 2
err: ^small\.yaml: site\.origin: is required for --geojson
no-file: ^out\.geojson

case: an origin from the command line
$ pushcycle check small.yaml --set "site.origin=[20, 60]" --geojson out.geojson
file: out.geojson

case: the map must not overwrite the scenario
$ pushcycle check small.yaml --set "site.origin=[20, 60]" --geojson small.yaml
exit: 2
err: must not overwrite the scenario

case: the map and the result must be two files
$ pushcycle run small.yaml --set "site.origin=[20, 60]" --geojson x --output x
exit: 2
err: give each a file of its own

case: a folder that is not there
$ pushcycle check small.yaml --set "site.origin=[20, 60]" --geojson no/where.geojson
exit: 3
err: no/where\.geojson: No such file

# What 23:00 means is not known where the start is none (no time of day has an hour 25, ISO 8601-1).
case: clock times of a map say nothing of a start that is no time
$ sed -e '/"east yard"/s/"name"/"opens": "23:00", "name"/' good-lot.geojson >lot.geojson; sed -e '/^site:/,/outline/d' -e '/narrow/d' -e '/^zones/,$d' small.yaml >lot.yaml; printf 'site: {file: lot.geojson}\n' >>lot.yaml; pushcycle check lot.yaml --set starts_at=25:00; pushcycle check lot.yaml --set starts_at=23:30
exit: 0
err: starts_at: "25:00" is no time of day
no-out: after the start at 00:00
out: "23:00" is 23\.5 h after the start at 23:30
