# Usage: help, versions, commands and options that do not exist, values that are not allowed.

case: no command shows the usage
$ pushcycle
exit: 2
err: ^usage: pushcycle COMMAND
err: limits
no-out: .

case: help is a result
$ pushcycle --help
out: ^usage: pushcycle COMMAND
out:  compare .*rank
no-err: .

case: version
$ pushcycle --version
out: ^pushcycle 0\.1\.0$

case: help of a command lists its options only
$ pushcycle compare --help
out: ^usage: pushcycle compare
out: --layouts A,B
no-out: --trace

case: help as a word
$ pushcycle help >a; pushcycle --help | cmp a - && pushcycle help compare >a && pushcycle compare --help | cmp a - && echo same; pushcycle help comparre; echo $?
out: ^same$
out: ^2$
err: did you mean compare\?

case: an option that nobody knows, and what may be its value
$ pushcycle run small.yaml --dpeth "4 in"
exit: 2
err: ^pushcycle: run does not take --dpeth; did you mean --depth\?$
no-err: takes one scenario

case: miles an hour
$ for u in mi/h miles/h km/hr; do pushcycle run small.yaml --quiet --set "loaders[0].speeds.push=5 $u"; done
exit: 2
err: mi/h is not a unit of speed; did you mean mph\?
err: miles/h is not a unit of speed; did you mean mph\?
err: km/hr is not a unit of speed; did you mean km/h\?

case: every command has help
$ for c in new check run compare limits place plan sensitivity fit assign draw brief report replay board merge schema; do pushcycle $c --help >help.$c && grep -q "^usage: pushcycle $c" help.$c || exit 9; done

case: unknown command, with the list
$ pushcycle bake small.yaml
exit: 2
err: no command "bake"; commands: new check run compare limits place plan sensitivity fit assign draw brief report replay board merge schema
no-out: .

case: a slip in the command
$ pushcycle comparre
exit: 2
err: did you mean compare\?

case: unknown option with a suggestion
$ pushcycle run --replicatons 3 small.yaml
exit: 2
err: --replicatons; did you mean --replications\?

case: an option of another command
$ pushcycle run --boxes all small.yaml
exit: 2
err: run does not take --boxes; did you mean --box\?

case: an option without its value
$ pushcycle run small.yaml --depth
exit: 2
err: --depth needs a value

case: a value where none is due
$ pushcycle run --json=yes small.yaml
exit: 2
err: --json takes no value

case: units
$ pushcycle run --units imperial small.yaml
exit: 2
err: --units: "imperial" is not allowed; choose metric or us

case: threads
$ pushcycle run --threads many small.yaml
exit: 2
err: --threads: "many" is not allowed; give a whole number from 0 to 1024

case: replications
$ pushcycle run --replications 0 small.yaml
exit: 2
err: --replications: .*replications: .*1

case: seed
$ pushcycle run --seed soon small.yaml
exit: 2
err: --seed

case: a depth without a unit
$ pushcycle run --depth 10 small.yaml
exit: 2
err: --depth: snow.depth: .*needs a unit of length

case: a depth of mass
$ pushcycle run --depth "10 kg" small.yaml
exit: 2
err: kg is a unit of mass, not of length

case: json and csv
$ pushcycle run --json --csv small.yaml
exit: 2
err: exclude each other

case: two scenarios
$ pushcycle run small.yaml small.yaml
exit: 2
err: takes one scenario, but there are 2

case: several bad options are all told
$ pushcycle run --units x --threads x --nothing small.yaml
exit: 2
err: --units
err: --threads
err: --nothing

case: unknown layout with a suggestion
$ pushcycle run --layout "one pil" small.yaml
exit: 2
err: --layout: there is no layout "one pil"; did you mean "one pile"\?
no-out: .

case: unknown box with the choice
$ pushcycle limits --box enormous small.yaml
exit: 2
err: --box: there is no box "enormous"; choose one of "narrow", "wide"

case: unknown policy with a suggestion
$ pushcycle run --policy keep-pushin small.yaml
exit: 2
err: did you mean "keep-pushing"\?

case: unknown name in a list
$ pushcycle compare --boxes narrow,wyde small.yaml
exit: 2
err: --boxes: .*wyde.*did you mean "wide"\?

case: one negative radius, one fault
$ for l in "passages=[{name: g" "obstacles=[{name: g, kind: pole" "keep_clear=[{name: g, kind: hydrant"; do for r in "-1 m" "0 m"; do pushcycle check night.yaml --set "site.$l, at: [10, 10], radius: $r}]" 2>&1; done; done
out: ^--set: site\.passages\[0\]\.radius: -1 m is outside what is allowed
out: ^--set: site\.obstacles\[0\]\.radius: -1 m is outside what is allowed
out: ^--set: site\.keep_clear\[0\]\.radius: -1 m is outside what is allowed
out: ^--set: site\.passages\[0\]: needs an outline, or a point `at` and a radius$
out: ^night\.yaml: 1 fault, 
no-out: ^night\.yaml: 2 fault
exit: 2

case: help says what an option is to this command
$ for c in fit sensitivity board place run; do pushcycle $c --help | grep -E -e "^ +--(by|output|port) " | sed "s/^ */$c /"; done; for c in fit sensitivity; do pushcycle $c --by ""; done
exit: 2
out: ^fit --by loader\|machine +one fit for each loader
out: ^sensitivity --by SHARE +how much each input changes
out: ^board --output FILE +let the page write
out: ^board --port N +the port
out: ^place --output FILE +write the scenario with the choice
out: ^run --output FILE +write to FILE instead of standard output$
no-out: ^(board|place) --output .*standard output|fit:|sensitivity:|board:
err: --by: is empty; give loader\|machine
err: --by: is empty; give SHARE

case: a list and one of its kind
$ pushcycle compare --boxes all --box wide small.yaml
exit: 2
err: exclude each other

# Ranges: common practice, no source; 0.25 gal a kWh is 0.946 l, 4 gal/h 15.1 l/h (a gallon is 3.785411784 l).
case: fuel that looks like a slip of unit
$ for f in "per_kwh: 0.946, idle: 4" "per_kwh: 0.11, idle: 40.1" "per_kwh: 0.12, idle: 0.3" "per_kwh: 0.6, idle: 40"; do echo "$f"; pushcycle check small.yaml --set "loaders[0].fuel={$f}" 2>&1 | grep "fuel\."; done; pushcycle check feet.yaml --set "loaders[0].fuel.idle=12 gal/h" 2>&1 | grep "fuel\."
out: ^caution: --set: loaders\[0\]\.fuel\.per_kwh: 0\.946 l/kWh is unusual: loaders burn about 0\.12 l/kWh to 0\.6 l/kWh; is the unit right\?$
out: loaders\[0\]\.fuel\.per_kwh: 0\.11 l/kWh is unusual
out: loaders\[0\]\.fuel\.idle: 40\.1 l/h is unusual: an engine that idles burns about 0\.3 l/h to 40 l/h; is the unit right\?$
out: loaders\[0\]\.fuel\.idle: 12 gal/h is unusual
no-out: fuel\.(idle: (4|0\.3|40) |per_kwh: 0\.(12|6) )

# 28 F is a usual -2.2 C, 28 C no weather for snow; a storm in CSV gives its temperature in C. 82.4 F by hand.
case: snow in the warm
$ printf 'time,rate,temperature\n0,1,28\n3,1,25\n6,0,30\n' >s.csv; sed '/^storm:/,$d' night.yaml >n.yaml; echo 'storm_file: s.csv' >>n.yaml; pushcycle check n.yaml 2>&1 | grep falls; for t in "28 C" "28 F" "5 C"; do pushcycle check night.yaml --set "storm=[{after: 0 h, rate: 1 cm/h, temperature: $t}, {after: 6 h, rate: 0 cm/h, temperature: 9 C}]" 2>&1 | grep falls; done; pushcycle check n.yaml --units us 2>&1 | grep -c 82.4
out: ^caution: n\.yaml:[0-9]+:13: storm_file: snow falls at 28 C, above 5 C in 1 further piece, too: is it degrees Fahrenheit, given as Celsius\?$
out: ^caution: --set: storm\[0\]\.temperature: snow falls at 28 C: is it degrees Fahrenheit
no-out: falls at -2|falls at 5
out: ^1$

# At -30 C the exponential of Hedstrom & Pomeroy (1998) is next to nothing: 67.9 kg/m3, 4.24 lb/ft3 (1 lb/ft3 is
# 16.018463 kg/m3). A tenth of 75.4 and of 61.7 lies between.
case: a density that does not hold for what falls is told, from a tenth on
$ for d in 61 62 75 76; do pushcycle check night.yaml --set "snow.fresh_density=$d kg/m3" --set "storm=[{after: 0 h, rate: 1 cm/h, temperature: -30 C}, {after: 1 h, rate: 1 cm/h}, {after: 6 h, rate: 0 cm/h}]" | grep "only for"; done; pushcycle run night.yaml --units us --set "snow.fresh_density=100 kg/m3" --set "storm=[{after: 0 h, rate: 1 cm/h, temperature: -30 C}, {after: 3 h, rate: 0 cm/h}]" 2>&1 >/dev/null | grep "only for"; sed 's/fresh_density: 100 kg.m3, //' night.yaml >n.yaml; { pushcycle check n.yaml --set "storm=[{after: 0 h, rate: 1 cm/h, temperature: -30 C}, {after: 3 h, rate: 0 cm/h}]"; pushcycle check night.yaml --set "storm=[{after: 0 h, rate: 1 cm/h}, {after: 3 h, rate: 0 cm/h, temperature: -30 C}]"; } >c; grep -c "no faults" c; grep -c "only for" c
out1: ^caution: --set: snow\.fresh_density: 61 kg/m3 is only for the snow that lies at the start: what falls has 67\.9 kg/m3 \(mean\), by the temperatures of the storm and snow\.density_formula$
out: ^caution: --set: snow\.fresh_density: 76 kg/m3 is only for
out: ^caution: --set: snow\.fresh_density: 6\.24 lb/ft3 is only for the snow that lies at the start: what falls has 4\.24 lb/ft3 \(mean\)
out: ^2$
out: ^0$
no-out: 62 kg/m3|75 kg/m3
exit: 1

case: figures that look like a slip of unit
$ pushcycle check small.yaml --quiet --set "boxes[0].width=16 in" --set "loaders[0].speeds.push=9 m/s"
out: boxes\[0\]\.width: 40\.6 cm is unusual: .*is the unit right\?$
out: loaders\[0\]\.speeds\.push: 32\.4 km/h is unusually fast for pushing; is the unit right\?$

# Common practice, no source: compact loaders have some 15 kW, the largest of all 800; what stands still longer than it works is a slip.
case: an engine of watts, and breaks and repairs that are longer than the work between
$ for p in 110W 7.9kW 8kW 110kW 800kW; do pushcycle check small.yaml --set "loaders[0].power=$p" --set "loaders[0].mass=12 t" --set "loaders[0].traction=0.3"; done; for t in "every: 1 min, for: 30 min" "every: 30 min, for: 30 min"; do pushcycle check small.yaml --set "crew[0].breaks={$t}"; done; for t in "between: 1 h, repair: 61 min" "between: 1 h, repair: 60 min"; do pushcycle check small.yaml --set "loaders[0].breakdown={$t}"; done
out: ^caution: --set: loaders\[0\]\.power: 0\.11 kW is unusual: loaders have about 8 kW to 800 kW; is the unit right\?$
out: ^caution: --set: loaders\[0\]\.power: 7\.9 kW is unusual
out: ^caution: --set: crew\[0\]\.breaks\.for: a break of 30 min after every 60 s is more than is worked; are they mixed up\?$
out: ^caution: --set: loaders\[0\]\.breakdown\.repair: a repair of 61 min after every 60 min is more than is worked; are they mixed up\?$
no-out: power: (8|110|800) kW|after every 30 min|repair of 60

# Common practice, no source: an hour of a machine costs tens or hundreds of euros or dollars, and its operator less than it. 95 /min are
# 95 x 60 = 5700 /h. Of a currency whose worth is not known only how far both lie apart can be told; 0 is not counted.
case: prices of an hour that are given as those of a minute
$ for m in "machine: 95 /min, operator: 38 /h" "machine: 1.58 /h, operator: 38 /min" "currency: USD, machine: 5 /h, operator: 300 /h" "currency: £, machine: 1000 /h, operator: 5 /h" "machine: 0 /h, operator: 0 /h" "currency: JPY, machine: 9500 /h, operator: 3800 /h" "currency: JPY, machine: 9500 /h, operator: 3800 /min" "currency: JPY, machine: 9500 /min, operator: 3800 /h" "currency: JPY, machine: 9500 /min"; do pushcycle check small.yaml --set "money={$m}" | grep "money.*right"; echo $?; done | tr '\n' ' ' | sed 's/caution: --set: //g'
out: ^money.machine: 5700 /h is unusual: a machine costs about 5 /h to 1000 /h; is the unit right\? 0 money.machine: 1\.58 /h is unusual: a machine costs about 5 /h to 1000 /h; is the unit right\? money.operator: 2280 /h is unusual: an operator costs about 5 /h to 300 /h; is the unit right\? 0 1 1 1 1 money.operator: 228,000 /h for an operator and 9500 /h for a machine lie far apart; are the units right\? 0 money.operator: 3800 /h for an operator and 570,000 /h for a machine lie far apart; are the units right\? 0 1 $

case: speeds that no loader has in a yard, and a load that is faster than none
$ pushcycle check small.yaml --set "loaders[0].speeds.carry=70 mph" --set "loaders[0].speeds.return=80 mph"; pushcycle check small.yaml --set "loaders[0].speeds.carry=30 km/h"
out: loaders\[0\]\.speeds\.carry: 113 km/h is unusually fast for a load in a box; is the unit right\?$
out: loaders\[0\]\.speeds\.return: 129 km/h is unusually fast for a yard; is the unit right\?$
out: loaders\[0\]\.speeds\.carry: 30 km/h is faster than the return without a load; are they mixed up\?$

case: the test of the manual pages says what is not built
$ mkdir b; ln -s "$(command -v pushcycle)" b/pushcycle; for a in $PWD/b none ""; do bash $TESTS/reference.sh $a; echo "$?"; done
no-out: [^2]
err: ^reference: there is no .*/b/reference/done: `make all` makes it \(the command with its manual pages and completion\)$
err: ^reference: usage: .* BUILD, a folder such as build/release; "none" is none$
no-err: mandoc|troff|man:|cd:
