#!/usr/bin/env bash
# Does what a stranger does on the first day: clones fettle into an empty
# folder, runs make demo and looks at the page, then runs make check. Passes
# when both do.
#
#   scripts/fresh-clone.sh [REPOSITORY]    default: the checkout this lies in
#
# The stranger's home, module cache, build cache and npm cache are empty, and
# the path leads to no Chromium. What this cannot show on a machine that has
# the package installed already: apt-get is then asked for it and answers that
# it is there, and the browser is found where the package keeps it.
# scripts/bare-debian.sh goes the whole way.
#
#   WORDS='a b'   words the demo page must contain (default: the two families)
#   KEEP=1        leave the folder and its logs behind
set -u

source=${1:-$(cd "$(dirname "$0")/.." && pwd)}
words=${WORDS:-corran-24-5 tarn-32-6}
work=$(mktemp -d)
demo=

finish() {
  [ -n "$demo" ] && kill -- "-$demo" 2>/dev/null
  # Go writes its module cache read-only.
  if [ -z "${KEEP:-}" ]; then chmod -R u+w "$work"; rm -rf "$work"; else echo "kept $work"; fi
}
trap finish EXIT
trap 'exit 130' INT TERM

fail() { echo "fresh clone failed: $*"; echo "$passed passed, 1 failed"; exit 1; }
passed=0
pass() { passed=$((passed + 1)); echo "passed: $* ($SECONDS s since the start)"; }

# hide makes a folder of links to every program on the path but the browsers,
# and prints it. Without a browser there is nothing to hide, and the path stays.
hide() {
  local dir file
  compgen -c | grep -q '^\(chrom\|google-chrom\)' || { echo "$PATH"; return; }
  mkdir "$1"
  while read -r dir; do
    for file in "$dir"/*; do
      case ${file##*/} in *chrom*) continue ;; esac
      [ -x "$file" ] && [ ! -e "$1/${file##*/}" ] && ln -s "$file" "$1/"
    done
  done < <(tr : '\n' <<<"$PATH")
  echo "$1"
}

# stranger runs a command with nothing of ours around it but how this machine
# reaches the Go modules.
stranger() {
  env -i PATH="$path" HOME="$work/home" TERM=dumb LANG=C.UTF-8 CI="${CI:-}" \
    npm_config_cache="$work/npm" TMPDIR="$work/tmp" \
    GOPROXY="$(go env GOPROXY)" GOSUMDB="$(go env GOSUMDB)" GOTOOLCHAIN="$(go env GOTOOLCHAIN)" \
    "$@"
}

# fetch prints a page; a bare machine may lack curl but has Node.
fetch() {
  if command -v curl >/dev/null 2>&1; then
    curl -sSf --max-time 30 "$1"
  else
    node -e 'fetch(process.argv[1]).then(async r => { if (!r.ok) throw r.status; process.stdout.write(await r.text()) }).catch(e => { console.error(String(e)); process.exit(1) })' "$1"
  fi
}

mkdir "$work/home" "$work/npm" "$work/tmp"
path=$(hide "$work/path")
git clone -q --no-hardlinks "$source" "$work/fettle" || fail "git clone $source"
cd "$work/fettle" || exit 1
pass "cloned $(git rev-parse --short HEAD)"

set -m # a process group of its own for the demo, so that it ends as a whole
stranger make demo >"$work/demo.log" 2>&1 </dev/null &
demo=$!
set +m
address=
for ((i = 0; i < 900; i++)); do
  address=$(grep -oE 'https?://[][0-9A-Za-z.:-]+(/[^[:space:]]*)?' "$work/demo.log" | head -n 1)
  [ -n "$address" ] && break
  kill -0 "$demo" 2>/dev/null || { cat "$work/demo.log"; fail "make demo ended before it printed an address"; }
  sleep 1
done
[ -n "$address" ] || { tail "$work/demo.log"; fail "make demo printed no address in 15 minutes"; }
pass "make demo printed $address"

fetch "$address" >"$work/page.html" || fail "the page at $address"
for word in $words; do
  grep -qF -- "$word" "$work/page.html" || fail "the page at $address does not contain $word"
done
pass "the page holds $words"

kill -0 "$demo" 2>/dev/null || fail "the demo did not stay up"
kill -- "-$demo"
wait "$demo" 2>/dev/null
demo=

stranger make check </dev/null || fail "make check"
pass "make check"
[ -z "$(git status --porcelain)" ] || { git status --short; fail "demo and check left files that git does not ignore"; }
pass "the checkout is as clean as it was cloned"
echo "$passed passed, 0 failed"
