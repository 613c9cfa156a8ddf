#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# headers.sh FLAGS…: compiles each header of the library alone, with the compiler flags given. With INSTALLED
# set, the headers of that folder instead, which must not need anything else of this tree.
set -eu
cd "$(dirname "$0")/.."
folder=${INSTALLED:-lib}
count=0
for header in $(cd "$folder" && find . -name '*.h' | sed 's|^\./||' | sort); do
  # Twice: the guard has to work.
  printf '#include "%s"\n#include "%s"\nextern int pc_header_is_alone;\n' "$header" "$header" |
    ${CC:-cc} -x c -fsyntax-only -Werror "-I$folder" "$@" - || {
    echo "headers: $folder/$header does not compile alone" >&2
    exit 1
  }
  count=$((count + 1))
done
[ "$count" -gt 0 ]
echo "headers: $count in $folder compile alone"
