//! Ids are given once, and the next one is above all of them.

use std::collections::BTreeMap;

use super::fault::Fault;
use crate::document::Job;

/// Adds a fault for each id used twice within its kind, or not below the next one.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    let mut lists: Vec<(&str, Vec<(String, u32)>)> = vec![
        ("machine", list("machines", job.machines.iter().map(|m| m.id.0))),
        ("material", list("materials", job.materials.iter().map(|m| m.id.0))),
        ("recipe", list("recipes", job.recipes.iter().map(|r| r.id.0))),
        ("spool", list("spools", job.spools.iter().map(|s| s.id.0))),
        ("part", list("parts", job.parts.iter().map(|p| p.id.0))),
        ("outcome", list("tally", job.tally.outcomes().iter().map(|o| o.id.0))),
        ("plate", list("plates", job.plates.iter().map(|p| p.id.0))),
    ];
    let mut copies = Vec::new();
    for (i, plate) in job.plates.iter().enumerate() {
        copies.extend(list(&format!("plates[{i}].copies"), plate.copies.iter().map(|c| c.id.0)));
    }
    lists.push(("copy", copies));
    for (kind, ids) in lists {
        let mut seen: BTreeMap<u32, String> = BTreeMap::new();
        for (place, id) in ids {
            if let Some(first) = seen.get(&id) {
                faults.push(Fault::new(&place, format!("{kind} id {id} is taken by {first} already; use another")));
            } else if id >= job.next_id {
                faults.push(Fault::new(
                    &place,
                    format!("{kind} id {id} is not below next_id {}; raise next_id above all ids", job.next_id),
                ));
            }
            seen.entry(id).or_insert(place);
        }
    }
}

fn list(name: &str, ids: impl Iterator<Item = u32>) -> Vec<(String, u32)> {
    ids.enumerate().map(|(i, id)| (format!("{name}[{i}].id"), id)).collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn a_copy_id_used_twice() {
        let places = faults_after(|j| j.plates[0].copies[2].id = j.plates[0].copies[0].id);
        assert_eq!(places, ["plates[0].copies[2].id"]);
    }

    #[test]
    fn an_id_at_or_above_the_next_one() {
        let places = faults_after(|j| j.next_id = j.plates[0].id.0);
        assert_eq!(places, ["plates[0].id"]);
    }

    #[test]
    fn two_parts_with_one_id() {
        let places = faults_after(|j| j.parts[1].id = j.parts[0].id);
        assert_eq!(places, ["parts[1].id"]);
    }
}
