#!/usr/bin/env bash
# Installs what make check needs and this machine lacks: a browser for the
# browser tests, pdftoppm for the tests that look at PDF pages, a C compiler
# for the race detector, and from npm what package.json names: the checker that
# holds pages against the accessibility guidelines. The program itself needs
# none of them.
#
#   scripts/setup.sh            install what is missing
#   scripts/setup.sh browser    print the path of the browser, or nothing
#
# Exit 0 when all is there, 1 when something stays missing (each with a
# sentence on standard error). Nothing is upgraded or removed.
set -u
cd "$(dirname "$0")/.."

# browser prints the first browser found on the path.
browser() {
  local name
  for name in chromium chromium-browser google-chrome google-chrome-stable; do
    command -v "$name" 2>/dev/null && return 0
  done
  return 1
}

# installed_browser looks where the Debian package puts it, for a path that
# does not lead there.
installed_browser() {
  browser || { [ -x /usr/bin/chromium ] && echo /usr/bin/chromium; }
}

# lacking prints the packages to install, a line each.
lacking() {
  browser >/dev/null || echo chromium
  command -v pdftoppm >/dev/null 2>&1 || echo poppler-utils
  command -v npm >/dev/null 2>&1 || echo npm
  if ! command -v gcc >/dev/null 2>&1; then
    echo gcc
    echo libc6-dev
  fi
}

# npm_install fetches what package-lock.json names, once for each lock.
npm_install() {
  local mark=node_modules/.fetched
  cmp -s package-lock.json "$mark" && return
  echo "fetching what package-lock.json names"
  npm ci --ignore-scripts --no-audit --no-fund --loglevel=error && cp package-lock.json "$mark"
}

apt_install() {
  "${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends \
    -o DPkg::Lock::Timeout=300 -o Acquire::Retries=2 "$@" </dev/null
}

if [ "${1:-}" = browser ]; then
  installed_browser
  exit
fi

mapfile -t packages < <(lacking)
if [ ${#packages[@]} -eq 0 ]; then
  npm_install
  exit
fi

by_hand="Install by hand: ${packages[*]} (Debian's names)."
if ! command -v apt-get >/dev/null 2>&1; then
  echo "This machine has no apt-get, so nothing was installed. $by_hand" >&2
  exit 1
fi
root=()
if [ "$(id -u)" != 0 ]; then
  if ! command -v sudo >/dev/null 2>&1 || ! sudo -n true 2>/dev/null; then
    echo "Installing needs root, and sudo does not work here without a password. $by_hand" >&2
    exit 1
  fi
  root=(sudo -n)
fi

echo "installing ${packages[*]}"
log=$(mktemp)
trap 'rm -f "$log"' EXIT
# The package list of a new machine is empty or old; ask for it only then.
if ! apt_install "${packages[@]}" >"$log" 2>&1; then
  if ! "${root[@]}" apt-get update -q </dev/null >"$log" 2>&1 ||
     ! apt_install "${packages[@]}" >>"$log" 2>&1; then
    tail -n 15 "$log" >&2
    echo "apt-get could not install ${packages[*]}; its last lines stand above. $by_hand" >&2
    exit 1
  fi
fi
npm_install
