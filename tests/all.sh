#!/bin/bash
# Runs every test and stops at the first that fails. Needs a Debian 12 with Rust; as root it installs the rest itself.
#
#   bash tests/all.sh            all of it
#   bash tests/all.sh rust       formatting, lints, Rust tests, documentation
#   bash tests/all.sh outside    the referees, samples/first-plate.sh and the Debian package, on the binary that is there
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
part=${1:-all}
case $part in all | rust | outside) ;; *)
    echo "tests/all.sh: say nothing, 'rust' or 'outside', not '$part'." >&2
    exit 2
    ;;
esac
export CARGO_TERM_COLOR=never INSTA_UPDATE=no
[ -z "${CI:-}" ] || export CARGO_INCREMENTAL=0
unset UPDATE_SNAPSHOTS DISPLAY WAYLAND_DISPLAY WAYLAND_SOCKET
log=target/tests.log
mkdir -p target
: >"$log"

passed=0
stage=setup
begun=$SECONDS
finish() {
    local status=$?
    if [ "$status" -ne 0 ]; then
        echo
        echo "Stopped at: $stage."
        echo "$passed passed, 1 failed"
    fi
    exit "$status"
}
trap finish EXIT

# need WHY PACKAGE…: installs what is missing, or says what to install.
need() {
    local why=$1 missing=()
    shift
    command -v dpkg-query >/dev/null || {
        echo "Not a Debian: make sure that you have what these packages hold: $*"
        return
    }
    for package in "$@"; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing+=("$package")
    done
    [ ${#missing[@]} -gt 0 ] || return 0
    if [ "$(id -u)" -ne 0 ]; then
        echo "Missing $why. Please run: sudo apt-get install ${missing[*]}" >&2
        return 1
    fi
    export DEBIAN_FRONTEND=noninteractive
    apt-get -q -o DPkg::Lock::Timeout=120 update </dev/null >>"$log" 2>&1
    apt-get -q -y -o DPkg::Lock::Timeout=120 install --no-install-recommends "${missing[@]}" </dev/null >>"$log" 2>&1
}

# run NAME COMMAND…: one stage. Its output is shown and kept; what its runners count is added up, else it counts as one.
run() {
    stage=$1
    shift
    local from=$SECONDS out=target/tests-stage.log counted
    echo
    echo "== $stage"
    "$@" </dev/null 2>&1 | tee "$out"
    cat "$out" >>"$log"
    counted=$(grep -oE '\b[0-9]+ passed' "$out" | awk '{n += $1} END {print n + 0}' || true)
    [ "$counted" -gt 0 ] || counted=1
    passed=$((passed + counted))
    echo "-- $stage: $((SECONDS - from)) s"
}

command -v cargo >/dev/null || {
    echo "Rust is missing: install it from your distribution or with rustup (version 1.95 or later), then try again." >&2
    exit 1
}

rust() {
    need "a C compiler to link with" build-essential
    need "a software rasteriser for the pictures" mesa-vulkan-drivers libvulkan1
    # Pictures come from that one, whatever cards the machine has.
    export WGPU_BACKEND=vulkan LIBGL_ALWAYS_SOFTWARE=1
    for icd in /usr/share/vulkan/icd.d/lvp_icd.*json; do
        [ ! -e "$icd" ] || export VK_DRIVER_FILES=$icd VK_ICD_FILENAMES=$icd
    done
    if cargo fmt --version >/dev/null 2>&1; then
        run "formatting" cargo fmt --check
    else
        echo "Formatting not checked: rustfmt is missing (rustup component add rustfmt)."
    fi
    if cargo clippy --version >/dev/null 2>&1; then
        run "lints" cargo clippy --locked --quiet --all-targets -- -D warnings
    else
        echo "Lints not checked: clippy is missing (rustup component add clippy)."
    fi
    run "documentation" env RUSTDOCFLAGS="-D warnings" cargo doc --locked --quiet --no-deps --lib
    if cargo nextest --version >/dev/null 2>&1; then
        run "Rust tests" cargo nextest run --locked --no-fail-fast --status-level fail --final-status-level fail
    else
        run "Rust tests" cargo test --locked --quiet --lib --bins --tests --examples
    fi
    run "documentation's examples" cargo test --locked --quiet --doc
}

referees() {
    local venv=target/referees
    if [ ! -x "$venv/bin/pytest" ] || ! cmp -s tests/referees/requirements.txt "$venv/installed.txt"; then
        rm -rf "$venv"
        python3 -m venv "$venv"
        "$venv/bin/python" -m pip install -q --disable-pip-version-check -r tests/referees/requirements.txt
        cp tests/referees/requirements.txt "$venv/installed.txt"
    fi
    "$venv/bin/pytest" -q -p no:cacheprovider -x tests/referees
}

outside() {
    export STONEHAND=${STONEHAND:-$PWD/target/debug/stonehand}
    [ -x "$STONEHAND" ] || {
        stage="the binary under test"
        run "the binary" cargo build --locked --quiet --profile test --bin stonehand
    }
    python3 -c 'import ensurepip, venv' 2>/dev/null || need "Python's venv" python3 python3-venv
    need "poppler, which reads the printed pages" poppler-utils
    run "referees" referees
    run "first plate" env CI=true bash samples/first-plate.sh target/first-plate-test
    if command -v dpkg-deb >/dev/null; then
        need "what judges a package" binutils desktop-file-utils fakeroot libglib2.0-bin lintian man-db shared-mime-info xz-utils
        run "Debian package" bash tests/package.sh "$STONEHAND"
    else
        echo "Debian package not checked: this is no Debian."
    fi
}

[ "$part" = outside ] || rust
[ "$part" = rust ] || outside

echo
echo "All of it passed in $((SECONDS - begun)) s."
echo "$passed passed, 0 failed"
