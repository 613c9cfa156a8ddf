#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# deb.sh build VERSION: the Debian packages, from a copy of the tree, into build/deb; lintian must find no error.
# deb.sh check: installs them in a fresh Debian of its own and runs debian/tests there. Takes root; the mirror is the
# one that this machine's apt uses.
set -eu
cd "$(dirname "$0")/.."
out=$PWD/build/deb

build() { # VERSION
  packaged=$(dpkg-parsechangelog -S Version)
  if [ "$packaged" != "$1" ]; then
    echo "deb: debian/changelog has version $packaged, lib/base/version.h has $1" >&2
    exit 1
  fi
  for package in $(sh tools/deps.sh --list build); do
    case $package in
    gcc | make | pkg-config) ;; # there in every build, or by another name
    *)
      grep -q "^  *$package,\{0,1\}\$\|^Build-Depends:.* $package," debian/control || {
        echo "deb: tools/deps.sh builds with $package, but debian/control does not" >&2
        exit 1
      }
      ;;
    esac
  done
  rm -rf "$out"
  mkdir -p "$out/pushcycle-$1"
  if git rev-parse --git-dir >/dev/null 2>&1; then
    git ls-files -z | tar -c --null --files-from - | tar -x -C "$out/pushcycle-$1"
  else
    tar -c --exclude ./build . | tar -x -C "$out/pushcycle-$1"
  fi
  echo "deb: building; what is said goes to build/deb/build.log"
  (cd "$out/pushcycle-$1" && DEB_BUILD_OPTIONS="${DEB_BUILD_OPTIONS:+$DEB_BUILD_OPTIONS }parallel=${JOBS:-1}" \
    dpkg-buildpackage -us -uc -b) >"$out/build.log" 2>&1 || {
    tail -n 30 "$out/build.log" >&2
    exit 1
  }
  lintian --allow-root --fail-on error --tag-display-limit 0 "$out"/*.changes
  ls "$out"/*.deb
}

mirror_of_apt() { # RELEASE: the first one that has Debian's main
  apt-get indextargets --format '$(ORIGIN) $(CODENAME) $(COMPONENT) $(REPO_URI)' 'Created-By: Packages' |
    awk -v release="$1" '$1 == "Debian" && $2 == release && $3 == "main" { print $4; exit }'
}

check() {
  if [ "$(id -u)" -ne 0 ]; then
    echo "deb: a fresh Debian to install in (debootstrap, chroot) takes root; run it as: sudo make deb-check" >&2
    exit 1
  fi
  ls "$out"/*.deb >/dev/null 2>&1 || {
    echo "deb: no packages in build/deb; make deb first" >&2
    exit 1
  }
  # shellcheck disable=SC1091
  release=$(. /etc/os-release && echo "${VERSION_CODENAME:-}")
  mirror=$(mirror_of_apt "$release")
  if [ -z "$mirror" ]; then
    echo "deb: apt has no source of Debian \"$release\" main to take a fresh system from" >&2
    exit 1
  fi
  root=$(mktemp -d /tmp/pushcycle-deb.XXXXXX)
  chmod 755 "$root"
  trap 'rm -rf --one-file-system "$root"' EXIT
  echo "deb: making a fresh $release; what is said goes to build/deb/check.log"
  debootstrap --variant=minbase "$release" "$root" "$mirror" >"$out/check.log" 2>&1 || {
    tail -n 20 "$out/check.log" >&2
    echo "deb: debootstrap could not make a fresh system here" >&2
    exit 1
  }
  mkdir "$root/packages" "$root/tests"
  cp "$out"/*.deb "$root/packages"
  cp debian/tests/* "$root/tests"
  inside() {
    chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin DEBIAN_FRONTEND=noninteractive "$@"
  }
  # Tests one after the other, each with what it depends on, ours from the files.
  awk '/^Tests:/ { name = $2 } /^Depends:/ { sub(/^Depends: */, ""); gsub(/,/, ""); print name, $0 }' debian/tests/control |
    while read -r name needs; do
      # ours come from the files, and so does what they need of ours
      packages=$(cd "$root" && echo ./packages/libpushcycle0_*.deb)
      for need in $needs; do
        case $need in
        *pushcycle*) packages="$packages $(cd "$root" && echo ./packages/"${need}"_*.deb)" ;;
        *) packages="$packages $need" ;;
        esac
      done
      # shellcheck disable=SC2086
      inside apt-get install -y -q --no-install-recommends $packages >>"$out/check.log" 2>&1 </dev/null || {
        tail -n 20 "$out/check.log" >&2
        echo "deb: the packages of test \"$name\" could not be installed" >&2
        exit 1
      }
      inside sh "/tests/$name" </dev/null || {
        echo "deb: test \"$name\" failed" >&2
        exit 1
      }
    done
  # Taken away again, nothing of ours stays.
  # shellcheck disable=SC2046
  inside apt-get purge -y -q pushcycle libpushcycle0 libpushcycle-dev >>"$out/check.log" 2>&1 </dev/null
  left=$(find "$root/usr" "$root/etc" "$root/var" -name '*pushcycle*')
  if [ -n "$left" ]; then
    echo "deb: after purge there is left: $left" >&2
    exit 1
  fi
  echo "deb: the packages install in a fresh $release, their tests pass, and purge leaves nothing"
}

case $1 in
build) build "$2" ;;
check) check ;;
*)
  echo "deb.sh: build VERSION, or check" >&2
  exit 2
  ;;
esac
