//! The bed: surface, grid, edge margin, keep-outs.

use std::sync::Arc;

use super::{Anchor, Dash, Hatch, Ink, Mark, hatch, text};
use crate::{
    document::{Job, Machine, Plate},
    geom::{Bounds, Point, Region, boolean, inner_circle, offset},
    plate::{PlateTwin, Room},
};

/// A bed as it is drawn, bed millimetres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrawnBed {
    /// Its outline.
    pub outline: Arc<Region>,
    /// What the edge margin leaves; drawn where there is one.
    pub room: Option<Arc<Region>>,
    /// Keep-outs with their names.
    pub keep_outs: Vec<(String, Arc<Region>)>,
    /// Its halves, on a plate that is printed twice at once.
    pub halves: Option<DrawnHalves>,
}

/// The two halves of a bed whose plate two carriages print twice at once.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnHalves {
    /// The strip between the carriages, in which nothing may lie.
    pub strip: Arc<Region>,
    /// Its stated width, mm.
    pub strip_mm: f64,
    /// Where the right half begins along X, mm.
    pub middle_mm: f64,
    /// "shifted twin", "handed twin".
    pub twin: &'static str,
}

impl DrawnBed {
    /// A machine's bed with its edge margin; curves within `tolerance_mm`.
    pub fn of_machine(machine: &Machine, edge_mm: f64, tolerance_mm: f64) -> Self {
        let outline: Arc<Region> = Arc::new(machine.bed.outline(tolerance_mm).into());
        let room = (edge_mm > 0.0).then(|| Arc::new(offset::shrink(&outline, edge_mm, tolerance_mm)));
        let keep_outs = machine.keep_outs.iter().map(|k| (k.name.clone(), Arc::new(k.region()))).collect();
        Self { outline, room, keep_outs, halves: None }
    }

    /// The bed of a plate, with its halves where it is printed twice at once; none where its machine is not in the job.
    pub fn of_plate(job: &Job, plate: &Plate, tolerance_mm: f64) -> Option<Self> {
        let machine = job.machine(plate.machine)?;
        let bed = Self::of_machine(machine, job.edge_mm(machine), tolerance_mm);
        let halves = PlateTwin::of(job, plate).map(|twin| {
            let (room, outer) = (Room::new(job, machine).region().bounds(), machine.bed.bounds());
            let strip = Region::rectangle(twin.strip(room, outer));
            DrawnHalves {
                strip: Arc::new(boolean::intersection(&bed.outline, &strip)),
                strip_mm: twin.strip_mm(),
                middle_mm: PlateTwin::middle_mm(outer),
                twin: twin.kind().words(),
            }
        });
        Some(Self { halves, ..bed })
    }
}

/// Distance of fine and strong grid lines at a scale, mm: 10 and 50 where that reads well.
pub fn grid_steps_mm(mm_per_pt: f64) -> (f64, f64) {
    const STEPS: [(f64, f64); 6] =
        [(0.1, 1.0), (1.0, 10.0), (10.0, 50.0), (50.0, 100.0), (100.0, 500.0), (1000.0, 5000.0)];
    STEPS.into_iter().find(|(fine, _)| fine / mm_per_pt >= 9.0).unwrap_or(STEPS[5])
}

/// Surface, grid, edge margin, keep-outs and outline. `view` is what can be seen, bed mm; `mm_per_pt` how many
/// millimetres of the bed one screen point covers.
pub fn bed_marks(bed: &DrawnBed, view: Bounds, mm_per_pt: f64) -> Vec<Mark> {
    let mut marks = vec![Mark::Fill { region: bed.outline.clone(), ink: Ink::Bed, opacity: 1.0 }];
    let (fine, strong) = grid_steps_mm(mm_per_pt);
    let whole = |v: f64, step: f64| (v / step - (v / step).round()).abs() < 1e-6;
    for (along, range) in [
        (Point::new(1.0, 0.0), (view.min.y, view.max.y)),
        // Across the upward direction, x counts negatively.
        (Point::new(0.0, 1.0), (-view.max.x, -view.min.x)),
    ] {
        for [a, b] in hatch::parallels(&bed.outline, along, fine, Some(range)) {
            let at = if along.x == 0.0 { a.x } else { a.y };
            let width_pt = if whole(at, strong) { 1.0 } else { 0.5 };
            marks.push(Mark::line(a, b, Ink::Grid, width_pt));
        }
    }
    if let Some(room) = &bed.room {
        marks.push(Mark::Outline { region: room.clone(), ink: Ink::Faint, width_pt: 0.9, dash: Dash::Dotted });
    }
    for (name, region) in &bed.keep_outs {
        marks.push(Mark::Pattern { region: region.clone(), hatch: Hatch::Single, ink: Ink::Faint });
        marks.push(Mark::Outline { region: region.clone(), ink: Ink::Faint, width_pt: 0.9, dash: Dash::Solid });
        marks.extend(keep_out_name(name, region, mm_per_pt));
    }
    if let Some(halves) = &bed.halves {
        marks.extend(half_marks(halves, bed.outline.bounds(), mm_per_pt));
    }
    marks.push(Mark::Outline { region: bed.outline.clone(), ink: Ink::Ink, width_pt: 1.6, dash: Dash::Solid });
    marks
}

/// The strip, hatched as a keep-out is, the line between the halves, and above the bed the words for both.
fn half_marks(halves: &DrawnHalves, bed: Bounds, mm_per_pt: f64) -> Vec<Mark> {
    const SIZE_PT: f32 = 9.5;
    let mut marks = Vec::new();
    if !halves.strip.is_empty() {
        marks.push(Mark::Pattern { region: halves.strip.clone(), hatch: Hatch::Single, ink: Ink::Faint });
        let region = halves.strip.clone();
        marks.push(Mark::Outline { region, ink: Ink::Faint, width_pt: 0.9, dash: Dash::Solid });
    }
    let x = halves.middle_mm;
    marks.push(Mark::Stroke {
        points: vec![Point::new(x, bed.min.y), Point::new(x, bed.max.y)],
        closed: false,
        ink: Ink::Ink,
        width_pt: 0.9,
        dash: Dash::DashDot,
    });
    let above = bed.max.y + 5.0 * mm_per_pt;
    let mut say = |x: f64, text: String| {
        let at = Point::new(x, above);
        marks.push(Mark::Text { at, anchor: Anchor::Middle, text, size_pt: SIZE_PT, bold: false, ink: Ink::Faint });
    };
    if halves.strip_mm > 0.0 {
        let strip = if halves.strip.is_empty() { bed } else { halves.strip.bounds() };
        say(strip.centre().x, format!("strip {:.1} mm", halves.strip_mm));
    }
    say(f64::midpoint(x, bed.max.x), halves.twin.to_owned());
    marks
}

/// The name on a clear patch in the keep-out, where it fits.
fn keep_out_name(name: &str, region: &Region, mm_per_pt: f64) -> Vec<Mark> {
    const SIZE_PT: f32 = 9.5;
    let b = region.bounds();
    let half = Point::new(text::width_pt(name, SIZE_PT, false) / 2.0 + 3.0, f64::from(SIZE_PT) * 0.62) * mm_per_pt;
    let Some(spot) = inner_circle(region, b.width().min(b.height()) * 0.05) else { return Vec::new() };
    if name.is_empty() || half.y > spot.radius_mm || half.x * 2.0 > b.width() {
        return Vec::new();
    }
    let patch = Region::rectangle(Bounds::new(spot.centre - half, spot.centre + half));
    vec![
        Mark::Fill { region: Arc::new(patch), ink: Ink::Bed, opacity: 1.0 },
        Mark::Text {
            at: spot.centre,
            anchor: Anchor::Centre,
            text: name.to_owned(),
            size_pt: SIZE_PT,
            bold: false,
            ink: Ink::Faint,
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{KeepOut, MachineId};

    fn bench() -> Machine {
        let mut m = Machine::rectangular(MachineId(1), "Bench 2", 240.0, 200.0, 190.0);
        let purge = Bounds::new(Point::new(0.0, 186.0), Point::new(30.0, 200.0));
        m.keep_outs.push(KeepOut { name: "purge".into(), outline: purge.corners().to_vec() });
        m
    }

    #[test]
    fn grid_is_10_and_50_mm_on_paper_and_finer_close_up() {
        assert_eq!(grid_steps_mm(0.4), (10.0, 50.0));
        assert_eq!(grid_steps_mm(0.05), (1.0, 10.0));
        assert_eq!(grid_steps_mm(3.0), (50.0, 100.0));
        assert_eq!(grid_steps_mm(1e9), (1000.0, 5000.0));
    }

    #[test]
    fn grid_lines_count_and_keep_outs_are_named() {
        let bed = DrawnBed::of_machine(&bench(), 4.0, 0.01);
        let view = Bounds::new(Point::new(-20.0, -20.0), Point::new(260.0, 220.0));
        let marks = bed_marks(&bed, view, 0.4);
        let grid = marks.iter().filter(|m| matches!(m, Mark::Stroke { ink: Ink::Grid, .. })).count();
        // Inside lines only matter; the bed's own edges may or may not carry one.
        assert!((42..=46).contains(&grid), "{grid}");
        assert!(marks.iter().any(|m| matches!(m, Mark::Text { text, .. } if text == "purge")));
        assert!(marks.iter().any(|m| matches!(m, Mark::Outline { dash: Dash::Dotted, .. })));
        let near = Bounds::new(Point::new(100.0, 100.0), Point::new(120.0, 110.0));
        assert!(bed_marks(&bed, near, 0.02).len() < 60);
    }
}
