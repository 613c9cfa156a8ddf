# The planning board; what it answers and how it is used is tested in tests/browser.

case: board prints its address, and ends cleanly on Ctrl-C
$ timeout --preserve-status -s INT 1 pushcycle board small.yaml
out1: ^http://127\.0\.0\.1:[0-9]+/\?token=[0-9a-f]{32}$
err: Ctrl-C ends it

case: and on an end from outside
$ timeout --preserve-status -s TERM 1 pushcycle board small.yaml --quiet
out1: ^http://127\.0\.0\.1:
no-err: .

case: two boards have tokens of their own
$ for i in 1 2; do timeout --preserve-status -s INT 0.5 pushcycle board small.yaml --quiet | sed 's/.*token=//'; done | sort -u | wc -l
out: ^ *2$

case: a layout that could not be read back is refused, and nothing is written; one that can is
$ pushcycle board small.yaml --output new.yaml --quiet >url & board=$!; for i in 1 2 3 4 5 6 7 8 9 10; do [ -s url ] || sleep 0.2; done; $PYTHON $TESTS/board_save.py url new.yaml; kill -INT $board; wait $board; pushcycle check new.yaml --quiet --layout "$(printf '\303\244\342\200\250\303\266')" | grep fault
out: ^400 False layouts\[[0-9]\]\.name: is longer than a name may be: 63 bytes$
out: ^400 False layouts\[[0-9]\]\.name: "all" cannot be a name
out: ^400 False layouts\[[0-9]\]\.name: .* on one line, without control characters$
out: ^400 False zones\[[0-9]\]\.name: .* on one line, without control characters$
out: ^400 False zones\[[0-9]\]\.outline: the outline crosses or touches itself
out: ^200 True *$
out: ^new\.yaml: no faults

case: a port that is none
$ pushcycle board small.yaml --port 70000
exit: 2
err: --port: "70000" is not allowed; give a whole number from 0 to 65535

case: a port that is taken
$ timeout -s INT 3 pushcycle board small.yaml --quiet >url & sleep 0.5; pushcycle board small.yaml --quiet --port "$(sed 's/.*:\([0-9]*\).*/\1/' url)"
exit: 3
err: --port: nothing can listen on port [0-9]+

case: a file that exists is left alone
$ echo keep >old.yaml; pushcycle board small.yaml --output old.yaml; s=$?; cat old.yaml; exit $s
exit: 2
out: ^keep$
err: old\.yaml exists already

case: without zones it begins with none
$ sed -e '/^zones:/,/^crew:/{/^crew:/!d}' small.yaml >none.yaml; timeout --preserve-status -s INT 1 pushcycle board none.yaml --set site.areas[0].heading=auto
out1: ^http://127\.0\.0\.1:
err: area "yard": heading 0\.0 deg, along its longest edge: there are no zones to choose by

case: a faulty scenario is no start
$ pushcycle board faulty.yaml
exit: 2
no-out: http

case: nor is a layout that does not exist
$ pushcycle board small.yaml --layout nowhere
exit: 2
err: there is no layout "nowhere"
