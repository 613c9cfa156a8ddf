#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# symbols.sh BUILD: checks what the libraries in BUILD define and what they call: every global name starts
# with pc_, nothing is a mutable global, nothing prints, exits, or changes the locale.
set -eu
cd "$(dirname "$0")/.."
build=$1
bad=0

for library in libpushcycle libpushcycle-io; do
  names=$(nm -g --defined-only "$build/$library.a" | awk 'NF == 3 { print $3 }'
    nm -D --defined-only "$build/$library.so" | awk '{ print $3 }')
  if [ -z "$names" ]; then
    echo "symbols: $library has no symbols" >&2
    bad=1
  fi
  wrong=$(echo "$names" | grep -v '^pc_' || true)
  if [ -n "$wrong" ]; then
    echo "symbols: $library defines names without pc_:" $wrong >&2
    bad=1
  fi
  # .data.rel.ro is constant once loaded; .data and .bss are not.
  changing=$(objdump -t "$build/$library.a" | awk 'NF >= 5 && ($(NF - 2) == ".data" || $(NF - 2) == ".bss") && $NF !~ /^\./ { print $NF }')
  if [ -n "$changing" ]; then
    echo "symbols: $library has mutable globals:" $changing >&2
    bad=1
  fi
  calls=$(nm -u "$build/$library.a" | awk '{ print $2 }' | sort -u |
    grep -E -x '_?exit|abort|printf|vprintf|puts|putchar|perror|__assert_fail|stdout|stderr|setlocale|srand|rand|time' || true)
  if [ -n "$calls" ]; then
    echo "symbols: $library must not use:" $calls >&2
    bad=1
  fi
done
[ "$bad" -eq 0 ] || exit 1
echo "symbols: ok"
