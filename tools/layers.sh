#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Checks that each folder includes only itself and the folders named before it, and that what is inside
# libpushcycle stays free of the libraries for files.
set -eu
cd "$(dirname "$0")/.."

order="base machine site sim study io"
grep -n '^#include "' -r lib cli --include='*.c' --include='*.h' |
  awk -F: -v order="$order" '
    BEGIN { n = split(order, name, " "); for (i = 1; i <= n; i++) rank[name[i]] = i; rank["cli"] = n + 1 }
    {
      split($1, part, "/")
      from = part[1] == "cli" ? "cli" : part[2]
      if (!(from in rank)) next # umbrella headers include everything
      split($3, quoted, "\"")
      if (split(quoted[2], to, "/") == 1) {
        if (to[1] ~ /^pushcycle/ && from != "cli") { print $1 ":" $2 ": includes an umbrella header"; bad = 1 }
        next
      }
      if (to[1] == "gen") next
      if (!(to[1] in rank)) { print $1 ":" $2 ": unknown folder " to[1]; bad = 1 }
      else if (rank[to[1]] > rank[from]) { print $1 ":" $2 ": " from " must not include " to[1]; bad = 1 }
      if (quoted[2] ~ /_private\.h$/ && to[1] != from) { print $1 ":" $2 ": private to " to[1]; bad = 1 }
    }
    END { exit bad }' >&2 || {
  echo "layers: the order is: $order cli" >&2
  exit 1
}
if grep -n '#include <\(yaml\|jansson\|proj\|pango\/pangocairo\|cairo[a-z-]*\)\.h>' -r lib/base lib/machine lib/site lib/sim lib/study cli >&2; then
  echo "layers: only lib/io reads and writes files" >&2
  exit 1
fi
echo "layers: ok"
