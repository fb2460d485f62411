#!/usr/bin/env bash
# Answers over a list of grounds made in parts by GNU parallel, one part lost and done again, are those made in one.
#   grounds_in_parts_test.sh PROGRAM SOURCE_DIR
set -euo pipefail
program=$1
plan=$2/demo/quick.toml
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
for ohm_m in {50..1950..100}; do
    echo "{\"name\": \"clay of 30 ohm m over $ohm_m\", \"resistivity_ohm_m\": [30, $ohm_m], \"thickness_m\": [12]}"
done >grounds.jsonl
cat >points.json <<'END'
{"wavenumbers": "full", "frequencies_Hz": [1000, 8000], "sources": [{"moment_A_m2": [500, 0, 0], "source_height_m": 3}],
 "receivers": {"offset_m": [200, 400, 800], "bearing_deg": 30}}
END
export program plan

"$program" reach "$plan" --grounds grounds.jsonl --rows one.jsonl --threads 2
seq 0 5 15 | parallel --will-cite --jobs 2 '"$program" reach "$plan" --grounds grounds.jsonl --part {}:5 --rows part-{}.jsonl --threads 1'
"$program" merge part-*.jsonl --out whole.jsonl
cmp one.jsonl whole.jsonl
rm part-10.jsonl
if "$program" merge part-*.jsonl --out lost.jsonl 2>said; then echo "a part that is missing was not found" >&2; exit 1; fi
grep -q '^ampturn: part-15.jsonl: found no part with the grounds 11 to 15,' said
test ! -e lost.jsonl
"$program" reach "$plan" --grounds grounds.jsonl --part 10:5 --rows part-10.jsonl
"$program" merge part-*.jsonl --out again.jsonl
cmp one.jsonl again.jsonl

for format in json csv float64; do
    export format
    "$program" fields points.json --grounds grounds.jsonl --format $format --out one.$format --threads 2
    seq 0 5 15 | parallel --will-cite --jobs 2 \
        '"$program" fields points.json --grounds grounds.jsonl --part {}:5 --format $format --out part-{}.$format --threads 1'
    mkdir -p whole
    "$program" merge part-*.$format.json --out whole/one.$format
    cmp one.$format whole/one.$format
    cmp one.$format.json whole/one.$format.json
    head -c 100 part-5.$format >died
    mv died part-5.$format
    if "$program" merge part-*.$format.json --out whole/one.$format 2>said; then echo "a part that died was not found" >&2; exit 1; fi
    grep -q "^ampturn: part-5.$format: found 100 of [0-9]* bytes: the part of the grounds 6 to 10 is not whole" said
done
echo "20 grounds in four parts, the same bytes as in one"
