#!/usr/bin/env bash
# docs/slurm_array.sh on a real Slurm of one node, whose daemons run in a private folder and end with the test: four parts of a day,
# one cancelled while it runs and one dead in the middle of its rows; both are named, done again, and the whole is that of one run.
#   slurm_array_test.sh PROGRAM SOURCE_DIR
# Exit code 77, with the reason, where Slurm is not installed or cannot start for this user.
set -euo pipefail
real_program=$1 source_dir=$2
plan=$source_dir/demo/quick.toml
PATH=$PATH:/usr/sbin:/sbin
skip() { echo "skipped: $*"; exit 77; }
fail() { echo "failed: $*" >&2; tail -n 20 "$folder"/*.log >&2; exit 1; }
[[ ${AMPTURN_TESTS_WITHOUT-} != slurm ]] || skip "it starts daemons; tests/run -L slurm runs it"
for needed in munged mungekey slurmctld slurmd sbatch scancel scontrol sinfo squeue python3; do
    command -v "$needed" >/dev/null || skip "no $needed here; .ci/setup slurm installs it"
done

folder=$(mktemp -d)
daemons=()
stop_all() {
    scancel --user="$(id -un)" >/dev/null 2>&1 || true
    for ((i = 0; i < 50; i++)); do
        [[ -n $(squeue --noheader --states=all --format=%T 2>/dev/null | grep -E 'RUNNING|COMPLETING' || true) ]] || break
        sleep 0.2
    done
    for ((i = ${#daemons[@]} - 1; i >= 0; i--)); do
        kill "${daemons[i]}" 2>/dev/null || true
        wait "${daemons[i]}" 2>/dev/null || true
    done
    rm -rf "$folder"
}
trap stop_all EXIT
trap 'exit 1' INT TERM HUP

# --- one node, and nothing of the machine's own Slurm ---
user=$(id -un) host=$(hostname -s)
chmod 711 "$folder"
mkdir -m 755 "$folder"/{munge,state,spool}
read -r control_port node_port < <(python3 -c '
import socket
both = [socket.socket() for _ in range(2)]
for one in both: one.bind(("127.0.0.1", 0))
print(*(one.getsockname()[1] for one in both))')
export SLURM_CONF=$folder/slurm.conf
cat >"$SLURM_CONF" <<END
ClusterName=test
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=$control_port
AuthType=auth/munge
AuthInfo=socket=$folder/munge/socket
CredType=cred/munge
SlurmUser=$user
SlurmdUser=$user
StateSaveLocation=$folder/state
SlurmdSpoolDir=$folder/spool
SlurmctldPidFile=$folder/slurmctld.pid
SlurmdPidFile=$folder/slurmd.pid
SlurmctldLogFile=$folder/slurmctld.log
SlurmdLogFile=$folder/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SwitchType=switch/none
MpiDefault=none
MailProg=/bin/true
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SchedulerParameters=batch_sched_delay=0,sched_min_interval=0
SlurmdParameters=config_overrides
ReturnToService=2
KillWait=2
NodeName=$host NodeAddr=127.0.0.1 Port=$node_port CPUs=2 State=UNKNOWN
PartitionName=test Nodes=$host Default=YES State=UP MaxTime=10
END
start() {
    "$@" >>"$folder/started.log" 2>&1 &
    daemons+=($!)
}
wait_for() { # SECONDS COMMAND...
    for ((i = 0; i < $1 * 5; i++)); do
        "${@:2}" >/dev/null 2>&1 && return
        sleep 0.2
    done
    return 1
}
(umask 077 && mungekey --create --keyfile="$folder/munge/key")
start munged --foreground --force --key-file="$folder/munge/key" --socket="$folder/munge/socket" --pid-file="$folder/munge/pid" \
    --log-file="$folder/munge/log" --seed-file="$folder/munge/seed"
wait_for 10 munge --socket="$folder/munge/socket" --no-input || skip "munged does not start: $(tail -n 1 "$folder/started.log")"
start slurmctld -D -f "$SLURM_CONF"
wait_for 20 scontrol ping || skip "slurmctld does not start: $(tail -n 1 "$folder/slurmctld.log")"
start slurmd -D -f "$SLURM_CONF"
node_is_idle() { [[ $(sinfo --noheader --format=%T) == idle ]]; }
wait_for 30 node_is_idle || skip "slurmd does not start: $(tail -n 1 "$folder/slurmd.log")"

# --- a program that goes wrong twice: the part from run 10 on hangs, the one from 30 on dies writing its second kilobyte ---
cd "$folder"
cat >ampturn <<END
#!/usr/bin/env bash
if [[ \$* == *'--draws 10:10 '* && ! -e hung ]]; then touch hung; exec sleep 600; fi
if [[ \$* == *'--draws 30:10 '* && ! -e died ]]; then touch died; ulimit -c 0 -f 1; fi
exec '$real_program' "\$@"
END
chmod +x ampturn
export AMPTURN=$folder/ampturn
submit() { "$source_dir/docs/slurm_array.sh" "$plan" 40 4 out --seed 3 || fail "not submitted"; }
state_of() { scontrol show job "$1" | sed -n 's/.*JobState=\([A-Z]*\).*/\1/p' | head -n 1; }
is_over() { [[ $(state_of "$1") =~ ^(COMPLETED|FAILED|CANCELLED|TIMEOUT|NODE_FAIL)$ ]]; }

"$real_program" day "$plan" --runs 40 --seed 3 --summary --out one >/dev/null
said=$(submit)
[[ $said =~ ^tasks\ ([0-9]+),\ merge\ ([0-9]+)$ ]] || fail "said: $said"
tasks=${BASH_REMATCH[1]} merge=${BASH_REMATCH[2]}
wait_for 60 test -e hung || fail "the second task does not run"
scancel "${tasks}_1"
wait_for 60 is_over "$merge" || fail "the merge does not end"
[[ $(state_of "$merge") == FAILED ]] || fail "the merge of two parts in four is $(state_of "$merge")"
grep -q '^ampturn: out/part-2.jsonl: found no part with the runs 10 to 19, allowed all runs from 0 on$' out/merge.log ||
    fail "$(cat out/merge.log)"
[[ ! -e out/part-1.jsonl && ! -e out/part-3.jsonl && ! -e out/monte_carlo.json ]] || fail "half a part is there: $(ls out)"

said=$(ARRAY=1 submit)
merge=${said##* }
wait_for 60 is_over "$merge" || fail "the second merge does not end"
grep -q '^ampturn: .*: found no part with the runs 30 to 39, ' out/merge.log || fail "$(cat out/merge.log)"

said=$(ARRAY=3 submit)
merge=${said##* }
wait_for 60 is_over "$merge" || fail "the third merge does not end"
[[ $(state_of "$merge") == COMPLETED ]] || fail "$(cat out/merge.log)"
cmp one/monte_carlo.json out/monte_carlo.json
cmp one/battery_percentiles.csv out/battery_percentiles.csv
echo "four tasks of an array, one cancelled and one dead, named and done again: the same bytes as one run"
