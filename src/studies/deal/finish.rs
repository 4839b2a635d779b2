//! From a dealing to plates with places and exact times.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::{
    asked::{Asked, FreePlate},
    board::{Board, Dealing},
    content::Content,
    dealt::{Dealt, DealtPlate},
    line_time::ContentTime,
    packer::{Laid, Packer, Placed},
};
use crate::{
    batch::{
        sequence::{Order, Plan, Runs, time},
        whole_s,
    },
    document::CopyId,
    plate::NewPlate,
    studies::LaidCopy,
};

/// Where the copies of every plate lie, and how long it takes, s; none of plates that stay. Plates that go on from one of the job keep
/// what lies there in its place as far as they can; `in_order` says of which that can be said.
pub(super) fn lay_out(
    board: &Board<'_>,
    packer: &mut Packer<'_>,
    dealing: &Dealing,
    in_order: &[bool],
) -> (Vec<Option<Laid>>, Vec<Option<ContentTime>>) {
    let asked = board.asked;
    let origin = origins(asked, dealing);
    let (mut laid, mut exact) = (vec![None; dealing.slots.len()], vec![None; dealing.slots.len()]);
    for (n, slot) in dealing.slots.iter().enumerate().skip(board.staying()) {
        if slot.content.is_empty() {
            continue;
        }
        let Some(class) = asked.bed(dealing.order.bench[n], slot.twin) else { continue };
        let group = slot.group;
        let own = origin[n].filter(|&f| in_order[f] && asked.class[asked.free[f].bench] == class);
        let own = own.and_then(|f| going_on(packer, (group, class), &asked.free[f], &slot.laid(asked)));
        laid[n] = own.or_else(|| packer.laid(group, &slot.laid(asked), class));
    }
    exact.par_iter_mut().zip(&laid).enumerate().for_each(|(n, (time, laid))| {
        let (group, bench) = (dealing.slots[n].group, dealing.order.bench[n]);
        *time = laid.as_ref().and_then(|l| exact_time(asked, group, bench, &l.items));
    });
    (laid, exact)
}

/// A plate's own layout with copies taken off or added; `None` where they find no room beside what lies there.
fn going_on(
    packer: &mut Packer<'_>,
    (group, class): (usize, usize),
    from: &FreePlate,
    content: &Content,
) -> Option<Laid> {
    let mut left = content.clone();
    let mut items = Vec::new();
    for (line, at) in from.places() {
        if left.get(line) > 0 {
            left.take(line, 1);
            items.push((line, at));
        }
    }
    let mut kept = content.clone();
    left.iter().for_each(|(line, n)| kept.take(line, n));
    let mut laid = Laid { content: kept, items: items.into() };
    for (line, n) in left.iter() {
        laid = packer.with_more(group, class, &laid, line, n)?;
    }
    (laid.content == *content).then_some(laid)
}

/// The exact time of a group's copies where they lie on a machine.
pub(super) fn exact_time(asked: &Asked<'_>, group: usize, bench: usize, items: &[Placed]) -> Option<ContentTime> {
    let of = &asked.groups[group];
    let (material, recipe) = (asked.job.material(of.material)?, asked.job.recipe(of.recipe)?);
    let copies = items.iter().map(|&(line, at)| (asked.lines[line].part, asked.lines[line].footing, at));
    asked.exact_time(&asked.job.machines[bench], material, recipe, copies)
}

/// Each run named once, fixed plates of a machine in the docket's sequence: what the docket can say.
pub(super) fn as_docket(asked: &Asked<'_>, order: &Order) -> Order {
    let mut seen = std::collections::BTreeSet::new();
    // What the order does not name runs last: nothing is lost.
    let all = order.steps.iter().copied().chain(0..order.bench.len());
    let mut steps: Vec<usize> = all.filter(|n| seen.insert(*n)).collect();
    let place = |n: usize| asked.job.plate_number(asked.stays[n].plate);
    for bench in 0..asked.job.machines.len() {
        let at: Vec<usize> =
            (0..steps.len()).filter(|&i| asked.stays.get(steps[i]).is_some_and(|s| s.bench == bench)).collect();
        let mut those: Vec<usize> = at.iter().map(|&i| steps[i]).collect();
        those.sort_by_key(|&n| place(n));
        for (i, n) in at.into_iter().zip(those) {
            steps[i] = n;
        }
    }
    Order { steps, bench: order.bench.clone() }
}

/// The plan as the docket tells it: by the beginning of each run.
pub(super) fn by_beginning(asked: &Asked<'_>, runs: &Runs, order: &Order) -> (Order, Plan) {
    let order = as_docket(asked, order);
    let plan = time(runs, &order);
    let begin = |n: usize| plan.timed.iter().find(|t| t.run == n).map_or(i64::MAX, |t| t.preparing.from_s);
    let mut sorted = order.clone();
    sorted.steps.sort_by_key(|&n| begin(n));
    let sorted = as_docket(asked, &sorted);
    let again = time(runs, &sorted);
    if again.cost <= plan.cost { (sorted, again) } else { (order, plan) }
}

/// Puts it all together. Copies that are there keep their plates and places as far as they can.
pub(super) fn dealt(
    board: &mut Board<'_>,
    dealing: &Dealing,
    laid: &[Option<Laid>],
    exact: &[Option<ContentTime>],
    runs: &Runs,
    plan: &Plan,
) -> Dealt {
    let asked = board.asked;
    let origin = origins(asked, dealing);
    let mut copies = copies_of(asked, laid, &origin);
    let mut plates = Vec::new();
    for &n in &dealing.order.steps {
        let bench = dealing.order.bench[n];
        let machine = asked.job.machines[bench].id;
        let timed = plan.timed.iter().find(|t| t.run == n);
        let ready_s = timed.and_then(crate::batch::sequence::Timed::ready_s);
        let due_s = runs.runs.get(n).and_then(|r| r.due_s);
        let late_s = ready_s.zip(due_s).map_or(0, |(ready, due)| (ready - due).max(0));
        let (plate, kind, time_s, its) = if let Some(staying) = asked.stays.get(n) {
            let Some(p) = asked.job.plate(staying.plate) else { continue };
            let (material, colour, recipe) = (p.material, p.colour.clone(), p.recipe);
            let kind = NewPlate { machine, material, colour, recipe, twin: p.twin };
            (Some(staying.plate), kind, staying.time_s, Vec::new())
        } else {
            let group = &asked.groups[dealing.slots[n].group];
            let (material, colour, recipe) = (group.material, group.colour.clone(), group.recipe);
            let twin = dealing.slots[n].twin;
            let kind = NewPlate { machine, material, colour, recipe, twin };
            let time_s = exact[n].unwrap_or_default().time_s;
            (origin[n].map(|f| asked.free[f].plate), kind, time_s, std::mem::take(&mut copies[n]))
        };
        plates.push(DealtPlate {
            plate,
            kind,
            stays: n < asked.stays.len(),
            copies: its,
            time_s,
            start_s: timed.map(|t| t.print.from_s),
            end_s: timed.map(|t| t.print.to_s),
            ready_s,
            late_s,
        });
    }
    let mut cost = board.cost(dealing, plan);
    cost.unserved_s = whole_s(exact.iter().flatten().map(|t| t.unserved_s).sum());
    Dealt { plates, not_dealt: Vec::new(), cost, bound_s: 0, cut_short: false }
}

/// For each plate of a dealing the plate of the job that it goes on from: the one with which it shares most copies.
fn origins(asked: &Asked<'_>, dealing: &Dealing) -> Vec<Option<usize>> {
    let there: Vec<Content> = asked.free.iter().map(FreePlate::content).collect();
    let mut pairs: Vec<(u32, bool, usize, usize)> = Vec::new();
    for (n, slot) in dealing.slots.iter().enumerate().skip(asked.stays.len()) {
        for (f, content) in there.iter().enumerate().filter(|(f, _)| asked.free[*f].group == slot.group) {
            let shared = content.shared(&slot.laid(asked));
            if shared > 0 {
                pairs.push((shared, asked.free[f].bench == dealing.order.bench[n], n, f));
            }
        }
    }
    pairs.sort_by(|a, b| (b.0, b.1).cmp(&(a.0, a.1)).then((a.2, a.3).cmp(&(b.2, b.3))));
    let mut origin = vec![None; dealing.slots.len()];
    let mut taken = vec![false; there.len()];
    for (_, _, n, f) in pairs {
        if origin[n].is_none() && !taken[f] {
            origin[n] = Some(f);
            taken[f] = true;
        }
    }
    origin
}

/// Which copy lies where, plate by plate.
fn copies_of(asked: &Asked<'_>, laid: &[Option<Laid>], origin: &[Option<usize>]) -> Vec<Vec<LaidCopy>> {
    let mut places: Vec<Vec<(Placed, Option<CopyId>)>> =
        laid.iter().map(|l| l.iter().flat_map(|l| l.items.iter().map(|&p| (p, None))).collect()).collect();
    let mut over: BTreeMap<usize, Vec<CopyId>> = BTreeMap::new();
    let mut kept = vec![false; asked.free.len()];
    for (n, places) in places.iter_mut().enumerate() {
        let Some(f) = origin[n] else { continue };
        kept[f] = true;
        let its = &asked.free[f];
        for copy in &its.copies {
            let far = |p: &Placed| (p.1.x - copy.at.x).hypot(p.1.y - copy.at.y);
            let free = places.iter_mut().filter(|(p, c)| c.is_none() && p.0 == copy.line);
            match free.min_by(|a, b| far(&a.0).total_cmp(&far(&b.0))) {
                Some(place) => place.1 = Some(copy.copy),
                None => over.entry(copy.line).or_default().push(copy.copy),
            }
        }
    }
    for (_, free) in asked.free.iter().enumerate().filter(|(f, _)| !kept[*f]) {
        free.copies.iter().for_each(|c| over.entry(c.line).or_default().push(c.copy));
    }
    for copies in over.values_mut() {
        copies.reverse();
    }
    let mut all = Vec::with_capacity(places.len());
    for places in places {
        let laid = places.into_iter().map(|((line, at), copy)| LaidCopy {
            part: asked.lines[line].part,
            copy: copy.or_else(|| over.get_mut(&line)?.pop()),
            footing: asked.lines[line].footing,
            at,
        });
        all.push(laid.collect());
    }
    all
}
