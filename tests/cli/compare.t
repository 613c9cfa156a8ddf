# Selection, seasons, the crew's own boxes, and work that is stopped.

case: replications go on until the best is known
$ pushcycle compare small.yaml --policies keep-pushing,straight-runs --set "chance.fill=20 %" --set "chance.carry=40 %" --replications 10 --within "1 s"
out: best was known to within 1 s, with 95 % \(Kim and Nelson 2001\): 10 of each at first
out: out after [0-9]+

case: the same as JSON
$ pushcycle compare small.yaml --policies keep-pushing,straight-runs --set "chance.fill=20 %" --replications 10 --within "10 s" --json
out: "procedure": "Kim and Nelson 2001"
out: "settled": true
out: "dropped": true

case: a selection needs a time with its unit
$ pushcycle compare small.yaml --within 5
exit: 2
err: --within: compare.within: "5" needs a unit of time

case: a selection can't be cut into shards
$ pushcycle compare small.yaml --within "1 min" --shard 1/2
exit: 2
err: give --replications instead

case: a season is summed up
$ pushcycle compare small.yaml --layout "two piles" --box wide --policies keep-pushing,straight-runs --set "season=[{depth: 5 cm, storms: 10}, {depth: 10 cm, storms: 2.5}]" --set "money={machine: 95 /h, operator: 38 /h, interest: 8 %}" --set boxes[0].price=9000
out: ^A season of 12.5 storms \(10 of 5 cm, 2.5 of 10 cm\)
out: ^ +rank +policy +h a season +to best +working EUR +owning EUR +cost EUR
out: ^ +1 +keep-pushing
out: Least cost: layout ".*, EUR [0-9,]+ a season\.

case: one depth says nothing of the season
$ pushcycle compare small.yaml --depth "7 cm" --set "season=[{depth: 5 cm, storms: 10}]"
out: Nothing is said of the season

case: a depth of the season that stands there twice
$ pushcycle compare small.yaml --set "season=[{depth: 5 cm, storms: 10}, {depth: 50 mm, storms: 1}]"
exit: 2
err: season\[1\]\.depth: stands there already

case: a season needs both numbers
$ pushcycle check small.yaml --set "season=[{depth: 5 cm}]"
exit: 2
err: season\[0\]\.storms

case: the crew as it is, beside one box for all
$ pushcycle compare --quiet --layout "three piles" --boxes "16 ft,own" --replications 1
out: 16 ft \+ 14 ft

case: Ctrl-C ends with the replications that are done
$ pushcycle run --quiet --replications 100000 --threads 1 --json >out & p=$!; sleep 1; while kill -INT $p 2>/dev/null; do sleep 3; done; wait $p; echo "exit $?"; grep -o '"finished": [a-z]*' out
out: ^exit 1$
out: ^"finished": true$
err: stopped: [0-9]+ of 100000 replications are done

case: Ctrl-C ends with the combinations that are done
$ pushcycle compare small.yaml --depths "2 cm,3 cm,4 cm,5 cm,6 cm,7 cm,8 cm" --set "chance.fill=20 %" --replications 20000 --threads 1 --json >out & p=$!; sleep 1; while kill -INT $p 2>/dev/null; do sleep 3; done; wait $p; echo "exit $?"
out: ^exit 1$
err: stopped

case: a report has the season, too
$ pushcycle report small.yaml --layout "two piles" --box wide --policies keep-pushing,straight-runs --set "season=[{depth: 5 cm, storms: 10}, {depth: 10 cm, storms: 2.5}]" --set "money={machine: 95 /h, operator: 38 /h}" --quiet --output r.html; grep -o '<section id="season"' r.html; grep -o 'A season of 12.5 storms' r.html; grep -o 'href="#season"' r.html; pushcycle report small.yaml --depth "5 cm" --set "season=[{depth: 6 cm, storms: 10}]" --quiet | grep -c season-title
out: ^<section id="season"$
out: ^A season of 12.5 storms$
out: ^href="#season"$
out: ^0$
exit: 1
