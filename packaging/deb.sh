#!/bin/bash
# Makes the Debian package, target/package/stonehand_VERSION_ARCHITECTURE.deb.
#
#   bash packaging/deb.sh             builds the program for release first
#   bash packaging/deb.sh BINARY      packs a program that is there
#
# Needs cargo, binutils and dpkg; installs cargo-deb below target/tools where it is missing.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
binary=${1:-}
packer=3.8.0
tools=target/tools
out=target/package
files=$out/files

if [ "$("$tools/bin/cargo-deb" --version 2>/dev/null)" != "cargo-deb $packer" ]; then
    echo "Installing cargo-deb $packer below $tools"
    # Without its default features it packs with the system's xz and needs no C library built.
    cargo install --quiet --locked --no-default-features --root "$tools" --version "$packer" cargo-deb
fi
if [ -z "$binary" ]; then
    commit=$(git rev-parse HEAD 2>/dev/null || true)
    STONEHAND_COMMIT=$commit cargo build --release --locked --bin stonehand
    binary=${CARGO_TARGET_DIR:-target}/release/stonehand
fi

rm -rf "$out"
mkdir -p "$out/release" "$files/man"
strip -o "$out/release/stonehand" "$binary"
chmod 755 "$out/release/stonehand"

"$binary" manual -o "$files/man" >/dev/null
gzip -9n "$files"/man/*.1
for shell in bash fish zsh; do
    "$binary" completions "$shell" >"$files/stonehand.$shell"
done

version=$("$binary" --version)
version=${version#stonehand }
# The time of the last change, so that the same source gives the same package.
when=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct 2>/dev/null || date +%s)}
cat >"$files/changelog" <<END
stonehand ($version-1) unstable; urgency=medium

  * Release $version.

 -- Stonehand maintainers <maintainers@stonehand.example>  $(date -uR -d "@$when")
END

{
    echo "Libraries that are part of the program, and their licences (SPDX)."
    echo "Each comes with its source and its authors at https://crates.io/crates/NAME."
    echo
    cargo tree --locked --offline --edges normal --prefix none --format '{p} {l}' |
        sed -E 's/ \((proc-macro|\*)\)//g; s/ \([^)]*\/[^)]*\)//' | grep -v '^stonehand ' | sort -u
} >"$files/libraries.txt"

CARGO_TARGET_DIR=$PWD/$out SOURCE_DATE_EPOCH=$when \
    "$tools/bin/cargo-deb" --no-build --no-strip --locked --offline --compress-system --quiet --output "$out/"
