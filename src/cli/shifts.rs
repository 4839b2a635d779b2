//! `shifts`: when the plates run, on which machine, and who is there.

use jiff::{Timestamp, civil::DateTime};
use serde_json::{Value, json};

use super::{
    done::Done,
    fail::Fail,
    job::{open, open_for, save, stops},
    print,
    shifts_plan::ShiftsPlan,
};
use crate::{
    batch::{
        UnitTimes,
        sequence::{Load, Timed, Window},
        zone_of,
    },
    document::{Job, MachineId, Shifts},
    drawing::words,
    finding::Level,
    session::{Action, OneAtATime, Session, Timeline, WhatNow},
};

pub(super) fn shifts(plan: &ShiftsPlan) -> Result<Done, Fail> {
    let named = |e: &dyn std::fmt::Display| Fail::new(format!("{}: {e}", plan.job.display()));
    let mut s = match &plan.output {
        Some(output) => open_for(&plan.job, output, None)?,
        None => open(&plan.job)?,
    };
    let now = plan.now.as_deref().map(|t| instant(&s, "--now", t)).transpose()?;
    if let Some(text) = plan.start.as_deref() {
        let start = instant(&s, "--start", text)?;
        // Who says when the plan starts and not what time it is plans as if it were then.
        s.set_now(Some(now.unwrap_or(start)));
        let zone = zone_of(&s.job().shifts.hours);
        let start = Some(start.to_zoned_datetime(zone).datetime());
        let shifts = Shifts { start, ..s.job().shifts.clone() };
        s.try_act(Action::SetShifts(Box::new(shifts))).map_err(|e| named(&e))?;
    } else if now.is_some() {
        s.set_now(now);
    }
    // What was asked is carried out; what follows from it is worked out with the next look.
    s.act(Action::ShowHeight(None));
    let before = s.timeline().cloned();
    if let Some(limits) = plan.improve {
        s.set_limits(limits);
        s.try_act(Action::ImproveSequence).map_err(|e| named(&e))?;
        s.tick();
    }
    if let Some(output) = &plan.output {
        save(&mut s, output)?;
    }
    print::notices(&mut s);
    if let Some(path) = &plan.calendar {
        s.write_calendar(path).map_err(Fail::new)?;
    }
    if let Some(path) = &plan.csv {
        s.write_timeline_csv(path).map_err(Fail::new)?;
    }
    let alone = s.one_at_a_time();
    let Some(t) = s.timeline() else { return Ok(stops(&s)) };
    if plan.json {
        print::json(&as_json(&s, t, before.as_ref(), alone))?;
    } else {
        as_words(&s, t, before.as_ref(), alone)?;
    }
    let stopped = s.shift_findings().iter().any(|f| f.level == Level::Stop);
    Ok(if stopped { Done::Stops } else { stops(&s) })
}

/// An instant as typed: with an offset, or a local time of the job's time zone.
fn instant(s: &Session, word: &str, text: &str) -> Result<Timestamp, Fail> {
    if let Ok(t) = text.trim().parse::<Timestamp>() {
        return Ok(t);
    }
    let zone = zone_of(&s.job().shifts.hours);
    let local = text.trim().parse::<DateTime>().ok().and_then(|t| t.to_zoned_datetime(zone).ok());
    local.map(|z| z.timestamp()).ok_or_else(|| {
        Fail::new(format!("{word} {text}: write a day and a time, as in 2026-11-30T16:30 or 2026-11-30T16:30:00Z"))
    })
}

fn name(job: &Job, id: MachineId) -> &str {
    job.machine(id).map_or("?", |m| m.name.as_str())
}

fn as_words(s: &Session, t: &Timeline, before: Option<&Timeline>, alone: Option<OneAtATime>) -> Result<(), Fail> {
    let job = s.job();
    let clock = |at_s: i64| t.calendar.words(at_s);
    let zone = t.calendar.zone().iana_name().unwrap_or("this computer's time zone");
    print::out(|w| {
        let day = |at_s: i64| t.calendar.at(at_s).strftime("%a %-d %b %Y %H:%M").to_string();
        writeln!(w, "plan from {} ({zone}), now {}", day(0), day(t.now_s))?;
        let times = t.unit_times();
        for (bench, machine) in t.floor.machines.iter().enumerate() {
            let sequence = t.sequence(bench);
            if sequence.is_empty() {
                continue;
            }
            let share = |r: Option<f64>| r.map_or_else(|| "–".to_owned(), |r| format!("{:.0} %", 100.0 * r));
            let of = &times[bench];
            let name = words::plain(name(job, *machine));
            writeln!(w, "{name}  availability {}, utilisation {}", share(of.availability()), share(of.utilisation()))?;
            for run in sequence {
                let (Some(x), Some(about)) = (t.timed(run), t.about.get(run)) else { continue };
                let range = t.end_range(x);
                let copies = crate::words::copies(about.copies);
                let begin = if about.is_running { "runs since" } else { "print" };
                write!(w, "    plate {:<3} {copies:>10}  {begin} {}", about.number, clock(x.print.from_s))?;
                write!(w, " to {} ({} to {})", clock(x.print.to_s), clock(range.from_s), clock(range.to_s))?;
                match x.removal {
                    Some(r) => write!(w, ", parts off {}", clock(r.to_s))?,
                    None => write!(w, ", never taken off")?,
                }
                match t.late_s(run) {
                    Some(late) => writeln!(w, ", late by {}", crate::words::long_time(late as f64))?,
                    None => writeln!(w)?,
                }
            }
        }
        let number = |id| job.plate_number(id).unwrap_or(0);
        for ended in &t.ended {
            let how = if ended.failed { "failed" } else { "ended" };
            let place = words::plain(name(job, ended.machine)).into_owned();
            writeln!(w, "plate {} on {place} {how} {}", ended.number, clock(ended.ran.to_s))?;
        }
        for (id, why) in &t.without_time {
            writeln!(w, "plate {} is not in the plan: {}", number(*id), words::plain(why))?;
        }
        for id in &t.pending {
            writeln!(w, "plate {} is not in the plan: its print time is not known", number(*id))?;
        }
        writeln!(w, "start now")?;
        for now in t.start_now() {
            writeln!(w, "    {}  {}", words::plain(name(job, now.machine)), t.start_words(now.what))?;
        }
        if let Some((run, _)) = t.plan.not_run.first() {
            let left = crate::words::count(t.plan.not_run.len(), "plate");
            let first = t.about.get(*run).map_or(0, |a| a.number);
            writeln!(w, "{left} cannot be planned (the first is plate {first}): see the findings")?;
        }
        if !t.plan.timed.is_empty() {
            let finish_s = t.plan.cost.finish_s;
            writeln!(w, "the last print ends {}. {}", clock(finish_s), t.bound_words(finish_s))?;
        }
        if let Some(before) = before.filter(|b| b.plan.cost != t.plan.cost) {
            writeln!(w, "as it stood, the last print ended {}", clock(before.plan.cost.finish_s))?;
        }
        if let Some(a) = alone.filter(|a| a.plates > 0 && a.not_run == 0) {
            let ends = format!("the last ends {}", clock(a.finish_s));
            let hand = words::time(a.hand_work_s as f64);
            let here = words::time(t.hand_work_s() as f64);
            writeln!(
                w,
                "each copy on a plate of its own: {} plates, {ends}, hand work {hand} against {here}",
                a.plates
            )?;
        }
        for f in s.shift_findings() {
            writeln!(w, "{}  {}", f.level.word(), words::plain(&f.text))?;
        }
        Ok(())
    })
}

fn as_json(s: &Session, t: &Timeline, before: Option<&Timeline>, alone: Option<OneAtATime>) -> Value {
    let job = s.job();
    let runs = &t.floor.runs;
    let at = |s: i64| t.calendar.at(s).timestamp().to_string();
    let both = |w: Window| json!({"from": at(w.from_s), "to": at(w.to_s), "from_s": w.from_s, "to_s": w.to_s});
    let machine = |b: usize| t.floor.machines.get(b).map(|id| name(job, *id));
    let free = t.free_runs();
    let load = |l: Load| json!({"material": l.material, "colour": l.colour});
    let plate = |run: usize| {
        let about = &t.about[run];
        let r = &free.runs[run];
        let on: Vec<Value> = (0..runs.benches.len())
            .filter_map(|b| {
                let on = r.on[b]?;
                Some(json!({"machine": machine(b), "print_s": on.print_s, "cool_s": on.cool_s}))
            })
            .collect();
        let x = t.timed(run);
        let of = |f: &dyn Fn(&Timed) -> Value| x.map_or(Value::Null, f);
        json!({
            "plate": about.number, "id": about.plate.0, "machine": t.machine_of(run).map(|id| name(job, id)),
            "copies": about.copies, "parts": about.letters,
            "state": if about.is_running { "running" } else { "planned" }, "fixed": about.fixed,
            "on": on, "load": load(r.load), "due_s": r.due_s, "due": r.due_s.map(at),
            "not_before_s": Some(r.not_before_s).filter(|s| *s > i64::MIN / 8), "began_s": r.began.map(|b| b.1),
            "preparing": of(&|x| both(x.preparing)), "print": of(&|x| both(x.print)),
            "cool": of(&|x| both(Window::new(x.print.to_s, x.cool_s))),
            "removal": of(&|x| x.removal.map_or(Value::Null, both)),
            "end_range": of(&|x| both(t.end_range(x))),
            "attended_at_end": of(&|x| json!(t.calendar.is_attended(x.print.to_s))),
            "waits_s": of(&|x| json!(t.waits_s(x))),
            "late_s": t.late_s(run).unwrap_or(0),
            "spool_runs_out": t.spool_out(run).map(|(s, out)| {
                json!({"spool": out.spool, "at": at(s), "at_s": s, "only_if_thick": out.only_thick, "attended": t.calendar.is_attended(s)})
            }),
            "not_run": t.not_run(run).map(|why| format!("{why:?}")),
        })
    };
    let times = t.unit_times();
    let machines: Vec<Value> = t
        .floor
        .machines
        .iter()
        .enumerate()
        .map(|(b, id)| {
            let down: Vec<Value> = runs.benches[b].down.iter().map(|w| both(*w)).collect();
            let order: Vec<usize> = t.sequence(b).iter().map(|r| t.about[*r].number).collect();
            json!({
                "machine": name(job, *id), "load": runs.benches[b].load.map(load), "free_s": runs.benches[b].free_s,
                "down": down, "plates": order, "figures": figures(&times[b]),
            })
        })
        .collect();
    let attended: Vec<Value> =
        runs.attended.iter().filter(|w| w.from_s <= t.until_s() + 14 * 86_400).map(|w| both(*w)).collect();
    let start_now: Vec<Value> = t
        .start_now()
        .into_iter()
        .map(|n| {
            let (what, plate) = match n.what {
                WhatNow::Start { plate, .. } => ("start", Some(plate)),
                WhatNow::Runs { plate, .. } => ("runs", Some(plate)),
                WhatNow::Overdue { plate, .. } => ("overdue", Some(plate)),
                WhatNow::Nothing => ("nothing", None),
            };
            json!({
                "machine": name(job, n.machine), "what": what, "plate": plate.and_then(|p| job.plate_number(p)),
                "text": t.start_words(n.what),
            })
        })
        .collect();
    let ended: Vec<Value> = t
        .ended
        .iter()
        .map(|e| {
            json!({
                "plate": e.number, "machine": name(job, e.machine), "copies": e.copies, "failed": e.failed,
                "ran": both(e.ran),
            })
        })
        .collect();
    let findings: Vec<Value> = s
        .shift_findings()
        .iter()
        .map(|f| {
            json!({
                "level": f.level.word(), "kind": f.kind.word(), "plate": f.plate.and_then(|p| job.plate_number(p)),
                "text": f.text,
                "remedies": f.remedy.iter().chain(&f.more).map(crate::finding::Remedy::label).collect::<Vec<_>>(),
            })
        })
        .collect();
    let cost = |t: &Timeline| {
        let c = t.plan.cost;
        json!({
            "not_run": c.not_run, "late_s": c.late_s, "finish_s": c.finish_s, "idle_s": c.idle_s,
            "changes": c.changes, "hand_work_s": t.hand_work_s(),
        })
    };
    let number = |id: &crate::document::PlateId| job.plate_number(*id);
    json!({
        "start": at(0), "now": at(t.now_s), "now_s": t.now_s,
        "time_zone": t.calendar.zone().iana_name(), "hours_are_example": t.hours_are_example,
        "people": runs.people, "attended": attended,
        "hand_work": {
            "removal_s": runs.work.removal_s, "preparing_s": runs.work.preparing_s, "colour_change_s": runs.work.colour_s,
            "material_change_s": runs.work.material_s,
        },
        "machines": machines, "plates": (0..t.about.len()).map(plate).collect::<Vec<_>>(), "ended": ended,
        "pending": t.pending.iter().filter_map(number).collect::<Vec<_>>(),
        "without_time": t.without_time.iter().map(|(id, why)| json!({"plate": number(id), "why": why})).collect::<Vec<_>>(),
        "figures": figures(&t.times_of_all()), "cost": cost(t),
        "bound": {"finish_s": t.bound_s(), "finish": at(t.bound_s()), "gap": t.gap()},
        "comparison": {
            "as_it_stands": before.map(cost),
            "one_at_a_time": alone.map(|a| json!({
                "plates": a.plates, "not_run": a.not_run, "finish_s": a.finish_s, "print_s": a.print_s,
                "hand_work_s": a.hand_work_s,
            })),
        },
        "start_now": start_now, "findings": findings,
    })
}

/// Names after ISO 22400-2.
fn figures(t: &UnitTimes) -> Value {
    json!({
        "planned_busy_s": t.planned_busy_s, "production_s": t.production_s, "setup_s": t.setup_s, "delay_s": t.delay_s,
        "down_s": t.down_s, "busy_s": t.busy_s(), "order_execution_s": t.order_execution_s(),
        "availability": t.availability(), "utilisation_efficiency": t.utilisation(), "allocation_efficiency": t.allocation(),
    })
}
