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
# Those that take longest begin first, lest one of them be alone at the end.
long='test_alloc_sim test_alloc_study test_select test_sites test_plan test_study test_fit test_sensitivity test_soak test_bound_twin'
order=
for name in $long; do
  case " $* " in *" $name "*) order="$order $name" ;; esac
done
for name in "$@"; do
  case " $long " in *" $name "*) ;; *) order="$order $name" ;; esac
done
# The words of RUNNER and of the order are meant to be split.
# shellcheck disable=SC2016,SC2086
printf '%s\n' $order | xargs -P "${JOBS:-$(nproc 2>/dev/null || echo 1)}" -I '{}' sh -c '
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
