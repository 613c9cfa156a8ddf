# Clock times: clock.yaml starts at 22:30. What is expected is worked out by hand from that (ISO 8601-1, hh:mm, from memory; am
# and pm by common practice, no source): 6 h later it is 04:30, 6.5 h later 05:00.

# The same night as with times after the start, to the last digit: 05:30 is 7 h, 23:15 is 45 min, 22:45 is 15 min, 6:00 am is
# 7.5 h, 04:30 is 6 h, a deadline at 22:30 is a day.
case: clock times are times after the start, and JSON has one key more
$ sed '/^starts_at/d; s/clear_by: "05:30"/clear_by: 7 h/; s/23:15/45 min/; s/clear_by: 22:30/clear_by: 24 h/; s/"22:45"/15 min/; s/6:00 am/7.5 h/; s/after: 22:30/after: 0 h/; s/"04:30"/6 h/' clock.yaml >hours.yaml; grep -c '[0-9]:[0-9]' hours.yaml; for c in "run" "compare --boxes all" "plan --tries 3"; do pushcycle $c clock.yaml --quiet --json >c; pushcycle $c hours.yaml --quiet --json >h; diff c h; done; pushcycle run clock.yaml --quiet --trace c; pushcycle run hours.yaml --quiet --trace h; cmp c h && wc -l <c
out1: ^1$
out: ^[0-9]{3,}$
out: ^<  "starts_at": "22:30",$
no-out: ^>|^<  "[^s]

case: the same with am and pm; JSON has it plain
$ pushcycle run clock.yaml --quiet --json --set "starts_at=10:30 pm" --set "site.areas[0].clear_by=5:30 am" --set "storm[1].after=4:30 a.m." --set "crew[1].until=6 AM" >a; pushcycle run clock.yaml --quiet --json >b; cmp a b && grep starts_at a
out1: ^ "starts_at": "22:30",$

case: a run tells when all is clear
$ pushcycle run clock.yaml --quiet
out1: ^Total time 6\.0[0-9] h, finished: clear at 04:3[0-2] after a start at 22:30; lower bound 6\.00 h
out: 6 cm more fall \(7200 kg\) by 04:30\.$
out: ^  yard +04:[0-9]{2} +05:30  kept
out: ^  back +04:[0-9]{2} +22:30 \+1 day  kept

case: in the form of the start
$ pushcycle run clock.yaml --quiet --set "starts_at=10:30 pm" --set "site.areas[0].clear_by=5:30 am" --set "storm[1].after=4:30 am" --set "chance={replications: 3, fill: 10 %}"
out1: ^Total time 6\.0[0-9] h ± 0\.0[0-9] h \(95 %\), finished: clear at 4:3[0-2] am on average after a start at 10:30 pm; lower bound
out: more fall \(7200 kg\) by 4:30 am, 3 replications\.$
out: ^  yard +4:[0-9]{2} am +5:30 am  kept
out: ^  back .* 10:30 pm \+1 day  kept

case: deadlines missed
$ pushcycle run clock.yaml --quiet --set "site.areas[0].clear_by=22:31"; pushcycle run clock.yaml --quiet --set "site.areas[0].clear_by=22:31" --set storm=[]; pushcycle run clock.yaml --quiet --set "site.areas[0].clear_by=22:31" --set storm=[] --set "chance={replications: 3, fill: 10 %}"
out: ^Area "yard" is clear at 22:3[0-9], [0-9.]+ min after its deadline\.$
out: ^Area "yard" is clear at 22:[0-9]{2}, [0-9.]+ min after its deadline\.$
out: ^  yard +22:[0-9]{2} +22:31  late in 3 of 3 nights$
out: ^  yard +22:[0-9]{2} +22:31  [0-9.]+ min late$

case: an area that is never clear, and a run that stops
$ pushcycle run clock.yaml --quiet --set "crew[0].until=02:30" --set "crew[1].until=01:00 am"
exit: 1
out1: ^Stopped after .*not finished
out: ^Area "yard" misses its deadline at 05:30: it is never clear\.$

case: compare tells when the quickest is done, and the one that keeps the deadlines
$ pushcycle compare clock.yaml --quiet --boxes all; pushcycle compare clock.yaml --quiet --boxes all --set storm=[] --set "snow.depth=20 cm"
out1: ^Quickest: .*, [0-9.]+ min, clear at 04:3[0-2]\. 
out: ^Quickest: .*, [0-9.]+ min, clear at 2[23]:[0-9]{2}\. 

case: a plan by the clock
$ pushcycle plan clock.yaml --quiet --tries 3
out: ^Who is where when \(clock times; loads that begin then
out: ^  loader 1  22:30  23:[0-9]{2}  yard
no-out: from the start

case: the brief goes by the clock
$ pushcycle brief clock.yaml --quiet --output b.pdf; pdftotext -bbox b.pdf - | $PYTHON $TESTS/pdf_overlaps.py; pdftotext b.pdf - | tr '\n' ' ' | sed 's/The work/\n&/g; s/Your/\n&/g; s/ [0-9]\. [yb]a/\n&/g'
out: ^The work starts at 22:30\. Snow falls from 22:30 to 04:30\. All done after 6\.0[0-9] h, at 04:3[0-2]\. yard has to be clear by 05:30; late in 0 of 1 nights\. back has to be clear by 22:30 \+1 day
out: ^Your shift: from 22:45 to 06:00\. Start
out: ^ 1\. yard, from 22:30, clear by 05:30
out: ^ 1\. back, from 23:15, clear by 22:30 \+1 day
out: ^3 pages, [0-9]+ words, 0 overlaps, 0 off the page$
no-out: after the start

# 1 cm/h from 22:30 on: 2 cm lie after 2 h, 6 cm after 6 h, never 7 cm. Breaks of 15 min after every 2 h: the first machine is there from
# 22:30 on, so 00:30 and, 15 min and 2 h later, 02:45; the second, of another shift,
# from 22:45 on.
case: the brief says when the work begins, when it snows, when breaks are due, when an area is clear after all
$ for t in 2 7; do pushcycle brief clock.yaml --quiet --depth "0 cm" --set "snow.trigger=$t cm" --set "site.areas[0].clear_by=04:30" --set "crew[1].breaks={every: 2 h, for: 15 min}" --output b.pdf; pdftotext b.pdf - | tr '\n' ' ' | sed 's/[A-Z][a-z]/\n&/g'; done
out: ^Be there at 22:30\. $
out: ^The work begins once 2 cm of snow lies, at about 00:30\. $
out: ^The snow never gets as deep as 7 cm: the work begins when the storm is over, at 04:30\. $
out: ^Snow falls from 22:30 to 04:30\. $
out: yard has to be clear by 04:30; late in 1 of 1 nights, by [0-9.]+ min\. 
out: ^Breaks: 15 min after every 2 h, due at about 00:30, 02:45\. $
out: ^Breaks: 15 min after every 2 h, due at about 00:45, 03:00\. $
no-out: The work starts

case: the brief names passages among what to mind
$ pushcycle brief night.yaml --quiet --output b.pdf; pdftotext b.pdf - | tr '\n' ' ' | sed 's/[LN][ea][ar]/\n&/g'; pushcycle brief night.yaml --quiet --set snow.trigger="7 cm" --set "site.areas[0].clear_by=9 min" --set "storm=[{after: 0 h, rate: 0 cm/h}, {after: 1 h, rate: 1 cm/h}, {after: 3.5 h, rate: 0 cm/h}]" --output b.pdf; pdftotext b.pdf - | tr '\n' ' ' | sed 's/[A-Z][a-z]/\n&/g'
out: ^Leave alone, and mind $
out: ^Narrow places \(long dashes on the map\), mind who gives way: gate \(1 machine at a time\)
out: ^The work begins once 7 cm of snow lies, at about 3 h after the start\. $
out: ^Snow falls from 60 min to 3\.5 h after the start\. $
out: late in 1 of 1 nights, by [0-9.]+ (min|h|s)\. *
out: ^Breaks: 15 min after every 2 h\. $

# Twelve kinds with a name of some length each are more than half a page of the machine has room for.
case: what there is no room for beside the work of a machine stands in the other column
$ k= o=; for i in hydrant drain door accessible sight; do k="$k{name: 'a thing of which much has to be told $i 1', kind: $i, at: [9, 3], radius: 0.2 m}, {name: 'a thing of which much has to be told $i 2', kind: $i, at: [5, 3], radius: 0.2 m}, "; done; for i in 3 4 5 6 7; do o="$o{name: 'a house of which much has to be told $i', kind: building, outline: [[0, -$i], [40, -$i], [40, -$i.4], [0, -$i.4]]}, "; done; pushcycle brief night.yaml --quiet --set "site.keep_clear=[$k]" --set "site.obstacles=[$o {name: rail, kind: fence, outline: [[0, -8], [40, -8], [40, -8.4], [0, -8.4]]}, {name: bed, kind: island, outline: [[0, -9], [40, -9], [40, -9.4], [0, -9.4]]}, {name: cars, kind: parked, outline: [[0, -10], [40, -10], [40, -10.4], [0, -10.4]]}, {name: heap, kind: old-pile, outline: [[0, -11], [40, -11], [40, -11.4], [0, -11.4]]}]" --output b.pdf; pdftotext -f 2 -l 2 b.pdf - | tr '\n' ' ' | sed 's/[A-Z][a-z]/\n&/g'
out: ^More to leave alone, and to mind $
out: ^Narrow places .*gate \(1 machine at a time\)
out: ^Fences: rail $
out: ^Old, frozen piles: heap
no-out: And more

case: timeline and map
$ pushcycle draw map clock.yaml --quiet --at "1 h" --format svg >a.svg; pushcycle draw map clock.yaml --quiet --at "11:30 pm" --format svg >b.svg; cmp a.svg b.svg && echo same; pushcycle draw timeline clock.yaml --quiet --format pdf | pdftotext - -; pushcycle draw map clock.yaml --quiet --at 23:30 --format pdf | pdftotext - -
out: simulated night, clock times\)$
out: ^22:30$
out: ^00:00$
no-out: ^0:
out: ^Clear at 04:3[0-2] after a start at 22:30$
out: ^As it stands at 23:30 of one night\.$
out: ^same$

case: a report by the clock
$ pushcycle report clock.yaml --quiet --boxes all --output r.html && $PYTHON $TESTS/check_html.py <r.html; sed 's/<[^>]*>/ /g' r.html
out: ^html: ok
out: 6 cm of fresh snow fall until 04:30, at most 1 cm/h
out: Area .*yard.*, to be clear at 05:30: the deadline is met \(clear at 04:[0-9]{2}\)
out: ^ *22:30  04:30  1 cm/h  6 cm
out: The work starts at 22:30
out: ^ *clear_by  05:30 \(7 h\)  22:30 \+1 day \(24 h\)
no-out: times from the start of the work

case: parts are joined with the start that they had
$ for i in 1 2; do pushcycle run clock.yaml --quiet --set "starts_at=10:30 pm" --set "site.areas[0].clear_by=5:30 am" --set "storm[1].after=4:30 am" --set "chance={replications: 2, fill: 10 %}" --shard $i/2 --output $i.part; done; pushcycle merge 1.part 2.part
out1: finished: clear at 4:3[0-2] am on average after a start at 10:30 pm

# Snow falls until 04:30, so the night ends some minutes later, 6 h after the start; 22:00 is 23.5 h after it.
case: a moment after the end of the night
$ for w in "map" timeline "map --layouts all"; do pushcycle draw $w clock.yaml --quiet --at 22:00 --output p.svg; echo $?; done; pushcycle draw map small.yaml --quiet --at "2 h" --output p.svg; pushcycle draw map clock.yaml --quiet --at 04:30 --output q.svg; ls
exit: 0
out: ^2$
no-out: ^[013]$|p\.svg
out: q\.svg
err: ^pushcycle: --at: "22:00" is too late: 22:00 \(23\.5 h after the start\), and the night that is drawn ends at 04:3[0-9] \(6\.0[0-9]* h after the start\)$
err: ^pushcycle: --at: "2 h" is too late: 2 h after the start, and the night that is drawn ends at [0-9.]+ min after the start$

case: a clock time without a start
$ pushcycle run small.yaml --set "site.areas[0].clear_by=05:00"; pushcycle draw map small.yaml --at 23:00
exit: 2
err: ^--set: site\.areas\[0\]\.clear_by: "05:00" is a clock time, but nothing says when the work starts: add starts_at: "22:30" to the scenario, or write how long after the start, e\.g\. "1\.5 h"$
err: --at: "23:00" is a clock time, but nothing says when the work starts

case: no time of day, and no time after the start
$ pushcycle run clock.yaml --set starts_at=25:10; pushcycle run clock.yaml --set "starts_at=22:30 h"; pushcycle draw map clock.yaml --at 24:00; pushcycle run clock.yaml --set "crew[0].breaks.for=00:15"; pushcycle run clock.yaml --set "starts_at=10:30 pm"; pushcycle compare clock.yaml --within 0:02
exit: 2
err: ^--set: starts_at: "25:10" is no time of day: write 22:30 \(from 00:00 to 23:59\) or 10:30 pm$
err: starts_at: "22:30 h" is no time of day
err: --at: "24:00" is no time of day
err: crew\[0\]\.breaks\.for: "00:15" is a clock time, but this is how long something lasts, e\.g\. "8 s" or "1\.5 h"$
err: ^clock\.yaml:10:77: site\.areas\[0\]\.clear_by: "05:30" may be before or after noon: starts_at has am or pm, so write "5:30 am" or "5:30 pm"$
err: "0:02" is a clock time, but this is how long something lasts

# 22:00 comes half an hour before the start, so the first one after it is 23.5 h later; 05:30 is 7 h after 22:30.
case: a clock time a little before the start is nearly a day later, and cautioned of
$ pushcycle check clock.yaml --set "site.areas[0].clear_by=22:00"; pushcycle check clock.yaml --set starts_at=06:00 --set "site.areas[0].clear_by=22:30" --set "site.areas[1].clear_by=22:31 +1 day"
out1: ^clock\.yaml: no faults, 3 cautions$
out: ^caution: --set: site\.areas\[0\]\.clear_by: "22:00" is 23\.5 h after the start at 22:30; write "22:00 \+1 day" if that is meant$
out: ^caution: --set: site\.areas\[0\]\.clear_by: "22:30" is 16\.5 h after the start at 06:00; write "16\.5 h" if that is meant$
no-out: ^caution.*("05:30"|22:31)

case: with +1 day, or as hours, or less than 16 h after the start there is none
$ pushcycle check clock.yaml --set "site.areas[0].clear_by=22:00 +1 day" --set "site.areas[1].clear_by=24 h" --set "crew[1].until=14:29"
out1: ^clock\.yaml: no faults, 1 caution$
no-out: after the start at

# The same storm by the clock and by hours; 26 h after 22:30 is past the second midnight.
case: check tells by the clock when snow falls
$ for s in '[{after: 22:30, rate: 1 cm/h}, {after: "04:30", rate: 0 cm/h}]' '[{after: 22:30, rate: 0 cm/h}, {after: 23:15, rate: 1 cm/h}, {after: 26 h, rate: 0 cm/h}]' '[{after: 45 min, rate: 1 cm/h}, {after: 3 h, rate: 0 cm/h}]'; do pushcycle check clock.yaml --quiet --set "storm=$s" | grep '^Storm:'; done; sed 's/"05:30"/5:30 am/; s/22:30}$/10:30 pm}/; s/23:15/11:15 pm/; s/"22:45"/10:45 pm/; s/after: 22:30/after: 10:30 pm/; s/"04:30"/4:30 am/; s/^starts_at: .*/starts_at: 10:30 pm/' clock.yaml >pm.yaml; pushcycle check pm.yaml --quiet | grep '^Storm:'; pushcycle check night.yaml --quiet --set "storm=[{after: 45 min, rate: 1 cm/h}, {after: 3 h, rate: 0 cm/h}]" | grep '^Storm:'
out: ^Storm: 6 cm of fresh snow at 100 kg/m3 fall until 04:30: 
out: ^Storm: 25\.2 cm of fresh snow at 100 kg/m3 fall from 23:15 until 00:30 \+2 days: 
out: ^Storm: 2\.25 cm of fresh snow at 100 kg/m3 fall from 23:15 until 01:30: 
out: ^Storm: 6 cm of fresh snow at 100 kg/m3 fall until 4:30 am: 
out: ^Storm: 2\.25 cm of fresh snow at 100 kg/m3 fall from 45 min until 3 h after the start: 

case: a map of the lot may have clock times, too
$ for t in "area 20 20.001" "zone 20.001 20.0012"; do set -- $t; echo '{"type":"Feature","properties":{"kind":"'$1'","clear_by":"05:00"},"geometry":{"type":"Polygon","coordinates":[[['$2',60],['$3',60],['$3',60.0003],['$2',60.0003],['$2',60]]]}}'; done | paste -sd, | sed 's/.*/{"type":"FeatureCollection","features":[&]}/' >by.geojson; sed '/^  areas/,/back/d; /^zones/,/east/d; s/^site:/site: {file: by.geojson}/; s/, start: \[0, 0\]//' clock.yaml >map.yaml; pushcycle run map.yaml --quiet --json | grep clear_by; pushcycle run map.yaml --quiet --set starts_at=22:00 --json | grep clear_by; sed -i /starts_at/d map.yaml; pushcycle check map.yaml
exit: 2
out: ^ *"clear_by_s": 23400\.0,$
out: ^ *"clear_by_s": 25200\.0,$
err: by\.geojson: features\[0\]\.properties\.clear_by: "05:00" is a clock time, but nothing says when the work starts

case: a storm file is not by the clock, and says so
$ printf 'time,rate,temperature\n21:30,1,-3\n23:00,0,-3\n' >h.csv; printf 'time,rate,temperature\n2026-01-31T19:00,1,-3\n2026-01-31T20:00,0,-3\n' >d.csv; printf 'time,rate,temperature\n2026-01-31T22:30,1,-3\n2026-01-31T23:00,0,-3\n' >same.csv; printf 'date,precipitation,temperature\n2026-01-31,10,-3\n' >day.csv; for f in h d same day; do sed '/^storm/,$d' clock.yaml >c.yaml; echo "storm_file: $f.csv" >>c.yaml; echo $f; pushcycle check c.yaml | grep 'first row' || true; done
out: ^caution: c\.yaml:[0-9]+:[0-9]+: storm_file: its first row is 21\.5 h after the start: times in such a file are hours after the start, not clock times$
out: ^caution: c\.yaml:[0-9]+:[0-9]+: storm_file: its first row, of 19:00, counts as the start of the work at 22:30: leave rows before that out$

case: a deadline does not change the unit of the total time beside clock times
$ for d in 03:10 06:30; do pushcycle run small.yaml --quiet --set starts_at=03:00 --set "site.areas[0].clear_by='$d'" | sed -n 's/^Total time [0-9.]* \([a-z]*\).*/\1/p'; done | sort | uniq -c | tr -s ' '
out: ^ 2 min$
