//! What must hold in a job that is read or taken over: one rule a file.
//!
//! - [`ids`]: given once, all below the next one
//! - [`references`]: what is named is there
//! - [`machines`], [`materials`], [`recipes`], [`spools`], [`margins`], [`preferences`],
//!   [`parts`], [`mends`], [`copies`]: numbers in their ranges
//! - [`assumptions`]: what pushes parts over; [`currency`]: what money is counted in
//! - [`shifts`]: hours, exceptions and changeovers; [`runs`]: what is said of plates in the shop
//! - [`tally`], [`readiness`]: what came out of plates, and what was seen to
//! - [`names`]: letters and numbers of copies tell them apart

pub mod assumptions;
pub mod copies;
pub mod currency;
mod fault;
pub mod ids;
pub mod machines;
pub mod margins;
pub mod materials;
pub mod mends;
pub mod names;
pub mod parts;
pub mod preferences;
pub mod readiness;
pub mod recipes;
pub mod references;
pub mod runs;
pub mod shifts;
pub mod spools;
pub mod tally;

pub use fault::Fault;

use super::Job;

/// All breaches, in the order of the file.
pub fn all(job: &Job) -> Vec<Fault> {
    let mut faults = Vec::new();
    for rule in [
        ids::check,
        references::check,
        margins::check,
        currency::check,
        preferences::check,
        assumptions::check,
        machines::check,
        materials::check,
        recipes::check,
        spools::check,
        parts::check,
        mends::check,
        shifts::check,
        runs::check,
        copies::check,
        names::check,
        tally::check,
        readiness::check,
    ] {
        rule(job, &mut faults);
    }
    faults
}

#[cfg(test)]
pub(super) mod sample {
    use crate::document::{
        Copy, CopyId, Job, MeshId, MeshRef, Part, PartId, Plate, PlateId, Pose, Shop, Spool, SpoolId, Turns, letter,
    };

    /// A sound job: the starter shop, two parts, one plate with three copies.
    pub(crate) fn job() -> Job {
        let mut job = Job::with_shop("Hive fittings", &Shop::starter());
        let (material, recipe, machine) = (job.materials[0].id, job.recipes[0].id, job.machines[0].id);
        let mut next = job.next_id;
        let mut id = || {
            next += 1;
            next - 1
        };
        for (i, name) in ["frame spacer", "queen-cage peg"].into_iter().enumerate() {
            let mesh = MeshId::new(&format!("{i:064x}"), 0);
            job.meshes.push(MeshRef {
                id: mesh.clone(),
                file: format!("{name}.stl"),
                object: name.into(),
                body: None,
                unit: crate::document::FileUnit::Millimeter,
            });
            job.parts.push(Part {
                id: PartId(id()),
                letter: letter(i),
                name: name.into(),
                mesh,
                body: None,
                mends: Vec::new(),
                pose: Pose::default(),
                wanted: 12,
                due: None,
                material,
                colour: "white".into(),
                recipe,
                footing: crate::document::Footing::Bare,
                clean_up: crate::document::CleanUp::default(),
                turns: Turns::Eighths,
                together: false,
                other_hand: None,
                next_number: 4,
            });
        }
        let part = job.parts[0].id;
        let copies = (1..=3)
            .map(|number| Copy {
                id: CopyId(id()),
                part,
                number,
                x_mm: 40.0 * f64::from(number),
                y_mm: 60.0,
                turn_deg: 0.0,
                locked: false,
                footing: None,
            })
            .collect();
        job.plates.push(Plate {
            id: PlateId(id()),
            machine,
            material,
            colour: "white".into(),
            recipe,
            spool: None,
            twin: None,
            twin_spool: None,
            run: crate::document::RunState::default(),
            copies,
        });
        job.next_id = next;
        job.letters_given = 2;
        job
    }

    /// A spool in the sample job.
    pub(crate) fn with_spool(job: &mut Job) -> &mut Spool {
        job.spools.push(Spool::full(SpoolId(job.next_id), "White 1", job.materials[0].id, "white"));
        job.next_id += 1;
        let last = job.spools.len() - 1;
        &mut job.spools[last]
    }

    /// The places where a changed job breaks any rule.
    pub(crate) fn faults_after(change: impl FnOnce(&mut Job)) -> Vec<String> {
        let mut job = job();
        change(&mut job);
        super::all(&job).into_iter().map(|f| f.place).collect()
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_sound_job_has_no_faults() {
        assert_eq!(super::all(&super::sample::job()), Vec::new());
    }
}
