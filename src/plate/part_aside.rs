//! Copies round a drop, parted from it all together by small moves.

use std::{
    collections::{BTreeMap, BTreeSet},
    f64::consts::TAU,
    sync::Arc,
};

use super::{Checker, Conflict, ConflictKind, PlateTwin, PreparedShape};
use crate::{
    document::CopyId,
    geom::{Bounds, Placement},
    packing::{Aim, Bed, Item, Layout, Problem, Shape, make_room},
    watch::Watch,
};

/// How many copies round the drop may move at most. Those that it lies on are tried alone first, then twice as many, the
/// nearest first, and so on: as few as possible move.
const MOST: usize = 160;
/// How far beyond their box they may go, in lengths of what was laid.
const BEYOND: f64 = 2.0;
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
    let moved: BTreeSet<CopyId> = laid.iter().map(|(id, _)| *id).collect();
    let hit = involved(&checker.conflicts_of(laid));
    let mut others: Vec<(bool, f64, CopyId)> = checker
        .copies()
        .filter(|&id| !moved.contains(&id) && may_move(id))
        .filter_map(|id| Some((!hit.contains(&id), checker.bounds(id)?.distance(around), id)))
        .collect();
    others.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    others.truncate(MOST);
    let mut others: Vec<CopyId> = others.into_iter().map(|(_, _, id)| id).collect();
    // Those in conflict already, and not with what was laid, are left to the person: who cannot be parted at all would
    // keep the others from it.
    let lie: Vec<(CopyId, Placement)> = others.iter().filter_map(|&id| Some((id, checker.placement(id)?))).collect();
    let mut astray = checker.conflicts_of(&lie);
    astray.retain(|c| !c.copies.iter().any(|id| moved.contains(id)) && keeps_from_lying(c.kind));
    let astray = involved(&astray);
    others.retain(|id| hit.contains(id) || !astray.contains(id));
    let room = checker.ground()?.0.bounds();
    let mut most = others.iter().filter(|id| hit.contains(id)).count().max(1);
    loop {
        let movable = &others[..most.min(others.len())];
        if movable.is_empty() || watch.cancelled() {
            return None;
        }
        let limit =
            movable.iter().filter_map(|id| checker.bounds(*id)).fold(around, Bounds::union).grown(BEYOND * length);
        let limit = if movable.len() == others.len() { limit.union(room) } else { limit };
        let moves: BTreeSet<CopyId> = movable.iter().chain(&moved).copied().collect();
        let still: Vec<CopyId> = checker.touching(limit).into_iter().filter(|id| !moves.contains(id)).collect();
        if let Some(aside) = parted(checker, laid, movable, &still, limit, watch) {
            return Some(aside);
        }
        if movable.len() == others.len() {
            return None;
        }
        most *= 2;
    }
}

fn involved(conflicts: &[Conflict]) -> BTreeSet<CopyId> {
    conflicts.iter().flat_map(|c| &c.copies).copied().collect()
}

/// Is it about the place?
fn keeps_from_lying(kind: ConflictKind) -> bool {
    !matches!(kind, ConflictKind::TooTall | ConflictKind::MixedRecipe)
}

fn parted(
    checker: &Checker,
    laid: &[(CopyId, Placement)],
    movable: &[CopyId],
    still: &[CopyId],
    limit: Bounds,
    watch: &dyn Watch<Layout>,
) -> Option<Vec<(CopyId, Placement)>> {
    let number = numbers(checker);
    let item = |id: CopyId, at: Placement| item(checker, &number, id, at);
    let mut fixed: Vec<Item> = laid.iter().filter_map(|&(id, at)| item(id, at)).collect();
    fixed.extend(still.iter().filter_map(|&id| item(id, checker.placement(id)?)));
    let free: Vec<Item> = movable.iter().map(|&id| item(id, checker.placement(id)?)).collect::<Option<_>>()?;
    let problem = problem(checker, fixed)?;
    let out = make_room(&problem, &free, limit, laid.len(), 1, checker.zones(), watch)?;
    let moved = movable.iter().zip(&free).zip(&out).filter(|((_, from), to)| from.at != to.at);
    Some(moved.map(|((&id, _), to)| (id, to.at)).collect())
}

/// The plate's shapes, by address, in the order of [`problem`].
pub(super) fn numbers(checker: &Checker) -> BTreeMap<usize, usize> {
    checker.forms().iter().enumerate().map(|(i, f)| (Arc::as_ptr(f) as usize, i)).collect()
}

/// A copy as the search knows it.
pub(super) fn item(checker: &Checker, numbers: &BTreeMap<usize, usize>, id: CopyId, at: Placement) -> Option<Item> {
    Some(Item { shape: *numbers.get(&(Arc::as_ptr(checker.form(id)?) as usize))?, at })
}

/// All shapes of the plate, so that what is known of them serves the next drop too, and its bed with these on it.
pub(super) fn problem(checker: &Checker, fixed: Vec<Item>) -> Option<Problem> {
    let shape = |form: &Arc<PreparedShape>| Shape {
        shadow: form.shape.shadow.clone(),
        contact: form.shape.contact.clone(),
        footing: form.footing.clone(),
        turn_step_rad: Some(TAU),
        class: 0,
        height_mm: 0.0,
    };
    let (room, keep_outs) = checker.ground()?;
    let margins = checker.margins();
    let twin = checker.twin().map(PlateTwin::packing);
    Some(Problem {
        shapes: checker.forms().into_iter().map(shape).collect(),
        beds: vec![Bed { room, keep_outs, fixed, class: None, height_mm: f64::MAX, twin }],
        gap_mm: margins.gap_mm,
        footing_gap_mm: margins.footing_gap_mm,
        footings_may_merge: margins.footings_may_merge,
        aim: Aim::Pack { counts: Vec::new() },
    })
}

/// Works out what [`push_aside`](super::push_aside) needs to know of the plate's shapes, so that the drop need not wait
/// for it.
pub fn prepare_push(checker: &Checker) {
    if let Some(problem) = problem(checker, Vec::new()) {
        checker.zones().learn(&problem);
    }
}
