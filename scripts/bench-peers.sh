#!/usr/bin/env bash
# Draws every clearance of the demonstration's six 10⁶ times, by fettle and by
# numpy, one after the other on the same machine, and holds figures and times
# against each other. Installs Debian's python3-numpy and python3-scipy if they
# are missing; nothing else of fettle needs them.
#
# Exit 0 when the figures agree, 1 when they do not or something is missing.
set -eu
cd "$(dirname "$0")/.."
. scripts/env.sh

python=/usr/bin/python3
if ! [ -x $python ] || ! $python -c 'import numpy, scipy' 2>/dev/null; then
  root=()
  [ "$(id -u)" = 0 ] || root=(sudo -n)
  log=$(mktemp)
  echo "installing python3-numpy python3-scipy"
  install=("${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends
    -o DPkg::Lock::Timeout=300 python3-numpy python3-scipy)
  if ! "${install[@]}" </dev/null >"$log" 2>&1 &&
     ! { "${root[@]}" apt-get update -q </dev/null >>"$log" 2>&1 && "${install[@]}" </dev/null >>"$log" 2>&1; }; then
    tail -n 15 "$log" >&2
    echo "python3-numpy and python3-scipy could not be installed; its last lines stand above." >&2
    exit 1
  fi
  rm -f "$log"
fi

model=$(mktemp)
trap 'rm -f "$model"' EXIT
go test ./internal/judge/assess -count=1 -run '^TestPeers$' -peers "$model" >/dev/null
exec_status=0
$python scripts/bench_peers.py "$model" || exec_status=$?
exit $exec_status
