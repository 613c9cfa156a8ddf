# Ways across areas that are bound to other loaders. deck.yaml has a deck that is the small loader's; of its layouts two make the big one
# from the east go across it (40 m x 20 m x 10 kg/m2 = 8 t in loads of 0.8 t at most: ten cycles at least), the third does not.

# The cycles are counted again from the trace, of every carry and return that has more than 5 m in the outline of the deck.
case: a run tells them, as text, JSON and CSV, and a brief tells the operator
$ pushcycle run deck.yaml --trace t.csv | tee o; pushcycle run deck.yaml --json >j; pushcycle run deck.yaml --csv >c; $PYTHON -c "import csv, json, re; inside = lambda r: sum(20 < float(r['x0_m']) + (k + 0.5) / 500 * (float(r['x1_m']) - float(r['x0_m'])) < 40 for k in range(500)) / 500 * ((float(r['x1_m']) - float(r['x0_m'])) ** 2 + (float(r['y1_m']) - float(r['y0_m'])) ** 2) ** 0.5; n = len({r['cycle'] for r in csv.DictReader(open('t.csv')) if r['machine'] == 'big 2' and r['phase'] in ('carry', 'return') and inside(r) > 5}); print(n >= 10, n == int(re.search('in ([0-9]+) cycles', open('o').read())[1]), json.load(open('j'))['crossings'] == [{'machine': 'big 2', 'area': 'deck', 'cycles': n}], [int(r['crossing_cycles']) == n for r in csv.DictReader(open('c'))])"; pushcycle brief deck.yaml --quiet --output b.pdf; pdftotext b.pdf - | tr '\n' ' ' | grep -c "deck is for others to work, but [0-9]* of your ways led across it: ask first whether it carries you"
out: ^Caution: in [0-9]+ cycles of the first night big 2 drives across area "deck", which is bound to other loaders: that binds the work, not the ways \(`open_to` does\)\. Does it carry it, and is there room\?$
out: ^True True True \[True\]$
out: ^1$
no-err: .

case: where the loader may work there, or nobody comes across, nothing is told
$ for a in '--set site.areas[deck].loaders=[small,big]' '--layout two'; do pushcycle run deck.yaml $a | grep -c across; pushcycle run deck.yaml $a --json | $PYTHON -c "import json, sys; print(json.load(sys.stdin)['crossings'])"; done
out: ^0$
out: ^\[\]$
no-out: [1-9{]

# In every row the list is that of a run of its layout, and the number is the sum of the list.
case: a comparison tells them of the best, names the rows that have them, and has them in JSON and CSV
$ pushcycle compare deck.yaml --layouts all; pushcycle compare deck.yaml --layouts far,one | sed -n '1,8p'; pushcycle compare deck.yaml --layouts all --json >j; pushcycle compare deck.yaml --layouts all --csv >c; for l in one two far; do pushcycle run deck.yaml --layout $l --json >$l; done; $PYTHON -c "import csv, json; runs = {l: json.load(open(l))['crossings'] for l in ('one', 'two', 'far')}; rows = json.load(open('j'))['rows']; print(len(rows), [r['crossings'] == runs[r['layout']] for r in rows], [int(r['crossing_cycles']) == sum(x['cycles'] for x in runs[r['layout']]) for r in csv.DictReader(open('c'))])"
out: ^ +1  two +wide +[0-9.]+ +0\.0  best  
out: ^ +2  one +wide .* drives across deck in [0-9]+ cycles  
out: ^Caution: in [0-9]+ cycles of the first night big 2 drives across area "deck",.*Does it carry it, and is there room\?$
out: ^None of the 2 finishes without such ways\.$
out: ^3 \[True, True, True\] \[True, True, True\]$

case: a selection and a comparison of crews tell them, too
$ pushcycle compare deck.yaml --layouts one,far --set chance.fill=0.05 --within 30s --quiet | grep -c "^Caution: in .* across area"; pushcycle compare deck.yaml --layout one --set "crew[2].keep=true" --crews 2 --quiet | grep -c "^Caution: in .* across area"
out: ^1$
no-out: [^1]

case: a report has the sentence, and the word in its table
$ pushcycle report deck.yaml --quiet --output r.html; grep -c "<p class=\"answer\">Caution" r.html; grep -o "<td[^>]*>drives across deck in [0-9]* cycles</td>" r.html | wc -l; pushcycle report deck.yaml --quiet --layout one --output r.html; grep -c "<p class=\"answer\">Caution: in [0-9]* cycles of the first night big 2" r.html
out: ^0$
out: ^2$
out: ^1$

# What the plan leads across is what a run that follows it does.
case: a plan tells them
$ pushcycle plan deck.yaml --tries 40 --save p.json --quiet | sed -n 2p; pushcycle run deck.yaml --plan p.json --json >r; $PYTHON -c "import json; p, r = (json.load(open(n))['crossings'] for n in ('p.json', 'r')); print(p == r, len(p), p[0]['machine'])"; pushcycle plan deck.yaml --tries 8 --layout two --quiet | grep -c across
exit: 1
out: ^Caution: in [0-9]+ cycles of the first night big 2 drives across area "deck",
out: ^True 1 big 2$
out: ^0$

# With the place of layout "one" alone the list is that of its run.
case: places for piles tell them, of the best and of the runners-up
$ a="deck.yaml --zones 1 --quiet"; pushcycle place $a --candidates "west pile,far pile"; pushcycle run deck.yaml --layout one --json >r; pushcycle place $a --candidates "west pile" --json >p; $PYTHON -c "import json; r, p = json.load(open('r')), json.load(open('p')); print(r['crossings'] == p['finalists'][0]['crossings'] == p['steps'][0]['best']['crossings'], len(r['crossings']))"
out: ^Caution: in [0-9]+ cycles of the first night big 2 drives across area "deck",
out: ^ +2 .*drives across deck in [0-9]+ cycles
out: ^True 1$

case: parts joined tell the same
$ for c in "run deck.yaml" "compare deck.yaml --layouts all"; do for i in 1 2; do pushcycle $c --set chance.dump=0.3 --replications 3 --shard $i/2 --output p$i || exit 9; done; for f in --units=us --json --csv; do pushcycle $c --set chance.dump=0.3 --replications 3 $f >a; pushcycle merge $f p2 p1 >b; cmp a b || exit 8; grep -q "across\|crossing" b || exit 7; done; done; echo same; sed -i 's/"cycles":12,"machine":"big 2"/"cycles":0,"machine":"big 2"/' p1; pushcycle merge p1 p2
exit: 2
out: ^same$
err: was changed after it was written
