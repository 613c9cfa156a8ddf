#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# run.sh BINARY [FILE…]: the tests in a headless Chromium; `make test-browser` and `make test` call it. Every test
# has a window of its own, and none needs a network or a display.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
[ $# -ge 1 ] && [ -x "$1" ] || { echo "usage: run.sh BINARY [FILE...]" >&2; exit 2; }
PUSHCYCLE=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
export PUSHCYCLE
shift
[ $# -gt 0 ] || set -- "$here"/*.test.mjs
# Whatever hangs ends.
exec timeout -k 10 900 node --test --test-reporter=spec "$@"
