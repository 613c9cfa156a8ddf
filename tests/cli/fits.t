# Boxes that do not fit through a gate, and machines that get nowhere. The gate of gate.yaml is 13 ft wide.

case: a machine that can't get to one of its areas is named, with its box and the area
$ pushcycle run gate.yaml
err: ^caution: gate\.yaml:27:3: crew: "loader 1" with 16 ft can't get to area "annex": no way there, or nothing in it, is 16 ft wide$
no-err: loader 2
no-err: nothing to do

case: so is one that can't get to any
$ pushcycle check gate.yaml --set "crew[0].areas=[annex]"
out: ^gate\.yaml: no faults, 1 caution$
out: "loader 1" with 16 ft can't get to area "annex": .* is 16 ft wide; so it has nothing to do$

case: machines that are alike are named once
$ pushcycle check gate.yaml --set "crew[0].count=3" --units metric
out: "loader 1" \(and 2 more like it\) with 16 ft can't get to area "annex": .* is 4\.88 m wide$
out: no faults, 1 caution$

case: a machine that gets everywhere it may work is not named
$ pushcycle check gate.yaml --set "crew[0].areas=[main]"
out: no faults, 0 cautions$

case: where no machine gets to an area, the fault names area, machine and box
$ pushcycle run gate.yaml --box "16 ft"
exit: 2
err: ^gate\.yaml:10:7: site\.areas\[1\]: area "annex": 2400 ft2 can't be reached from any pile zone by "loader 1" with 16 ft, first near .* ft: a way must be on pavement and at least 16 ft wide$

case: a comparison ranks what fits and names what does not, after the table and as cautions
$ pushcycle compare gate.yaml --boxes all
out: ^Quickest: layout "one" with 12 ft
out: ^ +3 +one +16 ft \+ 10 ft
no-out: one +16 ft +[0-9]
out: ^Left out: layout "one" with 16 ft: area "annex": 2400 ft2 can't be reached from any pile zone by "loader 1" with 16 ft, first near
err: ^caution: gate\.yaml:10:7: site\.areas\[1\]: left out: layout "one" with 16 ft: area "annex": 2400 ft2 can't be reached
err: ^caution: gate\.yaml:27:3: crew: "loader 1" with 16 ft can't get to area "annex"

case: what fits is ranked as if the others had not been asked for
$ pushcycle compare gate.yaml --boxes "10 ft,16 ft,12 ft" --set "chance.carry=20 %" --replications 5 --quiet --csv >a; pushcycle compare gate.yaml --boxes "10 ft,12 ft" --set "chance.carry=20 %" --replications 5 --quiet --csv >b; cmp a b && wc -l <a
out: ^3$

case: every combination that is left out is in the JSON, and no others
$ pushcycle compare gate.yaml --boxes all --loaders all --depths "4 in,8 in" --crews 1,2 --quiet --json >a; "$PYTHON" -c 'import json; a = json.load(open("a")); r, l = a["rows"], a["left_out"]; print(len(r), len(l), "stopped" in a); print(sorted({(e["box"], e["crew"]) for e in l}), {e["key"] for e in l}, {e["loader"] for e in l} == {"loader", "tractor"}, all("annex" in e["why"] for e in l))'; pushcycle compare gate.yaml --boxes "10 ft" --json --quiet | grep -c left_out
out: ^20 12 False$
out: ^\[\('16 ft', 1\), \('16 ft', 2\), \('own', 1\)\] \{'site\.areas\[1\]'\} True True$
out: ^0$
exit: 1

case: so many lines, whatever the depths and policies
$ pushcycle compare gate.yaml --boxes "10 ft,16 ft" --depths "4 in,8 in" --policies keep-pushing,straight-runs 2>err | grep -c "^Left out"; grep -c "left out" err
out: ^1$
no-out: [^1]

case: layouts that no way leads to are left out, too
$ sed -e 's/^layouts: .*/  - {name: moon, outline: [[525,5],[555,5],[555,55],[525,55]]}\nlayouts: [{name: far, zones: [moon]}, {name: one, zones: [east]}]/' gate.yaml >moon.yaml; pushcycle compare moon.yaml --boxes "10 ft" --layouts all
out: ^Quickest: layout "one"
out: ^Left out: layout "far" with 10 ft: no machine of the crew can get from the areas to zone "moon"

case: only if nothing fits it is a fault, which names the box
$ pushcycle compare gate.yaml --boxes "16 ft" --loaders all
exit: 2
no-out: .
err: ^gate\.yaml:10:7: site\.areas\[1\]: area "annex": 2400 ft2 can't be reached from any pile zone by "loader 1" with 16 ft, first near
err: ^gate\.yaml:10:7: .* by "tractor 1" with 16 ft, first near
no-err: left out

case: a box that does not exist is a fault, whatever else fits
$ pushcycle compare gate.yaml --boxes "10 ft,15 ft"
exit: 2
no-out: .
err: 15 ft

case: the best of those that fit is found
$ pushcycle compare gate.yaml --boxes all --set "chance.carry=20 %" --within "1 min"
out: ^Replications went on until the best row was known
out: ^Left out: layout "one" with 16 ft: area "annex"

case: shards merge to the same, with what is left out
$ a='compare gate.yaml --boxes all --loaders all --crews 1,2 --set chance.fill=0.2 --replications 3'; for i in 1 2 3 4 5 6 7; do pushcycle $a --shard $i/7 --output p$i 2>>cautions || exit 9; done; for f in --units=us --units=metric --json --csv; do pushcycle $a $f >a 2>ae; pushcycle merge $f p3 p1 p2 p4 p5 p7 p6 >b 2>be; cmp a b || exit 8; sed 's/gate\.yaml:[0-9:]* //' ae | cmp - be || exit 7; done; grep -c "left out" cautions >n; [ "$(cat n)" -gt 5 ] && echo same; cat be
out: ^same$
out: left out: layout "one" with 16 ft on tractor, 1 machine: area "annex"

case: a shard of which nothing can be made is no fault, unless that is so of all
$ pushcycle compare gate.yaml --boxes "16 ft,10 ft" --shard 1/2 >p1; echo "exit $?"; pushcycle compare gate.yaml --boxes "16 ft,10 ft" --shard 2/2 >p2; pushcycle merge p1 p2; pushcycle compare gate.yaml --boxes "16 ft" --loaders all --shard 1/2 >p3
exit: 2
out1: ^exit 0$
out: ^Left out: layout "one" with 16 ft: area
err: ^gate\.yaml:10:7: site\.areas\[1\]: area "annex"

case: a report names what is left out below its table
$ pushcycle report gate.yaml --boxes all --quiet
out: ^<li>Left out: layout &#34;one&#34; with 16 ft: area &#34;annex&#34;: 2400 ft2
