# Pictures and briefs: files by their signatures and by what other programs read in them.

case: SVG to standard output is XML with a title
$ pushcycle draw map small.yaml --quiet | $PYTHON -c "import sys, xml.etree.ElementTree as e; r = e.parse(sys.stdin).getroot(); print(r.tag, r.get('role'), r.find('{http://www.w3.org/2000/svg}title').text)"
out: ^\{http://www\.w3\.org/2000/svg\}svg img Small lot: layout "one pile"$

case: PDF by the end of the name, A4
$ pushcycle draw map small.yaml --quiet --output m.pdf && pdfinfo m.pdf
out: ^Pages: +1$
out: ^Page size: +841\.89 x 595\.276 pts \(A4\)$
out: ^Title: +Small lot: layout "one pile"$
no-out: ^CreationDate
no-file: ^m\.pdf\..

case: letter paper with US units
$ pushcycle draw map small.yaml --quiet --units us --output m.pdf && pdfinfo m.pdf && pdftotext m.pdf -
out: ^Page size: +792 x 612 pts \(letter\)$
out: yd³
out: ^[0-9]+ ft$
no-out: [0-9] m³

case: PNG by its own header, two pixels a point
$ pushcycle draw map small.yaml --quiet --format png | $PYTHON -c "import sys, struct; d = sys.stdin.buffer.read(); print(d[:8], struct.unpack('>II', d[16:24]))"
out: ^b'.x89PNG.r.n.x1a.n' \(1684, 1191\)$

# The middle of the lane along the south edge of the leg lies beyond it, so what it would sweep there is on no lane.
case: what is left for a smaller machine is on the map and in the brief, and nothing is said of it where there is none
$ for y in 60.6 60; do S="site.areas=[{name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}, {name: ell, outline: [[0, 20], [40, 20], [40, $y], [100, $y], [100, 65.6], [0, 65.6]]}]"; for c in "draw map --format pdf" "draw map --layouts all --format pdf" brief; do pushcycle $c small.yaml --quiet --box wide --set "$S" | pdftotext - - | paste -sd ' ' | grep -o "left with its snow for a smaller machine\|Hatched ground is left for a smaller machine\|Hatched ground: [^H]* for a smaller machine" | sort | uniq -c | sed "s/$/ $y./"; done; echo "$y."; done
out: ^ +1 left with its snow for a smaller machine 60\.6\.$
out: ^ +1 Hatched ground is left for a smaller machine 60\.6\.$
out: ^ +2 Hatched ground: 83\.6 m2 with 836 kg of snow, for a smaller machine 60\.6\.$
out: ^60\.$
no-out: for a smaller machine 60\.$

case: the same input, the same bytes
$ for f in svg pdf png; do for i in 1 2; do pushcycle draw map night.yaml --quiet --at "2 h" --threads $i --output $i.$f; done; cmp 1.$f 2.$f || echo differ; done; pushcycle brief night.yaml --quiet --output 1.pdf; pushcycle brief night.yaml --quiet --threads 2 --output 2.pdf; cmp 1.pdf 2.pdf || echo differ
no-out: differ

case: no two words of a map lie on each other
$ for s in small night siting; do pushcycle draw map $s.yaml --quiet --output m.pdf; pdftotext -bbox m.pdf - | $PYTHON $TESTS/pdf_overlaps.py; done
out: ^1 pages, [0-9]+ words, 0 overlaps, 0 off the page$
no-out: [1-9][0-9]* (overlaps|off)

# A night of twelve loads can be followed, one of hundreds is told by its flows.
case: ways of a few loads, flows of many
$ pushcycle draw map small.yaml --quiet --format pdf | pdftotext - - | paste -sd ' '; for l in "" "--at 1h" "--layers ways"; do pushcycle draw map --quiet --set chance.replications=1 $l --format pdf | pdftotext - - | paste -sd ' ' | grep -o "clean up\|loads of the first night" | paste -sd '+'; done; pushcycle draw map small.yaml --layers flows,ways --quiet --format pdf | pdftotext - - | paste -sd ' ' | grep -c "clean up.*loads of the first night"
out: ^Small lot.* clean up 
out: ^loads of the first night$
out: ^clean up$
out: ^1$
no-out: clean up.loads

case: no two words of a map with flows lie on each other
$ for p in "" "--layouts all"; do pushcycle draw map $p --quiet --set chance.replications=1 --output m.pdf; pdftotext -bbox m.pdf - | $PYTHON $TESTS/pdf_overlaps.py; done
out: ^1 pages, [0-9]+ words, 0 overlaps, 0 off the page$
no-out: [1-9][0-9]* (overlaps|off)

case: every subject and chart is a picture
$ for of in layouts split depth crew zones; do pushcycle draw chart small.yaml --quiet --of $of --output c.pdf && pdftotext -bbox c.pdf - | $PYTHON $TESTS/pdf_overlaps.py; done; pushcycle draw timeline night.yaml --quiet --output t.pdf && pdftotext -bbox t.pdf - | $PYTHON $TESTS/pdf_overlaps.py; pushcycle draw map small.yaml --layouts all --quiet --output a.pdf && pdftotext -bbox a.pdf - | $PYTHON $TESTS/pdf_overlaps.py
out: ^1 pages, [0-9]+ words, 0 overlaps, 0 off the page$
no-out: [1-9][0-9]* (overlaps|off)

case: a chart says what it shows
$ pushcycle draw chart small.yaml --quiet --of depth --depths "5 cm,10 cm" --format pdf | pdftotext - -
out: total time against depth of snow
out: ^depth of snow, cm$

# 5 cm lie at the start, 1 cm/h fall for 6 h.
case: pictures tell what lies from what falls
$ pushcycle draw map night.yaml --quiet --format pdf | pdftotext - - | paste -sd ' ' ; pushcycle draw map night.yaml --quiet --set "snow.depth=0 cm" --format pdf | pdftotext - - | paste -sd ' '; pushcycle draw chart night.yaml --quiet --of depth --depths "2 cm,5 cm" --format pdf | pdftotext - - | paste -sd ' '; pushcycle brief night.yaml --quiet --output b.pdf; pdftotext b.pdf - | paste -sd ' '
out: 5 cm on the ground, 6 cm falling, 2 machines
out: 6 cm of snow falling, 2 machines
out: , 6 cm of snow falling .*depth of snow at the start, cm
out: 5 cm on the ground, 6 cm falling, 13[.,][0-9]+ t in all|5 cm on the ground, 6 cm falling, 13,200 kg in all

case: a lot without zones is drawn as it is, and the page says so; what takes a run is refused
$ sed -e '/^zones:/,/^[a-y]/{/^[a-y]/!d}' -e '/^layouts:/,/^[a-km-z]/{/^[a-km-z]/!d}' siting.yaml >none.yaml; for l in "" "--layers none" "--units us"; do pushcycle draw map none.yaml $l --output m.pdf || echo failed; pdftotext m.pdf - | paste -sd ' '; pdftotext -bbox m.pdf - | $PYTHON $TESTS/pdf_overlaps.py; done; for a in "--at 1h" "--layers lanes" "--layouts all" "--box none" "--plan p.json"; do pushcycle draw map none.yaml $a 2>&1 >/dev/null | sed "s/^/$a: /"; done
out: no pile zones yet There are no pile zones yet, so nothing is simulated\..* hydrant
out: ^1 pages, [0-9]+ words, 0 overlaps, 0 off the page$
out: ^--at 1h: none\.yaml:.*zones: there are none
out: ^--layers lanes: none\.yaml:.*zones: there are none
out: ^--layouts all: none\.yaml:.*zones: there are none
out: ^--box none: .*there is no box "none"
out: ^--plan p\.json: none\.yaml:.*zones: there are none
no-out: failed|with its number|[1-9][0-9]* (overlaps|off)

case: without zones, too, a map shows where machines start, as they are called
$ for l in "" --loader=spare; do pushcycle draw map small.yaml --quiet --set 'zones=[]' --set 'layouts=[]' --set 'compare={}' --set 'loaders=[{name: loader, speeds: {push: 8 km/h, carry: 11 km/h, return: 16 km/h}}, {name: spare, speeds: {push: 8 km/h, carry: 11 km/h, return: 16 km/h}}]' $l --format pdf | pdftotext - -; done
out: ^loader 1$
out: ^spare 1$
out: ^where a machine starts$

case: the demonstration lot without a scenario
$ pushcycle draw map --set chance.replications=1 --format pdf | pdftotext - -
err: built-in demonstration lot
out: Ferry terminal
out: must not: zone "north" is 60 cm from hydrant

case: nothing to draw
$ pushcycle draw
exit: 2
err: draw what\? map, timeline or chart

case: a slip in what to draw
$ pushcycle draw mapp small.yaml
exit: 2
err: "mapp" can not be drawn; did you mean map\?

case: bad options of pictures
$ pushcycle draw map small.yaml --format gif; pushcycle draw map small.yaml --paper a5; pushcycle draw map small.yaml --at 5; pushcycle draw map small.yaml --at "-1 h"; pushcycle draw map small.yaml --layers roads; pushcycle draw chart small.yaml --of pie; pushcycle draw map small.yaml --output m.jpg
exit: 2
err: --format: "gif" is not allowed; choose svg, pdf or png
err: --paper: "a5" is not allowed; choose a4 or letter
err: --at: .*needs a unit of time
err: --at: "-1 h" is not allowed
err: --layers: "roads" is not allowed
err: --of: "pie" is not allowed
err: --output: "m.jpg" does not end in \.svg, \.pdf or \.png
no-file: ^m\.

# In hours of 30 minutes of work twice the time has gone by when the lot stands as it does in full hours.
case: a map at a time goes by the clock
$ for a in "60 4" "30 8" "60 8"; do pushcycle draw map small.yaml --quiet --set work_minutes_per_hour=${a% *} --at "${a#* } min" --format pdf | pdftotext - - | grep -m 1 " of .* m³ ("; done >zones; cat zones; sort -u zones | grep -c .; sed -n 1,2p zones | sort -u | grep -c "m³"
out: ^2$
out: ^1$

case: a map at a time tells machines then from where they started
$ for a in "--at 3min" "--at 3min --layers none" ""; do pushcycle draw map small.yaml --quiet $a --format pdf | pdftotext - - | grep -c "machine at that time\|a machine started\|a machine starts"; done | paste -sd ' '
out: ^2 2 1$

case: a timeline in hours of 50 minutes ends at the total time
$ pushcycle run small.yaml --quiet --json --set work_minutes_per_hour=50 --set "crew[0].from=2 h" --output r.json; pushcycle draw timeline small.yaml --quiet --set work_minutes_per_hour=50 --set "crew[0].from=2 h" --format pdf | pdftotext - t.txt; $PYTHON -c "import json, re; total = json.load(open('r.json'))['total_time_s']['mean'] / 60; t = [int(a) * 60 + int(b) + int(c or 0) / 60 for a, b, c in re.findall(r'^(\d+):(\d\d)(?::(\d\d))?$', open('t.txt').read(), re.M)]; print('from', min(t), 'ends' if total <= max(t) < total + 5 else (total, max(t)))"
out: ^from 120(\.0)? ends$

case: no binary to a terminal
$ $PYTHON -c "import os, pty, sys; sys.exit(os.waitstatus_to_exitcode(pty.spawn(['pushcycle', 'brief', 'small.yaml'])))"
exit: 2
out: nothing for a terminal; name a file with --output

case: the brief has a page for the lot and one for each machine
$ pushcycle brief small.yaml --set "crew[0].count=3" --quiet --output b.pdf && pdfinfo b.pdf && pdftotext -bbox b.pdf - | $PYTHON $TESTS/pdf_overlaps.py
out: ^Pages: +4$
out: ^Page size: +595\.276 x 841\.89 pts \(A4\)$
out: ^4 pages, [0-9]+ words, 0 overlaps, 0 off the page$

case: where a machine starts, in words
$ pushcycle brief small.yaml --quiet --set "crew[0].start=[-5, 7]" --output b.pdf; pdftotext b.pdf - | tr '\n' ' '
out: dot with your name: 5 m west, 7 m north of the map's origin

case: the brief on letter paper fits, too
$ for s in small night siting; do pushcycle brief $s.yaml --units us --quiet --output b.pdf; pdfinfo b.pdf; pdftotext -bbox b.pdf - | $PYTHON $TESTS/pdf_overlaps.py; done
out: ^Page size: +612 x 792 pts \(letter\)$
out: ^[2-9] pages, [0-9]+ words, 0 overlaps, 0 off the page$
no-out: [1-9][0-9]* (overlaps|off)

case: the brief of a night that does not end says so, and so does its exit status
$ pushcycle brief small.yaml --set "zones[0].volume=10 m3" --quiet --output b.pdf; s=$?; pdftotext b.pdf -; exit $s
exit: 1
out: Not finished in 1 of 1 simulated nights \(pile zones full\)
file: b.pdf

case: a map of a night that does not end is drawn and says so
$ pushcycle draw map small.yaml --set "zones[0].volume=10 m3" --quiet --output m.pdf; s=$?; pdftotext m.pdf -; exit $s
exit: 1
out: Stopped after .*: not finished
file: m.pdf

case: a picture does not overwrite its scenario
$ cp small.yaml small.svg; pushcycle draw map small.svg --output small.svg
exit: 2
err: must not overwrite the scenario

case: names are text, whatever is in them
$ pushcycle draw map small.yaml --quiet --set "name='<b>&\"雪 שלום'" --format svg | $PYTHON -c "import sys, xml.etree.ElementTree as e; print(e.parse(sys.stdin).getroot().find('{http://www.w3.org/2000/svg}title').text.encode('unicode_escape'))"
out: ^b'<b>&"..u96ea ..u05e9

case: the report is one sound page that needs nothing from elsewhere
$ pushcycle report small.yaml --quiet --output r.html && $PYTHON $TESTS/check_html.py <r.html
out: ^html: ok, 5 pictures, 1[0-9] tables$

case: the report answers first
$ pushcycle report small.yaml --quiet | sed -n '/<main>/,$ { s/<[^>]*>//g; /^Quickest/p; /^All combinations$/p; }' | head -n 1
out1: ^Quickest: layout &#34;two piles&#34; with wide

case: a report with depths and crews in US units
$ pushcycle report small.yaml --quiet --units us --depths "2 in,4 in" --crews 1..2 --box wide | tee r.html | $PYTHON $TESTS/check_html.py && grep -c "With 2 in of snow" r.html
out: ^html: ok, 7 pictures
out: ^1$

case: names in a report are text
$ pushcycle report small.yaml --quiet --set "name='<script>alert(1)</script>'" --set "layouts[0].name='</table><img src=x onerror=alert(1)>'" | $PYTHON $TESTS/check_html.py
out: ^html: ok

case: a report of what does not finish
$ pushcycle report small.yaml --quiet --layout "one pile" --set "zones[0].volume=10 m3" --output r.html; s=$?; $PYTHON $TESTS/check_html.py <r.html; grep -o "None of the 2 finishes" r.html; exit $s
exit: 1
out: ^html: ok
out: ^None of the 2 finishes

case: Ctrl-C ends with a map of the nights that are done
$ $PYTHON $TESTS/interrupt.py --at 0.001 pushcycle draw map --threads 1 --replications 5000 --output m.svg; tail -n 1 m.svg; ls | grep -c 'm.svg\.'
out1: ^exit 1$
out: </svg>
out: ^0$
err: stopped: [0-9]+ of 5000 replications are done
exit: 1

case: of several layouts those are drawn whose nights are all done
$ $PYTHON $TESTS/interrupt.py --at 0.7 pushcycle draw map small.yaml --layouts all --set "chance.fill=20 %" --threads 1 --replications 100000 --output m.pdf; pdftotext m.pdf -
out: ^exit 1$
out: one pile
err: ^pushcycle: 1 of 2 layouts are drawn$
no-out: two piles

case: a chart of what is done when Ctrl-C comes
$ $PYTHON $TESTS/interrupt.py --at 0.3 pushcycle draw chart small.yaml --depths "2 cm,3 cm,4 cm,5 cm,6 cm,7 cm,8 cm" --of depth --set "chance.fill=20 %" --replications 12000 --threads 1 --output c.pdf; pdftotext c.pdf -
out: ^exit 1$
out: ^Stopped, with [0-9]+ of 14 combinations done\.

case: a brief of the nights that are done
$ $PYTHON $TESTS/interrupt.py --at 0.001 pushcycle brief --threads 1 --replications 5000 --output b.pdf; head -c 5 b.pdf; echo; tail -c 6 b.pdf
out: ^exit 1$
out: ^%PDF-
out: %%EOF$
err: stopped: [0-9]+ of 5000 replications are done


# 1 cm/h for 6 h are 6 cm (2.36 in, 0.394 in/h: an inch is 2.54 cm, NIST SP 811); the rest is what compare and run say.
case: a report of a night with a storm tells of it, and of crews as compare does
$ pushcycle report night.yaml --quiet --crews 1..2 --output r.html && $PYTHON $TESTS/check_html.py <r.html; sed 's/<[^>]*>/ /g' r.html; pushcycle compare night.yaml --quiet --crews 1..2 | sed -n '/keeps up with the storm\.\|^  Speed-up: against/p' | sed 's/^ *//' >words; grep -c . words; sed 's/^ *//; s/ *$//' <r.html | sed 's/<[^>]*>//g; s/&#34;/"/g; s/&quot;/"/g' >plain; while read -r line; do grep -Fxq "$line" plain && echo found; done <words
out: ^html: ok
out: ^ *6 cm of fresh snow fall until 6 h after the start of the work, at most 1 cm/h; 5 cm lie at the start\. *$
out: The best, layout .*with wide, 1 machine
out: Storm: the crew keeps up with the snow: never more than [0-9.]+ cm on any area \(mean\), with 1\.2 t/h in the heaviest stretch
out: Area .*yard.*, to be clear at 7\.00 h: the deadline is met \(clear at [0-9.]+ h\)
out: Of 2 combinations 2 keep up with the storm
out: ^ *machines  time h  speed-up  cost EUR  to the one before  working  waiting  waits most at  match factor  storm
out: ^ *0 s  6 h  1 cm/h  6 cm
out: ^2$
out: ^found$

case: a storm that is too much, deadlines missed, in US units
$ pushcycle report night.yaml --quiet --units us --set "storm[0].rate=80 cm/h" --set "zones[0].volume=9000 m3" --set "site.areas[0].clear_by=3 h" --output r.html; $PYTHON $TESTS/check_html.py <r.html; sed 's/<[^>]*>/ /g' r.html
out: ^html: ok
out: Storm: the crew can.*t keep up: snow falls faster \([0-9.]+ ton/h\)
out: Area .*yard.*, to be clear at 3\.00 h: the deadline is missed
out: 189 in of fresh snow|15\.7 ft of fresh snow
out: at most 31\.5 in/h

case: a report without storm and crews has neither part
$ pushcycle report small.yaml --quiet
no-out: id="(crews|storm)"

case: maps side by side show the same of their nights
$ pushcycle draw map small.yaml --quiet --layouts all --set "snow.depth=37 cm" --output m.pdf; pdftotext m.pdf - | tr '\n' ' ' >t; grep -c 'Arrows: loads of the first night' t; pushcycle run small.yaml --quiet --set "snow.depth=37 cm" --layout "one pile" --json >a; pushcycle run small.yaml --quiet --set "snow.depth=37 cm" --layout "two piles" --json >b; $PYTHON -c "import json; print(sorted(json.load(open(f))['cycles']['mean'] > 40 for f in 'ab'))"; pushcycle draw map small.yaml --quiet --layouts all --set "snow.depth=37 cm" --output m.svg; pushcycle draw map small.yaml --quiet --layouts all --layers snow,flows --set "snow.depth=37 cm" --output f.svg; cmp m.svg f.svg && echo alike
out: ^1$
out: ^\[False, True\]$
out: ^alike$

# Who gets the sheet draws no ground; common practice, no source: look under the snow before driving off the pavement. The zone ends 6 m out.
case: operators are told to look at ground beyond the pavement, planners to draw it
$ pushcycle brief siting.yaml --quiet --output b.pdf; pdftotext -raw b.pdf - | paste -sd ' ' >t; grep -o 'draw it as ground\|come too near' t; grep -c 'Where the piles would lie' t; grep -o 'zone "west" reaches 6 m beyond the pavement drawn: see what lies there before you drive on it' t | uniq -c; pushcycle draw map siting.yaml --quiet --format pdf | pdftotext -raw - - | paste -sd ' ' | grep -c 'draw it as ground'
out: ^1$
out: ^ +2 zone
no-out: draw it|too near

# west is the second zone of the scenario, and has that number in a layout of its own, too.
case: a zone has the same number on all maps and in briefs
$ sed 's/^  - {name: one pile.*/  - {name: one pile, zones: [west]}/' small.yaml >w.yaml; for s in small w; do for l in "one pile" "two piles"; do pushcycle draw map $s.yaml --quiet --layout "$l" --format pdf | pdftotext - - | grep -o '^[0-9] [a-z]*:' | paste -sd ' '; pushcycle brief $s.yaml --quiet --layout "$l" --output b.pdf; pdftotext b.pdf - | grep -o '^[0-9] [a-z]*: [0-9]* load' | sed 's/: .*/ brief/' | paste -sd ' '; done; done; pushcycle draw map w.yaml --quiet --layouts all --layers none --format pdf | pdftotext - - | grep '^[0-9]$' | sort | paste -sd ' '
out: ^1 east:$
out: ^2 west:$
out: ^1 east: 2 west:$
out: ^2 west brief$
out: ^1 east brief 2 west brief$
out: ^1 2 2$
no-out: 1 west

case: zones narrower than their words have short ones on the map, and all of them beside it
$ pushcycle draw map --quiet --layout "three piles" --format pdf | pdftotext - -
out: ^[0-9]+ % full$
out: ^[0-9]+ of 2900 m³ \(12 %\)$
out: ^2 east: [0-9]+ of 1329 m³ \(32 %\)$
no-out: ^[0-9]+ of 1329 m³

# Letters of one size have boxes of one height: of the words "one" and "two", first of the labels, in the column beside the bars.
case: all labels of a bar chart are of one size, be one of them long
$ for k in layouts split; do for l in "two piles" "two piles of which each takes one half of all of the snow"; do pushcycle draw chart small.yaml --quiet --of $k --set "layouts=[{name: one pile, zones: [east]}, {name: $l, zones: [east, west]}]" --format pdf | pdftotext -bbox - - | grep '>\(one\|two\|pile\|piles\)<' | $PYTHON -c "import re, sys; h = [(float(y1) - float(y0)) for x, y0, y1 in re.findall('xMin=.([0-9.]+). yMin=.([0-9.]+). .*?yMax=.([0-9.]+).', sys.stdin.read()) if float(x) < 150]; print(len(h) >= 4, max(h) - min(h) < 0.1, round(min(h), 1))"; done; done
out: ^True True 8\.[0-9]$
out: ^True True [67]\.[0-9]$
no-out: False

case: the queue at a zone with a name of some length is named in full in a timeline
$ sed 's/\beast\b/north verge B/' small.yaml >named.yaml; pushcycle draw timeline named.yaml --quiet --set "crew[0].count=4" --format pdf | pdftotext - - | grep wait
out: ^up to [0-9] wait at north verge B$

# A deadline of 2 min is missed: 6,000 kg in loads of 800 kg take longer than that (as in night.t).
case: a map says what misses its deadline, in the words of the run
$ pushcycle run night.yaml --quiet --set "site.areas[0].clear_by=2 min" | sed -n 's/^\(Area .*\)$/\1/p' >r; pushcycle draw map night.yaml --quiet --set "site.areas[0].clear_by=2 min" --output m.pdf; pdftotext -raw m.pdf - | tr '\n' ' ' | grep -o "Area \"yard\" [^\"]*deadline\." >m; cat m; cmp r m && echo same; pushcycle draw map night.yaml --quiet --output k.pdf; pdftotext k.pdf - | grep -c "deadline"
exit: 1
out: ^Area "yard" is clear at
out: ^same$
out: ^0$
