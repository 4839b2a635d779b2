//! A first dealing: those due first, tall with tall, the longest first, each where least is to be done yet.

use super::{
    asked::NotDealt,
    board::{Board, Dealing, Slot},
    content::Content,
    packer::{Laid, Packer},
};
use crate::{batch::sequence::Order, document::Twin};

/// Other lines tried beside the rest of one.
const BESIDE: usize = 4;

/// Plates for everything that does not lie on one yet; no plate takes longer than `most_s` where it holds more than one copy. With `twins`
/// plates are printed twice at once where the machine and the count allow.
pub(super) fn first(
    board: &mut Board<'_>,
    packer: &mut Packer<'_>,
    most_s: f64,
    twins: bool,
) -> (Dealing, Vec<NotDealt>) {
    let mut dealing = there(board);
    let asked = board.asked;
    let mut left: Vec<u32> = asked.lines.iter().map(|l| l.count).collect();
    for (line, n) in dealing.slots.iter().flat_map(|s| s.content.iter()) {
        left[line] = left[line].saturating_sub(n);
    }
    let mut load_s: Vec<f64> = asked.runs.benches.iter().map(|b| b.free_s as f64).collect();
    for (n, slot) in dealing.slots.iter().enumerate() {
        let bench = dealing.order.bench[n];
        load_s[bench] += match asked.stays.get(n) {
            Some(staying) => staying.time_s,
            None => board.print_s(slot.group, &slot.content, bench) as f64,
        };
    }
    let mut lines: Vec<usize> = (0..left.len()).collect();
    lines.sort_by(|&a, &b| {
        let (a, b) = (&asked.lines[a], &asked.lines[b]);
        let due = a.due_s.unwrap_or(i64::MAX).cmp(&b.due_s.unwrap_or(i64::MAX));
        due.then(b.height_mm.total_cmp(&a.height_mm)).then(b.time.own_s.total_cmp(&a.time.own_s))
    });
    let mut not_dealt = Vec::new();
    for at in 0..lines.len() {
        let line = lines[at];
        let group = asked.lines[line].group;
        while left[line] > 0 {
            let takes = |&b: &usize| packer.most_of(line, asked.class[b]) > 0;
            let Some(bench) = (0..load_s.len()).filter(takes).min_by(|&a, &b| load_s[a].total_cmp(&load_s[b])) else {
                let why = "found no room on any bed beside its keep-outs".into();
                not_dealt.push(NotDealt { part: asked.lines[line].part, count: left[line] as usize, why });
                left[line] = 0;
                break;
            };
            let twin = if twins { twin_for(board, packer, line, bench, &left) } else { None };
            let Some(class) = asked.bed(bench, twin) else { break };
            let (per_copy, partner) = (asked.per_copy(twin, line), asked.partner(twin, line));
            let lays = partner.map_or(line, |other| line.min(other));
            let there = partner.map_or(left[line] / per_copy, |other| left[line].min(left[other]));
            let most = there.min(packer.most_of(lays, class));
            let most_s = if board.is_whole(line) { f64::INFINITY } else { most_s };
            let n = within(board, group, &Content::default(), lays, most, most_s).max(1);
            let Some(mut laid) = packer.laid(group, &Content::of(lays, n), class) else { break };
            asked.off(twin, &laid.content).iter().for_each(|(l, off)| left[l] -= off);
            // Packing takes its time: shorter plates are filled up by the search.
            if left[line] == 0 && n == most && most_s.is_infinite() && twin != Some(Twin::Handed) {
                laid = beside(board, packer, laid, (group, class, per_copy), &lines[at + 1..], &mut left, most_s);
            }
            let print_s = board.print_s(group, &laid.content, bench);
            load_s[bench] += (print_s + board.between_s(group, bench)) as f64;
            dealing.order.steps.push(dealing.slots.len());
            dealing.order.bench.push(bench);
            dealing.slots.push(Slot { group, content: asked.off(twin, &laid.content), twin });
        }
        if left[line] > 0 {
            let why = "found no room on the beds tried".into();
            not_dealt.push(NotDealt { part: asked.lines[line].part, count: left[line] as usize, why });
            left[line] = 0;
        }
    }
    (dealing, not_dealt)
}

/// How copies of a line are printed twice at once on a machine, with their other hands before twice the same.
fn twin_for(board: &Board<'_>, packer: &Packer<'_>, line: usize, bench: usize, left: &[u32]) -> Option<Twin> {
    let asked = board.asked;
    let fits = |line: usize, twin: Twin| asked.bed(bench, Some(twin)).is_some_and(|c| packer.most_of(line, c) > 0);
    let hands = asked.partner(Some(Twin::Handed), line);
    if hands.is_some_and(|other| left[other] > 0 && fits(line.min(other), Twin::Handed)) {
        return Some(Twin::Handed);
    }
    (left[line] > 1 && fits(line, Twin::Shifted)).then_some(Twin::Shifted)
}

/// The plates that are there.
fn there(board: &Board<'_>) -> Dealing {
    let asked = board.asked;
    let mut dealing = Dealing { slots: Vec::new(), order: Order::default() };
    for staying in &asked.stays {
        dealing.order.bench.push(staying.bench);
        dealing.slots.push(Slot::once(0, Content::default()));
    }
    for free in &asked.free {
        dealing.order.bench.push(free.bench);
        dealing.slots.push(Slot::once(free.group, free.content()));
    }
    // In the docket's order.
    let place = |n: usize| {
        let id = asked.stays.get(n).map_or_else(|| asked.free[n - asked.stays.len()].plate, |s| s.plate);
        asked.job.plate_number(id)
    };
    let mut steps: Vec<usize> = (0..dealing.slots.len()).collect();
    steps.sort_by_key(|&n| place(n));
    dealing.order.steps = steps;
    dealing
}

/// How many more copies of a line, at most `most`, can be laid on a plate without its taking longer than `most_s`.
pub(super) fn within(
    board: &mut Board<'_>,
    group: usize,
    content: &Content,
    line: usize,
    most: u32,
    most_s: f64,
) -> u32 {
    let mut fits = |n: u32| {
        let mut with = content.clone();
        with.add(line, n);
        let t = board.content_time(group, &with);
        t.time_s + t.unserved_s <= most_s
    };
    if fits(most) {
        return most;
    }
    let (mut low, mut high) = (0, most);
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if fits(middle) { low = middle } else { high = middle }
    }
    low
}

/// Fills a plate up with what is left of other lines of its group, those of the nearest heights first; for each copy laid `per_copy` come
/// off it.
fn beside(
    board: &mut Board<'_>,
    packer: &mut Packer<'_>,
    mut laid: Laid,
    (group, class, per_copy): (usize, usize, u32),
    others: &[usize],
    left: &mut [u32],
    most_s: f64,
) -> Laid {
    let asked = board.asked;
    let Some((of, _)) = laid.content.nth(0) else { return laid };
    let height_mm = asked.lines[of].height_mm;
    let goes = |l: &&usize| {
        let its = &asked.lines[**l];
        left[**l] >= per_copy && its.group == group && its.takes.get(class) == Some(&true)
    };
    let mut tried: Vec<usize> = others.iter().filter(goes).copied().collect();
    let apart = |l: usize| (asked.lines[l].height_mm - height_mm).abs();
    tried.sort_by(|&a, &b| apart(a).total_cmp(&apart(b)).then(a.cmp(&b)));
    for line in tried.into_iter().take(BESIDE) {
        let most = within(board, group, &laid.content, line, left[line] / per_copy, most_s);
        if most == 0 || !packer.may_hold(group, &laid.content.with(&Content::of(line, 1)), class) {
            continue;
        }
        let before = laid.content.get(line);
        if let Some(more) = packer.with_more(group, class, &laid, line, most) {
            left[line] -= per_copy * (more.content.get(line) - before);
            laid = more;
        }
    }
    laid
}
