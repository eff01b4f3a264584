#!/usr/bin/env bash
# Times fettle evaluate on the demo's job from start to exit: builds, writes the
# job as a file, runs it and prints the least, the median and the most. Files
# are written each time.
#
#   scripts/bench-evaluate.sh [RUNS] [JOB] [FAMILY]
set -euo pipefail
cd "$(dirname "$0")/.."
. scripts/env.sh

runs=${1:-30} job=${2:-2026-014} family=${3:-corran-24-5}
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -o "$dir/fettle" ./cmd/fettle
"$dir/fettle" demo --export "$dir/readings.csv" --job "$job" >/dev/null

load=$(cut -d' ' -f1 /proc/loadavg 2>/dev/null || echo unknown)
for _ in $(seq "$runs"); do
  from=${EPOCHREALTIME/./}
  "$dir/fettle" evaluate --family "data/family/$family.yaml" --readings "$dir/readings.csv" --out "$dir/out" >/dev/null
  to=${EPOCHREALTIME/./}
  echo $(((to - from) / 100))
done | sort -n >"$dir/times"

awk -v job="$job" -v load="$load" -v cpus="$(nproc)" '
  { t[NR] = $1 / 10 }
  END {
    mid = NR % 2 ? t[(NR + 1) / 2] : (t[NR / 2] + t[NR / 2 + 1]) / 2
    printf "fettle evaluate, job %s, %d runs: least %.0f ms, median %.0f ms, most %.0f ms (%s cores, load before %s)\n", job, NR, t[1], mid, t[NR], cpus, load
  }' "$dir/times"
