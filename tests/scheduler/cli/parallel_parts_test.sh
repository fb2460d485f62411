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
echo "five parts, the same bytes as one run"
