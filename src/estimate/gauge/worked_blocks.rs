//! Machine code written here, timed by hand.
//!
//! Meaning of the words: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter, Version 3, 2000 (from memory); E,
//! M82, M83, M203 to M205 and the like: common practice on filament machines, no source. Times: textbook kinematics, from rest to
//! rest L / v + v / a where L is at least v² / a, else 2 √(L / a); on an arc v² / r is at most a.

use std::{
    f64::consts::{PI, TAU},
    fmt::Write as _,
};

use proptest::prelude::*;

use super::*;
use crate::{
    estimate::motion::tests::{Piece, slow_simulation},
    finding::Level,
    geom::Point,
    watch::{Quiet, Watch},
};

fn basis() -> Basis {
    Basis {
        acceleration_mm_s2: 1000.0,
        travel_acceleration_mm_s2: 1000.0,
        junction_deviation_mm: 0.02,
        bead_mm_s: 60.0,
        travel_mm_s: 150.0,
        retraction_mm_s: 35.0,
        dwell: DwellUnit::Milliseconds,
    }
}

fn gauge_on(basis: &Basis, pieces: &[&[u8]]) -> Result<Measured, GaugeError> {
    let mut gauge = Gauge::new(basis);
    for p in pieces {
        gauge.feed(p);
    }
    gauge.finish()
}

fn measured(code: &str) -> Measured {
    gauge_on(&basis(), &[code.as_bytes()]).expect("it is machine code")
}

fn time_s(code: &str) -> f64 {
    measured(code).time_s()
}

fn near(value: f64, wanted: f64, tolerance: f64) {
    assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted} ± {tolerance}");
}

fn watches(m: &Measured) -> Vec<String> {
    m.remarks().into_iter().filter(|r| r.level == Level::Watch).map(|r| r.text).collect()
}

/// Nothing but what was meant.
fn clear(m: &Measured) {
    assert_eq!(m.remarks(), []);
}

/// The block list: corners are stops (M205 J0), so that each run of strides without a corner is one trapezoid.
const BLOCKS: &str = "%
(worked block list)
N10 G21 G90 G17 M82
N20 G92 X0 Y0 Z0 E0
N30 M204 S1000 ; mm/s²
N40 M205 J0
N50 G0 Z0.2 F600
N60 G1 X100 E5 F6000
N70 G2 X110 Y-10 I0 J-10 E5.5
N80 G3 X120 Y-20 R10 E6
N90 G4 P500
N100 G2 I5 J0 F3000
N110 G91
N120 G1 X-10 Z1
N130 G90 G20
N140 G1 X4 F60
N150 M2
%
";

#[test]
fn worked_block_list() {
    let m = measured(BLOCKS);
    clear(&m);
    let run = |length: f64, speed: f64| length / speed + speed / 1000.0;
    let up = run(0.2, 10.0);
    // Two quarters of radius 10 follow the line without a corner, and √(1000 × 10) = 100 mm/s is allowed on them.
    let bead = run(100.0 + 10.0 * PI, 100.0);
    let rest = [0.5, run(10.0 * PI, 50.0), run(101f64.sqrt(), 50.0), run(110.0 - 101.6, 25.4)];
    near(bead, 1.414_159_27, 1e-8);
    near(m.time_s(), up + bead + rest.iter().sum::<f64>(), 1e-9);
    near(m.time_s(), 3.229_583_97, 1e-8);
    near(m.items.beads_s, bead, 1e-9);
    near(m.items.dwell_s, 0.5, 0.0);
    near(m.before_s, up, 1e-9);
    near(m.after_s, rest.iter().sum(), 1e-9);
    near(m.bead_mm, 100.0 + 10.0 * PI, 1e-9);
    near(m.travel_mm, 0.2 + 10.0 * PI + 101f64.sqrt() + 8.4, 1e-9);
    near(m.filament_mm, 6.0, 1e-12);
    assert_eq!((m.layers.len(), m.moves, m.lines), (1, 7, 18));
    near(m.layers[0].z_mm, 0.2, 1e-12);
    near(m.layers[0].time_s, bead, 1e-9);
    near(m.layers[0].filament_mm, 6.0, 1e-12);
}

/// However it is written: spaces, case, line ends, numbers of lines, checksums, comments.
#[test]
fn the_same_in_other_hands() {
    let wanted = measured(BLOCKS);
    let plain: String = BLOCKS.lines().filter(|l| l.starts_with('N')).fold(String::new(), |s, l| {
        s + l.split_once(' ').map_or("", |w| w.1).split(';').next().unwrap_or_default() + "\n"
    });
    let numbered = plain.lines().enumerate().fold(String::new(), |s, (i, l)| s + &format!("N{i} {l}*{}\n", i % 200));
    for code in [
        BLOCKS.to_lowercase(),
        BLOCKS.replace('\n', "\r\n"),
        BLOCKS.replace('\n', "\r"),
        plain.replace(' ', ""),
        plain.replace('\n', " (G1 X5) ; G1 X7\n"),
        plain.replace('.', " . "),
        numbered,
    ] {
        let m = measured(&code);
        assert_eq!((m.items, &m.layers), (wanted.items, &wanted.layers), "{code}");
        assert!(watches(&m).is_empty());
    }
    // No line ends at all: each command is its own block all the same. A line's number or a checksum parts them as well.
    let endless = plain.replace('\n', " ").replace("G91 G1 X-10 Z1 G90 G20", "G1 X110 Z1.2 G20");
    let endless = endless.replace("G20 G1 X4", "N1 G20 G1 X4");
    near(time_s(&endless), wanted.time_s(), 1e-12);
}

#[test]
fn trapezoids_from_rest_to_rest() {
    // science: 100 mm at 100 mm/s and 1000 mm/s² takes 1.1 s; 4 mm never reach it; 10 mm just do (computed by script).
    near(time_s("G1 X100 F6000"), 1.1, 1e-12);
    near(time_s("G1 X4 F6000"), 0.126_491, 5e-7);
    near(time_s("G1 X10 F6000"), 0.2, 1e-12);
    near(time_s("M204 T3000\nG1 X1 F3600"), 0.036_514_8, 5e-8);
}

/// Square loop of 20 mm at 60 mm/s, 1000 mm/s², 0.02 mm (computed by script).
#[test]
fn square_loop() {
    let code = "M83\nG1 F3600\nG1 X20 E1\nG1 Y20 E1\nG1 X0 E1\nG1 Y0 E1";
    near(time_s(code), 1.534_055, 1e-6);
    // The same corner speed said as a speed at right angles: v² = a δ s / (1 − s) with s = 1 / √2.
    let v = (1000.0 * 0.02 * 0.5f64.sqrt() / (1.0 - 0.5f64.sqrt())).sqrt();
    near(time_s(&format!("M205 X{v} Y{v}\n{code}")), 1.534_055, 1e-6);
}

/// On a small circle the acceleration across it bounds the speed: √(1000 × 1) mm/s.
#[test]
fn small_circles_are_slow() {
    let v = 1000f64.sqrt();
    near(time_s("G2 I1 F6000"), TAU / v + v / 1000.0, 1e-9);
    // A turn of a helix that climbs as far as it goes round: the speed along it is √2 times that.
    let (length, v) = (TAU * 2f64.sqrt(), v * 2f64.sqrt());
    near(time_s(&format!("G3 I1 Z{TAU} F6000")), length / v + v / 1000.0, 1e-6);
    // In the plane of Z and X the offsets are K and I.
    near(time_s("G18 G2 K10 Z10 X10 F600"), 5.0 * PI / 10.0 + 0.01, 1e-9);
    near(time_s("G19 G3 J10 K0 F600"), 20.0 * PI / 10.0 + 0.01, 1e-9);
}

#[test]
fn places_absolute_relative_and_renamed() {
    for code in [
        "G90\nG1 X10 F600\nG1 X20",
        "G91\nG1 X10 F600\nG1 X10",
        "G1 X10 F600\nG92 X100\nG1 X110",
        "G1 X10 F600\nG92 X100\nG92.1\nG1 X20",
        "G1 X10 F600\nG92\nG1 X10",
        // The way of moving stays in force, and words come in any order.
        "F600 X10 G1\nX20",
        "G20\nG1 X0.787401574803149606 F23.6220472440944882",
    ] {
        // 20 mm straight on at 10 mm/s.
        let m = measured(code);
        near(m.time_s(), 2.01, 1e-9);
        clear(&m);
    }
    // A move home is one move to 0; axes that are not named stay.
    let m = measured("G1 X30 Y40 F6000\nG28 X Y\nG1 X0 Y0");
    near(m.travel_mm, 100.0, 1e-9);
    assert!(m.homed && m.moves == 1, "{m:?}");
    near(measured("G1 X30 Y40 F6000\nG28 X0\nG1 X0 Y0").travel_mm, 50.0 + 30.0 + 40.0, 1e-9);
}

#[test]
fn filament_absolute_relative_and_renamed() {
    for code in [
        "M82\nG1 X10 E1 F600\nG1 X20 E2",
        "M83\nG1 X10 E1 F600\nG1 X20 E1",
        "G90\nG1 X10 E1 F600\nG92 E0\nG1 X20 E1",
        // E goes with the places until it is told otherwise, and then no longer.
        "G91\nG1 X10 E1 F600\nG1 X10 E1",
        "M83\nG90\nG1 X10 E1 F600\nG1 X20 E1",
        // Drawn back and primed again.
        "M83\nG1 X10 E1 F600\nG1 E-1\nG1 E1\nG1 X20 E1\nG1 E-1",
        "M221 S200\nM83\nG1 X10 E0.5 F600\nG1 X20 E0.5",
        // By volume, for filament of 2 mm: π mm³ a mm.
        "M200 D2\nM83\nG1 X10 E3.14159265358979 F600\nG1 X20 E3.14159265358979",
    ] {
        let m = measured(code);
        near(m.filament_mm, 2.0, 1e-9);
        near(m.bead_mm, 20.0, 1e-9);
    }
    // Drawing back takes its length at F, and the head stands still: by hand 1 / 10 + 1 / 10 + two runs of 10 mm.
    let m = measured("M83\nG1 X10 E1 F600\nG1 E-1\nG1 E1\nG1 X20 E1");
    near(m.items.retraction_s, 0.2, 1e-12);
    near(m.items.beads_s, 2.0 * 1.01, 1e-9);
    // With an acceleration of its own: from rest to rest.
    near(measured("M204 R1000\nM83\nG1 E-1 F600\nG1 X1 E1").items.retraction_s, 0.11, 1e-12);
    // Filament that goes back on the way is no bead.
    near(measured("M83\nG1 X10 E1 F600\nG1 X20 E-1").bead_mm, 10.0, 1e-12);
}

#[test]
fn dwelling() {
    near(measured("G4 P1500\nG1 X1 F60").items.dwell_s, 1.5, 0.0);
    near(measured("G4 S1.5\nG1 X1 F60").items.dwell_s, 1.5, 0.0);
    let seconds = Basis { dwell: DwellUnit::Seconds, ..basis() };
    let m = gauge_on(&seconds, &[b"G4 P1.5\nG1 X1 F60"]).expect("machine code");
    near(m.items.dwell_s, 1.5, 0.0);
    assert!(m.assumptions().iter().any(|a| a.contains("P after G4 counts seconds")));
    // The head stands still for it: two runs.
    near(time_s("G1 X10 F600\nG4 P0\nG1 X20"), 2.02, 1e-9);
    let m = measured("G4 P-5\nG1 X1 F60");
    assert_eq!((m.items.dwell_s, watches(&m).len()), (0.0, 1));
}

#[test]
fn limits_of_the_machine() {
    // Acceleration: 500 mm/s² along X is √2 × 500 along the diagonal.
    let diagonal = 10.0 * 2f64.sqrt();
    let run = |length: f64, v: f64, a: f64| length / v + v / a;
    near(time_s("M201 X500 Y500\nG1 X10 Y10 F600"), run(diagonal, 10.0, 500.0 * 2f64.sqrt()), 1e-9);
    // Speed, counted a second or a minute.
    near(time_s("M203 X5 Y300\nG1 X10 F600"), run(10.0, 5.0, 1000.0), 1e-9);
    near(time_s("M203 X300 Y18000\nG1 X10 F600"), run(10.0, 5.0, 1000.0), 1e-9);
    // What is a guess is told: the minute; the second, where only Z or E would be held.
    for (word, said) in [("M203 X300 Y18000", "above 1200 and taken as mm/min"), ("M203 Z600 E900", "taken as mm/s")] {
        let m = measured(&format!("{word}\nG1 X10 F600"));
        assert!(matches!(&watches(&m)[..], [one] if one.contains(said)), "{:?}", watches(&m));
        assert!(m.assumptions().iter().any(|a| a.contains("M203")));
    }
    clear(&measured("M203 X200 Y200 Z12 E120\nG1 X10 F600"));
    near(time_s("M220 S50\nG1 X10 F600"), run(10.0, 5.0, 1000.0), 1e-9);
    // Beads and other moves.
    near(time_s("M204 P2000 T500\nM83\nG1 X10 E1 F600"), run(10.0, 10.0, 2000.0), 1e-9);
    near(time_s("M204 P2000 T500\nG1 X10 F600"), run(10.0, 10.0, 500.0), 1e-9);
}

/// Each word on speed or acceleration is understood and held to, as computed by hand, or makes the time a watch.
#[test]
fn words_on_speed_are_held_to_or_a_watch() {
    for (word, speed, acceleration) in [
        ("M201", 10.0, 1000.0),
        ("M201 X500", 10.0, 500.0),
        ("M201 X500 Y9000 Z200 E9000", 10.0, 500.0),
        ("M203", 10.0, 1000.0),
        ("M203 X5", 5.0, 1000.0),
        ("M203 X5 Y500 Z12 E120", 5.0, 1000.0),
        ("M204", 10.0, 1000.0),
        ("M204 S500", 10.0, 500.0),
        ("M204 P500", 10.0, 1000.0),
        ("M204 P500 T250", 10.0, 250.0),
        ("M204 R250", 10.0, 1000.0),
        ("M205", 10.0, 1000.0),
        ("M205 J0.05", 10.0, 1000.0),
        ("M205 X8 Y8", 10.0, 1000.0),
        ("M205 S0 T0 B0", 10.0, 1000.0),
        ("M220", 10.0, 1000.0),
        ("M220 S50", 5.0, 1000.0),
        ("M220 S200", 20.0, 1000.0),
        ("M200 D0 L0", 10.0, 1000.0),
    ] {
        let m = measured(&format!("{word}\nG1 X10 F600"));
        assert_eq!(m.remarks(), [], "{word}");
        near(m.time_s(), 10.0 / speed + speed / acceleration, 1e-9);
    }
    for word in [
        // Another word, about the same.
        "M201.3 X500",
        "M201.25 X500",
        "M203.1 X5",
        "M204.2 S500",
        "M205.1 X8",
        "M220.1 S50",
        "M202 X500",
        "M207 S2 F1800",
        "M208 F900",
        "M222 S50",
        "M223 S50",
        "M493 S1",
        "M566 X600",
        "M593 F40",
        "G61",
        "G61.1",
        "G64 P0.1",
        "G64.1",
        "G93",
        "G95",
        "SET_LIMIT JERK=9",
        "set_corner 5",
        // Parameters that the model has nothing for, and some without a number.
        "M200 L15",
        "M201 A500",
        "M201 X",
        "M201 X500 F40",
        "M203 U200",
        "M203 X200 T1",
        "M204 S500 T900",
        "M204 S",
        "M204 Z100",
        "M205 E1.5",
        "M205 Z0.4",
        "M205 X8 Y8 Z0.4 E1.5",
        "M205 X8",
        "M205 X8 Y9",
        "M205 S5",
        "M205 T5",
        "M205 B20000",
        "M205 D1",
        "M220 B",
        "M220 R",
        "M220 S",
        // Numbers that make no sense.
        "M201 X0",
        "M203 X0",
        "M204 S-5",
        "M205 J99",
        "M220 S0",
        "G1 F0",
    ] {
        let m = measured(&format!("{word}\nG1 X10 F600"));
        assert!(m.doubts.speed_words > 0, "{word}");
        let told = watches(&m);
        assert!(told.iter().any(|t| t.contains("on speed or acceleration")), "{word}: {told:?}");
    }
}

#[test]
fn layers_are_heights_at_which_something_is_laid() {
    let code =
        "M83\nG1 Z0.3 F600\nG1 X10 E1\nG1 Z1.3\nG1 X20\nG1 Z0.3\nG1 X10 E1\nG1 E-1\nG1 Z0.5\nG1 E1\nG1 X0 E1\nG1 Z10";
    let m = measured(code);
    let heights: Vec<f64> = m.layers.iter().map(|l| l.z_mm).collect();
    assert_eq!(heights, [0.3, 0.5]);
    near(m.layers[0].bead_mm, 20.0, 1e-9);
    near(m.layers[1].bead_mm, 10.0, 1e-9);
    // Before, layers and after add up to all.
    let sum: f64 = m.layers.iter().map(|l| l.time_s).sum();
    near(m.before_s + sum + m.after_s, m.time_s(), 1e-9);
    // What lies between two layers belongs to the first of them: its own beads take about 2 s, drawing back and hops more.
    assert!(m.layers[0].time_s > 2.0 + 0.2 + 1.0 && m.least_layer() == Some(1), "{m:?}");
    near(m.layers[1].time_s, 1.01, 0.02);
    // One part after the other: the second begins at the bed again, and its layers are its own.
    let m = measured("M83\nG1 F600\nG1 Z0.2\nG1 X9 E1\nG1 Z0.4\nG1 X0 E1\nG1 X50 Z0.2\nG1 X59 E1");
    assert_eq!(m.layers.len(), 3);
}

/// A single wall that winds up by 0.2 mm a turn of 8 strides: a layer a turn, not one a stride.
#[test]
fn a_wall_that_winds_up() {
    let mut code = String::from("M83\nG1 F1200\nG1 Z0.2\n");
    for i in 0..8 {
        let _ = writeln!(code, "G1 X{} Y{} E1", 10.0 * f64::from(i % 4), 10.0 * f64::from(i / 4 % 2));
    }
    for i in 1..=80 {
        let _ = writeln!(code, "G1 X{} Y{} Z{:.3} E1", i * 7 % 10, i * 3 % 10, 0.2 + 0.025 * f64::from(i));
    }
    let m = measured(&code);
    assert_eq!(m.layers.len(), 11);
    near(m.layers[10].z_mm, 2.2, 1e-9);
}

#[test]
fn what_is_not_understood_is_counted_and_never_fatal() {
    let run = 1.01;
    let move_ = "G1 X10 F600\n";
    for (code, wanted) in
        [("M566 X600 Y600\n", "M566"), ("G64 P0.1\n", "G64"), ("G93\n", "G93"), ("SET_LIMIT ACCEL=500\n", "SET_LIMIT")]
    {
        let m = measured(&format!("{code}{move_}"));
        assert!(watches(&m)[0].contains("speed or acceleration"), "{m:?}");
        assert_eq!(m.unknown.get(wanted), Some(&1), "{m:?}");
        near(m.time_s(), run, 1e-9);
    }
    // Others are only noted.
    let m = measured(&format!(
        "M900 K0.05\nM900 K0.05\nM1234 S1 X5\nG29 P1\nO100\nSTART_IT\nM117 G1 X99\nM104 S200\n{move_}"
    ));
    near(m.time_s(), run, 1e-9);
    assert!(watches(&m).is_empty(), "{m:?}");
    let told: Vec<(&str, u64)> = m.unknown.iter().map(|(k, n)| (k.as_str(), *n)).collect();
    assert_eq!(told, [("G29", 1), ("M1234", 1), ("M900", 2), ("O", 1), ("START_IT", 1)]);
    assert!(m.remarks()[0].text.starts_with("not understood: M900 (2), "), "{:?}", m.remarks());
    // Moves of other kinds.
    let m = measured(&format!("{move_}G5 X20 Y20 I1 J1 P1 Q1\nX30\nG10\nG1 X20 A5"));
    near(m.travel_mm, 20.0, 1e-9);
    assert_eq!((m.doubts.unknown_moves, m.doubts.other_axes), (3, 1));
    assert_eq!(watches(&m).len(), 2);
    // A pause, a program's end and what comes after it.
    let m = measured(&format!("{move_}M0 G1 X5\nM2\nG1 X99"));
    near(m.time_s(), run, 1e-9);
    assert_eq!((m.doubts.pauses, m.doubts.after_end), (1, 1));
}

#[test]
fn numbers_that_make_no_sense() {
    let wanted = 1.01;
    for bad in [
        "G1 X99999999",
        "G1 X-1.2.3",
        "G1 XNaN",
        "G1 Xinf Y-inf",
        "G1 X",
        "G1 X1000000000000000000000000000000000000000",
        "G91\nG1 X99999\nG90",
        "G1 E99999999",
        "G1 F0",
        "G1 F-600",
        "G1 F99999999999",
        "M204 S0\nM204 P-5\nM201 X0",
        "M203 X0\nM220 S0\nM205 J-1 X-8",
        "G4 P-1",
    ] {
        let m = measured(&format!("G92 X0\nG1 F600\n{bad}\nG90\nG92 X0 Y0\nG1 X10"));
        assert!(!watches(&m).is_empty(), "{bad}");
        near(m.time_s(), wanted, 1e-9);
    }
    // There is no exponent: this is 300 mm of filament along 1 mm.
    near(measured("G1 X1e300 F600").filament_mm, 300.0, 0.0);
    let m = measured("G1 X10");
    near(m.time_s(), 10.0 / 150.0 * 2.0, 0.1);
    assert_eq!(m.doubts.no_speed, 1);
    assert!(watches(&m)[0].contains("before any F"));
    let m = measured("G1 F600\nG2 X10 Y0\nG2 X10 Y0 R3\nG2 X20 Y0 R1\nG3 X30 I1 J1");
    assert_eq!(m.doubts.bad_arcs, 4);
    near(m.travel_mm, 30.0, 1e-9);
}

#[test]
fn what_is_no_machine_code() {
    let refused = |bytes: &[u8]| gauge_on(&basis(), &[bytes]).expect_err("it is refused").to_string();
    assert!(refused(b"").contains("is empty"));
    let stl =
        b"solid gate\n facet normal 0 0 1\n  outer loop\n   vertex 0 0 0\n   vertex 1e1 0 0\n  endloop\n endfacet\n";
    assert!(refused(stl).contains("nothing in it moves"));
    assert!(refused(b"; only a comment\nM104 S200\n").contains("nothing in it moves"));
    let noise: Vec<u8> = (0..50_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    assert!(refused(&noise).contains("belong to no word"));
    // Some noise in a file that is machine code otherwise.
    let mut code = "G1 X10 F600\nG1 X0\n".repeat(100).into_bytes();
    code.splice(600..600, [0, 0xFF, 7, b'{']);
    let m = gauge_on(&basis(), &[&code]).expect("machine code");
    assert!(m.doubts.noise == 4 && watches(&m)[0].contains("4 bytes"), "{:?}", m.doubts);
}

/// Without line ends it is told, however short the file: a comment would take the rest with it.
#[test]
fn line_ends_that_are_lost() {
    let code = "G1 X10 F600\nG1 X0\n".repeat(40);
    clear(&measured(&code));
    let one = measured(&code.replace('\n', " "));
    near(one.time_s(), measured(&code).time_s(), 1e-9);
    assert!(watches(&one)[0].contains("its line ends may be lost"), "{:?}", one.remarks());
}

/// Cancelled, or the disk fails: an error, no answer.
#[test]
fn reading_ends_early() {
    struct Never;
    impl Watch for Never {
        fn cancelled(&self) -> bool {
            true
        }
    }
    struct Fails;
    impl std::io::Read for Fails {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            Err(std::io::Error::other("gone"))
        }
    }
    let b = basis();
    let mut code = BLOCKS.as_bytes();
    assert!(matches!(measure(&mut code, 0, &b, &Never), Err(GaugeError::Cancelled)));
    assert!(matches!(measure(&mut Fails, 0, &b, &Quiet), Err(GaugeError::Read(_))));
    let mut code = BLOCKS.as_bytes();
    assert_eq!(measure(&mut code, 0, &b, &Quiet).expect("machine code"), measured(BLOCKS));
}

/// A stride of a random program, by its own geometry.
#[derive(Debug, Clone)]
struct Step {
    turn: f64,
    length: f64,
    /// Radius over half the chord, and clockwise or not; none for a straight one.
    arc: Option<(f64, bool)>,
    speed: f64,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let arc = prop::option::of((1.05..4.0f64, any::<bool>()));
    prop::collection::vec(
        (-2.0..2.0f64, 0.2..15.0f64, arc, 10.0..150.0f64).prop_map(|(turn, length, arc, speed)| Step {
            turn,
            length,
            arc,
            speed,
        }),
        1..9,
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    /// Straight moves and arcs agree with a simulation in small steps of time within 0.1 %.
    #[test]
    fn agrees_with_slow_simulation(steps in steps(), a in 500.0..4000.0f64, deviation in 0.005..0.1f64) {
        let mut code = format!("M204 S{a}\nM205 J{deviation}\nM83\n");
        let (mut at, mut heading) = (Point::default(), 0.0f64);
        let mut pieces = Vec::new();
        let toward = |radians: f64| Point::new(1.0, 0.0).turned(radians);
        for s in &steps {
            heading += s.turn;
            at += Point::new(s.length, 0.0).turned(heading);
            let f = s.speed * 60.0;
            // An arc sets out and arrives half its sweep to either side of its chord.
            let (length_mm, speed_mm_s, out, into) = match s.arc {
                None => {
                    let _ = writeln!(code, "G1 X{} Y{} E0.1 F{f}", at.x, at.y);
                    (s.length, s.speed, heading, heading)
                }
                Some((wide, clockwise)) => {
                    let r = wide * s.length / 2.0;
                    let _ = writeln!(code, "{} X{} Y{} R{r} E0.1 F{f}", if clockwise { "G2" } else { "G3" }, at.x, at.y);
                    let half = (s.length / 2.0 / r).asin();
                    let side = if clockwise { half } else { -half };
                    (2.0 * r * half, s.speed.min((a * r).sqrt()), heading + side, heading - side)
                }
            };
            let (sets_out, arrives) = (toward(out), toward(into));
            pieces.push(Piece { length_mm, speed_mm_s, acceleration_mm_s2: a, sets_out, arrives });
        }
        let slow = slow_simulation(&pieces, deviation);
        let m = measured(&code);
        prop_assert!((m.time_s() - slow).abs() <= 1e-3 * slow, "measured {}, simulation {slow}", m.time_s());
        prop_assert_eq!(m.remarks(), Vec::new());
    }
}

/// Lines that are nearly machine code.
fn nearly() -> impl Strategy<Value = String> {
    let word = "[GXYZEFIJRPSNMT]-?[0-9]{0,4}(\\.[0-9]{1,3})?";
    let command = prop::sample::select(vec![
        "G0", "G1", "G2", "G3", "G4", "G10", "G18", "G20", "G21", "G28", "G90", "G91", "G92", "M82", "M83", "M117",
        "M200", "M201", "M203", "M204", "M205", "M220", "; ", "(", ")", "\"", "*", "AB ", "\u{fffd}",
    ]);
    let line = (command, prop::collection::vec(word, 0..5)).prop_map(|(c, w)| format!("{c} {}", w.join(" ")));
    let end = prop::sample::select(vec!["\n", "\r\n", "\r", " "]);
    prop::collection::vec((line, end), 0..60).prop_map(|l| l.into_iter().map(|(a, b)| a + b).collect())
}

fn finite(m: &Measured) -> bool {
    let all = [m.time_s(), m.before_s, m.after_s, m.bead_mm, m.travel_mm, m.filament_mm];
    let layers = m.layers.iter().flat_map(|l| [l.time_s, l.bead_mm, l.filament_mm]);
    all.into_iter().chain(layers).all(|v| v.is_finite() && v >= -1e-9)
}

proptest! {
    /// Any bytes: an answer or a refusal.
    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..2000)) {
        if let Ok(m) = gauge_on(&basis(), &[&bytes]) {
            prop_assert!(finite(&m), "{m:?}");
        }
    }
    /// Cut anywhere, the answer is the same to the last bit; it adds up.
    #[test]
    fn pieces_do_not_matter(code in nearly(), cuts in prop::collection::vec(any::<prop::sample::Index>(), 0..6)) {
        let bytes = code.as_bytes();
        let mut cuts: Vec<usize> = cuts.into_iter().map(|c| c.index(bytes.len() + 1)).collect();
        cuts.extend([0, bytes.len()]);
        cuts.sort_unstable();
        let pieces: Vec<&[u8]> = cuts.windows(2).map(|w| &bytes[w[0]..w[1]]).collect();
        let whole = gauge_on(&basis(), &[bytes]).map_err(|e| e.to_string());
        prop_assert_eq!(&gauge_on(&basis(), &pieces).map_err(|e| e.to_string()), &whole);
        if let Ok(m) = whole {
            prop_assert!(finite(&m), "{m:?}");
            let sum: f64 = m.layers.iter().map(|l| l.time_s).sum();
            prop_assert!((m.before_s + sum + m.after_s - m.time_s()).abs() <= 1e-9 * m.time_s().max(1.0));
        }
    }
}
