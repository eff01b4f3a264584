#!/usr/bin/env bash
# make check: everything that must hold before a change is worth reading.
#
# The stages print their time as they end. Two lanes share the machine once the
# code is compiled: the tests in one, staticcheck, the build and the race
# detector in the other. Closes with one line, "N passed, N failed, N skipped":
# each test counts once and so does each stage; tests repeated under the race
# detector count as that one stage.
#
#   RACE='./a/... ./b'   packages for the race detector (the Makefile's list)
#   CI=true              no cached test result, and a missing browser or C
#                        compiler fails instead of being skipped
set -u
cd "$(dirname "$0")/.."
. scripts/env.sh

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
ci=${CI:-}
began=$EPOCHREALTIME

fresh=()
[ "$ci" = true ] && fresh=(-count=1)

# since prints the seconds since a moment.
since() { awk -v a="$1" -v b="$EPOCHREALTIME" 'BEGIN { printf "%.1f s", b - a }'; }

# outcome notes how a stage ended; the closing line counts the notes.
outcome() { # passed|failed|skipped, stage, time or reason
  echo "$1" >>"$work/outcomes"
  printf '%-8s %-12s %s\n' "$1" "$2" "$3"
}

# stage runs a command quietly and shows what it said only if it failed.
stage() { # name, command...
  local name=$1 start=$EPOCHREALTIME
  shift
  if "$@" >"$work/$name.log" 2>&1 </dev/null; then
    outcome passed "$name" "$(since "$start")"
    return 0
  fi
  { cat "$work/$name.log"; outcome failed "$name" "$(since "$start")"; } >"$work/$name.say"
  cat "$work/$name.say"
  return 1
}

# absent is for what the machine lacks: skipped at a desk, failed under CI.
absent() { # stage, reason
  if [ "$ci" = true ]; then outcome failed "$1" "$2"; else outcome skipped "$1" "$2"; fi
}

shell_syntax() { local f; for f in scripts/*.sh scripts/peers/*.sh .ci/run; do bash -n "$f" || return; done; }

staticcheck() { go tool -modfile=tools.mod staticcheck ./...; }

build() { if [ -d cmd/fettle ]; then go build -o bin/fettle ./cmd/fettle; else echo "cmd/fettle is missing"; return 1; fi; }

# tests streams a line a package as it ends, and leaves its counts in a file.
tests() {
  local start=$EPOCHREALTIME
  go test -json -vet=off -timeout 5m "${fresh[@]}" ./... </dev/null 2>"$work/tests.err" |
    "$work/tally" -counts "$work/tests.counts"
  local codes=("${PIPESTATUS[@]}")
  cat "$work/tests.err"
  if [ "${codes[0]}${codes[1]}" = 00 ]; then
    outcome passed tests "$(since "$start")"
  else
    outcome failed tests "$(since "$start")"
  fi
}

# race runs the long-lived rooms again, short tests only: the detector slows a
# database some fifteen times.
race() {
  CGO_ENABLED=1 go test -race -short -json -vet=off -timeout 8m "${fresh[@]}" "${racy[@]}" |
    "$work/tally"
  local codes=("${PIPESTATUS[@]}")
  [ "${codes[0]}${codes[1]}" = 00 ]
}

# --- before the lanes -------------------------------------------------------

stage setup scripts/setup.sh || true
if FETTLE_BROWSER=$(scripts/setup.sh browser); then
  export FETTLE_BROWSER
else
  unset FETTLE_BROWSER
  absent browser "no Chromium or Chrome found, so the browser tests cannot run"
fi

stage shell shell_syntax
stage format scripts/format.sh
stage tally go build -o "$work/tally" ./internal/house/tally || { echo "0 passed, 1 failed"; exit 1; }
stage vet go vet ./...
if command -v node >/dev/null 2>&1; then
  stage scripts node --test internal/edge/web/scripttest/
else
  absent scripts "no node, which the tests of the page's scripts need"
fi

racy=()
for pattern in ${RACE:-}; do
  [ -d "${pattern%/...}" ] && racy+=("$pattern")
done

# --- the lanes --------------------------------------------------------------

tests &
{
  stage staticcheck staticcheck
  stage build build
  if ! command -v gcc >/dev/null 2>&1; then
    absent race "no C compiler, which the race detector needs"
  elif [ ${#racy[@]} -gt 0 ]; then
    stage race race
  fi
} &
wait

# --- the account ------------------------------------------------------------

read -r passed failed skipped <"$work/tests.counts" 2>/dev/null || { passed=0 failed=0 skipped=0; }
count() { grep -c "^$1\$" "$work/outcomes"; }
passed=$((passed + $(count passed)))
failed=$((failed + $(count failed)))
skipped=$((skipped + $(count skipped)))
echo "make check took $(since "$began")"
echo "$passed passed, $failed failed, $skipped skipped"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
