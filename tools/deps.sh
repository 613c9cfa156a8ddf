#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# deps.sh GROUP…: installs the Debian packages of these groups that are not there yet; with --list before them it
# only names them.
# Groups: build test browser lint fuzz valgrind cover docs abi deb
set -eu

packages_of() {
  case $1 in
  build) echo gcc make pkg-config libgsl-dev libgeos-dev libyaml-dev libjansson-dev libproj-dev libglpk-dev libmicrohttpd-dev libpango1.0-dev fonts-dejavu-core ;;
  test) echo libcmocka-dev poppler-utils g++ clang python3 python3-cffi man-db mandoc groff bsdextrautils zsh python3-simpy3 python3-yaml python3-jsonschema python3-html5lib ;;
  browser) echo chromium chromium-driver nodejs fonts-dejavu-core ;;
  lint) echo clang clang-format clang-tidy cppcheck nodejs ;;
  fuzz) echo clang libclang-rt-dev ;;
  valgrind) echo valgrind ;;
  cover) echo gcovr ;;
  docs) echo doxygen ;;
  abi) echo abigail-tools ;;
  deb) echo dpkg-dev debhelper lintian debootstrap ;;
  *)
    echo "deps.sh: no group \"$1\" (build test browser lint fuzz valgrind cover docs abi deb)" >&2
    exit 2
    ;;
  esac
}

list=
if [ "${1:-}" = --list ]; then
  list=yes
  shift
fi
needed=
for group in "$@"; do
  packages=$(packages_of "$group")
  needed="$needed $packages"
done

if [ -n "$list" ]; then
  # shellcheck disable=SC2086
  printf '%s\n' $needed
  exit 0
fi
if ! command -v dpkg >/dev/null 2>&1; then
  echo "deps.sh: not a Debian system; make sure that you have the equivalents of:$needed" >&2
  exit 0
fi

missing=
for package in $needed; do
  dpkg -s "$package" 2>/dev/null | grep -q '^Status: .* ok installed$' || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

if [ "$(id -u)" -eq 0 ]; then
  as_root="env DEBIAN_FRONTEND=noninteractive"
elif command -v sudo >/dev/null 2>&1; then
  as_root="sudo env DEBIAN_FRONTEND=noninteractive"
else
  echo "deps.sh: these packages are missing, and installing them takes root or sudo:$missing" >&2
  echo "deps.sh: have them installed with: apt-get install$missing" >&2
  exit 1
fi
echo "deps.sh: installing$missing" >&2
# The words of $as_root and $missing are meant to be split.
# shellcheck disable=SC2086
$as_root apt-get update -q >&2 || echo "deps.sh: the package lists could not be updated; trying with the old ones" >&2
# shellcheck disable=SC2086
$as_root apt-get install -y -q --no-install-recommends $missing >&2
