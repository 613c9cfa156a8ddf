# Work cut into shards and joined again.

case: a comparison in three shards is the whole, byte for byte, as text, JSON and CSV
$ for i in 1 2 3; do pushcycle compare small.yaml --set "chance.fill=20 %" --replications 5 --shard $i/3 >p$i || exit 9; done; for f in --units=metric --units=us --json --csv; do pushcycle compare small.yaml --set "chance.fill=20 %" --replications 5 $f >a; pushcycle merge $f p3 p1 p2 >b; cmp a b || exit 8; done; echo same
out: ^same$
no-err: .

case: more shards than there is work
$ for i in 1 2 3 4 5 6 7; do pushcycle compare small.yaml --shard $i/7 --output p$i || exit 9; done; pushcycle compare small.yaml --json >a; pushcycle merge --json p* >b; cmp a b && echo same
out: ^same$

case: a run in two shards, with a storm
$ for i in 1 2; do pushcycle run night.yaml --set chance.dump=0.3 --replications 5 --shard $i/2 --output p$i || exit 9; done; for f in --units=us --json --csv; do pushcycle run night.yaml --set chance.dump=0.3 --replications 5 $f >a; pushcycle merge $f p2 p1 >b; cmp a b || exit 8; done; echo same
out: ^same$

case: the headings that were chosen are told, too
$ for i in 1 2; do pushcycle compare small.yaml --set "site.areas[0].heading=auto" --quiet --shard $i/2 --output p$i || exit 9; done; pushcycle compare small.yaml --set "site.areas[0].heading=auto" --quiet --json >a; pushcycle merge --quiet --json p1 p2 >b; cmp a b && grep -c '"headings"' b
out: ^1$

case: parts need no scenario beside them
$ for i in 1 2; do pushcycle run small.yaml --shard $i/2 --output p$i; done; rm small.yaml; pushcycle merge p1 p2
out1: ^Total time

case: the exit status is that of the whole
$ pushcycle run small.yaml --set "zones[0].volume=5 m3" --shard 1/1 --output p && pushcycle merge p
exit: 1
out1: ^Stopped after

case: a part through a pipe
$ pushcycle run small.yaml --shard 1/1 | pushcycle merge --json -
out: "format": "pushcycle-run"

case: a shard is missing
$ pushcycle run small.yaml --shard 1/3 >p1; pushcycle run small.yaml --shard 3/3 >p3; pushcycle merge p1 p3
exit: 2
err: shard 2 of 3 is missing
no-out: .

case: a shard is there twice
$ pushcycle run small.yaml --shard 1/2 >p1; pushcycle run small.yaml --shard 2/2 >p2; pushcycle merge p1 p2 p1
exit: 2
err: ^p1: is shard 1 of 2, and so is "p1"
no-out: .

case: shards of different numbers
$ pushcycle run small.yaml --shard 1/2 >p1; pushcycle run small.yaml --shard 2/3 >p2; pushcycle merge p1 p2
exit: 2
err: ^p2: is one of 3 shards, but "p1" is one of 2

case: parts of different scenarios
$ pushcycle run small.yaml --shard 1/2 >p1; pushcycle run small.yaml --depth "11 cm" --shard 2/2 >p2; pushcycle merge p1 p2
exit: 2
err: ^p2: does not belong to "p1": its scenario, key snow differs

case: parts of different seeds
$ pushcycle run small.yaml --shard 1/2 >p1; pushcycle run small.yaml --seed 2 --shard 2/2 >p2; pushcycle merge p1 p2
exit: 2
err: key chance differs

case: a part of another version
$ pushcycle run small.yaml --shard 1/1 | sed 's/"program":"[0-9.]*"/"program":"9.9.9"/' >p; pushcycle merge p
exit: 2
err: ^p:1: was written by version 9\.9\.9, but this is version

case: a part that was cut off
$ pushcycle run small.yaml --shard 1/1 | head -n 2 >p; pushcycle merge p
exit: 2
err: ends too early

case: a part that was changed
$ pushcycle run small.yaml --shard 1/1 | sed 's/"finished":true/"finished":false/' >p; pushcycle merge p
exit: 2
err: its check sum is wrong

case: all that is wrong is told at once
$ pushcycle run small.yaml --shard 1/3 >p1; echo no >p2; pushcycle merge p1 p2 small.yaml none
exit: 2
err: ^p2:1: is no part
err: ^small.yaml:1: is no part
err: none

case: nothing to join
$ pushcycle merge
exit: 2
err: merge needs the parts to join

case: a result must not overwrite a part
$ pushcycle run small.yaml --shard 1/1 >p; pushcycle merge p --output p
exit: 2
err: must not overwrite "p"

case: a shard that is none
$ pushcycle compare small.yaml --shard 3/2
exit: 2
err: --shard: "3/2" is not allowed; give which shard of how many

case: a part is no result
$ pushcycle compare small.yaml --shard 1/2 --json
exit: 2
err: --shard writes a part, which does not go with --json; give that to `pushcycle merge`

case: nor has it a trace
$ pushcycle run small.yaml --shard 1/2 --trace t.csv
exit: 2
err: does not go with --trace
no-file: ^t\.csv

# They are what the fuzzer of parts begins with: of no use once the format is another. DEVELOPERS.md tells how to renew them.
case: the parts that are kept for tests are parts of this version
$ for f in clock compare night run; do pushcycle merge --quiet "$TESTS/fuzz/corpus/parts/$f" | head -n 1; done
out: ^Total time .*
out: ^Quickest: 
no-err: .

# How much is done is known from the terminal, so that slow machines make no difference.
case: Ctrl-C ends a shard with a word, without a part; the same shard run again is whole
$ for c in run "compare --layouts all"; do $PYTHON $TESTS/interrupt.py --at 0.2 pushcycle $c small.yaml --set chance.fill=0.2 --replications 60000 --threads 1 --shard 1/2 --output p; ls | grep -c "^p"; for i in 1 2; do pushcycle $c small.yaml --set chance.fill=0.2 --replications 6 --quiet --shard $i/2 --output q$i; done; pushcycle merge --quiet q1 q2 >a; pushcycle $c small.yaml --set chance.fill=0.2 --replications 6 --quiet | cmp - a && echo same; done
out: ^exit 1$
out: ^same$
no-out: ^exit [02-9]|signal|hangs|^[1-9]
err: pushcycle: stopped with [1-9][0-9]* replications of shard 1/2 left: a part is written whole or not at all, so there is none; run this shard again
