//! Copies that failed, by what they have in common.

use std::collections::BTreeMap;

use super::{
    rate::Rate,
    shrunk::{RatePrior, ShrunkRate, shrunk_rates},
};
use crate::document::{Footing, PlateOutcome};

/// What copies of a group have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GroupOf {
    /// Their part.
    Part,
    /// Their machine.
    Machine,
    /// Their material.
    Material,
    /// Their footing's kind.
    Footing,
}

impl GroupOf {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Part, Self::Machine, Self::Material, Self::Footing];
    /// "part".
    pub fn word(self) -> &'static str {
        match self {
            Self::Part => "part",
            Self::Machine => "machine",
            Self::Material => "material",
            Self::Footing => "footing",
        }
    }
}

/// Copies with something in common, and how often they fail.
#[derive(Debug, Clone, PartialEq)]
pub struct FailureGroup {
    /// Id of the part, machine or material; 0, 1, 2 for bare, brim, raft.
    pub id: u32,
    /// Its name when it was tallied last.
    pub name: String,
    /// By its own copies alone.
    pub own: Rate,
    /// Drawn towards the other groups.
    pub shrunk: ShrunkRate,
}

/// Groups of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Failures {
    /// What they have in common.
    pub of: GroupOf,
    /// The groups, in the order of their ids.
    pub groups: Vec<FailureGroup>,
    /// What they were drawn towards.
    pub prior: RatePrior,
}

#[derive(Default)]
struct Count {
    name: String,
    failed: usize,
    of: usize,
}

/// Failures by part, machine, material and footing. Plates lost at once are left out: they are counted by themselves. So are, for parts and footings,
/// plates of several of them whose bad copies nobody named.
pub(super) fn by_group(outcomes: &[PlateOutcome]) -> Vec<Failures> {
    let mut counts: BTreeMap<GroupOf, BTreeMap<u32, Count>> = BTreeMap::new();
    let mut add = |of: GroupOf, id: u32, name: &str, failed: usize, copies: usize| {
        let count = counts.entry(of).or_default().entry(id).or_default();
        if count.name != name {
            name.clone_into(&mut count.name);
        }
        count.failed += failed;
        count.of += copies;
    };
    for o in outcomes.iter().filter(|o| !o.is_spoilt()) {
        let (bad, all) = (o.bad(), o.copies.len());
        add(GroupOf::Machine, o.machine.0, &o.machine_name, bad, all);
        add(GroupOf::Material, o.material.0, &o.material_name, bad, all);
        let part_name = |id| o.parts.iter().find(|p| p.part == id).map_or("?", |p| p.name.as_str());
        if let Some(part) = o.only_part() {
            add(GroupOf::Part, part.0, part_name(part), bad, all);
        } else if o.knows_each() {
            let lost = o.good() == 0;
            for c in &o.copies {
                if let Some(part) = c.part {
                    add(GroupOf::Part, part.0, part_name(part), usize::from(lost || c.bad.is_some()), 1);
                }
            }
        }
        let first = o.copies.first().map(|c| kind(c.footing));
        if let Some((id, name)) = first.filter(|f| o.copies.iter().all(|c| kind(c.footing) == *f)) {
            add(GroupOf::Footing, id, name, bad, all);
        } else if o.knows_each() {
            let lost = o.good() == 0;
            for c in &o.copies {
                let (id, name) = kind(c.footing);
                add(GroupOf::Footing, id, name, usize::from(lost || c.bad.is_some()), 1);
            }
        }
    }
    let rates = |(of, by_id): (GroupOf, BTreeMap<u32, Count>)| {
        let numbers: Vec<(usize, usize)> = by_id.values().map(|c| (c.failed, c.of)).collect();
        let (rates, prior) = shrunk_rates(&numbers);
        let group = |((id, count), (own, shrunk)): ((u32, Count), (Rate, ShrunkRate))| FailureGroup {
            id,
            name: count.name,
            own,
            shrunk,
        };
        Failures { of, groups: by_id.into_iter().zip(rates).map(group).collect(), prior }
    };
    counts.into_iter().map(rates).collect()
}

fn kind(footing: Footing) -> (u32, &'static str) {
    match footing {
        Footing::Bare => (0, "bare"),
        Footing::Brim { .. } => (1, "brim"),
        Footing::Raft { .. } => (2, "raft"),
    }
}
