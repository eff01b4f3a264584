#!/usr/bin/env bash
# Runs scripts/fresh-clone.sh on a machine that has nothing: a minimal Debian in
# a folder, with make, git, Node and this machine's Go, no browser, no C
# compiler and no package list. Needs root, debootstrap and half a gigabyte;
# everything is removed afterwards.
#
#   scripts/bare-debian.sh [REPOSITORY]    default: the checkout this lies in
set -eu

source=$(cd "${1:-$(dirname "$0")/..}" && pwd)
[ "$(id -u)" = 0 ] || { echo "a root folder of its own can only be made by root"; exit 1; }
command -v debootstrap >/dev/null || { echo "needs debootstrap: apt-get install debootstrap"; exit 1; }
goroot=$(go env GOROOT)
release=$(. /etc/os-release && echo "$VERSION_CODENAME")
mirror=$(apt-get indextargets --format '$(CODENAME) $(REPO_URI)' 'Created-By: Packages' 'Origin: Debian' |
  awk -v r="$release" '$1 == r { print $2; exit }')
[ -n "$mirror" ] || { echo "apt-get knows no Debian mirror for $release; run apt-get update"; exit 1; }

box=$(mktemp -d)
trap 'rm -rf --one-file-system "$box"' EXIT
echo "making a minimal $release in $box"
debootstrap --variant=minbase --include=make,git,ca-certificates,nodejs "$release" "$box" "$mirror" >"$box.log" 2>&1 ||
  { tail "$box.log"; exit 1; }
rm -rf "$box.log" "$box"/var/lib/apt/lists/*
cp -L /etc/resolv.conf "$box/etc/resolv.conf"
cp -L /etc/ssl/certs/ca-certificates.crt "$box/etc/ssl/certs/ca-certificates.crt"
mkdir -p "$box/usr/local/go" "$box/src"

# Mounts and processes end with the namespace, whatever happens inside.
export box source goroot WORDS="${WORDS:-}" CI="${CI:-}"
unshare --mount --pid --fork --kill-child bash -eu <<'INSIDE'
mount --make-rprivate /
mount -t proc proc "$box/proc"
mount --rbind /dev "$box/dev"
mount --bind -o ro "$goroot" "$box/usr/local/go"
mount --bind -o ro "$source" "$box/src"
exec chroot "$box" /usr/bin/env -i PATH=/usr/local/go/bin:/usr/sbin:/usr/bin:/sbin:/bin \
  HOME=/root LANG=C.UTF-8 CI="$CI" ${WORDS:+WORDS="$WORDS"} \
  bash /src/scripts/fresh-clone.sh /src </dev/null
INSIDE
