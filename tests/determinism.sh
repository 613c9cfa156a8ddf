#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# determinism.sh [BUILD]: the same program from two compilers at two optimisation levels: the results must agree to the
# last bit. BUILD (build/release) stands for gcc at -O2 where it is that; else it is one more.
set -eu
cd "$(dirname "$0")/.."
release=${1:-build/release}
first=
alike() { # NAME FOLDER VARIABLE…: what the program says that is built there is what the first one said
  name=$1 build=$2
  shift 2
  ${MAKE:-make} --no-print-directory -s "-j${JOBS:-2}" "$@" BUILD="$build" "$build/hashes"
  hashes=build/hashes-$name.txt
  "$build/hashes" >"$hashes"
  test -s "$hashes"
  if [ -z "$first" ]; then
    first=$hashes
  elif ! diff -u "$first" "$hashes" >&2; then
    echo "determinism: $first and $hashes differ" >&2
    exit 1
  fi
}

alike build "$release"
by_gcc=
if [ "$release" = build/release ] && [ -z "${MODE:-}${OPT:-}${CFLAGS:-}" ]; then
  readelf -p .comment "$release/tests/hashes.o" "$release/libpushcycle.a" | grep -q 'clang' || by_gcc=yes
fi
for compiler in gcc clang; do
  for level in O0 O2; do
    [ "$by_gcc-$compiler-$level" = yes-gcc-O2 ] || alike "$compiler-$level" "build/hashes-$compiler-$level" CC=$compiler OPT=-$level CFLAGS=
  done
done
echo "determinism: $(wc -l <"$first") hashes, the same for gcc and clang at -O0 and -O2"
