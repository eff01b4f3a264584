# Sourced by every script and by the Makefile: where Go is, where it may keep
# its caches, and the flags that all builds share. Prints nothing unless
# something is missing.

# Go unpacks here on most machines; a bare shell may not have it on its path.
if ! command -v go >/dev/null 2>&1 && [ -x /usr/local/go/bin/go ]; then
  PATH=$PATH:/usr/local/go/bin
fi
if ! command -v go >/dev/null 2>&1; then
  echo "fettle needs Go 1.26 or later, and no 'go' is on the path. Install Go, then run this again." >&2
  exit 1
fi

# Go and Chromium both want a home that can be written to. Without one, take
# the account's own; without that, a folder of the checkout that git ignores.
if [ -z "${HOME:-}" ] || [ ! -d "${HOME:-}" ] || [ ! -w "${HOME:-}" ]; then
  HOME=$(getent passwd "$(id -u)" 2>/dev/null | cut -d: -f6)
  if [ -z "$HOME" ] || [ ! -d "$HOME" ] || [ ! -w "$HOME" ]; then
    HOME=$PWD/.cache/home
    mkdir -p "$HOME"
  fi
fi
export HOME PATH

# One set of flags for build, vet, staticcheck and tests means that each
# dependency is compiled once, and that a second checkout finds it compiled.
# The version-control stamp is left out: the same source gives the same bytes.
export CGO_ENABLED=0
export GOFLAGS="${GOFLAGS:-} -trimpath -buildvcs=false"
