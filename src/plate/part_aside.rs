//! Copies round a drop, parted from it all together by small moves.

use std::{collections::BTreeMap, f64::consts::TAU, sync::Arc};

use super::Checker;
use crate::{
    document::CopyId,
    geom::{Bounds, Placement},
    packing::{Aim, Bed, Item, Layout, Problem, Shape, make_room},
    watch::Watch,
};

/// How far round the drop copies may move, in lengths of what was laid: tried in turn.
const REACHES: [f64; 5] = [0.6, 1.2, 2.4, 4.8, 12.0];
/// Copies that may move at most: more take longer than a drop may.
const MOST: usize = 60;
/// The least length of what was laid, mm: small parts lie among larger ones.
const LEAST_MM: f64 = 12.0;

/// Small moves, without turns, of copies near what was laid, after which none of them is in conflict; only those that
/// moved. `None` where there are none, or when the watch says so.
pub(super) fn part_aside(
    checker: &Checker,
    laid: &[(CopyId, Placement)],
    may_move: impl Fn(CopyId) -> bool,
    watch: &dyn Watch<Layout>,
) -> Option<Vec<(CopyId, Placement)>> {
    let around =
        laid.iter().filter_map(|(id, at)| Some(checker.form(*id)?.bounds_at(*at))).fold(Bounds::EMPTY, Bounds::union);
    let length = around.width().max(around.height()).max(LEAST_MM);
    let bed = checker.ground().map(|(room, _)| room.bounds())?;
    let within = |b: Bounds| {
        let (min, max) = (b.min, b.max);
        [min.x.max(bed.min.x), min.y.max(bed.min.y), max.x.min(bed.max.x), max.y.min(bed.max.y)]
    };
    let mut before = None;
    for reach in REACHES {
        let limit = around.grown(reach * length);
        let near: Vec<CopyId> =
            checker.touching(limit).into_iter().filter(|id| laid.iter().all(|(other, _)| other != id)).collect();
        let inside = |id: &CopyId| checker.bounds(*id).is_some_and(|b| limit.contains(b.min) && limit.contains(b.max));
        let (movable, still): (Vec<CopyId>, Vec<CopyId>) = near.into_iter().partition(|id| inside(id) && may_move(*id));
        if movable.len() > MOST || watch.cancelled() {
            return None;
        }
        // The same copies may move, and no farther: the same answer.
        let tried = (movable.len(), within(limit));
        if movable.is_empty() || before == Some(tried) {
            continue;
        }
        before = Some(tried);
        if let Some(moved) = parted(checker, laid, &movable, &still, limit, watch) {
            return Some(moved);
        }
    }
    None
}

fn parted(
    checker: &Checker,
    laid: &[(CopyId, Placement)],
    movable: &[CopyId],
    still: &[CopyId],
    limit: Bounds,
    watch: &dyn Watch<Layout>,
) -> Option<Vec<(CopyId, Placement)>> {
    let mut known: BTreeMap<usize, usize> = BTreeMap::new();
    let mut shapes: Vec<Shape> = Vec::new();
    let mut item = |id: CopyId, at: Placement| -> Option<Item> {
        let form = checker.form(id)?;
        let shape = *known.entry(Arc::as_ptr(form) as usize).or_insert_with(|| {
            shapes.push(Shape {
                shadow: form.shape.shadow.clone(),
                contact: form.shape.contact.clone(),
                footing: form.footing.clone(),
                turn_step_rad: Some(TAU),
                class: 0,
                height_mm: 0.0,
            });
            shapes.len() - 1
        });
        Some(Item { shape, at })
    };
    let mut fixed: Vec<Item> = laid.iter().filter_map(|&(id, at)| item(id, at)).collect();
    fixed.extend(still.iter().filter_map(|&id| item(id, checker.placement(id)?)));
    let free: Vec<Item> = movable.iter().map(|&id| item(id, checker.placement(id)?)).collect::<Option<_>>()?;
    let (room, keep_outs) = checker.ground()?;
    let margins = checker.margins();
    let problem = Problem {
        shapes,
        beds: vec![Bed { room, keep_outs, fixed, class: None, height_mm: f64::MAX, twin: None }],
        gap_mm: margins.gap_mm,
        footing_gap_mm: margins.footing_gap_mm,
        footings_may_merge: margins.footings_may_merge,
        aim: Aim::Pack { counts: Vec::new() },
    };
    let out = make_room(&problem, &free, limit, 1, watch)?;
    let moved = movable.iter().zip(&free).zip(&out).filter(|((_, from), to)| from.at != to.at);
    Some(moved.map(|((&id, _), to)| (id, to.at)).collect())
}
