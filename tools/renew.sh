#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# renew.sh PAGE.md NAME FILE: puts FILE between the lines <!-- NAME --> and <!-- end of NAME --> of a page.
set -eu
page=$1 name=$2 file=$3
grep -qxF "<!-- $name -->" "$page" && grep -qxF "<!-- end of $name -->" "$page" || {
  echo "renew: $page has no place for $name" >&2
  exit 1
}
awk -v name="$name" -v file="$file" '
  $0 == "<!-- end of " name " -->" { inside = 0 }
  !inside { print }
  $0 == "<!-- " name " -->" { inside = 1; while ((getline line < file) > 0) print line }' "$page" >"$page.part"
mv "$page.part" "$page"
echo "renew: $name in $page"
