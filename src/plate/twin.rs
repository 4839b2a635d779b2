//! Plates that two carriages print twice at once: the one place for their geometry.

use crate::{
    document::{self, Job, Machine, Plate},
    geom::{Bounds, Placement, Point, Region},
    packing,
};

/// How a plate is printed twice at once, in bed millimetres. Its copies are those of the left half; each has a twin in the
/// right one. A shifted twin lies half the bed's width farther along X, a handed one is mirrored about the bed's middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateTwin {
    kind: document::Twin,
    twin: packing::Twin,
    strip_mm: f64,
}

impl PlateTwin {
    /// `None` where the plate is printed once, or its machine has one carriage.
    pub fn of(job: &Job, plate: &Plate) -> Option<Self> {
        Self::on(job.machine(plate.machine)?, plate.twin?)
    }
    /// The same of any plate on a machine.
    pub fn on(machine: &Machine, kind: document::Twin) -> Option<Self> {
        let strip_mm = machine.carriages?.strip_mm.max(0.0);
        let bed = machine.bed.bounds();
        let twin = match kind {
            document::Twin::Shifted => packing::Twin::Shifted { by_mm: 0.5 * bed.width(), strip_mm },
            document::Twin::Handed => packing::Twin::Handed { axis_mm: bed.centre().x, strip_mm },
        };
        Some(Self { kind, twin, strip_mm })
    }
    /// Which of the two.
    pub fn kind(&self) -> document::Twin {
        self.kind
    }
    /// Is the twin a mirror image?
    pub fn is_handed(&self) -> bool {
        self.twin.is_handed()
    }
    /// As the search knows it.
    pub fn packing(&self) -> packing::Twin {
        self.twin
    }
    /// As the search knows it on a room that is less than the bed's own, where a skirt reaches `skirt_mm` beyond footings:
    /// copies end where they would on `whole`, less the skirt.
    pub(super) fn within(&self, whole: Bounds, room: Bounds, skirt_mm: f64) -> packing::Twin {
        let end_mm = self.end_mm(whole) - skirt_mm;
        match self.twin {
            packing::Twin::Shifted { by_mm, .. } => {
                packing::Twin::Shifted { by_mm, strip_mm: (room.min.x + by_mm - end_mm).max(0.0) }
            }
            packing::Twin::Handed { axis_mm, .. } => {
                packing::Twin::Handed { axis_mm, strip_mm: 2.0 * (axis_mm - end_mm) }
            }
        }
    }
    /// Where the twin of a copy lies. A handed one is of the shape's mirror image about its own y axis.
    pub fn placement(&self, at: Placement) -> Placement {
        self.twin.placement(at)
    }
    /// The twin of what covers this region.
    pub fn region(&self, region: &Region) -> Region {
        self.twin.region(region)
    }
    /// The box of the twin of what lies in a box.
    pub(super) fn bounds(&self, b: Bounds) -> Bounds {
        match self.twin {
            packing::Twin::Shifted { by_mm, .. } => b.moved(Point::new(by_mm, 0.0)),
            packing::Twin::Handed { .. } => self.bounds_back(b),
        }
    }
    /// The box of what has its twin in a box.
    pub(super) fn bounds_back(&self, b: Bounds) -> Bounds {
        match self.twin {
            packing::Twin::Shifted { by_mm, .. } => b.moved(Point::new(-by_mm, 0.0)),
            packing::Twin::Handed { axis_mm, .. } => {
                Bounds::new(Point::new(2.0 * axis_mm - b.max.x, b.min.y), Point::new(2.0 * axis_mm - b.min.x, b.max.y))
            }
        }
    }
    /// How far copies may reach along X, mm; `room` is the box of the bed less its edge margin.
    pub fn end_mm(&self, room: Bounds) -> f64 {
        self.twin.end_mm(room, 0.0)
    }
    /// The half in which copies may lie, of the bed less its edge margin.
    pub fn half(&self, room: &Region) -> Region {
        self.twin.half(room, 0.0)
    }
    /// The strip between the carriages, in which nothing may lie: from where the copies end, as wide as was stated; as
    /// deep as the bed. `room` is the box of the bed less its edge margin.
    pub fn strip(&self, room: Bounds, bed: Bounds) -> Bounds {
        let end_mm = self.end_mm(room);
        let within = |x: f64| x.clamp(bed.min.x, bed.max.x);
        Bounds::new(Point::new(within(end_mm), bed.min.y), Point::new(within(end_mm + self.strip_mm), bed.max.y))
    }
    /// Its stated width, mm.
    pub fn strip_mm(&self) -> f64 {
        self.strip_mm
    }
    /// Where the right half begins along X, mm: the bed's middle.
    pub fn middle_mm(bed: Bounds) -> f64 {
        bed.centre().x
    }
    /// Does the strip leave no room beside it?
    pub fn leaves_no_room(&self, room: &Region) -> bool {
        self.half(room).area() < 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::{BedShape, Carriages, Twin},
        geom::Polygon,
        plate::{Room, samples::Bench},
    };

    fn machine(b: &mut Bench, strip_mm: f64) -> &mut Machine {
        let m = &mut b.job.machines[0];
        m.carriages = Some(Carriages { strip_mm });
        m
    }

    fn rectangle(b: &Region) -> [f64; 4] {
        let b = b.bounds();
        [b.min.x, b.min.y, b.max.x, b.max.y]
    }

    /// 240 × 200, strip 20, worked by hand: a shifted twin lies 120 mm farther on, copies end at 120 − 20 = 100; a handed
    /// one is mirrored about 120, copies end at 110. With an edge of 5 the shifted ones go from 5 to 125 − 20.
    #[test]
    fn halves_of_a_rectangle() {
        let mut b = Bench::new();
        machine(&mut b, 20.0);
        let half = |b: &Bench, kind| {
            let m = &b.job.machines[0];
            let twin = PlateTwin::on(m, kind).expect("two carriages");
            let room = Room::new(&b.job, m);
            let strip = twin.strip(room.region().bounds(), m.bed.bounds());
            (rectangle(&twin.half(room.region())), strip.min.x, strip.max.x)
        };
        assert_eq!(half(&b, Twin::Shifted), ([0.0, 0.0, 100.0, 200.0], 100.0, 120.0));
        assert_eq!(half(&b, Twin::Handed), ([0.0, 0.0, 110.0, 200.0], 110.0, 130.0));
        b.job.margins.edge_mm = 5.0;
        assert_eq!(half(&b, Twin::Shifted), ([5.0, 5.0, 105.0, 195.0], 105.0, 125.0));
        assert_eq!(half(&b, Twin::Handed), ([5.0, 5.0, 110.0, 195.0], 110.0, 130.0));
    }

    /// On a disc of 200 a shifted twin must lie in it too: at x = 50 both circles are as deep, √(100² − 50²) · 2.
    #[test]
    fn halves_of_a_disc_and_of_a_polygon() {
        let mut b = Bench::new();
        machine(&mut b, 10.0).bed = BedShape::Round { diameter_mm: 200.0 };
        let of = |b: &Bench, kind| {
            let m = &b.job.machines[0];
            let twin = PlateTwin::on(m, kind).expect("two carriages");
            twin.half(Room::new(&b.job, m).region())
        };
        let lens = of(&b, Twin::Shifted);
        assert!((lens.bounds().height() - 3.0_f64.sqrt() * 100.0).abs() < 0.2, "{:?}", lens.bounds());
        assert!((lens.bounds().max.x - 90.0).abs() < 0.02);
        assert!((of(&b, Twin::Handed).bounds().max.x - 95.0).abs() < 1e-9);
        // The right half of this bed is only 100 deep: so is the left one.
        let corners = [[0., 0.], [200., 0.], [200., 100.], [100., 100.], [100., 200.], [0., 200.]];
        b.job.machines[0].bed = BedShape::Polygon { outline: corners.map(Point::from).to_vec() };
        for kind in Twin::ALL {
            let half = of(&b, kind).bounds();
            assert!((half.max.y - 100.0).abs() < 1e-6 && half.min.y.abs() < 1e-6, "{kind:?} {half:?}");
        }
    }

    #[test]
    fn one_carriage_and_a_strip_wider_than_the_bed() {
        let mut b = Bench::new();
        assert_eq!(PlateTwin::on(&b.job.machines[0], Twin::Shifted), None);
        machine(&mut b, 300.0);
        for kind in Twin::ALL {
            let m = &b.job.machines[0];
            let twin = PlateTwin::on(m, kind).expect("two carriages");
            let room = Room::new(&b.job, m);
            assert!(twin.leaves_no_room(room.region()), "{kind:?}");
            let strip = twin.strip(room.region().bounds(), m.bed.bounds());
            assert!(strip.min.x >= 0.0 && strip.max.x <= 240.0, "{strip:?}");
        }
    }

    /// Worked by hand: a region at 10 … 30 has its shifted twin at 130 … 150 and its handed one at 210 … 230.
    #[test]
    fn boxes_and_regions_go_where_the_twin_goes() {
        let mut b = Bench::new();
        machine(&mut b, 0.0);
        let from = Bounds::new(Point::new(10.0, 20.0), Point::new(30.0, 50.0));
        for (kind, x) in [(Twin::Shifted, [130.0, 150.0]), (Twin::Handed, [210.0, 230.0])] {
            let twin = PlateTwin::on(&b.job.machines[0], kind).expect("two carriages");
            let to = Bounds::new(Point::new(x[0], 20.0), Point::new(x[1], 50.0));
            assert_eq!(twin.bounds(from), to);
            assert_eq!(twin.bounds_back(to), from);
            assert_eq!(twin.region(&Polygon::rectangle(from).into()).bounds(), to);
        }
    }
}
