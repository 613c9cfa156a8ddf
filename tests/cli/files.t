# Files and faults.

case: every fault of a file at once, with its place
$ pushcycle run faulty.yaml
exit: 2
err: ^faulty\.yaml:3:15: snow\.depth: .*needs a unit of length
err: ^faulty\.yaml:8:[0-9]+: boxes\[0\]\..*widht.*did you mean "?width
err: ^faulty\.yaml:10:[0-9]+: loaders\[0\]\.speeds\.return: .*kg is a unit of mass, not of speed
no-out: .

case: check counts the faults
$ pushcycle check faulty.yaml
exit: 2
out1: ^faulty\.yaml: [3-9] faults
err: ^faulty\.yaml:3:15: snow\.depth

case: check json has the faults
$ pushcycle check faulty.yaml --json
exit: 2
out: "line": 3
out: "key": "snow\.depth"

case: no such file
$ pushcycle run nothing.yaml
exit: 3
err: nothing\.yaml

case: not YAML
$ printf 'a: [1\n' >bad.yaml; pushcycle check bad.yaml
exit: 2
err: ^bad\.yaml:[0-9]+

case: an override of a key that does not exist
$ pushcycle run small.yaml --set snow.dept=5cm
exit: 2
err: --set: .*dept

case: an override without a value
$ pushcycle run small.yaml --set snow.depth
exit: 2
err: --set

case: an override counts
$ pushcycle run small.yaml --set "snow.depth=5 cm" --json | $PYTHON -c "import json, sys; print(json.load(sys.stdin)['snow_kg']['start'])"
out: ^4000\.0$

case: an option wins over --set
$ pushcycle run small.yaml --depth "20 cm" --set "snow.depth=5 cm" --json | $PYTHON -c "import json, sys; print(json.load(sys.stdin)['snow_kg']['start'])"
out: ^16000\.0$

case: a scenario from standard input
$ pushcycle check - <small.yaml
out1: no faults

case: output to a file
$ pushcycle limits small.yaml --csv --output o.csv && head -n 1 o.csv
out: ^loader,box,
file: o.csv
no-file: ^o\.csv\..

case: output replaces a file and keeps its mode
$ echo old >o.csv; chmod 640 o.csv; pushcycle limits small.yaml --csv --output o.csv && grep -c old o.csv; ls -l o.csv
out: ^0$
out: ^-rw-r-----

case: output through a link leaves the link
$ echo old >real; ln -s real link; pushcycle schema --output link && test -L link && grep -c schema real >/dev/null && echo kept
out: ^kept$

case: output into a folder that is not there
$ pushcycle limits small.yaml --output no/where.txt
exit: 3
err: no/where\.txt: No such file

# 100,000 replications of the demonstration lot take far longer than 20 s; timeout would end them with 124.
case: files that can't be written are found before the work
$ mkdir d; for o in "compare --output no/c.txt" "run --trace no/t.csv" "run --trace d" "plan --save no/p.json" "report --output d" "brief --output d/" "sensitivity --output small.yaml/s.txt" "run --geojson no/m.geojson"; do timeout 20 pushcycle $o --replications 100000; echo "$? $o"; done | grep -v "^3 "; ls d; ls
no-out: ^[0-9]|\.csv|\.[A-Za-z0-9]{6}$
err: ^pushcycle: no/c\.txt: No such file or directory$
err: ^pushcycle: no/t\.csv: No such file
err: ^pushcycle: d: Is a directory$
err: ^pushcycle: no/p\.json: No such file
err: ^pushcycle: d/: Is a directory$
err: ^pushcycle: small\.yaml/s\.txt: Not a directory$
err: ^pushcycle: no/m\.geojson: No such file

case: a link to nowhere and a pipe are no fault
$ ln -s real link; pushcycle schema --output link; mkfifo p; cat p >got & pushcycle schema --output p; wait; grep -c '"$schema"' link got
out: ^link:1$
out: ^got:1$

case: a full disk
$ pushcycle limits small.yaml --output /dev/full
exit: 3
err: /dev/full: No space left

case: a full disk behind standard output
$ pushcycle limits small.yaml >/dev/full
exit: 3
err: standard output: No space left

case: a disk that fills up half-way leaves nothing
$ (ulimit -f 8; pushcycle schema --output s.json); echo $?; ls
out: ^3$
no-out: s\.json
err: s\.json: File too large

case: a disk that fills up half-way leaves what was there
$ echo mine >s.json; (ulimit -f 8; pushcycle schema --output s.json); echo $?; cat s.json; ls
out: ^3$
out: ^mine$
no-out: s\.json\.

case: a disk that fills up under a new scenario
$ (ulimit -f 8; pushcycle new --output mine.yaml); echo $?; ls
out: ^3$
no-out: mine\.yaml
err: mine\.yaml: File too large

case: a disk that fills up under a trace
$ (ulimit -f 8; pushcycle run small.yaml --set "snow.depth=40 cm" --trace t.csv); echo $?; ls
out: ^3$
no-out: t\.csv
no-out: ^Total time
err: t\.csv: File too large

case: a disk that fills up under a map
$ sed "s/^  areas:/  origin: [20, 60]\\n  areas:/" small.yaml >o.yaml; (ulimit -f 8; pushcycle run o.yaml --geojson m.geojson); echo $?; ls
out: ^3$
no-out: m\.geojson
err: m\.geojson: File too large

case: a file where a folder should be
$ pushcycle limits small.yaml --output small.yaml/out.txt
exit: 3
err: small\.yaml/out\.txt: Not a directory

case: output onto a folder
$ mkdir d; pushcycle limits small.yaml --output d
exit: 3
err: ^pushcycle: d: Is a directory

case: a trace killed half-way is not there, what was there is
$ echo old >u.csv; for f in t u; do pushcycle run --quiet --replications 100000 --threads 1 --trace $f.csv >$f.out 2>&1 & n=0; until ls | grep -q "^$f.csv.......$" || [ $n -ge 300 ]; do sleep 0.1; n=$((n + 1)); done; kill -KILL $!; wait $! 2>/dev/null; echo $?; done; cat u.csv; ls | sed -n "s/^\([tu]\)\.csv\.......$/beside: \1/p"; test -e t.csv || echo none
out: ^137$
no-out: ^0$
out: ^old$
out: ^none$
out: ^beside: t$
out: ^beside: u$

case: work that is ended leaves no output
$ for s in TERM INT; do pushcycle compare --quiet --replications 100000 --output $s.txt 2>/dev/null & sleep 0.5; kill -TERM $!; wait $! 2>/dev/null; echo $?; done; ls
out: ^143$
no-out: ^TERM
no-out: ^INT

case: a reader that has enough ends a long output
$ { pushcycle run small.yaml --set "snow.depth=40 cm" --replications 1 --set station=0.5m --set full_at=0.3 --trace /dev/stdout; echo $? >status; } | head -c 10; cat status
out: ^replicatio3$
err: /dev/stdout: Broken pipe

case: help on a full disk
$ pushcycle --help >/dev/full
exit: 3

case: a trace on a full disk
$ pushcycle run small.yaml --trace /dev/full
exit: 3
err: /dev/full: No space left

case: a trace into a folder that is not there
$ pushcycle run small.yaml --trace no/where.csv
exit: 3
err: no/where\.csv
no-out: .

case: a closed pipe is a failed write
$ { sleep 0.2; pushcycle schema; echo $? >status; } | true; cat status
out: ^3$
err: Broken pipe

case: standard output closed
$ pushcycle limits small.yaml >&-
exit: 3

case: new, then run
$ pushcycle new --output mine.yaml && pushcycle run mine.yaml --quiet
out1: ^Total time
file: mine.yaml

case: new in US units, then run: answered in US units without a word about it
$ pushcycle new --units us --output mine.yaml && pushcycle run mine.yaml --quiet; pushcycle new --units us | pushcycle check -; pushcycle new --units metric >a; pushcycle new | cmp - a && echo same
out1: ^Total time [0-9.]+ h, finished
out: 4 in of snow at 6\.24 lb/ft3
out: ^To clear: 1 area, 2\.39 ac
out: ^same$
file: mine.yaml
no-out: [0-9] ?(m|m2|m3|kg|t|km/h|cm|l|ha|km)([ ,;.)]|$)

case: new to standard output is a scenario without a fault
$ pushcycle new | pushcycle check -
out1: no faults

case: new never overwrites
$ echo mine >mine.yaml; pushcycle new --output mine.yaml; echo $?; cat mine.yaml
out: ^2$
out: ^mine$
err: mine\.yaml exists already

case: new takes no scenario
$ pushcycle new small.yaml
exit: 2
err: takes no file

# What a scenario may say is told in three places: by the fault, by the schema and by the starter.
case: the starter names every policy that there is, as the schema does
$ for p in $(pushcycle run small.yaml --policy none 2>&1 | sed -n 's/.*choose one of //p' | tr -d '",'); do echo "$p: $(pushcycle schema | grep -c "keep-pushing.*$p\|$p.*keep-pushing\|: $p") $(pushcycle new | grep -c "^# policy: .*$p\|^#   policies: .*$p") $(pushcycle new --units us | grep -c "^# policy: .*$p\|^#   policies: .*$p")"; done; pushcycle run small.yaml --policy none
exit: 2
out: ^keep-pushing: [1-9] 2 2$
out: ^straight-runs: [1-9] 2 2$
out: ^building-out: [1-9] 2 2$
no-out: : 0| [01]$

case: schema
$ pushcycle schema >s.json && $PYTHON -c "import json; s = json.load(open('s.json')); print(s['\$schema'], 'snow' in s['properties'])"
out: ^https://json-schema\.org/draft/2020-12/schema True$

# Under another name for the same file, too.
case: the map and the storm that a scenario reads are never overwritten
$ mkdir sub; printf 'time,rate\n0,1\n2,0\n' >sub/s.csv; cp good-lot.geojson sub/m.geojson; cp -r sub was; sed -e '/^site:/,/outline/d' -e '/narrow/d' -e '/^zones/,$d' small.yaml >sub/y.yaml; printf 'site: {file: m.geojson}\nstorm_file: s.csv\n' >>sub/y.yaml; ln -s sub/m.geojson other; pushcycle check sub/y.yaml --quiet >/dev/null && echo sound; t() { pushcycle "$@" >/dev/null; echo $?; }; t run sub/y.yaml --geojson sub/m.geojson; t run sub/y.yaml --trace ./sub/s.csv; t check sub/y.yaml --output other; t plan sub/y.yaml --tries 1 --save sub/s.csv; t compare sub/y.yaml --output sub/m.geojson; t draw map sub/y.yaml --format svg --output sub/m.geojson; t run sub/y.yaml --set storm_file=was/s.csv --output was/s.csv; rm sub/y.yaml; cmp sub/m.geojson was/m.geojson && cmp sub/s.csv was/s.csv && echo same
out1: ^sound$
out: ^same$
no-out: ^[013-9]
err: ^pushcycle: --geojson must not overwrite "sub/m\.geojson", which the scenario reads \(site\.file\)$
err: ^pushcycle: --trace must not overwrite "sub/s\.csv", which the scenario reads \(storm_file\)$
err: ^pushcycle: --output must not overwrite "sub/m\.geojson", which
err: ^pushcycle: --save must not overwrite "sub/s\.csv", which
err: ^pushcycle: --output must not overwrite "was/s\.csv", which

case: the maps of a fleet's lots are never overwritten
$ sed -e '/^site:/,/outline/d' -e '/narrow/d' -e '/^zones/,$d' -e 's/Small lot/A/' small.yaml >lot.yaml; printf 'site: {file: good-lot.geojson}\n' >>lot.yaml; cp good-lot.geojson was; pushcycle assign fleet.yaml lot.yaml --quiet --output good-lot.geojson; echo $?; cmp good-lot.geojson was && echo same
out: ^2$
out: ^same$
err: ^pushcycle: --output must not overwrite "good-lot\.geojson", which the scenario reads \(site\.file\)$

case: the scenario is never overwritten
$ pushcycle run small.yaml --output small.yaml
exit: 2
err: ^pushcycle: --output must not overwrite the scenario "small\.yaml"$

# Whatever is wrong with the scenario, be it that no YAML is left of it; what stands twice in it is no more read than what comes after.
# The last spelling is a hard link, the one before a symbolic one.
case: nor are they by `check` of a scenario that has faults
$ t() { for o in s.csv ./s.csv "$PWD/s.csv" soft hard; do printf 'time,rate\n0,1\n' >s.csv; ln -sf s.csv soft; ln -f s.csv hard; pushcycle check "$@" --output $o; [ "$? $(cat $o hard | tr '\n' ,)" = "2 time,rate,0,1,time,rate,0,1," ] && echo kept; done; }; { t faulty.yaml --set storm_file=s.csv; t faulty.yaml --set 'site={file: s.csv}'; (cat faulty.yaml; printf 'storm_file: "\\x73.csv"\n') >a.yaml; t a.yaml; t a.yaml --json; (cat faulty.yaml; printf 'x: [\nstorm_file: s.csv # of last week\n') >b.yaml; t b.yaml; pushcycle check - --output hard <b.yaml; cat hard; (cat small.yaml; printf 'storm_file: no.csv\nstorm_file: s.csv\n') >c.yaml; t c.yaml; printf "site: {\n  'file' :\n s.csv, storm_file: s.csv\t:\n" | iconv -t UTF-16 >d.yaml; t d.yaml; printf 'b: \377\nstorm_file: "s.csv"' >e.yaml; t e.yaml; } >out; sort out | uniq -c
out: ^ *40 kept$
no-out: fault
err: ^pushcycle: --output must not overwrite "s\.csv", which the scenario reads \(storm_file\)$
err: ^pushcycle: --output must not overwrite "s\.csv", which the scenario reads \(site\.file\)$
err: ^a\.yaml:3:15: snow\.depth: .*needs a unit

case: nor is the file that standard input is, nor one beside a scenario in another folder; others are
$ mkdir sub; echo old >o.txt; echo old >sub/o.txt; (cat faulty.yaml; echo 'storm_file: o.txt') >sub/f.yaml; cp sub/f.yaml was; pushcycle check - <sub/f.yaml --output sub/f.yaml; cat sub/f.yaml | pushcycle check - --output o.txt; cmp was sub/f.yaml && pushcycle check sub/f.yaml --output sub/o.txt; cat o.txt sub/o.txt; pushcycle check sub/f.yaml --output o.txt; head -n 1 o.txt
out1: ^old$
out: ^sub/f\.yaml: [1-9][0-9]* faults
err: ^pushcycle: --output must not overwrite the scenario "-"$
err: ^pushcycle: --output must not overwrite "sub/o\.txt", which the scenario reads \(storm_file\)$

# Two results are kept apart before either is there, however the name is spelled.
case: two results in one new file
$ mkdir d; for o in "--output z.txt --trace ./z.txt" "--output d/z.csv --trace d/../d/z.csv" "--geojson z --trace ./z" "--output ./z --geojson d/../z"; do pushcycle run small.yaml --set "site.origin=[20, 60]" $o; echo "$? $o"; done; pushcycle plan small.yaml --tries 2 --save z --output ./z; echo "$? plan"; ls . d
out: ^2 --output z\.txt
out: ^2 --output d/z\.csv
out: ^2 --geojson z
out: ^2 --output \./z
out: ^2 plan
no-file: ^z
err: ^pushcycle: --output and --trace both name "z\.txt"; give each a file of its own$
err: ^pushcycle: --save and --output both name "z"; give each a file of its own$

case: results of one name in two folders are two files
$ mkdir d; pushcycle run small.yaml --quiet --output z.txt --trace d/z.txt && ls d z.txt
out: ^z\.txt$

# As spreadsheets write where the comma is the decimal sign, or for pasting.
case: tables with semicolons or tabs
$ printf 'time;rate\n0;1,5\n2;0\n' >s.csv; printf 'time\trate\n0\t1\n2\t0\n' >t.csv; printf 'phase;duration_s;distance_m\nfill;8;20\n' >c.csv; pushcycle check small.yaml --set storm_file=s.csv; pushcycle check small.yaml --set storm_file=t.csv; pushcycle fit c.csv
exit: 2
err: ^s\.csv:1: has semicolons where commas have to separate the columns \(numbers then need decimal points\)$
err: ^t\.csv:1: has tabs where commas have to separate the columns
err: ^c\.csv:1: has semicolons where commas
no-err: name the columns
