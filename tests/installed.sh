#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# installed.sh BUILD: installs BUILD into a folder of its own and uses it as a stranger would: the headers, the
# pkg-config files, the shared libraries, the command, and every example of docs/examples.
set -eu
cd "$(dirname "$0")/.."
build=$1
stage=$PWD/build/stage
prefix=$stage/usr/local
export LC_ALL=C

rm -rf "$stage"
${MAKE:-make} --no-print-directory -s BUILD="$build" install DESTDIR="$stage" PREFIX=/usr/local >/dev/null

PKG_CONFIG_PATH=$prefix/lib/pkgconfig
export PKG_CONFIG_PATH
package() {
  pkg-config "--define-variable=prefix=$prefix" "$@"
}
grep -q '^prefix=/usr/local$' "$PKG_CONFIG_PATH/pushcycle.pc"
CC=${CC:-cc} INSTALLED=$prefix/include/pushcycle sh tools/headers.sh -std=c17 -Wall -Wextra -Wpedantic

LD_LIBRARY_PATH=$prefix/lib
export LD_LIBRARY_PATH
examples=0
for source in docs/examples/*.c; do
  name=$(basename "$source" .c)
  module=pushcycle
  if grep -q 'pushcycle-io\.h' "$source"; then module=pushcycle-io; fi
  # shellcheck disable=SC2046
  ${CC:-cc} -std=c17 -Wall -Wextra -Werror $(package --cflags $module) "$source" -o "$stage/$name" $(package --libs $module) -lm
  "$stage/$name" >"$stage/$name.txt" || {
    echo "installed: example $name failed" >&2
    exit 1
  }
  test -s "$stage/$name.txt"
  readelf -d "$stage/$name" | grep -q 'libpushcycle\.so\.0'
  examples=$((examples + 1))
done
"$prefix/bin/pushcycle" --version >/dev/null

${MAKE:-make} --no-print-directory -s BUILD="$build" uninstall DESTDIR="$stage" PREFIX=/usr/local >/dev/null
left=$(find "$prefix" ! -type d)
if [ -n "$left" ]; then
  echo "installed: uninstall left $left" >&2
  exit 1
fi
echo "installed: headers, pkg-config, command and $examples examples work; uninstall leaves nothing"
