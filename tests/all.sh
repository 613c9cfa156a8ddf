#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# all.sh BUILD UNIT…: every test of a finished build; `make test` calls it. Goes on after a failure, so that one
# run shows all of them; the unit tests come last, and what they say of published values.
set -u
cd "$(dirname "$0")/.." || exit 1
build=$1
shift
failed=

schema() {
  "$build/pushcycle" schema >"$build/schema.json" &&
    /usr/bin/python3 tests/check_schema.py "$build/schema.json" scenarios/*.yaml --bad tests/faults/03[2-7]*.yaml \
      tests/faults/04*.yaml tests/faults/05*.yaml tests/faults/06*.yaml tests/faults/079*.yaml tests/faults/103*.yaml tests/faults/17[1259]*.yaml &&
    echo "schema: ok"
}

run() { # NAME
  # Words of pkg-config, names of headers and of programs are meant to be split.
  # shellcheck disable=SC2046,SC2086
  case $1 in
  layers) sh tools/layers.sh ;;
  links) sh tests/links.sh ;;
  model) python3 tests/model.py "$build/pushcycle" ;;
  audit) python3 tests/audit.py "$build/pushcycle" ;;
  symbols) sh tools/symbols.sh "$build" ;;
  headers)
    sh tools/headers.sh -std=c17 -Wall -Wextra -Wpedantic -D_POSIX_C_SOURCE=200809L \
      $(pkg-config --cflags gsl geos yaml-0.1 jansson proj pangocairo)
    ;;
  manual) bash tests/reference.sh "$build" ;;
  installed) sh tests/installed.sh "$build" ;;
  reference)
    sh tools/docs.sh build/docs test $(sed -n 's/^#include "\(.*\)"/\1/p' lib/pushcycle.h lib/pushcycle-io.h | sort -u)
    ;;
  determinism) sh tests/determinism.sh "$build" ;;
  schema) schema ;;
  command) python3 tests/run_cli.py "$build/pushcycle" ;;
  tutorial) python3 tests/tutorial.py "$build/pushcycle" docs/tutorial.md ;;
  readme) python3 tests/readme.py "$build/pushcycle" README.md ;;
  browser) sh tests/browser/run.sh "$build/pushcycle" ;;
  units) sh tests/units.sh "$build" $units ;;
  validation) sh tools/validation.sh check "$build/validation.tsv" ;;
  *)
    echo "all.sh: no step $1" >&2
    return 2
    ;;
  esac
}

# With ONE it is that step alone.
if [ -n "${ONE:-}" ]; then
  run "$ONE"
  exit
fi

step() { # NAME
  echo "== $1"
  run "$1" || lost "$1"
}
lost() {
  echo "FAILED: $1" >&2
  failed="$failed $1,"
}

# Steps that keep one processor at work, the longest first, one more of them at once than there are processors (JOBS):
# the one with the browser waits half of its time. Each prints what it has to say when it ends.
logs=$(mktemp -d) || exit 3
trap 'rm -rf "$logs"' EXIT
export logs build
steps='browser determinism manual installed audit readme headers tutorial model reference schema links symbols layers'
# shellcheck disable=SC2016,SC2086
printf '%s\n' $steps | xargs -P "$((${JOBS:-$(nproc 2>/dev/null || echo 1)} + 1))" -I '{}' sh -c '
  echo "== {}" >"$logs/{}"
  if JOBS=1 ONE={} sh tests/all.sh "$build" >>"$logs/{}" 2>&1; then
    : >"$logs/{}.passed"
  fi
  cat "$logs/{}"'
for name in $steps; do
  [ -e "$logs/$name.passed" ] || lost "$name"
done

step command
units=
for unit in "$@"; do
  units="$units ${unit##*/}"
done
rm -f "$build/validation.tsv"
PC_VALIDATION=$(cd "$build" && pwd)/validation.tsv
export PC_VALIDATION
step units
step validation

if [ -n "$failed" ]; then
  echo "FAILED:${failed%,}" >&2
  exit 1
fi
