//! What a plate costs and how firm it is, for copies wherever a study laid them.

use std::{
    collections::{BTreeMap, btree_map::Entry},
    sync::Arc,
};

use super::{FilledPlate, LaidCopy, StudiedPart, StudyError};
use crate::{
    batch::{expected_good, failing_chance},
    document::{CopyId, Footing, Job, Machine, Material, PartId, Recipe},
    estimate::{self, FootingProfile, PlateCopy, PlateInput, Tour},
    stability::{Conditions, Least},
};

/// Parts by id, as a study knows them.
pub type StudiedParts = BTreeMap<PartId, StudiedPart>;

/// What a plate is made with.
#[derive(Clone, Copy)]
pub(super) struct Setting<'a> {
    /// The job: assumptions, clean-up.
    pub(super) job: &'a Job,
    /// Its machine.
    pub(super) machine: &'a Machine,
    /// Its material.
    pub(super) material: &'a Material,
    /// Its recipe.
    pub(super) recipe: &'a Recipe,
    /// What its parts are judged under.
    pub(super) conditions: &'a Conditions,
}

/// Copies of one part with one footing: what each costs, and how firmly it stands.
pub(super) struct Kind {
    /// What the footing of one copy costs.
    pub(super) footing: Arc<FootingProfile>,
    /// Chance that it lets go, 0 to 1.
    pub(super) failing: f64,
    /// Where it would let go first, mm above the bed; 0 where nothing is known to push it over.
    lets_go_mm: f64,
    /// Height on the bed, its raft included, mm.
    pub(super) height_mm: f64,
    least: Option<Least>,
}

/// What a plate costs, and the least margin on it with the part that has it.
pub(super) type Laid = (FilledPlate, Option<(Least, PartId)>);

/// What a plate costs, and how firm it is. `None` for no copies. Copies of parts that are not among
/// `parts` are left out.
pub(super) fn laid_plate(
    setting: &Setting<'_>,
    parts: &StudiedParts,
    copies: &[LaidCopy],
) -> Result<Option<Laid>, StudyError> {
    let mut kinds: BTreeMap<(PartId, &'static str, u64), Kind> = BTreeMap::new();
    let mut known: Vec<(&LaidCopy, &StudiedPart)> = Vec::with_capacity(copies.len());
    for copy in copies {
        let Some(part) = parts.get(&copy.part) else { continue };
        known.push((copy, part));
        if let Entry::Vacant(e) = kinds.entry(key(copy)) {
            e.insert(kind(setting, copy.part, part, copy.footing)?);
        }
    }
    if known.is_empty() {
        return Ok(None);
    }
    let planned: Vec<PlateCopy> = known
        .iter()
        .zip(1..)
        .map(|((copy, part), id)| PlateCopy {
            copy: CopyId(id),
            profile: part.profile.clone(),
            footing: kinds[&key(copy)].footing.clone(),
            placement: copy.at,
        })
        .collect();
    let Setting { job, machine, material, recipe, .. } = *setting;
    let estimate = estimate::plate(&PlateInput { machine, material, recipe, copies: &planned }, Tour::Exact)?;
    let n = known.len() as f64;
    let of = |copy: &LaidCopy| &kinds[&key(copy)];
    let failing: Vec<f64> = known.iter().map(|(copy, _)| of(copy).failing).collect();
    let plate = FilledPlate {
        time_s: estimate.time_s,
        time_per_copy_s: estimate.time_s / n,
        mass_per_copy_g: estimate.filament.mass_g / n,
        clean_up_s: known.iter().map(|(copy, _)| clean_up_s(job, copy)).sum(),
        expected_good: expected_good(&failing, &spoils(&known, of)),
    };
    let least = known.iter().filter_map(|(copy, _)| Some((of(copy).least?, copy.part)));
    Ok(Some((plate, least.min_by(|a, b| a.0.margin.total_cmp(&b.0.margin)))))
}

/// Hand work to take a copy's footing off, s.
fn clean_up_s(job: &Job, copy: &LaidCopy) -> f64 {
    job.part(copy.part)
        .map_or_else(|| job.assumptions.clean_up_s(copy.footing), |part| job.clean_up_s(part, copy.footing))
}

fn key(copy: &LaidCopy) -> (PartId, &'static str, u64) {
    (copy.part, copy.footing.kind(), copy.footing.width_mm().to_bits())
}

/// A part on a footing, judged.
pub(super) fn kind(
    setting: &Setting<'_>,
    id: PartId,
    part: &StudiedPart,
    footing: Footing,
) -> Result<Kind, StudyError> {
    let Setting { job, recipe, conditions, .. } = *setting;
    let judgement = part.judged(footing, conditions);
    let lift_mm = match footing {
        Footing::Raft { .. } => recipe.raft_height_mm(),
        Footing::Bare | Footing::Brim { .. } => 0.0,
    };
    let height_mm = part.shape.height_mm + lift_mm;
    Ok(Kind {
        footing: Arc::new(FootingProfile::compute(part.shape.contact.region(), footing, recipe)?),
        failing: failing_chance(job.assumptions.failing_percent_of(id), judgement.margin()),
        // Its top layer may end a little above its top: copies as high as it would count as finished then.
        lets_go_mm: judgement.least.map_or(0.0, |l| l.height_mm.min(height_mm)),
        height_mm,
        least: judgement.least,
    })
}

/// For each copy those that it would strike or drag along: within reach of its height round its contact, and not finished lower.
pub(super) fn spoils<'a>(known: &[(&LaidCopy, &StudiedPart)], of: impl Fn(&LaidCopy) -> &'a Kind) -> Vec<Vec<usize>> {
    let struck_by = |i: usize| -> Vec<usize> {
        let (copy, part) = known[i];
        let reach_mm = of(copy).lets_go_mm;
        let strikes = |j: &usize| {
            let (other, its) = known[*j];
            if *j == i || of(other).height_mm < reach_mm {
                return false;
            }
            let apart = part.shape.contact.bounds_at(copy.at).grown(reach_mm);
            apart.overlaps(its.shape.shadow.bounds_at(other.at))
                && !part.shape.contact.clear_of(copy.at, &its.shape.shadow, other.at, reach_mm + 1e-6)
        };
        (0..known.len()).filter(strikes).collect()
    };
    (0..known.len()).map(struck_by).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::RecipeId,
        estimate::Profile,
        geom::{Bounds, Outline, Placement, Point, Region},
        plate::PartShape,
        stability::{MassProfile, Standing, fall},
        watch::Quiet,
    };

    /// Reach as [`fall`] has it, which is tested against areas by hand.
    #[test]
    fn who_is_struck_is_as_for_a_fall() {
        let recipe = Recipe::plain(RecipeId(1));
        let h = Point::new(5.0, 4.0);
        let square = Region::rectangle(Bounds::new(-h, h));
        let outline = Outline::new(square.clone());
        let shape = |height_mm| {
            Arc::new(PartShape {
                shadow: outline.clone(),
                contact: outline.clone(),
                height_mm,
                shift_mm: [0.0; 3],
                own_mirror: false,
            })
        };
        let part = |height_mm: f64| StudiedPart {
            shape: shape(height_mm),
            profile: Arc::new(Profile::compute(&[], &[], &recipe, &Quiet).expect("sound")),
            mass: MassProfile::new(&[], &[], 0.4, &Quiet).expect("not cancelled"),
            supports: Region::EMPTY,
        };
        let kinds: Vec<Kind> = [30.0, 18.0]
            .map(|height_mm| Kind {
                footing: Arc::new(FootingProfile::compute(&square, Footing::Bare, &recipe).expect("sound")),
                failing: 0.1,
                lets_go_mm: 0.9 * height_mm,
                height_mm,
                least: None,
            })
            .into();
        let parts = [part(30.0), part(18.0)];
        let mut copies = Vec::new();
        for (i, (x, y)) in
            [(0.0, 0.0), (25.0, 3.0), (0.0, 40.0), (36.9, 0.0), (37.1, -9.0), (90.0, 90.0)].iter().enumerate()
        {
            let at = Placement::new(*x, *y, 0.3 * i as f64);
            copies.push(LaidCopy { part: PartId(i as u32 % 2), copy: None, footing: Footing::Bare, at });
        }
        let known: Vec<_> = copies.iter().map(|c| (c, &parts[c.part.0 as usize])).collect();
        let told = spoils(&known, |c| &kinds[c.part.0 as usize]);
        let shadows: Vec<Region> = copies.iter().map(|c| square.placed(c.at)).collect();
        let mut any = 0;
        for (i, copy) in copies.iter().enumerate() {
            let others: Vec<usize> = (0..copies.len()).filter(|j| *j != i).collect();
            let standing: Vec<Standing<'_>> = others
                .iter()
                .map(|&j| Standing { shadow: &shadows[j], height_mm: kinds[copies[j].part.0 as usize].height_mm })
                .collect();
            let fallen = fall(&shadows[i], kinds[copy.part.0 as usize].lets_go_mm, &standing);
            let mut expected: Vec<usize> = fallen.strikes.iter().map(|&k| others[k]).collect();
            expected.sort_unstable();
            assert_eq!(told[i], expected, "{i}");
            any += expected.len();
        }
        assert!(any > 3, "{told:?}");
    }
}
