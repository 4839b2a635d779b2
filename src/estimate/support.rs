//! Where a part needs supports: columns under what hangs over too far.

use std::sync::Arc;

use rayon::prelude::*;

use crate::{
    document::Support,
    geom::{Region, boolean, offset, simplify},
    watch::Watch,
};

/// How far sections may be off after thinning, twice, and rounding: a slope at just the angle needs none.
const SLACK_MM: f64 = 0.0025;
/// Sections are thinned to this first, mm: finer than paths need, for a slope shows as 0.1 mm a layer.
pub(super) const FINE_MM: f64 = 0.001;
/// Smaller pieces of overhang are noise, mm².
const NOISE_MM2: f64 = 1e-3;

/// The support's section in every layer. `sections[i]` is the part's at `middles_mm[i]`, equal neighbours sharing one `Arc`;
/// columns under `least_mm2` are dropped. `None` when cancelled.
///
/// A layer needs support where it reaches more than Δz tan(angle) beyond the layer below, and there right up to the layer below:
/// else a slope would stand on stripes. Columns go down to the bed, or end on the part. They touch the part; the first layer
/// of a part stands on the bed or its raft.
pub(super) fn columns(
    sections: &[Arc<Region>],
    middles_mm: &[f64],
    support: &Support,
    least_mm2: f64,
    watch: &dyn Watch,
) -> Option<Vec<Arc<Region>>> {
    let n = sections.len().min(middles_mm.len());
    let needs: Vec<Region> = (0..n)
        .into_par_iter()
        .map(|i| {
            if watch.cancelled() {
                return None;
            }
            if i == 0 || Arc::ptr_eq(&sections[i], &sections[i - 1]) {
                return Some(Region::EMPTY);
            }
            let reach = (middles_mm[i] - middles_mm[i - 1]) * support.overhang_deg.to_radians().tan();
            Some(overhang(&sections[i], &sections[i - 1], reach))
        })
        .collect::<Option<_>>()?;
    let mut out: Vec<Arc<Region>> = std::iter::repeat_n(Arc::new(Region::EMPTY), n).collect();
    let mut above = Arc::new(Region::EMPTY);
    for i in (0..n).rev() {
        if watch.cancelled() {
            return None;
        }
        // Under an equal layer that needs nothing the column goes on as it is.
        let same = out.get(i + 1).filter(|o| Arc::ptr_eq(o, &above) && Arc::ptr_eq(&sections[i], &sections[i + 1]));
        out[i] = match same {
            Some(o) => o.clone(),
            None if above.is_empty() => above,
            None => {
                let mut left = simplify::within(&boolean::difference(&above, &sections[i]), FINE_MM);
                left.polygons.retain(|p| p.area() > least_mm2);
                Arc::new(left)
            }
        };
        above = if needs[i].is_empty() { out[i].clone() } else { Arc::new(boolean::union([&*out[i], &needs[i]])) };
    }
    Some(out)
}

/// What of `section` reaches more than `reach` beyond the layer below it, up to that layer.
fn overhang(section: &Region, below: &Region, reach: f64) -> Region {
    let held = offset::grow(below, reach.max(0.0) + SLACK_MM, FINE_MM / 4.0);
    let mut far = boolean::difference(section, &held);
    far.polygons.retain(|p| p.area() > NOISE_MM2);
    if far.is_empty() {
        return far;
    }
    let wide = offset::grow(&far, (reach.max(0.0) + SLACK_MM) * 1.01, FINE_MM);
    boolean::intersection(&boolean::difference(section, below), &wide)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::{Bounds, Point, disc},
        watch::Quiet,
    };

    fn rectangle(x0: f64, x1: f64, depth: f64) -> Region {
        Region::rectangle(Bounds::new(Point::new(x0, 0.0), Point::new(x1, depth)))
    }

    fn at(deg: f64) -> Support {
        Support { overhang_deg: deg, density: 0.15 }
    }

    /// Volume of the columns of layers 0.2 mm high.
    fn volume(sections: Vec<Region>, deg: f64) -> f64 {
        let middles: Vec<f64> = (0..sections.len()).map(|i| 0.1 + 0.2 * i as f64).collect();
        let mut shared: Vec<Arc<Region>> = Vec::new();
        for s in sections {
            match shared.last() {
                Some(last) if **last == s => shared.push(last.clone()),
                _ => shared.push(Arc::new(s)),
            }
        }
        let columns = columns(&shared, &middles, &at(deg), 0.02, &Quiet).unwrap_or_default();
        assert_eq!(columns.len(), shared.len());
        columns.iter().map(|c| c.area() * 0.2).sum()
    }

    fn near(value: f64, wanted: f64, tolerance: f64) {
        assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted} ± {tolerance}");
    }

    /// A T: stem 4 × 10 mm, 20 mm high, arms 20 × 10 mm on it. Under the arms stand two columns of 8 × 10 × 20 mm (by hand). An
    /// upside-down L lies on a foot of 3 mm: its column ends there (16 × 10 × 17 mm).
    #[test]
    fn columns_of_a_t_and_on_a_foot() {
        let (stem, arms) = (rectangle(8.0, 12.0, 10.0), rectangle(0.0, 20.0, 10.0));
        let t = [vec![stem; 100], vec![arms.clone(); 15]].concat();
        for deg in [0.0, 45.0, 80.0] {
            near(volume(t.clone(), deg), 2.0 * 8.0 * 10.0 * 20.0, 0.5);
        }
        let foot = [vec![arms.clone(); 15], vec![rectangle(0.0, 4.0, 10.0); 85], vec![arms; 5]].concat();
        near(volume(foot, 45.0), 16.0 * 10.0 * 17.0, 0.5);
    }

    /// A cone on its tip that widens by 45° needs none at 45° (nor at 50°), and at 40° a column all round it: the cylinder less the
    /// cone, 2/3 π r² h.
    #[test]
    fn a_cone_at_the_angle_needs_none() {
        let radius = |i: usize| 0.1 + 0.2 * i as f64;
        let cone: Vec<Region> = (0..50).map(|i| disc::regular(Point::default(), radius(i), 180).into()).collect();
        near(volume(cone.clone(), 45.0), 0.0, 0.0);
        near(volume(cone.clone(), 50.0), 0.0, 0.0);
        // The middle of the topmost layer lies at 9.9 mm.
        let hollow = 2.0 / 3.0 * std::f64::consts::PI * 9.9_f64.powi(3);
        near(volume(cone, 40.0) / hollow, 1.0, 0.005);
    }

    /// Under a ball the columns fill the cylinder up to where the ball is as steep as the angle: radius r sin(90° − angle) and
    /// height r − r sin(angle), less the cap of the ball itself. At 45° with r = 10: 2.929 mm high, 7.071 mm wide.
    #[test]
    fn under_a_ball() {
        let r = 10.0_f64;
        let ball: Vec<Region> = (0..100)
            .map(|i| {
                let z = 0.1 + 0.2 * f64::from(i) - r;
                disc::regular(Point::default(), (r * r - z * z).sqrt(), 180).into()
            })
            .collect();
        for deg in [30.0_f64, 45.0, 60.0] {
            let (wide, high) = (r * deg.to_radians().cos(), r - r * deg.to_radians().sin());
            let cap = std::f64::consts::PI * high * high * (r - high / 3.0);
            let wanted = std::f64::consts::PI * wide * wide * high - cap;
            near(volume(ball.clone(), deg) / wanted, 1.0, 0.12);
        }
    }

    #[test]
    fn stops_when_told() {
        struct Stop;
        impl Watch for Stop {
            fn cancelled(&self) -> bool {
                true
            }
        }
        let sections = [0.0, 1.0, 2.0].map(|x| Arc::new(rectangle(x, x + 1.0, 1.0)));
        assert!(columns(&sections, &[0.1, 0.3, 0.5], &at(45.0), 0.02, &Stop).is_none());
    }
}
