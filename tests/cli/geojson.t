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

case: a map without zones still gives a scenario, which check explains
$ sed 's/"kind": "zone"/"kind": "lane"/' good-lot.geojson >no-zones.geojson; pushcycle new --from no-zones.geojson --output lot.yaml; grep -c '^# zones:' lot.yaml; pushcycle check lot.yaml
exit: 2
out: ^1$
err: no-zones\.geojson has no zones
err: ^lot\.yaml:.*zones: is required

case: every fault of a map at once, under its own name
$ sed -e 's/"4 m"/4/' -e 's/"1 m"/"1 kg"/' good-lot.geojson >bad.geojson; pushcycle new --from bad.geojson
exit: 2
no-out: .
err: ^bad\.geojson: features\[2\]\.properties\.height: "4" needs a unit of length.*\(feature "south"\)
err: ^bad\.geojson: features\[4\]\.properties\.radius: .*kg is a unit of mass

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
