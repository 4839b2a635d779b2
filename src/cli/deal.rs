//! `deal`: the order over plates, machines and days.

use std::path::Path;

use jiff::civil::DateTime;
use serde_json::{Value, json};

use super::{
    done::Done,
    fail::Fail,
    job::{finish_as, open_for},
    print,
};
use crate::{
    batch::zone_of,
    document::{Plate, Shifts, Turns},
    drawing::words,
    session::{Action, ArrangeLimits, DealRecord, Session},
};

/// Deals out, saves and prints.
pub(super) fn deal(
    job: &Path,
    output: &Path,
    start: Option<DateTime>,
    limits: ArrangeLimits,
    turns: Option<Turns>,
    as_json: bool,
) -> Result<Done, Fail> {
    let mut s = open_for(job, output, None)?;
    s.set_limits(limits);
    if let Some(start) = start {
        // The job keeps it: what is planned from it later must not begin at another time.
        let shifts = Shifts { start: Some(start), ..s.job().shifts.clone() };
        s.try_act(Action::SetShifts(Box::new(shifts))).map_err(|e| Fail::new(format!("--start {start}: {e}")))?;
        // As if it were that time: nothing is planned before now.
        let then = start.to_zoned_datetime(zone_of(&s.job().shifts.hours)).map(|z| z.timestamp());
        s.set_now(Some(then.map_err(|e| Fail::new(format!("--start {start}: {e}")))?));
    }
    s.override_turns(turns);
    s.try_act(Action::Deal).map_err(|e| Fail::new(format!("{}: {e}", job.display())))?;
    s.tick();
    s.override_turns(None::<Turns>);
    if s.dealt().is_none() {
        let why = s.take_notices().pop().map_or_else(|| "nothing was dealt out".into(), |n| n.text);
        return Err(Fail::new(format!("{}: {why}", job.display())));
    }
    finish_as(&mut s, output, |s| {
        let Some(record) = s.dealt() else { return Ok(()) };
        if as_json { print::json(&dealt_json(s, record)?) } else { told(s, record) }
    })
}

/// As `pack --json`, with times.
fn dealt_json(s: &Session, record: &DealRecord) -> Result<Value, Fail> {
    let value = serde_json::to_value(s.placements(None));
    let mut value = value.map_err(|e| Fail::new(format!("a fault of this program: {e}")))?;
    let number = |id| s.job().plate_number(id);
    let timeline: Vec<Value> = record
        .rows
        .iter()
        .map(|r| {
            json!({
                "plate": number(r.plate), "machine": r.machine, "start": r.start, "end": r.end, "ready": r.ready,
                "late_s": r.late_s,
            })
        })
        .collect();
    let name = |id| s.job().part(id).map(|p| p.name.clone());
    let late: Vec<Value> = record
        .late
        .iter()
        .map(|l| json!({ "part": name(l.part), "count": l.copies, "late_s": l.late_s, "text": l.words }))
        .collect();
    if let Some(all) = value.as_object_mut() {
        all.insert("finish".into(), json!(record.finish));
        all.insert("bound".into(), json!(record.bound));
        all.insert("gap".into(), json!(record.gap));
        all.insert("late".into(), json!(late));
        all.insert("timeline".into(), json!(timeline));
    }
    Ok(value)
}

const HEADS: [&str; 7] = ["plate", "machine", "copies", "start", "print ends", "parts ready", "late"];

/// A line a plate, machine by machine and by clock time; then the end, the bound, what is late, what is left.
fn told(s: &Session, record: &DealRecord) -> Result<(), Fail> {
    let job = s.job();
    let mut rows: Vec<_> = record.rows.iter().enumerate().collect();
    let place = |name: &str| job.machines.iter().position(|m| m.name == name);
    rows.sort_by_key(|(n, r)| (place(&r.machine), *n));
    let mut lines = vec![HEADS.map(str::to_owned)];
    for (_, r) in rows {
        let come_off = |p: &Plate| p.copies.len() * if job.twin(p).is_some() { 2 } else { 1 };
        let copies = job.plate(r.plate).map_or(0, come_off);
        let number = job.plate_number(r.plate).map_or_else(String::new, |n| n.to_string());
        let late = if r.late_s > 0 { crate::words::long_time(r.late_s as f64) } else { String::new() };
        let [start, end, ready] = r.words.clone();
        lines.push([number, words::plain(&r.machine).into_owned(), copies.to_string(), start, end, ready, late]);
    }
    let widths: [usize; 7] =
        std::array::from_fn(|i| lines.iter().map(|l| l[i].chars().count()).max().unwrap_or_default());
    print::out(|w| {
        for line in &lines {
            let cells: Vec<String> = line.iter().zip(widths).map(|(c, width)| format!("{c:<width$}")).collect();
            writeln!(w, "{}", cells.join("  ").trim_end())?;
        }
        writeln!(w, "the last print ends {}", record.finish_words)?;
        let never = record.rows.iter().filter(|r| r.ready.is_none()).count();
        if never > 0 {
            let why = "nobody is there for long enough: lengthen the hours, or shorten the changeover";
            writeln!(w, "{} never run: {why}", crate::words::count(never, "plate"))?;
        }
        if !record.bound_words.is_empty() {
            writeln!(w, "{}", record.bound_words)?;
        }
        for late in &record.late {
            writeln!(w, "{}", late.words)?;
        }
        for (part, count, why) in &record.not_dealt {
            let part = job.part(*part).map_or_else(String::new, |p| format!("{} {}", p.letter, p.name));
            writeln!(w, "{part}: {} could not be dealt out: {why}", crate::words::copies(*count))?;
        }
        Ok(())
    })
}
