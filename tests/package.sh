#!/bin/bash
# Builds the Debian package from a program that is there, installs it into an empty folder, uses it there, and removes it again.
#
#   bash tests/package.sh [BINARY]     target/debug/stonehand, or the one named in STONEHAND
#
# Works as root, and without: then fakeroot stands in for it.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
export LC_ALL=C.UTF-8 PATH=$PATH:/usr/sbin:/sbin
unset DISPLAY WAYLAND_DISPLAY WAYLAND_SOCKET
binary=${1:-${STONEHAND:-target/debug/stonehand}}
passed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
root=$work/root

ok() {
    passed=$((passed + 1))
    echo "  $*"
}
fail() {
    echo "tests/package.sh: $*" >&2
    echo "$passed passed, 1 failed"
    exit 1
}
# quiet COMMAND…: must succeed and say nothing, on neither output.
quiet() {
    local said
    said=$("$@" 2>&1) || fail "$1 failed: $said"
    [ -z "$said" ] || fail "$1 says: $said"
}
dpkg_there() {
    local as=()
    [ "$(id -u)" -eq 0 ] || as=(fakeroot)
    # Dependencies are looked for below the folder too, where nothing is; they are judged apart.
    "${as[@]}" dpkg --root="$root" --force-not-root --force-depends --log="$work/dpkg.log" "$@" >>"$work/dpkg.out" 2>&1 ||
        fail "dpkg $1: $(tail -n 5 "$work/dpkg.out")"
}
# In the folder: what is there beside the package manager's own records.
there() {
    (cd "$root" && find . -mindepth 1 -not -path './var*' -printf '%P\n' | sort)
}

bash packaging/deb.sh "$binary"
debs=(target/package/*.deb)
[ "${#debs[@]}" -eq 1 ] && [ -s "${debs[0]}" ] || fail "not one package: ${debs[*]}"
deb=${debs[0]}
ok "built $(basename "$deb"), $(stat -c %s "$deb") bytes"

# Judged before it is installed. Warnings count; the overrides it carries have their reasons beside them.
quiet lintian --fail-on error,warning --allow-root --tag-display-limit 0 "$deb"
ok "lintian has nothing to say"
depends=$(dpkg-deb -f "$deb" Depends)

mkdir -p "$root/var/lib/dpkg/info" "$root/var/lib/dpkg/updates"
: >"$root/var/lib/dpkg/status"
[ -z "$(there)" ] || fail "the folder is not empty: $(there)"
dpkg_there --install "$deb"
state=$(dpkg-query --admindir="$root/var/lib/dpkg" -W -f '${Status}' stonehand)
[ "$state" = "install ok installed" ] || fail "it is $state"
ok "installed: $(there | wc -l) files and folders"

# The program, started where it was installed.
program=$root/usr/bin/stonehand
version=$(cd / && "$program" --version)
[ "stonehand_${version#stonehand }-1_$(dpkg --print-architecture).deb" = "$(basename "$deb")" ] || fail "--version says $version"
! ldd "$program" | grep 'not found' || fail "a library is missing"
depends=$(dpkg-deb -f "$deb" Depends)
for library in $(ldd "$program" | awk '$2 == "=>" {print $1}'); do
    owner=$(dpkg-query -S "*/$library" | head -n 1 | sed 's/[:,].*//')
    [[ ", $depends" == *", $owner"* ]] || fail "it loads $library of $owner, and depends on $depends"
done
ok "depends on what it loads: $depends"
status=0
(cd "$work" && "$program" check "$root/usr/share/stonehand/samples/hive-fittings.stonehand") >"$work/check.out" || status=$?
[ "$status" -le 1 ] || fail "the installed sample cannot be checked"
! grep -q missing-mesh "$work/check.out" || fail "meshes of the installed sample are missing"
ok "$version starts and checks the sample job"

# A page for each command, without a complaint.
commands=$("$program" --help | sed -n '/^Commands:/,/^$/p' | awk '/^  [a-z]/ && $1 != "help" {print $1}')
[ "$(wc -w <<<"$commands")" -ge 12 ] || fail "commands: $commands"
for page in stonehand $(sed 's/^/stonehand-/' <<<"$commands"); do
    file=$root/usr/share/man/man1/$page.1.gz
    [ -s "$file" ] || fail "there is no page $page"
    MANROFFSEQ='' MANWIDTH=100 man --warnings -E UTF-8 -l "$file" >"$work/page" 2>"$work/complaints" </dev/null
    [ ! -s "$work/complaints" ] || fail "$page: $(head -n 3 "$work/complaints")"
    grep -q '^SYNOPSIS' "$work/page" || fail "$page has no synopsis"
done
ok "a manual page for each of $(wc -w <<<"$commands") commands"

# Completions: bash completes a command and an option; the others are at least read without a fault.
bash_file=$root/usr/share/bash-completion/completions/stonehand
quiet bash -n "$bash_file"
completed=$(bash -c '
    source "$1"
    complete -p stonehand >/dev/null
    COMP_WORDS=(stonehand top); COMP_CWORD=1; _stonehand stonehand top stonehand
    printf "%s " "${COMPREPLY[@]}"
    COMP_WORDS=(stonehand pack --tog); COMP_CWORD=2; _stonehand stonehand --tog pack
    printf "%s" "${COMPREPLY[@]}"' - "$bash_file")
[ "$completed" = "top-up --together" ] || fail "bash completes: $completed"
if command -v zsh >/dev/null; then quiet zsh -n "$root/usr/share/zsh/vendor-completions/_stonehand"; fi
if command -v fish >/dev/null; then quiet fish --no-execute "$root/usr/share/fish/vendor_completions.d/stonehand.fish"; fi
ok "completions work"

# The desktop: its entry, the icon it names, and the type of a job, by its ending and by its content.
quiet desktop-file-validate "$root/usr/share/applications/stonehand.desktop"
for size in 48 128 256; do
    picture=$(od -An -tu1 -j16 -N8 "$root/usr/share/icons/hicolor/${size}x$size/apps/stonehand.png" | tr -s ' ')
    # Width and height of a PNG are big-endian numbers at byte 16 (ISO/IEC 15948).
    [ "$picture" = " 0 0 $((size / 256)) $((size % 256)) 0 0 $((size / 256)) $((size % 256))" ] || fail "icon $size: $picture"
done
mkdir -p "$work/share/mime/packages"
cp "$root/usr/share/mime/packages/stonehand.xml" "$work/share/mime/packages/"
cp /usr/share/mime/packages/freedesktop.org.xml "$work/share/mime/packages/"
XDG_DATA_HOME=$work/share quiet update-mime-database "$work/share/mime"
type=application/x-stonehand+json
cp samples/hive-fittings.stonehand "$work/by-ending.stonehand"
cp samples/hive-fittings.stonehand "$work/by-content"
echo '{"other": 1}' >"$work/neither"
type_of() {
    XDG_DATA_HOME=$work/share XDG_DATA_DIRS=$work/share gio info -a standard::content-type "$1" |
        awk '/standard::content-type/ {print $2}'
}
for file in by-ending.stonehand by-content; do
    [ "$(type_of "$work/$file")" = $type ] || fail "$file is of type $(type_of "$work/$file")"
done
[ "$(type_of "$work/neither")" != $type ] || fail "any JSON is taken for a job"
grep -q "^MimeType=$type;" "$root/usr/share/applications/stonehand.desktop" || fail "the entry does not open $type"
ok "desktop entry, icons, type of a job"

# Gone again, settings and all.
dpkg_there --purge stonehand
[ -z "$(there)" ] || fail "left behind: $(there)"
ok "removed, and nothing is left"
echo "$passed passed"
