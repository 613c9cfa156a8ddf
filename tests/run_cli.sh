#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs the command-line cases of tests/cli/*.t against a binary: run_cli.sh BINARY [FILE.t ...]
#
# A case is a block of lines, ended by a blank line:
#   case: NAME
#   $ COMMAND            a shell command; `pushcycle` is the binary, $PYTHON a Python 3, $TESTS the folder of this file
#   exit: N              expected exit status (default 0)
#   out: REGEX           standard output has a line that matches (extended regular expression); repeatable
#   out1: REGEX          its first line matches
#   no-out: REGEX        no line of it matches
#   err:, no-err:        the same for standard error
#   file: NAME           the file exists afterwards
#   no-file: PATTERN     nothing of this name does
# Every case runs in a fresh directory that holds copies of tests/cli/*.yaml and of a good map. Lines that start with # are
# comments. No environment but LC_ALL=C. Of several files, JOBS at once are worked on (default: one for each processor).
here=$(cd "$(dirname "$0")" && pwd)
[ $# -ge 1 ] && [ -x "$1" ] || { echo "usage: run_cli.sh BINARY [FILE.t ...]" >&2; exit 2; }
binary=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
shift
[ $# -gt 0 ] || set -- "$here"/cli/*.t
if [ $# -gt 1 ]; then
  said=$(mktemp -d) || exit 3
  trap 'rm -rf "$said"' EXIT
  export said binary
  # shellcheck disable=SC2016
  printf '%s\n' "$@" | xargs -P "${JOBS:-$(nproc 2>/dev/null || echo 1)}" -I '{}' sh -c '
    sh "$1" "$binary" "$2" >"$said/${2##*/}" 2>&1 || echo "$2" >>"$said/failed"' - "$0" '{}'
  for file in "$@"; do
    sed '$d' "$said/${file##*/}"
    tail -n 1 "$said/${file##*/}" >>"$said/sums"
  done
  awk 'NF != 4 || $2 != "passed," { print; odd = 1 } { passed += $1; failed += $3 }
    END { print passed + 0 " passed, " failed + 0 " failed"; exit odd }' "$said/sums" && [ ! -e "$said/failed" ]
  exit
fi
TESTS=$here
PYTHON=/usr/bin/python3
[ -x "$PYTHON" ] || PYTHON=python3
LC_ALL=C
export PYTHON TESTS LC_ALL
scratch=$(mktemp -d) || exit 3
trap 'rm -rf "$scratch"' EXIT
mkdir "$scratch/bin" "$scratch/fresh"
cp "$here"/cli/*.yaml "$here"/geojson/good-lot.geojson "$scratch/fresh"
ln -s "$binary" "$scratch/bin/pushcycle"
PATH=$scratch/bin:$PATH
passed=0
failed=0

# What is checked is collected in $scratch/checks, one "kind regex" a line.
start_case() {
  name= command= status=0
  : >"$scratch/checks"
}

complain() {
  problems="$problems
    $1"
}

check() { # kind regex
  case $1 in
    out) grep -Eq -e "$2" "$scratch/out" || complain "standard output lacks: $2" ;;
    out1) head -n 1 "$scratch/out" | grep -Eq -e "$2" || complain "first line of standard output is not: $2" ;;
    no-out) grep -Eq -e "$2" "$scratch/out" && complain "standard output has: $2" ;;
    err) grep -Eq -e "$2" "$scratch/err" || complain "standard error lacks: $2" ;;
    no-err) grep -Eq -e "$2" "$scratch/err" && complain "standard error has: $2" ;;
    file) [ -e "$scratch/work/$2" ] || complain "no file: $2" ;;
    no-file) ls "$scratch/work" | grep -Eq -e "$2" && complain "a file is left: $2" ;;
    *) complain "unknown check: $1" ;;
  esac
}

end_case() {
  [ -n "$name" ] || return 0
  rm -rf "$scratch/work"
  cp -R "$scratch/fresh" "$scratch/work"
  (cd "$scratch/work" && sh -c "$command") >"$scratch/out" 2>"$scratch/err" </dev/null
  found=$?
  problems=
  [ "$found" = "$status" ] || complain "exit status $found, not $status"
  while IFS=' ' read -r kind regex; do
    check "$kind" "$regex"
  done <"$scratch/checks"
  if [ -z "$problems" ]; then
    passed=$((passed + 1))
  else
    failed=$((failed + 1))
    echo "FAILED $name ($file)$problems"
    echo "    command: $command"
    head -n 3 "$scratch/out" | sed 's/^/    out: /'
    head -n 3 "$scratch/err" | sed 's/^/    err: /'
  fi
  start_case
}

for file in "$@"; do
  start_case
  while IFS= read -r line || [ -n "$line" ]; do
    case $line in
      '#'*) ;;
      '') end_case ;;
      'case: '*) end_case; name=${line#case: } ;;
      '$ '*) command=${line#'$ '} ;;
      'exit: '*) status=${line#exit: } ;;
      *': '*) printf '%s %s\n' "${line%%: *}" "${line#*: }" >>"$scratch/checks" ;;
      *) echo "$file: not understood: $line" >&2; exit 2 ;;
    esac
  done <"$file"
  end_case
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
