//! Beds, keep-outs and numbers of machines.

use super::fault::{Fault, numbers};
use crate::{
    document::{
        BedShape, Job, Machine,
        limits::{CORNERS, FARTHEST_MM, LONGEST_BED_MM, MACHINE},
    },
    geom::{Point, Region},
};

/// Adds a fault for each number of a machine out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, m) in job.machines.iter().enumerate() {
        machine(m, &format!("machines[{i}]"), faults);
    }
}

/// Adds the faults of one machine; `place` is where it stands in the file.
pub fn machine(m: &Machine, place: &str, faults: &mut Vec<Fault>) {
    numbers(m, MACHINE, place, faults);
    if let BedShape::Polygon { outline: o } = &m.bed {
        outline(o, &format!("{place}.bed.outline"), faults);
        for (k, p) in o.iter().enumerate() {
            if p.x.abs().max(p.y.abs()) > LONGEST_BED_MM {
                faults.push(Fault::new(
                    format!("{place}.bed.outline[{k}]"),
                    format!("no bed reaches beyond {LONGEST_BED_MM} mm; correct the point"),
                ));
            }
        }
    }
    super::shifts::downtimes(&m.downtimes, &format!("{place}.downtimes"), faults);
    for (k, area) in m.keep_outs.iter().enumerate() {
        outline(&area.outline, &format!("{place}.keep_outs[{k}].outline"), faults);
    }
}

/// Three finite points at least, round some area, no edge crossing another.
fn outline(points: &[Point], place: &str, faults: &mut Vec<Fault>) {
    if let Some(k) = points.iter().position(|p| !p.is_finite() || p.x.abs().max(p.y.abs()) > FARTHEST_MM) {
        faults.push(Fault::new(format!("{place}[{k}]"), "the point is not a number, or beyond reach; correct it"));
        return;
    }
    let (fewest, most) = CORNERS;
    if points.len() < fewest || points.len() > most {
        faults.push(Fault::new(
            place,
            format!("{} points do not make an outline; write {fewest} to {most}", points.len()),
        ));
        return;
    }
    let drawn = crate::geom::Polygon::simple(points.to_vec());
    let filled: Region = crate::geom::boolean::non_zero(std::slice::from_ref(&drawn.outer));
    if filled.area() < 1e-6 {
        faults.push(Fault::new(place, "the outline encloses no area; correct its points"));
    } else if (filled.area() - drawn.area()).abs() > 1e-6 * filled.area() {
        faults.push(Fault::new(place, "the outline crosses itself; correct its points"));
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::{
        document::{BedShape, KeepOut},
        geom::Point,
    };

    #[test]
    fn a_bed_of_negative_width() {
        let places = faults_after(|j| j.machines[0].bed = BedShape::Rectangle { width_mm: -200.0, depth_mm: 200.0 });
        assert_eq!(places, ["machines[0].bed.width_mm"]);
    }

    #[test]
    fn a_keep_out_of_two_points() {
        let line = vec![Point::new(0.0, 0.0), Point::new(5.0, 0.0)];
        let places = faults_after(|j| j.machines[0].keep_outs = vec![KeepOut { name: "clip".into(), outline: line }]);
        assert_eq!(places, ["machines[0].keep_outs[0].outline"]);
    }

    #[test]
    fn a_bed_that_crosses_itself() {
        let bow = [[0.0, 0.0], [100.0, 100.0], [100.0, 0.0], [0.0, 90.0]].map(Point::from).to_vec();
        let places = faults_after(|j| j.machines[0].bed = BedShape::Polygon { outline: bow });
        assert_eq!(places, ["machines[0].bed.outline"]);
    }

    #[test]
    fn a_height_that_is_no_number() {
        assert_eq!(faults_after(|j| j.machines[0].height_mm = f64::INFINITY), ["machines[0].height_mm"]);
    }
}
