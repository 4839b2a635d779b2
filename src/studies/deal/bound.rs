//! Before when no dealing can end.

use super::asked::Asked;
use super::packer::Packer;
use crate::batch::{cool_down_s, sequence::Window, whole_s};

/// Outlines are grown outwards by no more than this share too much.
const OUTWARD: f64 = 0.995;

/// No dealing's last print ends before, s from the start of the plan.
///
/// What no dealing can avoid: every copy's own layers, unslowed; for no fewer plates than areas allow, heating up, preparing, and between two
/// plates of one machine cooling and removal. A machine does so much of it by a time: all of the attended time less its downtimes, and of
/// each time without people no more than one plate can hold: as much work as lies on a bed by area.
///
/// Two carriages lay twice as much in the same time. This is counted in two ways, of which the better one holds: copies that they may print
/// take half their seconds wherever they lie; or a machine with two carriages does twice its work in all its time.
pub(super) fn finish_bound_s(asked: &Asked<'_>, packer: &Packer<'_>) -> i64 {
    let halves_s = bound_s(asked, packer, true);
    if asked.has_twins() { halves_s.max(bound_s(asked, packer, false)) } else { halves_s }
}

/// With `halves` copies that two carriages may print take half their seconds, else those machines do twice the work.
fn bound_s(asked: &Asked<'_>, packer: &Packer<'_>, halves: bool) -> i64 {
    let machines = asked.job.machines.len();
    let work = &asked.runs.work;
    let least = |of: &dyn Fn(usize) -> f64| (0..machines).map(of).fold(f64::INFINITY, f64::min);
    let around_s = least(&|b| asked.job.machines[b].heat_up_s + asked.job.machines[b].end_s);
    let own_s = |line: usize| {
        let factor = asked.job.recipe(asked.groups[asked.lines[line].group].recipe).map_or(1.0, |r| r.time_factor);
        asked.lines[line].time.own_s * factor
    };
    // Fewest plates of each group, by area.
    let mut plates = 0.0;
    let mut dealt_s = 0.0;
    let mut longest_copy_s: f64 = 0.0;
    for group in 0..asked.groups.len() {
        // A plate printed twice at once fills the same bed with its copies and their twins.
        let room_mm2 = (0..asked.plain_kinds).filter_map(|c| packer.grown_room_mm2(group, c)).fold(0.0, f64::max);
        let mut area_mm2 = 0.0;
        for (n, line) in asked.lines.iter().enumerate().filter(|(_, l)| l.group == group && l.count > 0) {
            area_mm2 += f64::from(line.count) * line.grown_mm2 * OUTWARD;
            let twice = (0..machines).any(|b| asked.two_carriages(b) && line.takes[asked.class[b]]);
            let share = if halves && twice { 0.5 } else { 1.0 };
            dealt_s += share * f64::from(line.count) * own_s(n);
            longest_copy_s = longest_copy_s.max(own_s(n));
        }
        if area_mm2 > 0.0 && room_mm2 > 0.0 {
            plates += (area_mm2 / room_mm2).ceil().max(1.0);
        }
    }
    let cool_s = least(&|b| {
        let of = |m| cool_down_s(&asked.job.machines[b], m, &asked.job.shifts.changeover);
        asked.groups.iter().filter_map(|g| asked.job.material(g.material)).map(of).fold(f64::INFINITY, f64::min)
    });
    let cool_s = if cool_s.is_finite() { cool_s } else { 0.0 };
    let waiting: Vec<_> = asked.stays.iter().filter(|s| began_s(asked, s.plate).is_none()).collect();
    let mut all_s = dealt_s + plates * (around_s + work.preparing_s as f64);
    all_s += waiting.iter().map(|s| s.time_s + work.preparing_s as f64).sum::<f64>();
    let after = (plates + waiting.len() as f64 - machines as f64).max(0.0);
    all_s += after * (cool_s + work.removal_s as f64);
    // What one machine can do while nobody is there.
    let unattended_s: Vec<f64> = (0..machines)
        .map(|b| {
            let dealt = (0..asked.groups.len()).map(|g| most_on_bed_s(asked, packer, g, b, &own_s)).fold(0.0, f64::max);
            let stays = asked.stays.iter().filter(|s| s.bench == b).map(|s| s.time_s).fold(0.0, f64::max);
            (dealt + around_s).max(stays) + cool_s.max(0.0)
        })
        .collect();
    let rate = |b: usize| if !halves && asked.two_carriages(b) { 2.0 } else { 1.0 };
    let done_by =
        |end_s: i64| -> f64 { (0..machines).map(|b| rate(b) * done_s(asked, b, unattended_s[b], end_s)).sum() };
    let mut high = asked.runs.attended.last().map_or(0, |w| w.to_s);
    let mut low = 0;
    if done_by(high) < all_s {
        return 0;
    }
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if done_by(middle) < all_s { low = middle } else { high = middle }
    }
    // The longest copy takes its time, wherever it lies; and what runs already ends when it ends.
    let begin_s = asked.runs.attended.first().map_or(0, |w| w.from_s.max(0));
    let alone_s = if dealt_s > 0.0 { begin_s + work.preparing_s + whole_s(around_s + longest_copy_s) } else { 0 };
    let running_s = asked.stays.iter().filter_map(|s| Some(began_s(asked, s.plate)? + whole_s(s.time_s))).max();
    low.max(alone_s).max(running_s.unwrap_or(0))
}

fn began_s(asked: &Asked<'_>, plate: crate::document::PlateId) -> Option<i64> {
    asked.job.plate(plate)?.run.started.map(|t| asked.calendar.second_of(t))
}

/// The most own time of copies that lie on a machine's bed, by area: those with the most seconds for their area first, s.
fn most_on_bed_s(
    asked: &Asked<'_>,
    packer: &Packer<'_>,
    group: usize,
    bench: usize,
    own_s: &dyn Fn(usize) -> f64,
) -> f64 {
    let class = asked.class[bench];
    let Some(mut room_mm2) = packer.grown_room_mm2(group, class) else { return 0.0 };
    let takes = |l: &usize| asked.lines[*l].group == group && asked.lines[*l].takes.get(class) == Some(&true);
    let mut lines: Vec<usize> = (0..asked.lines.len()).filter(takes).collect();
    let worth = |l: usize| own_s(l) / asked.lines[l].grown_mm2.max(1e-6);
    lines.sort_by(|&a, &b| worth(b).total_cmp(&worth(a)));
    let mut most_s = 0.0;
    for line in lines {
        let its_mm2 = asked.lines[line].grown_mm2 * OUTWARD;
        let n = f64::from(asked.lines[line].count).min(room_mm2 / its_mm2.max(1e-6));
        most_s += n * own_s(line);
        room_mm2 -= n * its_mm2;
        if room_mm2 <= 0.0 {
            break;
        }
    }
    most_s
}

/// What a machine can have done by a time, s.
fn done_s(asked: &Asked<'_>, bench: usize, unattended_s: f64, end_s: i64) -> f64 {
    let its = &asked.runs.benches[bench];
    let began = asked.stays.iter().filter(|s| s.bench == bench).filter_map(|s| Some((s, began_s(asked, s.plate)?)));
    let busy_s = began.map(|(s, at)| at + whole_s(s.time_s)).max().unwrap_or(0);
    let from_s = its.free_s.max(busy_s).max(0);
    let free = |w: Window| -> f64 {
        let (from, to) = (w.from_s.max(from_s), w.to_s.min(end_s));
        if to <= from {
            return 0.0;
        }
        let whole = Window::new(from, to);
        let down = its.down.iter().filter(|d| d.meets(whole));
        let off: i64 = down.map(|d| d.to_s.min(to) - d.from_s.max(from)).sum();
        (to - from - off).max(0) as f64
    };
    let (mut done, mut last) = (0.0, None);
    for w in &asked.runs.attended {
        if w.from_s >= end_s {
            break;
        }
        if let Some(last) = last {
            done += free(Window::new(last, w.from_s)).min(unattended_s);
        }
        done += free(*w);
        last = Some(w.to_s);
    }
    if let Some(last) = last {
        let next = asked.runs.attended.iter().find(|w| w.from_s >= end_s).map_or(end_s, |w| w.from_s);
        done += free(Window::new(last, next.min(end_s))).min(unattended_s);
    }
    done
}
