#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# all.sh BUILD UNIT…: every test of a finished build; `make test` calls it. Goes on after a failure, so that one
# run shows all of them; the unit tests come last, and what they say of published values.
set -u
cd "$(dirname "$0")/.." || exit 1
build=$1
shift
failed=

step() { # NAME COMMAND…
  name=$1
  shift
  echo "== $name"
  if ! "$@"; then
    echo "FAILED: $name" >&2
    failed="$failed $name,"
  fi
}

schema() {
  "$build/pushcycle" schema >"$build/schema.json" &&
    /usr/bin/python3 tests/check_schema.py "$build/schema.json" scenarios/*.yaml --bad tests/faults/03[2-7]*.yaml \
      tests/faults/04*.yaml tests/faults/05*.yaml tests/faults/06*.yaml tests/faults/079*.yaml tests/faults/103*.yaml tests/faults/17[1259]*.yaml &&
    echo "schema: ok"
}

step layers sh tools/layers.sh
step links sh tests/links.sh
step model python3 tests/model.py "$build/pushcycle"
step audit python3 tests/audit.py "$build/pushcycle"
step symbols sh tools/symbols.sh "$build"
# shellcheck disable=SC2046
step headers sh tools/headers.sh -std=c17 -Wall -Wextra -Wpedantic -D_POSIX_C_SOURCE=200809L \
  $(pkg-config --cflags gsl geos yaml-0.1 jansson proj pangocairo)
step manual bash tests/reference.sh "$build"
step installed sh tests/installed.sh "$build"
# shellcheck disable=SC2046
step reference sh tools/docs.sh build/docs test $(sed -n 's/^#include "\(.*\)"/\1/p' lib/pushcycle.h lib/pushcycle-io.h | sort -u)
step determinism sh tests/determinism.sh
step schema schema
step command sh tests/run_cli.sh "$build/pushcycle"
step tutorial python3 tests/tutorial.py "$build/pushcycle" docs/tutorial.md
step readme python3 tests/readme.py "$build/pushcycle"
step browser sh tests/browser/run.sh "$build/pushcycle"
units=
for unit in "$@"; do
  units="$units ${unit##*/}"
done
rm -f "$build/validation.tsv"
PC_VALIDATION=$(cd "$build" && pwd)/validation.tsv
export PC_VALIDATION
# shellcheck disable=SC2086
step units sh tests/units.sh "$build" $units
step validation sh tools/validation.sh check "$build/validation.tsv"

if [ -n "$failed" ]; then
  echo "FAILED:${failed%,}" >&2
  exit 1
fi
