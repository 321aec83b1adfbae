#!/usr/bin/env bash
# An array job of a batch system computes a shop's table in parts that join byte for byte: Slurm as Debian has it, its daemons
# started here with a configuration of one machine, and stopped again. Exits with 77, skipped, where Slurm is missing, and says
# what to install.
# usage: cluster.sh PROGRAM   (run in the project's directory)
set -euo pipefail
program=$(realpath "$1")

missing=()
for tool in slurmctld slurmd sbatch munged; do
  PATH=$PATH:/usr/sbin command -v "$tool" >/dev/null || missing+=("$tool")
done
if [ ${#missing[@]} -gt 0 ]; then
  echo "skipped: ${missing[*]} missing; on Debian: apt-get install slurm-wlm munge, or bash tests/install_packages.sh cluster"
  exit 77
fi
PATH=$PATH:/usr/sbin

work=$(mktemp -d)
pids=()
finish() {
  status=$?
  for pid in "${pids[@]}"; do kill "$pid" 2>/dev/null || true; done
  for pid in "${pids[@]}"; do wait "$pid" 2>/dev/null || true; done
  if [ "$status" -ne 0 ]; then tail -n 5 "$work"/*.log >&2 || true; fi
  rm -rf "$work"
}
trap finish EXIT
chmod 711 "$work"
mkdir "$work/state" "$work/spool" "$work/munge"
chmod 700 "$work/munge"

# Keys, sockets and ports of our own: a Slurm that runs here already is left alone.
head -c 128 /dev/urandom >"$work/munge/key"
chmod 400 "$work/munge/key"
mkdir "$work/socket"
chmod 755 "$work/socket"
munged --force --foreground --key-file="$work/munge/key" --socket="$work/socket/munge" --pid-file="$work/munge/pid" \
  --log-file="$work/munge/log" --seed-file="$work/munge/seed" >"$work/munged.log" 2>&1 &
pids+=($!)
host=$(hostname -s)
user=$(id -un)
port=$((20000 + $$ % 20000))
export SLURM_CONF=$work/slurm.conf
cat >"$SLURM_CONF" <<END
ClusterName=one
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=$port
SlurmdPort=$((port + 1))
SlurmUser=$user
SlurmdUser=$user
AuthType=auth/munge
AuthInfo=socket=$work/socket/munge
CryptoType=crypto/munge
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
ProctrackType=proctrack/pgid
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SwitchType=switch/none
MpiDefault=none
ReturnToService=2
SlurmdParameters=config_overrides
NodeName=$host NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=shop Nodes=$host Default=YES MaxTime=10 State=UP
END
slurmctld -D >"$work/slurmctld.log" 2>&1 &
pids+=($!)
slurmd -D -N "$host" >"$work/slurmd.log" 2>&1 &
pids+=($!)
for _ in $(seq 60); do
  sinfo -h -o %T 2>/dev/null | grep -q idle && break
  sleep 0.5
done
sinfo -h -o %T | grep -q idle || { echo "Slurm did not start"; exit 1; }

# The job file of docs/shop.md, with this program and the invented shop.
awk '/^#!\/bin\/sh/ {inside = 1} /^```/ {inside = 0} inside' docs/shop.md >"$work/shop.sbatch"
grep -q -- '--array=1-4' "$work/shop.sbatch" || { echo "docs/shop.md has no job file"; exit 1; }
mkdir "$work/bin"
ln -s "$program" "$work/bin/blendrisk"
cp -r examples/fleet/. "$work"
export PATH=$work/bin:$PATH
cd "$work"
timeout 120 sbatch --wait --output="$work/job-%a.log" shop.sbatch
[ "$(find . -maxdepth 1 -name 'part-*.csv' | wc -l)" -eq 4 ] || { echo "there are not four parts"; exit 1; }
blendrisk table --join part-*.csv --output joined.csv >/dev/null
blendrisk table --cars 'cars/*.ini' --pumps 'pumps/*.ini' --output whole.csv >/dev/null
cmp joined.csv whole.csv
# The twin: without one of its parts nothing is joined.
if blendrisk table --join part-[1-3].csv --output three.csv >/dev/null 2>&1; then
  echo "three parts of four were joined"
  exit 1
fi
echo "an array job of $(wc -l <whole.csv) lines in 4 parts, joined byte for byte"
