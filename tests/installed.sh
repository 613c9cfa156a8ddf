#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# installed.sh BUILD: installs BUILD into a folder of its own and uses it as a stranger would: the headers, the
# pkg-config files, the libraries, shared and static, the command, and every example of docs/examples.
set -eu
cd "$(dirname "$0")/.."
build=$1
stage=$PWD/build/stage
prefix=$stage/usr/local
export LC_ALL=C
CC=${CC:-cc}
CXX=${CXX:-c++}
warn='-Wall -Wextra -Werror'
python=/usr/bin/python3
[ -x "$python" ] || python=python3

fail() {
  echo "installed: $1" >&2
  exit 1
}
install_to() { # TARGET VARIABLE=…
  ${MAKE:-make} --no-print-directory -s BUILD="$build" "$@" DESTDIR="$stage" PREFIX=/usr/local >/dev/null
}
rm -rf "$stage"
install_to install

PKG_CONFIG_PATH=$prefix/lib/pkgconfig
export PKG_CONFIG_PATH
package() {
  pkg-config "--define-variable=prefix=$prefix" "$@"
}
grep -q '^prefix=/usr/local$' "$PKG_CONFIG_PATH/pushcycle.pc"
package --exists --print-errors pushcycle-io
# shellcheck disable=SC2046
CC=$CC CXX=$CXX INSTALLED=$prefix/include/pushcycle sh tools/headers.sh -std=c17 -Wall -Wextra -Wpedantic \
  $(package --cflags-only-I pushcycle | sed "s|-I${prefix}[^ ]*||")

# Every name that a library gives is declared in a public header, as C, and can be linked from C++.
names=$(for library in libpushcycle libpushcycle-io; do nm -D --defined-only "$prefix/lib/$library.so"; done |
  awk '{ print $3 }')
{
  echo '#include <pushcycle-io.h>'
  echo 'extern const void *const every[];'
  echo 'const void *const every[] = {'
  echo "$names" | sed 's|.*|    reinterpret_cast<const void *>(\&&),|'
  echo '};'
  echo 'int main() { for (const void *one : every) if (!one) return 1; return 0; }'
} >"$stage/every.cpp"
# shellcheck disable=SC2046,SC2086
$CXX -std=c++17 $warn $(package --cflags pushcycle-io) "$stage/every.cpp" -o "$stage/every" $(package --libs pushcycle-io)

LD_LIBRARY_PATH=$prefix/lib
export LD_LIBRARY_PATH
"$stage/every"

small=tests/cli/small.yaml
expected=$("$prefix/bin/pushcycle" run --quiet --json $small |
  "$python" -c 'import json, sys; print(json.load(sys.stdin)["total_time_s"]["mean"])')
examples=0
check_output() { # NAME, after it was run with its output in $stage/NAME.txt
  test -s "$stage/$1.txt" || fail "example $1 printed nothing"
  examples=$((examples + 1))
}
for source in docs/examples/*.c docs/examples/*.cpp; do
  name=$(basename "${source%.*}")
  module=pushcycle
  if grep -q 'pushcycle-io\.h' "$source"; then module=pushcycle-io; fi
  case $source in
  *.cpp) compile="$CXX -std=c++17" ;;
  *) compile="$CC -std=c17" ;;
  esac
  # shellcheck disable=SC2046,SC2086
  $compile $warn $(package --cflags $module) "$source" -o "$stage/$name" $(package --libs $module) -lm
  "$stage/$name" >"$stage/$name.txt" 2>"$stage/$name.err" || fail "example $name failed: $(cat "$stage/$name.err")"
  readelf -d "$stage/$name" | grep -q 'libpushcycle\.so\.0' || fail "example $name is not linked to the library"
  check_output "$name"
done
for source in docs/examples/*.py; do
  name=$(basename "$source" .py)
  "$python" "$source" $small >"$stage/$name.txt" || fail "example $name failed"
  [ "$(cat "$stage/$name.txt")" = "$expected" ] || fail "$name: $(cat "$stage/$name.txt") s, but the command says $expected s"
  if "$python" "$source" tests/cli/faulty.yaml >/dev/null 2>"$stage/$name.err"; then fail "$name took a faulty scenario"; fi
  grep -q 'did you mean "width"' "$stage/$name.err" || fail "$name does not show what is wrong with a scenario"
  check_output "$name"
done
"$prefix/bin/pushcycle" --version >/dev/null
for command in $("$prefix/bin/pushcycle" --help | sed -n '/^commands:/,/^$/s/^  \([a-z-]*\)  .*/\1/p'); do
  test -s "$prefix/share/man/man1/pushcycle-$command.1" || fail "no manual page for $command"
done
for file in man/man1/pushcycle.1 man/man5/pushcycle-scenario.5 bash-completion/completions/pushcycle zsh/site-functions/_pushcycle; do
  test -s "$prefix/share/$file" || fail "no share/$file"
done

# The same from the archives alone.
mkdir "$stage/shared"
mv "$prefix"/lib/*.so* "$stage/shared"
# shellcheck disable=SC2046,SC2086
$CXX -std=c++17 $warn $(package --static --cflags pushcycle-io) docs/examples/layouts.cpp -o "$stage/layouts-static" \
  $(package --static --libs pushcycle-io)
"$stage/layouts-static" 2>/dev/null | cmp -s - "$stage/layouts.txt" || fail 'linked to the archives, an example prints something else'
if readelf -d "$stage/layouts-static" | grep -q 'libpushcycle'; then fail 'pkg-config --static links to a shared library'; fi
mv "$stage"/shared/*.so* "$prefix/lib"

# Nothing is left, neither files nor folders of our own; also with folders that a distribution would choose.
check_gone() {
  left=$(find "$stage/usr" ! -type d -o -name '*pushcycle*')
  [ -z "$left" ] || fail "uninstall left $left"
}
install_to uninstall
check_gone
install_to install LIBDIR=/usr/local/lib/some-triplet
grep -q '^libdir=${prefix}/lib/some-triplet$' "$prefix/lib/some-triplet/pkgconfig/pushcycle.pc" || fail 'LIBDIR is not in pushcycle.pc'
install_to uninstall LIBDIR=/usr/local/lib/some-triplet
check_gone
# Folders with blanks in their names.
words="$stage/two words"
install_words() { # TARGET
  ${MAKE:-make} --no-print-directory -s BUILD="$build" "$1" DESTDIR="$words" PREFIX='/opt/push cycle' >/dev/null
}
install_words install
"$words/opt/push cycle/bin/pushcycle" --version >/dev/null
for file in share/man/man1/pushcycle.1 include/pushcycle/pushcycle-io.h lib/libpushcycle-io.so lib/pkgconfig/pushcycle-io.pc; do
  test -s "$words/opt/push cycle/$file" || fail "no $file in a folder with blanks in its name"
done
install_words uninstall
left=$(find "$words" ! -type d -o -name '*pushcycle*')
[ -z "$left" ] || fail "in folders with blanks in their names uninstall left $left"
echo "installed: headers, pkg-config, $(echo "$names" | wc -l) names, both ways of linking, command and $examples examples work; uninstall leaves nothing"
