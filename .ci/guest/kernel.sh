#!/usr/bin/env bash
# Prints the path of a small kernel for the tests in an emulated machine, and builds it
# first where the cache has none:
#
#   .ci/guest/kernel.sh [FOLDER]
#
# FOLDER is the cache, by default $XDG_CACHE_HOME/bathtender/guest. The kernel's source is
# the package linux-source-6.1 of Debian 12; nothing of it is kept. Needs also make, gcc,
# flex, bison, bc, xz-utils and libelf-dev. A build takes about three minutes on two
# processors; what it says goes to FOLDER/build.log.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
cache=${1:-${XDG_CACHE_HOME:-$HOME/.cache}/bathtender/guest}
package=linux-source-6.1

version=$(dpkg-query -W -f '${Version}' "$package" 2>/dev/null) ||
	{ echo "the package $package is not installed" >&2; exit 1; }
# Another configuration, another source, another compiler: another kernel.
key=$({ cat "$here/kernel.config"; echo "$version"; gcc -dumpfullversion; } | sha256sum | cut -c 1-16)
image=$cache/bzImage-$key
mkdir -p "$cache"
# Two that want the same kernel build it once.
exec 9>"$cache/lock"
flock 9
if [ -s "$image" ]; then
	echo "$image"
	exit 0
fi

tree=$(mktemp -d "$cache/source.XXXXXX")
trap 'rm -rf "$tree"' EXIT
build() {
	tar -C "$tree" --strip-components 1 -xf "/usr/src/$package.tar.xz"
	cd "$tree"
	# The same source gives the same kernel, whoever builds it and when.
	export KBUILD_BUILD_TIMESTAMP=1970-01-01 KBUILD_BUILD_USER=test KBUILD_BUILD_HOST=guest
	make -s tinyconfig
	scripts/kconfig/merge_config.sh -m .config "$here/kernel.config" >/dev/null
	make -s olddefconfig
	# An option that does not exist, or lacks what it depends on, is dropped in silence.
	missing=$(grep '^CONFIG_' "$here/kernel.config" | sort | comm -23 - <(sort .config))
	if [ -n "$missing" ]; then
		echo "the kernel's configuration did not take:" $missing
		return 1
	fi
	nice make -s -j2 bzImage
	cp .config "$cache/config-$key"
	cp arch/x86/boot/bzImage "$image.new"
	mv "$image.new" "$image"
}
# Not as `build || ...`, which would let bash go on after a command that fails.
set +e
(set -e; build) 9>&- >"$cache/build.log" 2>&1
failed=$?
set -e
if [ "$failed" != 0 ]; then
	tail -n 20 "$cache/build.log" >&2
	echo "the kernel could not be built; see $cache/build.log" >&2
	exit 1
fi
echo "$image"
