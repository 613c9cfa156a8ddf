#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# reference.sh BUILD: the manual pages (three readers have nothing to say against them, they name every command,
# option and key, their examples run) and the completion of bash and zsh, as made for BUILD.
set -u
cd "$(dirname "$0")/.." || exit 1
here=$PWD
build=$(cd "${1:-}" 2>/dev/null && [ $# -eq 1 ] && pwd) || {
  echo "reference: usage: bash tests/reference.sh BUILD, a folder such as build/release; \"${1:-}\" is none" >&2
  exit 2
}
for made in pushcycle reference/done; do # the second comes after all pages and completions
  [ -e "$build/$made" ] || {
    echo "reference: there is no $build/$made: \`make all\` makes it (the command with its manual pages and completion)" >&2
    exit 2
  }
done
for tool in mandoc groff man col; do
  command -v "$tool" >/dev/null 2>&1 || {
    echo "reference: there is no $tool here: \`sh tools/deps.sh test\` installs what the tests need" >&2
    exit 2
  }
done
pages=$build/reference
pushcycle=$build/pushcycle
python=/usr/bin/python3
[ -x "$python" ] || python=python3
export LC_ALL=C.UTF-8
scratch=$(mktemp -d) || exit 3
trap 'rm -rf "$scratch"' EXIT
failed=
fail() {
  echo "reference: $1" >&2
  failed=yes
}

# ---- pages ----

commands=$("$pushcycle" --help | sed -n '/^commands:/,/^$/s/^  \([a-z-]*\)  .*/\1/p')
[ "$(echo "$commands" | wc -l)" -ge 11 ] || fail "too few commands in pushcycle --help"
for page in "$pages"/*.[15]; do
  said=$(mandoc -T lint -W warning "$page" 2>&1
    groff -man -ww -Tutf8 -z "$page" 2>&1
    MANROFFOPT=-ww man --warnings=w -l -Tutf8 -Z "$page" 2>&1 >/dev/null)
  [ -z "$said" ] || fail "$page: $said"
done
plain() { # PAGE, as a reader sees it, in lines of any length
  MANWIDTH=1000 man -l "$pages/$1" | col -bx
}
plain pushcycle.1 >"$scratch/pushcycle.1.txt"
for command in $commands; do
  page=pushcycle-$command.1
  [ -s "$pages/$page" ] || {
    fail "no page for $command"
    continue
  }
  plain "$page" >"$scratch/$page.txt"
  grep -q "^ *pushcycle-$command(1)" "$scratch/pushcycle.1.txt" || fail "pushcycle(1) does not name $command"
  "$pushcycle" "$command" --help >"$scratch/help"
  for heading in NAME SYNOPSIS DESCRIPTION OPTIONS 'EXIT STATUS' FILES EXAMPLES 'SEE ALSO'; do
    grep -q "^$heading\$" "$scratch/$page.txt" || fail "$page has no $heading"
  done
  # every option with the words of its help
  sed -n '/^options:/,$s/^  \(--[^ ]*\).*   *\([^ ].*\)$/\1|\2/p' "$scratch/help" | while IFS='|' read -r option words; do
    grep -A 1 -e "^ *$option\( \|\$\)" "$scratch/$page.txt" | grep -qF -e "$words" || echo "$page: $option: not with \"$words\""
  done >"$scratch/missing"
  [ ! -s "$scratch/missing" ] || fail "$(cat "$scratch/missing")"
done
[ "$(find "$pages" -name '*.1' | wc -l)" -eq $(($(echo "$commands" | wc -l) + 1)) ] || fail "pages of commands that do not exist"

# Keys, as the JSON Schema has them.
plain pushcycle-scenario.5 >"$scratch/scenario.txt"
"$pushcycle" schema >"$scratch/schema.json"
"$python" - "$scratch/schema.json" "$scratch/scenario.txt" <<'END' || fail "pushcycle-scenario(5) and the schema differ"
import json, re, sys
schema = json.load(open(sys.argv[1]))
section, found, keys = "", set(), False
for line in open(sys.argv[2]):
    keys = True if line.startswith("KEYS") else False if re.match("[A-Z]", line) else keys
    head = re.match(r"   (\S+)$", line)
    tag = re.match(r"       (\S+) \(", line)
    if keys and head:
        section = head.group(1).replace("[]", "") + "."
    elif keys and tag:
        found.add(section + tag.group(1))
wanted = set()
def walk(part, path):
    for key, value in part.get("properties", {}).items():
        inner = value.get("items", value) if isinstance(value.get("items"), dict) else value
        if "properties" in inner:
            walk(inner, path + key + ".")
        else:
            wanted.add(path + key)
walk(schema, "")
missing = sorted(wanted - found)
extra = sorted(key for key in found - wanted if not any(w.startswith(key + ".") for w in wanted))
for key in missing: print("not in the page:", key, file=sys.stderr)
for key in extra: print("not in the schema:", key, file=sys.stderr)
sys.exit(bool(missing or extra) or len(wanted) < 100)
END

# Examples: the scenario, and every command line.
sed -n '/^EXAMPLES/,/^SEE ALSO/s/^           //p' "$scratch/scenario.txt" >"$scratch/example.yaml"
"$pushcycle" check --quiet "$scratch/example.yaml" >"$scratch/out" 2>&1 || fail "the example of pushcycle-scenario(5): $(cat "$scratch/out")"
mkdir "$scratch/bin" "$scratch/work"
ln -s "$pushcycle" "$scratch/bin/pushcycle"
lines=0
for page in "$scratch"/*.1.txt; do
  rm -rf "$scratch/work"
  mkdir "$scratch/work"
  cp tests/cli/small.yaml "$scratch/work/yard.yaml"
  cp scenarios/fleet-example/*.yaml "$scratch/work"
  while IFS= read -r line; do
    lines=$((lines + 1))
    (cd "$scratch/work" && PATH=$scratch/bin:$PATH sh -c "$line" >"$scratch/out" 2>&1 </dev/null) ||
      fail "$(basename "$page" .txt): the example \"$line\" failed: $(tail -n 3 "$scratch/out")"
  done < <(sed -n '/^EXAMPLES/,/^[C-Z]/s/^           \(pushcycle .*\)/\1/p' "$page")
done
[ "$lines" -ge 12 ] || fail "only $lines lines of examples were found"

# ---- completion ----

bash -n "$pages/pushcycle.bash" || fail "pushcycle.bash is no bash"
cd "$scratch/work" || exit 1
rm -rf ./*
mkdir folder 'my yards'
touch a.yaml 'my yard.yaml' times.csv notes.txt
# shellcheck disable=SC1091
source "$pages/pushcycle.bash"
completes() { # EXPECTED WORD…: what the last word, which may be empty, can become; sorted, with commas between
  local expected=$1
  shift
  COMP_WORDS=("$@")
  COMP_CWORD=$(($# - 1))
  _pushcycle 2>/dev/null
  local got
  got=$([ ${#COMPREPLY[@]} -eq 0 ] || printf '%s\n' "${COMPREPLY[@]}" | sort | paste -s -d ,)
  [ "$got" = "$expected" ] || fail "bash: \"$*\" becomes \"$got\", not \"$expected\""
}
comma() {
  sort | paste -s -d ,
}
completes "$({ echo "$commands"; printf '%s\n' help --help --version; } | comma)" pushcycle ''
completes "$(echo "$commands" | grep '^s' | comma)" pushcycle s
for command in $commands; do # the options that the program itself lists
  completes "$("$pushcycle" "$command" --help | sed -n '/^options:/,$s/^  \(--[^ ]*\).*/\1/p' | comma)" pushcycle "$command" --
done
completes 'metric,us' pushcycle run --units ''
completes 'us' pushcycle run --units u
completes 'us' pushcycle run --units = u
completes 'metric,us' pushcycle run --units =
completes 'all' pushcycle compare --layouts ''
policies=$("$pushcycle" run --policy nosuch 2>&1 | sed -n 's/.*choose one of //p' | tr -d '" ' | tr , '\n' | comma)
completes "$policies" pushcycle run --policy ''
completes 'cost,time' pushcycle assign --least ''
completes '' pushcycle run --seed ''
completes 'a.yaml,folder,my yard.yaml,my yards' pushcycle run ''
completes 'my yard.yaml,my yards' pushcycle run --quiet m
completes 'folder,my yards,times.csv' pushcycle fit ''
completes 'a.yaml,folder,my yard.yaml,my yards,notes.txt,times.csv' pushcycle merge ''
completes 'a.yaml,folder,my yard.yaml,my yards,notes.txt,times.csv' pushcycle run --output ''
completes '' pushcycle schema ''
completes '' pushcycle nosuch ''
cd "$here" || exit 1

if command -v zsh >/dev/null 2>&1; then
  zsh -f tests/completion.zsh "$pages" "$scratch/work" >"$scratch/zsh" 2>&1 || fail "zsh: $(cat "$scratch/zsh")"
  shells='bash and zsh'
else
  shells='bash (no zsh here)'
fi

[ -z "$failed" ] || exit 1
echo "reference: $(find "$pages" -name '*.[15]' | wc -l) pages without a warning, $lines examples run, completion of $shells"
