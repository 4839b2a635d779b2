//! A dealing as a change of the job.

use std::collections::BTreeSet;

use crate::{
    document::{Job, Plate, PlateId},
    edit::{Command, EditError, PlateSetup, PlateTarget, Put, apply},
    plate::{NewPlate, PlacedCopy},
    studies::{Dealt, LaidCopy},
};

/// Does all that a dealing depends on stand as it did? Names, wishes and what is assumed about failing count for nothing.
pub(super) fn is_about(then: &Job, now: &Job) -> bool {
    let plain = |job: &Job| {
        let mut job = job.clone();
        job.title.clear();
        job.currency.clear();
        (job.preferences, job.assumptions) =
            (crate::document::Preferences::default(), crate::document::Assumptions::default());
        job.spools.clear();
        job.plates.iter_mut().for_each(|p| p.spool = None);
        job.parts.iter_mut().for_each(|p| p.name.clear());
        job.machines.iter_mut().for_each(|m| m.name.clear());
        (job.next_id, job.letters_given) = (0, 0);
        job
    };
    then == now || plain(then) == plain(now)
}

/// The job dealt out, and the plate of each of the dealing's plates. Copies that are there keep their numbers; plates that have become empty
/// go; the docket is in the sequence of the dealing, but plates that have started or ended keep their numbers: sheets of paper bear them.
pub(super) fn carried_out(job: &Job, dealt: &Dealt) -> Result<(Job, Vec<PlateId>), EditError> {
    let mut with = job.clone();
    for p in &dealt.plates {
        let Some(old) = p.plate.and_then(|id| job.plate(id)) else { continue };
        let setup = setup_of(&p.kind);
        if !p.stays && PlateSetup::of(old) != setup {
            with = apply(&with, &Command::SetPlate { id: old.id, setup })?.0;
        }
    }
    let mut puts = Vec::new();
    let mut new = 0;
    for p in dealt.plates.iter().filter(|p| !p.stays) {
        let target = if let Some(id) = p.plate {
            PlateTarget::Existing(id)
        } else {
            new += 1;
            PlateTarget::New(new - 1, setup_of(&p.kind))
        };
        puts.extend(p.copies.iter().filter(|c| !lies_there(job, p.plate, c)).map(|c| put(c, target.clone())));
    }
    let mut made = Vec::new();
    if !puts.is_empty() {
        let command = Command::PutCopies { puts, remove: Vec::new(), drop_empty_plates: true };
        let (job, out) = apply(&with, &command)?;
        (with, made) = (job, out.plates);
    }
    let mut made = made.into_iter();
    let plates: Vec<PlateId> = dealt.plates.iter().filter_map(|p| p.plate.or_else(|| made.next())).collect();
    let order = docket(job, &with, &plates);
    if order.iter().ne(with.plates.iter().map(|p| &p.id)) {
        with = apply(&with, &Command::OrderPlates { order })?.0;
    }
    Ok((with, plates))
}

/// The plates of `with` in their new sequence: those dealt, then the rest; what has started or ended has the number it had in `before`, as far
/// as there are so many plates.
fn docket(before: &Job, with: &Job, dealt: &[PlateId]) -> Vec<PlateId> {
    let has_begun = |p: &&Plate| p.run.started.is_some() || p.run.ended.is_some();
    let begun: Vec<(usize, PlateId)> =
        before.plates.iter().enumerate().filter(|(_, p)| has_begun(p)).map(|(n, p)| (n, p.id)).collect();
    let pinned: BTreeSet<PlateId> = begun.iter().map(|(_, id)| *id).collect();
    let mut seen = pinned.clone();
    let all = dealt.iter().copied().chain(with.plates.iter().map(|p| p.id));
    let mut order: Vec<PlateId> = all.filter(|id| seen.insert(*id)).collect();
    for (n, id) in begun {
        order.insert(n.min(order.len()), id);
    }
    order
}

fn setup_of(kind: &NewPlate) -> PlateSetup {
    let NewPlate { machine, material, recipe, twin, .. } = *kind;
    PlateSetup { machine, material, colour: kind.colour.clone(), recipe, twin }
}

fn lies_there(job: &Job, plate: Option<PlateId>, laid: &LaidCopy) -> bool {
    let now = laid.copy.and_then(|id| job.copy(id));
    now.is_some_and(|(on, copy)| Some(on.id) == plate && copy.placement() == laid.at)
}

fn put(laid: &LaidCopy, plate: PlateTarget) -> Put {
    let placed = PlacedCopy { part: laid.part, copy: laid.copy, at: laid.at };
    Put { copy: laid.copy, part: laid.part, plate, x_mm: laid.at.x, y_mm: laid.at.y, turn_deg: placed.turn_deg() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{RunState, Shop};

    #[test]
    fn plates_that_have_begun_keep_their_numbers() {
        let shop = Job::with_shop("order", &Shop::starter());
        let plate = |n: u32| Plate {
            id: PlateId(n),
            machine: shop.machines[0].id,
            material: shop.materials[0].id,
            colour: String::new(),
            recipe: shop.recipes[0].id,
            spool: None,
            twin: None,
            twin_spool: None,
            run: RunState::default(),
            copies: Vec::new(),
        };
        let ids = |of: &[u32]| of.iter().map(|n| PlateId(*n)).collect::<Vec<_>>();
        let mut job = Job { plates: (0..6).map(plate).collect(), ..shop.clone() };
        job.plates[2].run.started = Some(jiff::Timestamp::UNIX_EPOCH);
        job.plates[3].run.ended = Some(jiff::Timestamp::UNIX_EPOCH);
        assert_eq!(docket(&job, &job, &ids(&[2, 5, 4, 1])), ids(&[5, 4, 2, 3, 1, 0]));
        // Fewer plates than the number says: the last one.
        let fewer = Job { plates: [2, 3, 5].map(plate).to_vec(), ..shop.clone() };
        assert_eq!(docket(&job, &fewer, &ids(&[2, 5])), ids(&[5, 2, 3]));
    }

    #[test]
    fn names_do_not_matter_and_hours_do() {
        let then = Job::with_shop("order", &Shop::starter());
        let mut now = Job { title: "another".into(), currency: "EUR".into(), ..then.clone() };
        now.machines[0].name = "Bench 9".into();
        assert!(is_about(&then, &now));
        now.shifts.hours.people += 1;
        assert!(!is_about(&then, &now));
        let mut wider = then.clone();
        wider.margins.gap_mm += 1.0;
        assert!(!is_about(&then, &wider));
    }
}
