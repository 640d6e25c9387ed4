#!/usr/bin/env bash
# Tries the README's two commands as on fresh machines: clean roots of Debian from debootstrap.
# By hand, as root, with about 3 GB free in /var/tmp for each; some minutes each, and the tests'.
#   tests/support/fresh_machines.sh [--walk-only] [SUITE ...]      (bookworm trixie sid)
set -euo pipefail
cd "$(dirname "$0")/../.."

only_walk=
if [ "${1:-}" = --walk-only ]; then only_walk=yes; shift; fi
packages=$(sed -n 's/^| Debian, Ubuntu | `sudo apt install \(.*\)` |$/\1/p' README.md)
walk=$(sed -n 's/^    \(python3 -m venv .*sidelight\)$/\1/p' README.md)
tests=$(sed -n 's/^    \(python3 -m venv .*-m pytest\)$/\1/p' README.md)
[ -n "$packages" ] && [ -n "$walk" ] && [ -n "$tests" ] || { echo "README has changed"; exit 1; }
settings=$(env | grep -E '^(PIP_CERT|PIP_INDEX|SSL_CERT|REQUESTS_CA|https?_proxy)' || true)

inside() {  # ROOT COMMAND: the mounts are gone when it ends
  unshare --mount --fork bash -c '
    mount -t proc proc "$0/proc"
    mount -t tmpfs tmpfs "$0/dev/shm"
    mount -t devpts -o newinstance,ptmxmode=0666 devpts "$0/dev/pts"
    cd "$0" && exec chroot "$0" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LANG=C.UTF-8 \
      $2 sh -c "cd /root/sidelight && $1"' "$1" "$2" "$settings"
}

for suite in ${*:-bookworm trixie sid}; do
  root=$(mktemp -d "/var/tmp/sidelight-$suite.XXXXXX")
  debootstrap --variant=minbase --include="ca-certificates,${packages// /,}" "$suite" "$root" \
    > "$root.log" 2>&1
  if [ -d /usr/local/share/ca-certificates ]; then  # where this machine trusts one of its own
    cp -r /usr/local/share/ca-certificates "$root/usr/local/share/"
    chroot "$root" update-ca-certificates > /dev/null 2>&1
  fi
  mkdir -p "$root/dev/shm" "$root/root/sidelight"
  git archive HEAD | tar -x -C "$root/root/sidelight"
  inside "$root" 'python3 --version; cc --version | head -n 1'
  printf 'Juniper\nstop\n' | inside "$root" "$walk" > "$root.log"
  grep 'Everything you said is kept' "$root.log"
  echo "$suite: a walk can be made"
  if [ -z "$only_walk" ]; then
    inside "$root" "rm -rf .venv; $tests"
    echo "$suite: the tests pass"
  fi
  rm -rf --one-file-system "$root" "$root.log"
done
