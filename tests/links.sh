#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# links.sh: every link of the documents to a file of this tree leads somewhere, and every decision is linked to from a page.
set -eu
cd "$(dirname "$0")/.."
count=0
bad=0
for page in *.md docs/*.md docs/decisions/*.md LICENSES/*.md tests/data/*.md; do
  for link in $(grep -o '](\([^)#: ]*\)[)#]' "$page" | sed 's/^](//; s/[)#]$//'); do
    count=$((count + 1))
    [ -e "$(dirname "$page")/$link" ] || {
      echo "links: $page: $link is not there" >&2
      bad=1
    }
  done
done
for decision in docs/decisions/*.md; do
  grep -q "](decisions/${decision##*/})" docs/*.md || {
    echo "links: no page of docs links to $decision" >&2
    bad=1
  }
done
[ "$bad" -eq 0 ] && [ "$count" -gt 0 ] || exit 1
echo "links: all $count lead somewhere"
