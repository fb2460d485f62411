# compare_bits.sh CASES PROGRAM PLAIN AVX2: the three print the same; the last only runs where the machine has AVX2.
set -eu
folder=$(mktemp -d)
trap 'rm -r "$folder"' EXIT
"$2" "$1" >"$folder/best"
"$3" "$1" >"$folder/plain"
[ -s "$folder/best" ]
cmp "$folder/best" "$folder/plain"
if grep -qw avx2 /proc/cpuinfo; then
    "$4" "$1" >"$folder/avx2"
    cmp "$folder/best" "$folder/avx2"
    echo "best, plain and AVX2 agree in $(wc -l <"$folder/best") results"
else
    echo "best and plain agree in $(wc -l <"$folder/best") results; no AVX2 here"
fi
