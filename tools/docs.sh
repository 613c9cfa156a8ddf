#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# docs.sh OUTPUT VERSION HEADER…: the reference of the public headers (docs/Doxyfile) into OUTPUT/html. Fails if
# Doxygen warns of anything, or if a function has no comment.
set -eu
cd "$(dirname "$0")/.."
OUTPUT=$1
VERSION=$2
export OUTPUT VERSION
shift 2
mkdir -p "$OUTPUT"
run() { # LOG LINE…: Doxygen with more lines of configuration
  log=$1
  shift
  { cat docs/Doxyfile && printf '%s\n' "$@"; } | doxygen - >"$log" 2>&1
}
inputs=$(for header in "$@"; do printf ' lib/%s' "$header"; done)

# Members say what they are by name and unit; functions need words.
run "$OUTPUT/undocumented.log" "INPUT =$inputs" 'EXTRACT_ALL = NO' 'GENERATE_HTML = NO' 'GENERATE_XML = YES' || true
if grep '(function)' "$OUTPUT/undocumented.log" >&2; then
  echo "docs: functions without a comment" >&2
  exit 1
fi
run "$OUTPUT/doxygen.log" "INPUT =$inputs" || {
  cat "$OUTPUT/doxygen.log" >&2
  exit 1
}
if [ -s "$OUTPUT/doxygen.log" ]; then
  cat "$OUTPUT/doxygen.log" >&2
  exit 1
fi
functions=$(grep -c '<memberdef kind="function"' "$OUTPUT"/xml/*_8h.xml | awk -F: '{ n += $NF } END { print n }')
[ "$functions" -gt 0 ]
echo "docs: $# headers, $functions functions, each with a comment; no warning; $OUTPUT/html/index.html"
