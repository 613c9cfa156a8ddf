#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# embed.sh [--sha256] NAME FILE: prints FILE as a C string constant of bytes, ended by a zero:
#   static const char NAME[] = {0x23,0x20,…,0};
# With --sha256 also the hash of the file, as a content security policy wants it:
#   static const char NAME_sha256[] = "…";
# The file must be text without bytes beyond 0x7F: char may be signed, and 0x80 would not fit.
set -eu
hash=
if [ "${1-}" = --sha256 ]; then
  hash=yes
  shift
fi
if [ $# -ne 2 ]; then
  echo "usage: $0 [--sha256] NAME FILE" >&2
  exit 2
fi
if [ "$(LC_ALL=C tr -d '\000-\177' <"$2" | wc -c)" -ne 0 ]; then
  echo "$0: $2 has bytes that are not ASCII" >&2
  exit 1
fi
printf 'static const char %s[] = {\n' "$1"
LC_ALL=C od -An -v -t x1 "$2" | sed -e 's/ \([0-9a-f][0-9a-f]\)/0x\1,/g'
printf '0};\n'
if [ -n "$hash" ]; then
  printf 'static const char %s_sha256[] = "%s";\n' "$1" \
    "$(sha256sum <"$2" | cut -c 1-64 | tr a-f A-F | basenc --base16 -d | base64)"
fi
