#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# run.sh BUILD SECONDS AT_ONCE TARGET…: fuzzes each target for so many seconds, AT_ONCE of them side by side. They begin with what
# is kept in tests/fuzz/corpus; what libFuzzer finds on the way is gathered in BUILD/found.
# FUZZ_SEED makes it begin with the same inputs each time (0, the default: with others each time). What breaks
# something is left in BUILD/broken: mend the fault, and keep the input under tests/fuzz/corpus/TARGET.
set -u
build=$1 seconds=$2 at_once=$3
shift 3
here=$(cd "$(dirname "$0")/.." && pwd)
mkdir -p "$build/found" "$build/broken"

# Every key and word of the format, from its schema.
"$build/words" | grep -o '"[A-Za-z0-9 _-]*"' | sort -u | grep -v '^""$' >"$build/words.dict"
for word in '16 ft' '10 cm' '5 %' '8 km/h' '[[0, 0], [40, 0], [40, 20]]' 'pushcycle: 1' '{name: a, ' '1e308' '-1' ': ' '- '; do
  echo "\"$word\""
done >>"$build/words.dict"

more_of() { # folders whose files make good inputs, too (tests/fuzz/replay.c has the same)
  case $1 in
  scenario) echo "$here/faults $here/cli" ;;
  geojson) echo "$here/geojson" ;;
  fleet) echo "$here/cli" ;;
  esac
}

fuzz() {
  mkdir -p "$build/found/$1"
  # The folders of more_of are meant to be split.
  # shellcheck disable=SC2046
  "$build/fuzz_$1" -max_total_time="$seconds" -timeout=20 -rss_limit_mb=3000 -max_len=16384 -print_final_stats=1 -seed="${FUZZ_SEED:-0}" \
    -dict="$build/words.dict" -artifact_prefix="$build/broken/$1-" \
    "$build/found/$1" "$here/fuzz/corpus/$1" $(more_of "$1") >"$build/fuzz_$1.log" 2>&1 </dev/null
  echo $? >"$build/fuzz_$1.status"
}

running=0
for target in "$@"; do
  fuzz "$target" &
  running=$((running + 1))
  if [ "$running" -ge "$at_once" ]; then
    wait
    running=0
  fi
done
wait
failed=
for target in "$@"; do
  runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$build/fuzz_$target.log")
  edges=$(sed -n 's/.*cov: \([0-9]*\).*/\1/p' "$build/fuzz_$target.log" | tail -n 1)
  if [ "$(cat "$build/fuzz_$target.status")" = 0 ]; then
    echo "fuzz $target: $runs inputs in $seconds s, $edges edges reached, nothing broken"
  else
    echo "FAILED: fuzz $target; the end of $build/fuzz_$target.log:" >&2
    tail -n 40 "$build/fuzz_$target.log" >&2
    failed="$failed $target"
  fi
done
[ -z "$failed" ]
