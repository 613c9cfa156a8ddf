#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# abi.sh BUILD VERSION check|renew: holds the shared libraries in BUILD (built with -g) against the descriptions in
# docs/abi, which are those of the last release; or writes these anew. Additions are fine; what an old program could
# trip over (a function gone, a public struct changed) fails.
set -eu
cd "$(dirname "$0")/.."
build=$1
version=$2
what=$3
stage=$build/stage
rm -rf "$stage"
${MAKE:-make} --no-print-directory -s BUILD="$build" OPT="$OPT" install DESTDIR="$PWD/$stage" PREFIX=/usr/local >/dev/null
headers=$stage/usr/local/include/pushcycle

if [ "$what" = renew ] && git rev-parse -q --verify "refs/tags/v$version" >/dev/null 2>&1 &&
  [ "$(git rev-parse HEAD)" != "$(git rev-parse "v$version^{commit}")" ]; then
  echo "abi: $version is released, and its description stays; first raise the version in lib/base/version.h" >&2
  exit 1
fi
failed=
for library in libpushcycle libpushcycle-io; do
  now=$build/$library.abi
  # Only what the public headers show; no paths, so that any tree gives the same text.
  abidw --headers-dir "$headers" --drop-private-types --no-corpus-path --no-comp-dir-path --no-show-locs \
    --type-id-style hash --out-file "$now" "$build/$library.so.$version"
  kept=docs/abi/$library.abi.gz
  if [ "$what" = renew ]; then
    mkdir -p docs/abi
    gzip -9 -n <"$now" >"$kept"
    echo "$version" >docs/abi/VERSION
    echo "abi: $kept is that of $version now"
    continue
  fi
  gzip -d <"$kept" >"$build/$library.released.abi"
  status=0
  abidiff --no-show-locs "$build/$library.released.abi" "$now" >"$build/$library.abidiff" || status=$?
  # Bits of the exit status: 1 and 2 failures of abidiff, 4 a change, 8 a change that cannot be compatible.
  if [ $((status & 11)) -ne 0 ] ||
    grep -q -E 'changes summary: ([1-9][0-9]* Removed|.*, [1-9][0-9]* Changed)' "$build/$library.abidiff"; then
    cat "$build/$library.abidiff" >&2
    failed=yes
  elif [ "$status" -ne 0 ]; then
    echo "abi: $library: additions only since $(cat docs/abi/VERSION):"
    cat "$build/$library.abidiff"
  else
    echo "abi: $library: as in $(cat docs/abi/VERSION)"
  fi
done
if [ -n "$failed" ]; then
  echo "abi: programs built for $(cat docs/abi/VERSION) would break: raise SOVERSION in the Makefile (DEVELOPERS.md, Releasing)" >&2
  exit 1
fi
