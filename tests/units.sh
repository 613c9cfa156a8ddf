#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# units.sh BUILD PROGRAM…: runs the unit tests BUILD/tests/PROGRAM, all of them even if some fail. RUNNER may
# name a program to run them with; one that takes more than SECONDS_EACH has failed.
set -u
build=$1
shift
PC_SOURCE_DIR=${PC_SOURCE_DIR:-$(cd "$(dirname "$0")/.." && pwd)}
export PC_SOURCE_DIR
failed=
for name in "$@"; do
  # The words of RUNNER are meant to be split.
  # shellcheck disable=SC2086
  timeout "${SECONDS_EACH:-240}" ${RUNNER:-} "$build/tests/$name" || failed="$failed $name"
done
if [ -n "$failed" ]; then
  echo "FAILED:$failed" >&2
  exit 1
fi
