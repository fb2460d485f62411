#!/usr/bin/env bash
# Many runs of a day as an array of Slurm jobs, a part a task, and a job behind them that puts the parts together.
#
#   docs/slurm_array.sh PLAN RUNS PARTS FOLDER [WORDS OF `ampturn day`: --seed 7 --set KEY=VALUE ...]
#
# FOLDER is on a file system that all nodes share; it gets part-N.jsonl, a log a task, merge.log, and monte_carlo.json and
# battery_percentiles.csv as `ampturn day --runs RUNS --out FOLDER` writes them, to the byte. A task that died leaves no part:
# merge.log says which runs are missing. Do those tasks again with the same words and ARRAY=their numbers:
#
#   ARRAY=3,7 docs/slurm_array.sh PLAN RUNS PARTS FOLDER [the same words]
#
# AMPTURN is the program where it is not on the PATH. Partition, account and time limit come from sbatch's own variables
# (SBATCH_PARTITION, SBATCH_ACCOUNT, SBATCH_TIMELIMIT).
set -euo pipefail
if (($# < 4)) || ! [[ $2 =~ ^[1-9][0-9]*$ && $3 =~ ^[1-9][0-9]*$ ]] || (($3 > $2)); then
    echo "slurm_array: wanted PLAN RUNS PARTS FOLDER [WORDS], at least a run for each part; found: $*" >&2
    exit 2
fi
plan=$1 runs=$2 parts=$3 folder=$4
program=${AMPTURN:-ampturn}

case ${AMPTURN_ARRAY_STEP:-submit} in
    submit)
        mkdir -p "$folder"
        sbatch=(sbatch --parsable --ntasks=1 --cpus-per-task=1)
        tasks=$("${sbatch[@]}" --job-name=ampturn-part --array="${ARRAY:-0-$((parts - 1))}" --output="$folder/part-%a.log" \
            --export=ALL,AMPTURN_ARRAY_STEP=part "$0" "$@")
        # After all tasks, whatever became of them: it is the merge that says what is missing.
        merge=$("${sbatch[@]}" --job-name=ampturn-merge --dependency="afterany:$tasks" --output="$folder/merge.log" \
            --export=ALL,AMPTURN_ARRAY_STEP=merge "$0" "$@")
        echo "tasks $tasks, merge $merge"
        ;;
    part)
        # Equal parts, to a run.
        first=$((SLURM_ARRAY_TASK_ID * runs / parts)) end=$(((SLURM_ARRAY_TASK_ID + 1) * runs / parts))
        "$program" day "$plan" --draws "$first:$((end - first))" --rows "$folder/part-$SLURM_ARRAY_TASK_ID.jsonl" --threads 1 "${@:5}"
        ;;
    merge)
        "$program" merge "$folder"/part-*.jsonl --runs "$runs" --out "$folder"
        ;;
esac
