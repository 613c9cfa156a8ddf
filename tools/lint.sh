#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# lint.sh FILE…: `make lint` calls it with every source file and header, and with FLAGS (for the compiler), BUILD
# (where to build), MAKE and JOBS in the environment. Goes on after a failure; prints only what is wrong.
set -u
cd "$(dirname "$0")/.." || exit 1
failed=
fail() {
  echo "lint: $1 failed" >&2
  failed=yes
}

sh tools/layers.sh || fail layers

for file in "$@"; do
  head -n 1 "$file" | grep -q '^// SPDX-License-Identifier: GPL-3.0-or-later$' || {
    echo "$file:1: first line must be the SPDX licence line" >&2
    fail licence
  }
  lines=$(wc -l <"$file")
  case $file in
  tests/*) most=700 ;;
  *) most=600 ;;
  esac
  [ "$lines" -le "$most" ] || {
    echo "$file: $lines lines; split it ($most at most)" >&2
    fail length
  }
done
for file in Makefile .ci/run tools/*.sh tests/*.sh tests/*.py tests/audit/*.py tests/browser/* lib/io/web/* debian/rules debian/tests/build debian/tests/command; do
  head -n 2 "$file" | grep -q 'SPDX-License-Identifier: GPL-3.0-or-later' || {
    echo "$file: no SPDX licence line" >&2
    fail licence
  }
done

# Texts have a decimal point in every locale: units.c and csv.c see to that.
if grep -nE '%[.0-9]*g|%\.[1-9][0-9]*f' lib/io/*.c lib/study/*.c | grep -v '^lib/io/csv\.c:'; then
  fail "numbers by printf"
fi

clang-format --dry-run -Werror "$@" || fail format
if command -v shellcheck >/dev/null 2>&1; then
  shellcheck -S warning -e SC1007,SC2010 tools/*.sh tests/*.sh tests/browser/*.sh .ci/run debian/tests/build debian/tests/command || fail shellcheck
fi

for file in tests/browser/*.mjs lib/io/web/*.js; do
  node --check "$file" || fail "node --check"
done

export FLAGS
${MAKE:-make} --no-print-directory -s -k "-j${JOBS:-1}" CC=gcc WERROR=-Werror BUILD="$BUILD" objects || fail "gcc -Werror"
if sh -c "${MAKE:-make} --no-print-directory -s -j${JOBS:-1} BUILD=$BUILD all"; then
  sh tools/symbols.sh "$BUILD" || fail symbols
else
  fail link
fi

# What takes long goes JOBS at once, the longest first: cppcheck, then clang-tidy, which tells what clang warns of, too.
# Unit tests, and those of allocations, are left to the compilers: what they do to provoke failures is what clang-tidy
# warns of. One file for each clang-tidy: of a second one the analyzer of clang 14 takes calls for others, as of va_start.
# The analyzer looks at up to 40,000 states of a function, not 225,000, which takes it a quarter of the time: of 84 faults
# planted at random (second frees, variables without a value, frees left out) both find the same 67.
# What has failed is named in $broken.
broken=$(mktemp) || exit 3
trap 'rm -f "$broken"' EXIT
export broken BUILD
# clang-tidy fills hundreds of megabytes with small pieces: in large pages, where there are any, it takes less time.
GLIBC_TUNABLES=glibc.malloc.hugetlb=1
export GLIBC_TUNABLES
sources=$(printf '%s\n' "$@" | grep '\.c$')
# uninitvar mistakes arrays filled by a function for reads; compilers, sanitizers and valgrind see the real ones.
# shellcheck disable=SC2016,SC2046,SC2086
{
  echo cppcheck
  ls -S $(echo "$sources" | grep -v '^tests/unit/\|^tests/alloc/')
  echo "$sources" | grep '^tests/unit/\|^tests/alloc/' | paste -d ' ' - - - -
} | xargs -P "${JOBS:-1}" -I '{}' sh -c '
  case $1 in
  cppcheck)
    name=cppcheck
    out=$(cppcheck --quiet --error-exitcode=1 --std=c11 --enable=warning,performance,portability --inline-suppr \
      --suppress=missingInclude --suppress=unmatchedSuppression --suppress=uninitvar \
      --suppress=nullPointerRedundantCheck:lib/io/override.c --suppress=arrayIndexThenCheck:lib/io/results.c \
      -Ilib -I. "-I$BUILD" lib cli bench docs/examples 2>&1)
    ;;
  tests/unit/* | tests/alloc/*)
    name="clang -Werror"
    out=$(clang -fsyntax-only -Werror $FLAGS $1 2>&1)
    ;;
  *)
    name=clang-tidy
    out=$(clang-tidy --quiet --warnings-as-errors="*" --extra-arg=-Xclang --extra-arg=-analyzer-config \
      --extra-arg=-Xclang --extra-arg=max-nodes=40000 $1 -- $FLAGS 2>/dev/null)
    ;;
  esac || {
    echo "$out" >&2
    echo "$name" >>"$broken"
    exit 1
  }' long '{}' || [ -s "$broken" ] || fail xargs
for name in "cppcheck" "clang -Werror" "clang-tidy"; do
  if grep -q -x -e "$name" "$broken"; then fail "$name"; fi
done

if [ -n "$failed" ]; then
  exit 1
fi
echo "lint: ok"
