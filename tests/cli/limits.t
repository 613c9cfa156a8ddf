# Everything that input can blow up has a limit, and the message names it: docs/limits.md. Sizes just above each.

case: a lot of too many cells
$ pushcycle run small.yaml --set "site.areas=[{name: yard, outline: [[0,0],[10000,0],[10000,10000],[0,10000]]}]"
exit: 2
err: site\.areas\[0\]\.outline: the lane grid would have more than 5000000 cells
no-out: .

case: coordinates beyond the Earth
$ pushcycle run small.yaml --set "site.areas=[{name: yard, outline: [[0,0],[1e9,0],[1e9,1e9],[0,1e9]]}]"
exit: 2
err: coordinates must be numbers within 100,000 km of the origin

case: numbers that are none
$ for n in nan .nan inf -.inf 1e999 0x10 1e; do pushcycle run small.yaml --quiet --set "site.areas=[{name: yard, outline: [[0,0],[$n,0],[40,20],[0,20]]}]" >/dev/null 2>err; echo $?; grep -c "is not a place\|must be a plain number" err; done | sort | uniq -c | tr -s " "
out: ^ 7 1$
out: ^ 7 2$

case: quantities that are none
$ for n in "nan m" "inf m" "1e308 m" "-1 m" "1e400 m"; do pushcycle run small.yaml --quiet --depth "$n" >/dev/null 2>err; echo $?; grep -c "snow\.depth" err; done | sort | uniq -c | tr -s " "
out: ^ 5 1$
out: ^ 5 2$

case: a speed that would take ages
$ pushcycle run small.yaml --set "loaders[0].speeds.push=1e-300 km/h"
exit: 2
err: speeds\.push: .* is outside what is allowed: 0\.036 km/h … 180 km/h

case: too many replications
$ pushcycle run small.yaml --replications 10000000
exit: 2
err: 10,000,000 is outside what is allowed: 1 … 100,000

case: too many machines of one kind
$ pushcycle run small.yaml --set "crew[0].count=1000000"
exit: 2
err: crew\[0\]\.count: 1,000,000 is outside what is allowed: 1 … 64

case: too many machines in all
$ pushcycle run small.yaml --set "crew=[{loader: loader, box: wide, count: 40}, {loader: loader, box: wide, count: 40}]"
exit: 2
err: crew: has 80 machines in all; at most 64 are possible

case: too many numbers of machines
$ pushcycle compare small.yaml --crews 1..100000
exit: 2
err: "1\.\.100000" must be a range from low to high, such as 1\.\.6, within 1\.\.64

case: too many obstacles
$ { cat small.yaml; } | $PYTHON -c "import sys; s = sys.stdin.read(); print(s.replace('boxes:', '  obstacles: [' + ', '.join(['{kind: pole, at: [1, 1], radius: 1 cm}'] * 10001) + ']\nboxes:', 1))" | pushcycle check -
exit: 2
err: site\.obstacles: has 10001 entries; at most 10000 are possible

case: too many zones
$ $PYTHON -c "s = open('small.yaml').read(); print(s.replace('layouts:', ''.join('  - {name: z%d, at: [%d, 0]}\n' % (i, i % 40) for i in range(199)) + 'layouts:', 1))" | pushcycle check -
exit: 2
err: zones: has 201 entries; at most 200 are possible

case: too many passages
$ $PYTHON -c "s = open('small.yaml').read(); print(s.replace('site:', 'site:\n  passages: [' + ', '.join('{name: p%d, at: [%d, 0], radius: 1 m}' % (i, i % 40) for i in range(201)) + ']', 1))" | pushcycle check -
exit: 2
err: site\.passages: has 201 entries; at most 200 are possible

case: too many candidates
$ $PYTHON -c "print(open('small.yaml').read() + 'place: {candidates: [' + ', '.join('{name: c%d, at: [%d, 0]}' % (i, i % 40) for i in range(201)) + ']}')" | pushcycle check -
exit: 2
err: place\.candidates: has 201 entries; at most 200 are possible

case: too many corners
$ $PYTHON -c "s = open('small.yaml').read(); print(s.replace('[[0, 0], [40, 0]', '[' + ', '.join('[%g, 0]' % (i / 1000) for i in range(10001)) + ', [40, 0]', 1))" | pushcycle check -
exit: 2
err: an outline may have at most 10000 corners, this one has 10004

case: too many pieces of a storm
$ $PYTHON -c "print(open('small.yaml').read() + 'storm:'); [print('  - {after: %d s, rate: 0 mm/h}' % i) for i in range(20001)]" | pushcycle check -
exit: 2
err: storm: has 20001 entries; at most 20000 are possible

case: too many rows of a storm file
$ $PYTHON -c "print('time,rate'); [print('%g,0.1' % (i / 100)) for i in range(20002)]" >s.csv; pushcycle check small.yaml --set storm_file=s.csv
exit: 2
err: s\.csv:2000[0-9]: has more than 20000 pieces

case: too many columns
$ $PYTHON -c "print('time,rate' + ',x' * 63)" >s.csv; echo 0,1 >>s.csv; pushcycle check small.yaml --set storm_file=s.csv; sed 1s/time,rate/phase,duration_s/ s.csv >t.csv; pushcycle fit t.csv
exit: 2
err: s\.csv:1: has more than 64 columns
err: t\.csv:1: has more than 64 columns

case: nested too deep
$ { cat small.yaml; $PYTHON -c "print('x: ' + '[' * 100000 + ']' * 100000)"; } | pushcycle check -
exit: 2
err: lists and maps may be nested at most 32 deep

case: a map nested too deep
$ $PYTHON -c "print('[' * 100000)" >m.geojson; pushcycle new --from m.geojson
exit: 2
err: is nested deeper than any map: at most 2048 levels

case: too many values
$ $PYTHON -c "print('x: [' + '1,' * 2000001 + ']')" | pushcycle check -
exit: 2
err: the file has more than 2,000,000 values

case: too many keys
$ $PYTHON -c "[print('k%d: 1' % i) for i in range(257)]" | pushcycle check -
exit: 2
err: a map may have at most 256 keys

case: too many faults are counted out
$ $PYTHON -c "print('boxes:'); [print('  - {w: 1}') for i in range(3000)]" | pushcycle check - 2>&1 >/dev/null | tail -n 1
out: more than 1000 faults: the rest is not shown

case: too many features
$ $PYTHON -c "print('{\"type\": \"FeatureCollection\", \"features\": [' + ', '.join(['0'] * 100001) + ']}')" >m.geojson; pushcycle new --from m.geojson
exit: 2
err: features: has 100001 features; at most 100000 are possible

case: files that are too large, of every kind
$ head -c 67108865 /dev/zero | tr "\0" a >big; pushcycle check big; pushcycle new --from big; pushcycle fit big; pushcycle merge big; pushcycle assign big small.yaml; pushcycle run small.yaml --set storm_file=big; pushcycle run small.yaml --set site.file=big
exit: 2
err: ^big: is larger than 64 MiB, the limit for one file
no-err: ^big:[0-9]
no-out: [1-9] t

case: a file without end
$ pushcycle check /dev/zero
exit: 2
err: /dev/zero: is larger than 64 MiB

case: names that are too long
$ pushcycle run small.yaml --set "name=$(printf %64s x | tr ' ' a)"
exit: 2
err: name: is longer than a name may be: 63 bytes

case: a quantity that is too long
$ pushcycle run small.yaml --depth "$(printf %200s 1 | tr ' ' 0) cm"
exit: 2
err: is longer than a quantity may be \(120 bytes\)

case: seeds, threads, shards, zones to place
$ pushcycle run small.yaml --seed 99999999999; pushcycle run small.yaml --threads 1000000; pushcycle run small.yaml --shard 1/1000000; pushcycle place small.yaml --zones 9; pushcycle place small.yaml --zones 1 --step "1 mm"
exit: 2
err: chance\.seed: .*0 … 2,147,483,647
err: --threads: .* from 0 to 1024
err: from 1/1 to 10000/10000
err: place\.zones: 9 is outside what is allowed: 1 … 8
err: place\.step: 1 mm is outside what is allowed: 1 m … 500 m

case: too many depths
$ pushcycle compare small.yaml --depths "$($PYTHON -c "print(','.join('%g mm' % (20 + i) for i in range(201)))")"
exit: 2
err: compare\.depths: has 201 entries; at most 200 are possible

case: too many combinations
$ pushcycle compare small.yaml --crews 1..64 --depths "$($PYTHON -c "print(','.join('%g mm' % (20 + i) for i in range(200)))")"
exit: 2
err: asks for 51200 combinations; at most 10000 are compared

case: too many lots of a fleet
$ pushcycle assign fleet.yaml $(for i in 1 2 3 4 5 6 7 8 9 10 11 12 13; do echo small.yaml small.yaml small.yaml small.yaml small.yaml; done)
exit: 2
err: there are 65 lots; at most 64 can be planned at once

# 25000 lb · (0.28 − 0.05 − 0.20) = 750 lb are 0.3 · 1500 lb for the box and 0.20 · 1500 lb for its grade: nothing is left, but for what
# rounding leaves.
case: no box is best where nothing can be moved
$ pushcycle limits small.yaml --quiet --set "loaders[0].grade=20 %" --set loaders[0].traction=0.28 --set "loaders[0].mass=25000 lb" --set "boxes[0].mass=1500 lb" --set "boxes[1].mass=2100 lb"
no-out: Best box
out: ^  It can push none of these boxes\.$

case: a blade holds nothing that could be limited
$ pushcycle limits --quiet
out1: ^For 12 cm of snow at 160 kg/m3\.$
out: ^mid loader$
out: ^  9 ft blade +2\.74( +-){5} +8\.0( +-){3} +a blade$
no-out: full 9 ft blade

# A blade holds nothing: neither is it what the tyres cannot push, nor would power, mass and traction tell what it holds.
case: a loader that takes a blade only
$ pushcycle limits --quiet --set "loaders[plow truck].boxes=[9 ft blade]" | sed -n '/^plow truck/,$p'
out: ^  A blade holds nothing and lays its snow aside: it has no rate\.$
no-out: none of these boxes|Nothing but volume

case: a moment without a unit, in a scenario by the clock
$ pushcycle draw map --at 3 --output m.svg
exit: 2
err: ^pushcycle: --at: "3" needs a unit of time, .* or where the scenario has starts_at a clock time, "05:30"$
no-file: ^m

# Density of new snow at -3 C: 67.92 + 51.25 exp(-3/2.59) = 84.0 kg/m3 (Hedstrom & Pomeroy 1998, as in test_storm.c). 4 in are 10.16 cm.
case: limits say for which snow they are
$ pushcycle limits small.yaml --quiet --set "snow={depth: 4 in, air_temperature: -3 C}" | head -n 1; pushcycle limits small.yaml --quiet --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 2 h, rate: 0 cm/h}]" | head -n 1; pushcycle limits feet.yaml --quiet | head -n 1
out: ^For 10\.2 cm of snow at 84 kg/m3\.$
out: ^For 10 cm of snow at 100 kg/m3, as it lies at the start; what falls later is left out\.$
out: ^For [0-9.]+ in of snow at [0-9.]+ lb/ft3\.$
