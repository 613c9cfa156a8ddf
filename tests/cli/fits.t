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
