# Pavement that is open to some loaders only.

# The deck lies between x = 80 and 120 m, below y = 60 m; way ends are columns 7 to 10 of the trace.
case: nobody drives where it is closed to them, and who may is told
$ pushcycle run closed.yaml --quiet --trace t.csv | head -1; for m in "mid loader 1" "skid steer 1"; do grep "^0,$m," t.csv | awk -F, '{for (k = 1; k < 50; k++) {x = $7 + k / 50 * ($9 - $7); y = $8 + k / 50 * ($10 - $8); if (x > 80.01 && x < 119.99 && y > 0.01 && y < 59.99) {n++; break}}} END {print (n > 0 ? "on the deck" : "never on the deck"), (NR > 100)}'; done
out1: ^Total time .* finished
out: ^never on the deck 1$
out: ^on the deck 1$

case: with `loaders` instead, the work is bound and the ways are not: that is said
$ pushcycle run closed.yaml --set "site.areas[1].open_to=[mid loader, skid steer]" --set "site.areas[1].loaders=skid steer"
out: drives across area "deck", which is bound to other loaders: that binds the work, not the ways \(`open_to` does\)\.

case: the operators are told, each on a page of its own
$ pushcycle brief closed.yaml --quiet --output b.pdf && pdftotext -layout b.pdf - | grep -c "Not open to all (cross-hatched): deck (only skid steer)"; pdftotext -layout b.pdf - | grep -c "Keep off (cross-hatched), it is closed to you: deck"
out: ^1$
out: ^1$

case: the report has the lists
$ pushcycle report closed.yaml --quiet --output r.html && grep -o "loaders that may work and drive there" r.html; grep -o "deck</th><td>all that may drive there</td><td>skid steer" r.html; grep -o "drive</th><td>nothing is cleared</td><td>all" r.html
out1: ^loaders that may work and drive there$
out: ^deck</th><td>all that may drive there</td><td>skid steer$
out: ^drive</th><td>nothing is cleared</td><td>all$

case: a machine that may work nowhere
$ pushcycle check closed.yaml --set "site.areas[1].open_to=mid loader"
out: crew\[1\]: "skid steer" may work none of its areas \(their loaders, open_to\): it stands all night$

# With other loaders in their places nobody may work on the deck; what is closed to all of the crew is in no sum.
case: other loaders keep off it too
$ pushcycle compare closed.yaml --quiet --loaders "own,mid loader" --replications 2 | grep -c "mid loader"
out: ^[1-9]

case: a map does not hold it
$ pushcycle run closed.yaml --set "site.origin=[20, 60]" --set "site.ground[0].open_to=[skid steer, mid loader]" --geojson m.geojson >o; grep -c open_to m.geojson
out: ^0$
exit: 1
err: ^caution: m\.geojson: a map does not hold "?open_to of area "deck", open_to of ground "drive": a scenario made from it has to say so again
