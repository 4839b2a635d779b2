//! What is preferred among equally good layouts: chosen in the window, kept by the job, and what comes of it.

use std::path::Path;

use egui::{Key, Modifiers};
use stonehand::{
    document::{BedSide, Copy, Preferences},
    geom::{Bounds, Point},
};

use super::{
    ONE_ROUND, Window, arrange, choose, copies, is_sound, place, placed_window, press, push, reach, world::Files,
};

/// Side of the blocks, mm: the first bed takes three rows of three, no more.
const SIDE_MM: f64 = 60.0;
/// Width and depth of the first bed of a new job, mm.
const BED_MM: [f64; 2] = [240.0, 200.0];
/// Of the six blocks, those that are high.
const HIGH: [usize; 2] = [0, 2];
/// And those that are low.
const LOW: [usize; 4] = [1, 3, 4, 5];

/// A square block so high as an OBJ; its name makes a file of its own of it.
fn block(name: &str, height_mm: f64) -> Vec<u8> {
    let (s, h) = (SIDE_MM, height_mm);
    let text = format!(
        "# {name}\nv 0 0 0\nv {s} 0 0\nv {s} {s} 0\nv 0 {s} 0\nv 0 0 {h}\nv {s} 0 {h}\nv {s} {s} {h}\nv 0 {s} {h}\n\
         f 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n"
    );
    text.into_bytes()
}

/// Six blocks of four parts, two of them high, far apart on the first bed, and the preferences beside them.
fn blocks_window() -> Window {
    let files = Files::samples();
    let meshes = ["high-1.obj", "low-1.obj", "high-2.obj", "low-2.obj"];
    for (mesh, height_mm) in meshes.into_iter().zip([20.0, 1.0, 20.0, 1.0]) {
        files.put(Path::new("/shop").join(mesh), block(mesh, height_mm));
    }
    let (front, back) = (32.0, 168.0);
    let places =
        [(0, 32.0, front), (1, 120.0, front), (2, 208.0, front), (3, 32.0, back), (3, 120.0, back), (3, 208.0, back)];
    let mut w = placed_window(&files, &meshes, &places);
    w.state_mut().session_mut().set_limits(ONE_ROUND);
    reach(&mut w, "Preferences");
    push(&mut w, "Preferences");
    w
}

fn undo(w: &mut Window, steps: usize) {
    for _ in 0..steps {
        press(w, Key::Z, Modifiers::COMMAND);
    }
}

/// Chooses a preference in the window: one step, and the job then holds what is `wanted`.
fn prefer(w: &mut Window, field: &str, word: &str, wanted: Preferences) {
    reach(w, field);
    choose(w, field, word);
    let session = w.state().session();
    assert_eq!(session.job().preferences, wanted, "{field}: {word}");
    assert_eq!(session.undo_label(), Some("Preferences"));
}

/// The copies as Pack lays them: as many, in one step, without a conflict.
fn packed(w: &mut Window) -> Vec<Copy> {
    let before = copies(w).len();
    arrange(w, "Pack");
    assert_eq!(w.state().session().undo_label(), Some("Pack this plate"));
    assert!(is_sound(w));
    let after = copies(w);
    assert_eq!(after.len(), before);
    after
}

/// How many copies Top up lays on a new plate. All is undone again.
fn many_that_fit(w: &mut Window) -> usize {
    push(w, "New plate");
    arrange(w, "Top up");
    assert!(is_sound(w));
    let many = copies(w).len();
    undo(w, 2);
    many
}

/// The box round all blocks.
fn box_of(copies: &[Copy]) -> Bounds {
    Bounds::of(copies.iter().map(place)).grown(SIDE_MM / 2.0)
}

#[test]
fn copies_keep_to_the_middle_and_no_fewer_fit() {
    let mut w = blocks_window();
    let many = many_that_fit(&mut w);
    assert!(many > 6, "{many} fit");
    let plain = packed(&mut w);
    undo(&mut w, 1);
    prefer(&mut w, "near the middle", "yes", Preferences { middle: 1.0, ..Preferences::default() });
    let wished = packed(&mut w);
    let middle = Point::new(BED_MM[0] / 2.0, BED_MM[1] / 2.0);
    let off_mm = |copies: &[Copy]| box_of(copies).centre().distance(middle);
    // Even rows look the same from either end: the sum of their distances from a point is least at their own middle.
    assert!(off_mm(&wished) < 0.5 && off_mm(&plain) > 10.0, "{} and {}", off_mm(&wished), off_mm(&plain));
    undo(&mut w, 1);
    assert_eq!(many_that_fit(&mut w), many);
    prefer(&mut w, "near the middle", "no", Preferences::default());
}

#[test]
fn copies_keep_away_from_a_side() {
    let mut w = blocks_window();
    let plain = box_of(&packed(&mut w));
    undo(&mut w, 1);
    assert!(
        plain.max.x < BED_MM[0] - 10.0 && plain.max.y < BED_MM[1] - 10.0,
        "left and front are not kept free: {plain:?}"
    );
    for side in BedSide::ALL {
        let wanted = Preferences { away_from: Some(side), away: 1.0, ..Preferences::default() };
        prefer(&mut w, "away from", side.word(), wanted);
        let wished = box_of(&packed(&mut w));
        // They could not lie farther from it.
        let nearer_mm = match side {
            BedSide::Left => BED_MM[0] - wished.max.x,
            BedSide::Right => wished.min.x,
            BedSide::Front => BED_MM[1] - wished.max.y,
            BedSide::Back => wished.min.y,
        };
        assert!(nearer_mm.abs() < 0.1, "{side:?}: {wished:?}");
        undo(&mut w, 2);
        assert_eq!(w.state().session().job().preferences, Preferences::default());
    }
}

#[test]
fn tall_copies_go_to_the_back_or_apart_and_ways_are_short() {
    let mut w = blocks_window();
    let plain = packed(&mut w);
    undo(&mut w, 1);
    let mut wished = |field: &str, wanted: Preferences| {
        prefer(&mut w, field, "yes", wanted);
        let copies = packed(&mut w);
        undo(&mut w, 2);
        copies
    };

    let back = wished("tall ones back", Preferences { tall_back: 1.0, ..Preferences::default() });
    for high in HIGH {
        assert!((back[high].y_mm - (BED_MM[1] - SIDE_MM / 2.0)).abs() < 0.1, "{back:?}");
        assert!(LOW.iter().all(|&low| back[low].y_mm < back[high].y_mm + 0.1), "{back:?}");
    }
    assert!(HIGH.iter().any(|&high| plain[high].y_mm < back[high].y_mm - 10.0), "{plain:?}");

    // Nearly all the way up the two high ones grow alone: the way is the one between them, and they are the crowd.
    let between_mm = |copies: &[Copy]| place(&copies[HIGH[0]]).distance(place(&copies[HIGH[1]]));
    let near = between_mm(&wished("short travel", Preferences { travel: 1.0, ..Preferences::default() }));
    let far = between_mm(&wished("tall ones apart", Preferences { tall_apart: 1.0, ..Preferences::default() }));
    let neither = between_mm(&plain);
    assert!(near + 10.0 < far, "{near} and {far}");
    assert!(near <= neither + 1e-6 && neither <= far + 1e-6, "{near}, {neither}, {far}");
}
