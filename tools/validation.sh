#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# validation.sh write|check FILE: docs/validation.md from what the unit tests wrote to FILE (tests/support/validation.h),
# or whether the page is that already.
set -eu
cd "$(dirname "$0")/.."
what=$1
lines=$2
page=docs/validation.md
LC_ALL=C
export LC_ALL

make_page() {
  cat <<'END'
# Validation

What the tests compare with values from outside the project: where each comes from, what is expected, what the library
gives, and how far apart the two may be. Values from memory, computed from a formula, or without a recorded source say so.
The tests write this page (`make validation`), and fail where it is out of date. Checks against slow, obvious twins, against
geometry by hand, and of rules that have no number are not listed; they stand beside the code in `tests/unit`.

Where a value comes out of a simulation with chance, it may be off by four standard errors and half of the last digit given.

| source | what | expected | got | may differ by |
|---|---|---|---|---|
END
  # by source, and within one in the order of the tests
  awk -F '\t' '!seen[$0]++ { print }' "$1" | sort -s -t '	' -k 1,1 |
    awk -F '\t' '{ gsub(/\|/, "\\|"); printf "| %s | %s | %s | %s | %s |\n", $1, $2, $3, $4, $5; n++; sources[$1] = 1 }
      END { for (s in sources) m++; printf "\n%d values of %d sources.\n", n, m }'
}

[ -s "$lines" ] || {
  echo "validation: the tests wrote nothing to $lines" >&2
  exit 1
}
case $what in
write)
  make_page "$lines" >"$page.part"
  mv "$page.part" "$page"
  echo "validation: $page is written: $(tail -n 1 "$page")"
  ;;
check)
  make_page "$lines" >"$lines.md"
  diff -u "$page" "$lines.md" >&2 || {
    echo "validation: $page is out of date; make validation renews it" >&2
    exit 1
  }
  echo "validation: $page is as the tests have it: $(tail -n 1 "$page")"
  ;;
*)
  echo "validation.sh: write or check" >&2
  exit 2
  ;;
esac
