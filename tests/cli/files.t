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

case: a full disk
$ pushcycle limits small.yaml --output /dev/full
exit: 3
err: /dev/full: No space left

case: a full disk behind standard output
$ pushcycle limits small.yaml >/dev/full
exit: 3
err: standard output: No space left

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

case: schema
$ pushcycle schema >s.json && $PYTHON -c "import json; s = json.load(open('s.json')); print(s['\$schema'], 'snow' in s['properties'])"
out: ^https://json-schema\.org/draft/2020-12/schema True$

case: the scenario is never overwritten
$ pushcycle run small.yaml --output small.yaml
exit: 2
err: must not overwrite the scenario
