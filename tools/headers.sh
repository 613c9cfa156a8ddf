#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# headers.sh FLAGS…: compiles each header of the library alone, with the compiler flags given; the public ones as
# C++ too. Public headers say something of threads, and mark their declarations as C. With INSTALLED set, the
# headers of that folder instead, which must not need anything else of this tree.
set -eu
cd "$(dirname "$0")/.."
folder=${INSTALLED:-lib}
count=0
failed=

alone() { # HEADER COMPILER…
  header=$1
  shift
  # Twice: the guard has to work.
  printf '#include "%s"\n#include "%s"\nextern int pc_header_is_alone;\n' "$header" "$header" |
    "$@" -fsyntax-only -Werror "-I$folder" - || {
    echo "headers: $folder/$header does not compile alone: $*" >&2
    failed=yes
  }
}

for header in $(cd "$folder" && find . -name '*.h' | sed 's|^\./||' | sort); do
  alone "$header" "${CC:-cc}" -x c "$@"
  count=$((count + 1))
done
[ "$count" -gt 0 ]

plain=
for flag in "$@"; do
  case $flag in
  -std=*) ;;
  *) plain="$plain $flag" ;;
  esac
done
public=$(sed -n 's/^#include "\(.*\)"/\1/p' "$folder/pushcycle.h" "$folder/pushcycle-io.h" | sort -u)
for header in $public; do
  # shellcheck disable=SC2086
  alone "$header" "${CXX:-c++}" -x c++ -std=c++11 $plain
  [ "$header" = pushcycle.h ] || [ "$header" = base/export.h ] || {
    [ "$(grep -c -x 'PC_BEGIN_C\|PC_END_C' "$folder/$header")" -eq 2 ] || {
      echo "headers: $folder/$header: declarations stand between PC_BEGIN_C and PC_END_C" >&2
      failed=yes
    }
    sed '/\*\//q' "$folder/$header" | grep -q -i thread || {
      echo "headers: $folder/$header: the opening comment says nothing of threads" >&2
      failed=yes
    }
  }
done
[ -z "$failed" ] || exit 1
echo "headers: $count in $folder compile alone, $(echo "$public" | wc -l) of them as C++"
