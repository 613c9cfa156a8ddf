#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# units.sh BUILD PROGRAM…: runs the unit tests BUILD/tests/PROGRAM, all of them even if some fail, JOBS at once
# (default: one for each processor), and prints what they printed one after the other. RUNNER may name a program to
# run them with; one that takes more than SECONDS_EACH has failed.
set -u
build=$1
shift
PC_SOURCE_DIR=${PC_SOURCE_DIR:-$(cd "$(dirname "$0")/.." && pwd)}
logs=$(mktemp -d) || exit 3
trap 'rm -rf "$logs"' EXIT
export PC_SOURCE_DIR build logs
SECONDS_EACH=${SECONDS_EACH:-480} RUNNER=${RUNNER:-}
export SECONDS_EACH RUNNER
# The words of RUNNER are meant to be split.
# shellcheck disable=SC2016
printf '%s\n' "$@" | xargs -P "${JOBS:-$(nproc 2>/dev/null || echo 1)}" -I '{}' sh -c '
  timeout "$SECONDS_EACH" $RUNNER "$build/tests/{}" >"$logs/{}.log" 2>&1
  echo $? >"$logs/{}.status"'
failed=
for name in "$@"; do
  cat "$logs/$name.log"
  [ "$(cat "$logs/$name.status" 2>/dev/null)" = 0 ] || failed="$failed $name"
done
if [ -n "$failed" ]; then
  echo "FAILED:$failed" >&2
  exit 1
fi
