//! What is named by id is there.

use super::fault::Fault;
use crate::document::Job;

/// Adds a fault for each id that names nothing.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    let mut need = |there: bool, place: String, kind: &str, id: &dyn std::fmt::Display| {
        if !there {
            faults.push(Fault::new(place, format!("there is no {kind} {id} in this file; name one that it holds")));
        }
    };
    for (i, p) in job.parts.iter().enumerate() {
        need(job.mesh(&p.mesh).is_some(), format!("parts[{i}].mesh"), "mesh", &p.mesh.0);
        need(job.material(p.material).is_some(), format!("parts[{i}].material"), "material", &p.material.0);
        need(job.recipe(p.recipe).is_some(), format!("parts[{i}].recipe"), "recipe", &p.recipe.0);
        if let Some(id) = p.other_hand {
            need(job.part(id).is_some(), format!("parts[{i}].other_hand"), "part", &id.0);
        }
    }
    for (i, s) in job.spools.iter().enumerate() {
        need(job.material(s.material).is_some(), format!("spools[{i}].material"), "material", &s.material.0);
    }
    for (i, p) in job.plates.iter().enumerate() {
        need(job.machine(p.machine).is_some(), format!("plates[{i}].machine"), "machine", &p.machine.0);
        need(job.material(p.material).is_some(), format!("plates[{i}].material"), "material", &p.material.0);
        need(job.recipe(p.recipe).is_some(), format!("plates[{i}].recipe"), "recipe", &p.recipe.0);
        if let Some(id) = p.spool {
            need(job.spool(id).is_some(), format!("plates[{i}].spool"), "spool", &id.0);
        }
        if let Some(id) = p.twin_spool {
            need(job.spool(id).is_some(), format!("plates[{i}].twin_spool"), "spool", &id.0);
        }
        for (k, c) in p.copies.iter().enumerate() {
            need(job.part(c.part).is_some(), format!("plates[{i}].copies[{k}].part"), "part", &c.part.0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{faults_after, with_spool};
    use crate::document::{MachineId, MaterialId, PartId, RecipeId, SpoolId};

    #[test]
    fn a_copy_of_no_part() {
        assert_eq!(faults_after(|j| j.plates[0].copies[1].part = PartId(999)), ["plates[0].copies[1].part"]);
    }

    #[test]
    fn a_part_whose_mesh_is_not_listed() {
        assert_eq!(faults_after(|j| drop(j.meshes.remove(1))), ["parts[1].mesh"]);
    }

    #[test]
    fn a_spool_that_is_not_there_and_one_of_no_material() {
        assert_eq!(faults_after(|j| j.plates[0].spool = Some(SpoolId(999))), ["plates[0].spool"]);
        assert_eq!(faults_after(|j| with_spool(j).material = MaterialId(999)), ["spools[0].material"]);
    }

    #[test]
    fn a_plate_without_machine_material_and_recipe() {
        let places = faults_after(|j| {
            j.plates[0].machine = MachineId(999);
            j.plates[0].material = MaterialId(999);
            j.plates[0].recipe = RecipeId(999);
        });
        assert_eq!(places, ["plates[0].machine", "plates[0].material", "plates[0].recipe"]);
    }
}
