#!/bin/bash
# From a fresh checkout to a first plate: installs what is missing, builds Stonehand, does the main job on the sample
# order without a window, and opens the window where there is a display.
#
#   bash samples/first-plate.sh [FOLDER]     FOLDER for what is made; target/first-plate if not given
#
# STONEHAND=path       use this binary and build nothing
# STONEHAND_NO_WINDOW=1 open no window
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
out=${1:-target/first-plate}
window=
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ] && [ -z "${CI:-}${STONEHAND_NO_WINDOW:-}" ]; then window=yes; fi

# need must|may WHY PACKAGE…: installs what is missing, or says what to install.
need() {
    local how=$1 why=$2 missing=()
    shift 2
    if ! command -v dpkg-query >/dev/null; then
        echo "Not a Debian: make sure that you have what these packages hold: $*"
        return 0
    fi
    for package in "$@"; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing+=("$package")
    done
    [ ${#missing[@]} -gt 0 ] || return 0
    if [ "$(id -u)" -eq 0 ]; then
        echo "Installing $why: ${missing[*]}"
        export DEBIAN_FRONTEND=noninteractive
        apt-get -qq -o DPkg::Lock::Timeout=120 update </dev/null >/dev/null
        apt-get -qq -y -o DPkg::Lock::Timeout=120 install --no-install-recommends "${missing[@]}" </dev/null >/dev/null
        return 0
    fi
    echo "Missing $why. Please run: sudo apt-get install ${missing[*]}" >&2
    [ "$how" = may ] || exit 1
}

if [ -n "${STONEHAND:-}" ]; then
    stonehand=$STONEHAND
else
    if ! command -v cargo >/dev/null; then
        echo "Rust is missing. Install it from your distribution or with rustup (version 1.95 or later), then try again." >&2
        exit 1
    fi
    command -v cc >/dev/null || need must "a C compiler to link with" build-essential
    echo "Building Stonehand (some minutes the first time) …"
    cargo build --release --locked
    stonehand=${CARGO_TARGET_DIR:-target}/release/stonehand
fi
if [ -n "$window" ]; then
    need may "what a window needs" libegl1 libgl1-mesa-dri mesa-vulkan-drivers libxkbcommon0 libxkbcommon-x11-0 \
        libwayland-client0 libx11-6 libx11-xcb1 libxcursor1 libxi6 libxrandr2
fi

# step TEXT FILE COMMAND…: the command's output goes to FILE; status 1 means done, with findings to look at.
attention=
step() {
    local text=$1 file=$2 status=0
    shift 2
    echo "$text"
    "$@" >"$out/$file" || status=$?
    if [ "$status" -eq 1 ]; then
        attention=yes
    elif [ "$status" -ne 0 ]; then
        echo "That did not work (exit status $status): $*" >&2
        exit "$status"
    fi
}

mkdir -p "$out"
order=samples/hive-fittings.stonehand
# The two that are most likely to fall over.
study_footings() {
    "$stonehand" study footing "$order" --part "queen-cage peg" && echo &&
        "$stonehand" study footing "$order" --part "feeder funnel"
}
packed=$out/hive-fittings-packed.stonehand
topped=$out/hive-fittings-topped-up.stonehand
dealt=$out/hive-fittings-dealt.stonehand
tallied=$out/hive-fittings-tallied.stonehand

echo
echo "The order: fittings for beekeepers, two machines."
step "1. Looking at the meshes" meshes.txt \
    "$stonehand" inspect samples/*.stl samples/*.obj samples/*.3mf
step "2. A job of one's own from meshes and counts" new.txt \
    "$stonehand" new -o "$out/spacers.stonehand" --bed 220x200x180 --gap 3 --footing bare --part samples/frame-spacer.obj:12
step "3. Packing the order tighter" pack.json \
    "$stonehand" pack "$order" -o "$packed" --seconds 10 --seed 1 --json
step "4. Topping up with frame spacers" top-up.json \
    "$stonehand" top-up "$packed" -o "$topped" --part "frame spacer" --seconds 5 --seed 1 --json
step "5. Estimating time, cooling and filament" estimate.txt "$stonehand" estimate "$topped"
attention=
step "6. Checking" findings.txt "$stonehand" check "$topped"
step "7. Comparing footings of the tall peg and the funnel" footings.txt \
    study_footings
step "8. How many frame spacers at once" copies.txt "$stonehand" study copies "$order" --part "frame spacer"
step "9. Dealing the order out over machines and days" deal.txt "$stonehand" deal "$order" -o "$dealt" --rounds 20 --seed 1
step "10. When it runs, and what to start first" shifts.txt \
    "$stonehand" shifts "$dealt" --now 2027-03-08T08:00 --calendar "$out/shifts.ics" --csv "$out/shifts.csv"
step "11. Writing placements, 3MF, STL, drawings, run sheets" export.txt "$stonehand" export "$topped" -o "$out/plates"
step "12. Comparing what was written with its manifest" check-export.txt "$stonehand" check-export "$out/plates"
step "13. A plate came out, one copy came loose: writing it down" tally.txt \
    "$stonehand" tally "$dealt" -o "$tallied" --plate 1 --bad 1 --cause came-loose --hours 9.5 --initials MK
step "14. What the tally teaches" report.txt "$stonehand" tally "$tallied" --report

echo
sed -n '1,40p' "$out/estimate.txt"
echo
echo "Made in $out:"
echo "  meshes.txt, estimate.txt, findings.txt, footings.txt, copies.txt, shifts.txt, report.txt   what Stonehand says of the order"
echo "  shifts.ics, shifts.csv   the timeline as a calendar and a table"
echo "  $(basename "$packed"), $(basename "$topped"), $(basename "$dealt"), $(basename "$tallied")   jobs to open"
(cd "$out/plates" && for file in *; do echo "  plates/$file"; done)
[ -z "$attention" ] || echo "Some findings say stop: see $out/findings.txt."

if [ -n "$window" ]; then
    "$stonehand" "$topped" >"$out/window.log" 2>&1 &
    pid=$!
    sleep 2
    if kill -0 "$pid" 2>/dev/null; then
        echo "The window is open on $topped."
    else
        echo "The window did not open; $out/window.log says why. All else above is done."
    fi
else
    echo "No window opened. On a desktop: $stonehand $topped"
fi
