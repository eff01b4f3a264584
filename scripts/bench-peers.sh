#!/usr/bin/env bash
# Holds figures and times of fettle against the same work in numpy and scipy,
# one after the other on the same machine. Each subject is a script of its own,
# scripts/peers/SUBJECT.sh, run in the order of their names; with arguments only
# the subjects named are run. Installs Debian's python3-numpy and python3-scipy
# if they are missing; nothing else of fettle needs them.
#
# A subject's script is run at the top of the checkout and finds
#   $python   Debian's python3, which has numpy and scipy
#   $scratch  an empty folder, deleted afterwards
# It prints its section and ends with 0 when the figures agree, else with 1.
#
# Exit 0 when all figures agree, 1 when some do not or something is missing.
set -eu
cd "$(dirname "$0")/.."
. scripts/env.sh

export python=/usr/bin/python3
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

export scratch
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
# One thread a library, so that times are those of one core unless a script says otherwise.
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
unset OPENBLAS_CORETYPE

subjects=("$@")
[ $# -gt 0 ] || for f in scripts/peers/*.sh; do
  name=${f##*/}
  subjects+=("${name%.sh}")
done
failed=()
for name in "${subjects[@]}"; do
  if ! [ -f "scripts/peers/$name.sh" ]; then
    echo "scripts/peers/$name.sh does not exist" >&2
    exit 1
  fi
  scratch=$work/$name
  mkdir "$scratch"
  echo "== $name"
  bash -eu "scripts/peers/$name.sh" || failed+=("$name")
  echo
done
if [ ${#failed[@]} -gt 0 ]; then
  echo "the figures of ${failed[*]} do not agree" >&2
  exit 1
fi
