#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The library from Python, through cffi (ABI mode: nothing is compiled): runs a scenario, prints its total time.

    python3 total_time.py small.yaml [snow.depth="15 cm" ...]

Needs python3-cffi, and libpushcycle-io.so.0 where the loader finds it (or its path in PUSHCYCLE_LIBRARY).
"""
import json
import os
import sys

from cffi import FFI

ffi = FFI()
# From io/run_text.h, base/text.h and io/scenario.h.
ffi.cdef("""
    typedef struct { char *data; size_t length, capacity; bool failed; } pc_text;
    typedef struct { const char *path, *value, *source; } pc_override;
    int pc_run_text(const char *name, const char *text, const pc_override *overrides, size_t override_count,
                    int threads, pc_text *json, pc_text *messages);
    void pc_text_free(pc_text *text);
    const char *pc_version(void);
""")


def text_of(text):
    return ffi.string(text.data).decode() if text.data else ""


def run(library, name, yaml, settings=(), threads=0):
    """The result of one run as a dict; ValueError with every fault if the scenario is wrong."""
    paths = [ffi.new("char[]", setting.encode()) for setting in settings]
    overrides = ffi.new("pc_override[]", len(paths))
    for override, path in zip(overrides, paths):
        override.path = path
    written, messages = ffi.new("pc_text *"), ffi.new("pc_text *")
    try:
        status = library.pc_run_text(name.encode(), yaml.encode(), overrides, len(paths), threads, written, messages)
        if status != 0:
            raise ValueError(text_of(messages).strip())
        sys.stderr.write(text_of(messages))  # cautions
        return json.loads(text_of(written))
    finally:
        library.pc_text_free(written)
        library.pc_text_free(messages)


def main():
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    library = ffi.dlopen(os.environ.get("PUSHCYCLE_LIBRARY", "libpushcycle-io.so.0"))
    with open(sys.argv[1], encoding="utf-8") as file:
        yaml = file.read()
    try:
        result = run(library, sys.argv[1], yaml, sys.argv[2:])
    except ValueError as wrong:
        print(wrong, file=sys.stderr)
        sys.exit(2)
    print(json.dumps(result["total_time_s"]["mean"]))


if __name__ == "__main__":
    main()
