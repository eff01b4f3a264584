#!/usr/bin/env bash
# Lists the Go files that are not in gofmt's form, and fails if there is one.
# With -w it rewrites them and lists what it rewrote.
set -eu
cd "$(dirname "$0")/.."
. scripts/env.sh

# Folders that begin with a dot hold caches, not our code.
list=$(find . -name '.?*' -prune -o -name '*.go' -print0 | xargs -0 -r gofmt -l "$@")
[ -z "$list" ] && exit 0
echo "$list"
[ "${1:-}" = -w ] || { echo "not in gofmt's form; make fmt mends it"; exit 1; }
