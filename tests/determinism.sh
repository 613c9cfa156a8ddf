#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Builds the same program with two compilers at two optimisation levels: the results must agree to the last bit.
set -eu
cd "$(dirname "$0")/.."
first=
for compiler in gcc clang; do
  for level in O0 O2; do
    build=build/hashes-$compiler-$level
    ${MAKE:-make} --no-print-directory -s -j2 CC=$compiler OPT=-$level CFLAGS= BUILD=$build $build/hashes
    $build/hashes >$build/hashes.txt
    test -s $build/hashes.txt
    if [ -z "$first" ]; then
      first=$build/hashes.txt
    elif ! diff -u "$first" $build/hashes.txt >&2; then
      echo "determinism: $first and $build/hashes.txt differ" >&2
      exit 1
    fi
  done
done
echo "determinism: $(wc -l <"$first") hashes, the same for gcc and clang at -O0 and -O2"
