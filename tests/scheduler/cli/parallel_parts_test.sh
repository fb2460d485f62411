#!/usr/bin/env bash
# Runs of a day drawn in parts by GNU parallel, one part in the wrong order and one done again after it died, are those drawn in one.
#   parallel_parts_test.sh PROGRAM SOURCE_DIR
set -euo pipefail
program=$1
plan=$2/demo/quick.toml
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
"$program" day "$plan" --runs 50 --seed 3 --summary --out one >/dev/null
export program plan
seq 0 10 40 | parallel --will-cite --jobs 2 '"$program" day "$plan" --draws {}:10 --seed 3 --rows part-{}.jsonl --threads 1'
"$program" merge part-*.jsonl --runs 50 --out whole >/dev/null
cmp one/monte_carlo.json whole/monte_carlo.json
cmp one/battery_percentiles.csv whole/battery_percentiles.csv
head -c 3000 part-20.jsonl >died.jsonl
mv died.jsonl part-20.jsonl
if "$program" merge part-*.jsonl --runs 50 >/dev/null 2>said; then echo "a part that died was not found" >&2; exit 1; fi
grep -q '^ampturn: part-20.jsonl: found .* of 10 runs: the part ended early' said
"$program" day "$plan" --draws 20:10 --seed 3 --rows part-20.jsonl
"$program" merge part-*.jsonl --runs 50 --out again >/dev/null
cmp one/monte_carlo.json again/monte_carlo.json
# Rows that are not as long as the plan has readings, and ranges that no list has: each once read beyond what was there, or added up to
# less than nothing.
for change in 's/"usable":"[01]*"/"usable":""/' '3,$s/"inputs":\[[^]]*\]/"inputs":[]/' '1s/"first":0/"first":2147483647/' '1s/"count":10/"count":-3/' \
    '1s/"first":0/"first":1e300/'; do
    sed -e "$change" part-0.jsonl >changed.jsonl
    code=0
    "$program" merge changed.jsonl >/dev/null 2>said || code=$?
    ((code == 2)) || { echo "$change: exit code $code" >&2; exit 1; }
    (($(wc -l <said) == 1)) || { cat said >&2; exit 1; }
done
echo "five parts, the same bytes as one run"
