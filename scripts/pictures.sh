#!/usr/bin/env bash
# Takes the pictures of the bench page that stand in doc/pictures anew: desktop,
# tablet and phone, on paper and as a blueprint, of the demonstration's job.
#
#   scripts/pictures.sh
set -euo pipefail
cd "$(dirname "$0")/.."
. scripts/env.sh

dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
FETTLE_SHOTS=$dir go test ./internal/edge/web -run '^TestBenchPictures$' -count=1
mkdir -p doc/pictures
for size in 1280:desktop 800:tablet 390:phone; do
  pad=true
  [ "${size%%:*}" = 1280 ] && pad=false
  for ground in light:paper dark:blueprint; do
    install -m 644 "$dir/bench-block-${size%%:*}-${ground%%:*}-$pad.png" "doc/pictures/bench-${size##*:}-${ground##*:}.png"
  done
done
ls doc/pictures
