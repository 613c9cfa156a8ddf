#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Checks scenario files against the JSON Schema with python3-jsonschema, an implementation that knows nothing of
our reader.

    check_schema.py SCHEMA.json GOOD.yaml ... [--bad BAD.yaml ...]

Every GOOD file must be valid; with its optional lines uncommented too, where it has any. Every BAD
file must be refused. Exit status 0 if so, 1 with one line per surprise if not.
"""
import json
import re
import sys

import jsonschema
import yaml


def uncomment(text):
    """The file with every optional line ("# key: value") in use, but for `at`, which excludes an outline."""
    return re.sub(r"^( *)# (?= *(- )?(\w+:|\{))(?! *at:)", r"\1", text, flags=re.M)


def main(arguments):
    with open(arguments[0], encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    bad_from = arguments.index("--bad") if "--bad" in arguments else len(arguments)
    surprises = []
    for path in arguments[1:bad_from]:
        with open(path, encoding="utf-8") as file:
            text = file.read()
        for variant in {text, uncomment(text)}:
            for error in validator.iter_errors(yaml.safe_load(variant)):
                surprises.append(f"{path}: {'/'.join(map(str, error.absolute_path))}: {error.message}")
    for path in arguments[bad_from + 1:]:
        with open(path, encoding="utf-8") as file:
            if validator.is_valid(yaml.safe_load(file)):
                surprises.append(f"{path}: is valid, but should not be")
    if bad_from < 2:
        surprises.append("no file was given to check")
    for line in surprises:
        print(line, file=sys.stderr)
    return 1 if surprises else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
