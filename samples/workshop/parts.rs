//! The fittings. Each stands as it is printed, its lowest point at z = 0.

use std::f64::consts::PI;

use super::{
    body::Body,
    outlines::{P2, arc, circle, rounded_rectangle, slot},
    revolve::{revolve, round},
    terrace::Area,
};

/// Tall and thin: 8 mm across, 96 mm high, with a notch for the cage's wire.
pub(crate) fn queen_cage_peg() -> Body {
    let profile = [
        [0.0, 0.0],
        [4.0, 0.0],
        [4.0, 5.0],
        [3.0, 7.0],
        [3.0, 72.0],
        [2.2, 73.0],
        [2.2, 76.0],
        [3.0, 77.0],
        [3.0, 84.0],
        [0.8, 96.0],
        [0.0, 96.0],
    ];
    revolve(&profile, 24, round)
}

/// L-shaped, with counterbored screw holes and a locating pin in the corner.
pub(crate) fn corner_bracket() -> Body {
    let mut outline: Vec<P2> = vec![[0.0, 0.0], [46.0, 0.0], [46.0, 15.0]];
    outline.extend(arc([19.0, 19.0], 4.0, 1.5 * PI, PI, 6));
    outline.extend([[15.0, 46.0], [0.0, 46.0]]);
    let mut bracket = Area::new(outline, &[(0.0, 5.0)]).with(Area::new(circle([7.5, 7.5], 3.0, 24), &[(0.0, 9.0)]));
    for centre in [[25.0, 7.5], [38.0, 7.5], [7.5, 25.0], [7.5, 38.0]] {
        let bore = Area::new(circle(centre, 4.2, 24), &[(0.0, 2.4)]).with(Area::hole(circle(centre, 2.1, 16)));
        bracket = bracket.with(bore);
    }
    bracket.body()
}

/// A ring with an inward lip at the top and twelve swells to grip it by.
pub(crate) fn jar_lid_adapter() -> Body {
    let profile = [[30.0, 0.0], [36.0, 0.0], [36.0, 12.0], [27.0, 12.0], [27.0, 9.0], [30.0, 6.0]];
    revolve(&profile, 96, |r, a| if r > 35.0 { r + 0.8 * (12.0 * a).cos() } else { r })
}

/// Thin at the bottom, wide above, open at both ends.
pub(crate) fn feeder_funnel() -> Body {
    let profile =
        [[4.2, 0.0], [6.0, 0.0], [6.0, 22.0], [34.0, 56.0], [34.0, 64.0], [32.2, 64.0], [32.2, 56.7], [4.2, 22.7]];
    revolve(&profile, 60, round)
}

/// A plate with four slots for bees, two screw holes and a raised rib.
pub(crate) fn entrance_gate() -> Body {
    let mut gate = Area::new(rounded_rectangle([0.0, 0.0], 112.0, 30.0, 4.0), &[(0.0, 3.0)])
        .with(Area::new(rounded_rectangle([0.0, 9.0], 80.0, 3.0, 1.0), &[(0.0, 6.0)]));
    for x in [-33.0, -11.0, 11.0, 33.0] {
        gate = gate.with(Area::hole(slot([x, -3.0], 18.0, 8.0)));
    }
    for x in [-50.0, 50.0] {
        gate = gate.with(Area::hole(circle([x, 0.0], 2.1, 16)));
    }
    gate.body()
}

/// A comb: a bar with six teeth.
pub(crate) fn frame_spacer() -> Body {
    let (pitch, tooth, bar, reach) = (19.0, 9.0, 8.0, 22.0);
    let length = 5.0 * pitch + tooth;
    let mut outline: Vec<P2> = vec![[0.0, 0.0], [length, 0.0]];
    for i in (0..6).rev() {
        let x = f64::from(i) * pitch;
        // The last tooth's right flank continues the bar's end.
        if i < 5 {
            outline.push([x + tooth, bar]);
        }
        outline.extend([[x + tooth, reach - 2.0], [x + tooth - 1.5, reach], [x + 1.5, reach], [x, reach - 2.0]]);
        if i > 0 {
            outline.push([x, bar]);
        }
    }
    Area::new(outline, &[(0.0, 7.0)]).with(Area::hole(slot([length / 2.0, 4.0], 40.0, 3.0))).body()
}

/// Flat, rounded and hollow: the cavity is a shell of its own, facing inward.
pub(crate) fn feeder_float() -> Body {
    let lens = |radius: f64, low: f64, high: f64| {
        let r = (high - low) / 2.0;
        let mut profile = vec![[0.0, low]];
        profile.extend(arc([radius - r, low + r], r, -PI / 2.0, PI / 2.0, 8));
        profile.push([0.0, high]);
        profile
    };
    revolve(&lens(38.0, 0.0, 11.0), 60, round).and(revolve(&lens(36.4, 1.6, 9.4), 60, round).flipped())
}

/// A hook with an eye, for the strap round a hive.
pub(crate) fn strap_hook() -> Body {
    let mut outline: Vec<P2> = vec![[-17.0, 52.0]];
    outline.extend(arc([0.0, 0.0], 17.0, PI, 2.2 * PI, 22));
    outline.extend(arc([0.0, 0.0], 9.0, 2.2 * PI, PI, 18));
    outline.push([-9.0, 52.0]);
    Area::new(outline, &[(0.0, 8.0)]).with(Area::hole(circle([-13.0, 46.0], 2.2, 16))).body()
}

/// The strap's slide: a plate with two slots.
pub(crate) fn strap_keeper() -> Body {
    Area::new(rounded_rectangle([0.0, 0.0], 34.0, 22.0, 3.0), &[(0.0, 3.6)])
        .with(Area::hole(slot([0.0, 5.0], 27.0, 3.4)))
        .with(Area::hole(slot([0.0, -5.0], 27.0, 3.4)))
        .body()
}

/// A mesh with faults: a clip whose side lacks two triangles (four open edges), and beside it a pin that is inside out.
pub(crate) fn faulty_clip() -> Body {
    let mut clip = Area::new(rounded_rectangle([0.0, 0.0], 40.0, 14.0, 3.0), &[(0.0, 6.0)])
        .with(Area::hole(slot([0.0, 0.0], 24.0, 5.0)))
        .body();
    let side = |t: &[[f64; 3]; 3]| t.iter().all(|p| p[0] == 20.0);
    clip.triangles.retain(|t| !side(t));
    clip.and(revolve(&[[0.0, 0.0], [3.0, 0.0], [3.0, 9.0], [0.0, 9.0]], 16, round).flipped().moved([0.0, 16.0, 0.0]))
}
