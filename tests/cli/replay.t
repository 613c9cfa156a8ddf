# A night to look at; what the page does is tested in tests/browser.

case: replay writes one file that asks for nothing else
$ pushcycle replay small.yaml --output night.html && head -n 1 night.html && grep -c "default-src 'none'" night.html && ! grep -Eq '(src|href)="?http' night.html
out: ^<!DOCTYPE html>
out: ^1$
no-err: .
file: night.html

case: without --output it goes to standard output
$ pushcycle replay small.yaml --quiet | tail -n 1
out1: ^</html>$

case: the same scenario gives the same bytes
$ pushcycle replay small.yaml --quiet >a && pushcycle replay small.yaml --quiet >b && cmp a b

case: two runs are named by what differs
$ pushcycle replay small.yaml --quiet --policies straight-runs,keep-pushing --output two.html && grep -o '"label":"[^"]*"' two.html
out: ^"label":"straight-runs"$
out: ^"label":"keep-pushing"$

case: depths differ too
$ pushcycle replay small.yaml --quiet --depths "5 cm,10 cm" --output two.html && grep -o '"label":"[^"]*"' two.html
out: ^"label":"5 cm"$
out: ^"label":"10 cm"$

case: one run is named by its layout and policy
$ pushcycle replay small.yaml --quiet --output one.html && grep -o '"label":"[^}]*keep-pushing"' one.html
out: "label":"layout .*, keep-pushing"

case: three runs are too many
$ pushcycle replay small.yaml --quiet --depths "5 cm,10 cm,15 cm" --output three.html
exit: 2
err: shows one run or two side by side, but the lists make 3
no-file: three.html

case: lists of the scenario are for compare
$ pushcycle replay small.yaml --quiet --set "compare.depths=[5 cm, 10 cm, 15 cm]" --output one.html
file: one.html

case: a list and its narrowing exclude each other
$ pushcycle replay small.yaml --policies all --policy keep-pushing
exit: 2
err: --policy and the list of the same kind exclude each other

case: the scenario is not overwritten
$ pushcycle replay small.yaml --output small.yaml
exit: 2
err: must not overwrite the scenario

case: work that is left gives status 1, and the page all the same
$ pushcycle replay night.yaml --quiet --set "zones=[{name: east, outline: [[40, 0], [46, 0], [46, 20], [40, 20]], volume: 20 m3}]" --output left.html
exit: 1
file: left.html

case: a lot of too many cells is refused
$ pushcycle replay small.yaml --quiet --set "station=10 cm" --set "site.areas=[{name: yard, outline: [[0,0],[1000,0],[1000,440],[0,440]]}]" --set "zones=[{name: east, at: [1000, 2]}, {name: west, at: [0, 0]}]"
exit: 2
err: more than 1000000 cells
