#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# soak.sh PROGRAM FIRST RUNS PROCESSES: cuts the seeds into stretches, works on so many at once, and adds up how they ended.
set -u
program=$1 first=$2 runs=$3 processes=$4
where=$(mktemp -d) || exit 3
trap 'rm -rf "$where"' EXIT
part=$(((runs + processes - 1) / processes))
i=0
while [ $((i * part)) -lt "$runs" ]; do
  from=$((first + i * part))
  count=$((i * part + part <= runs ? part : runs - i * part))
  ("$program" "$from" "$count" >"$where/$i" 2>&1; echo $? >"$where/$i.status") &
  i=$((i + 1))
done
wait
grep -hv '^seeds ' "$where"/[0-9]*[0-9] "$where"/[0-9] 2>/dev/null | grep -v '^[0-9]*$'
cat "$where"/[0-9]* | awk '
  /^seeds / {
    sub(/^seeds [0-9]+ to [0-9]+: */, "")
    n = split($0, parts, ", *")
    for (p = 1; p <= n; p++) {
      match(parts[p], /[0-9]+$/)
      name = substr(parts[p], 1, RSTART - 2)
      if (!(name in sum)) names[++count] = name
      sum[name] += substr(parts[p], RSTART)
      all += substr(parts[p], RSTART)
    }
  }
  END {
    printf "soak: %d scenarios:", all
    for (c = 1; c <= count; c++) printf "%s %s %d", (c > 1 ? "," : ""), names[c], sum[names[c]]
    print ""
  }'
! grep -qhv '^0$' "$where"/*.status
