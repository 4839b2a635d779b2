//! Carrying out a plan.

use std::path::Path;

use jiff::{SignedDuration, Timestamp};

use super::{
    completions, deal,
    done::Done,
    export,
    fail::Fail,
    gauge, inspect,
    job::{finish, open, open_for, plate_of, session, stops},
    manual,
    plan::{Limits, Plan},
    print, shifts, study, study_copies, tally,
};
use crate::{
    batch::{whole_s, zone_of},
    document::{Part, PlateId, Preferences, Turns},
    finding::Remedy,
    session::{Action, EndBy, HandOver, Scope, Session, Start, TopUp},
};

pub(super) fn run(plan: Plan) -> Result<Done, Fail> {
    match plan {
        Plan::Inspect { meshes, layer_height_mm, layers, poses, json } => {
            inspect::inspect(&meshes, layer_height_mm, inspect::Also { layers, poses }, json)
        }
        Plan::New { output, title, machines, margins, footing, turns, parts, limit, json } => {
            let mut s = session();
            s.note_output(&output);
            let title = title.unwrap_or_else(|| {
                output.file_stem().map_or_else(String::new, |n| n.to_string_lossy().replace(['-', '_'], " "))
            });
            s.start(Start { title, machines, margins, footing, turns, parts, place: output.clone() })
                .map_err(Fail::new)?;
            s.tick();
            if s.job().parts.iter().any(|p| p.wanted > 0) {
                s.set_limits(crate::session::ArrangeLimits { rounds: Some(0), time: Some(limit), ..s.limits() });
                s.try_act(Action::Pack(Scope::Order)).map_err(Fail::new)?;
                s.tick();
            }
            finish(&mut s, &output, json)
        }
        Plan::Pack { job, output, spread, together, more_plates, end_by, limits, json } => {
            let mut s = open_for(&job, &output, timed(&limits, end_by.as_ref()))?;
            let wished = |e| Fail::new(format!("{}: {e}", job.display()));
            if let Some(spread) = spread {
                let preferences = Preferences { spread, ..s.job().preferences };
                s.try_act(Action::SetPreferences(preferences)).map_err(wished)?;
            }
            for name in &together {
                let part = part_named(&s, &job, "--together", name)?;
                s.try_act(Action::SetPart(Box::new(Part { together: true, ..part }))).map_err(wished)?;
            }
            begin(&mut s, &job, &limits)?;
            if end_by.is_some() {
                let start = one_plate(&mut s, &job, &limits, end_by)?;
                s.try_act(Action::Pack(Scope::Plate)).map_err(wished)?;
                s.tick();
                plan_from(&mut s, start);
                restore_turns(&mut s, &limits);
                return finish(&mut s, &output, json);
            }
            let scope = if limits.plate.is_some() { Scope::Plate } else { Scope::Job };
            // An order without plates: packing it is placing it.
            let placed = s.job().plates.iter().any(|p| !p.copies.is_empty());
            let scope = if placed { scope } else { Scope::Order };
            let action = if more_plates && placed { on_more_plates(&s, scope) } else { Action::Pack(scope) };
            s.try_act(action).map_err(|e| Fail::new(format!("{}: {e}", job.display())))?;
            s.tick();
            restore_turns(&mut s, &limits);
            finish(&mut s, &output, json)
        }
        Plan::TopUp { job, output, part, keep, end_by, limits, json } => {
            let mut s = open_for(&job, &output, timed(&limits, end_by.as_ref()))?;
            let what = match &part {
                None => TopUp::Order,
                Some(name) => TopUp::Part(part_named(&s, &job, "--part", name)?.id),
            };
            begin(&mut s, &job, &limits)?;
            s.act(Action::KeepLying(keep));
            if end_by.is_some() {
                let start = one_plate(&mut s, &job, &limits, end_by)?;
                s.try_act(Action::TopUp(what)).map_err(|e| Fail::new(format!("{}: {e}", job.display())))?;
                s.tick();
                plan_from(&mut s, start);
                restore_turns(&mut s, &limits);
                return finish(&mut s, &output, json);
            }
            let plates: Vec<PlateId> = match limits.plate {
                Some(_) => s.plate_id().into_iter().collect(),
                None => s.job().plates.iter().map(|p| p.id).collect(),
            };
            if plates.is_empty() {
                return Err(Fail::new(format!("{}: has no plate to top up: pack it first", job.display())));
            }
            let mut limit = s.limits();
            limit.time = limit.time.map(|t| t / plates.len() as u32);
            s.set_limits(limit);
            let mut topped = false;
            let mut why = String::new();
            for plate in plates {
                s.act(Action::ShowPlate(plate));
                match s.try_act(Action::TopUp(what)) {
                    Ok(()) => topped = true,
                    Err(e) => why = e.to_string(),
                }
                s.tick();
            }
            if !topped {
                return Err(Fail::new(format!("{}: {why}", job.display())));
            }
            restore_turns(&mut s, &limits);
            finish(&mut s, &output, json)
        }
        Plan::Deal { job, output, start, limits, turns, json } => deal::deal(&job, &output, start, limits, turns, json),
        Plan::Estimate { job, json } => {
            let s = open(&job)?;
            if json {
                print::estimate_json(&s)?;
            } else {
                print::estimate(&s)?;
            }
            Ok(stops(&s))
        }
        Plan::Check { job, json } => {
            let s = open(&job)?;
            if json {
                print::check_json(&s)?;
            } else {
                print::check(&s)?;
            }
            Ok(stops(&s))
        }
        Plan::Gauge(plan) => gauge::gauge(&plan),
        Plan::StudyCopies { job, part, spoils, confidence, limits, json } => {
            let mut s = open(&job)?;
            let part = part_named(&s, &job, "--part", &part)?.id;
            s.set_limits(limits);
            study_copies::copies(&s, &job, part, (spoils, confidence), json)?;
            Ok(stops(&s))
        }
        Plan::Shifts(plan) => shifts::shifts(&plan),
        Plan::Tally(plan) => tally::tally(*plan),
        Plan::StudyFooting { job, part, footings, limits, json } => {
            let mut s = open(&job)?;
            let part = part_named(&s, &job, "--part", &part)?.id;
            s.set_limits(limits);
            study::footing(&s, &job, part, footings, json)?;
            Ok(stops(&s))
        }
        Plan::Export { job, output, plate, paper, model, json } => {
            let mut s = open(&job)?;
            let only = plate.map(|n| plate_of(&s, &job, n)).transpose()?;
            export::export(&mut s, &output, HandOver { model, paper, only }, json)
        }
        Plan::CheckExport { folder, json } => export::check(&folder, json),
        Plan::Completions(shell) => completions::completions(shell),
        Plan::Manual { output } => manual::manual(&output),
    }
}

/// What opens a job for a search: where a plate has to end in time, print times are needed before the search, whatever the seconds.
fn timed<'a>(limits: &'a Limits, end_by: Option<&EndBy>) -> Option<&'a Limits> {
    if end_by.is_some() { None } else { Some(limits) }
}

/// Shows the plate that has to end by a time: that asked for, or the only one there is. Returns when it starts.
fn one_plate(s: &mut Session, job: &Path, limits: &Limits, end_by: Option<EndBy>) -> Result<Option<Timestamp>, Fail> {
    let wrong = |why: String| Fail::new(format!("{}: {why}", job.display()));
    let plates = s.job().plates.len();
    match (limits.plate, s.job().plates.first().map(|p| p.id)) {
        (_, None) => return Err(wrong("has no plate: pack it first, then again with --end-by".into())),
        (None, Some(_)) if plates > 1 => {
            return Err(wrong(format!(
                "has {plates} plates, and --end-by is about one of them: say which with --plate"
            )));
        }
        (None, Some(only)) => s.act(Action::ShowPlate(only)),
        (Some(_), _) => {}
    }
    let between = end_by.and_then(|e| e.between(&zone_of(&s.job().shifts.hours), s.now()).ok());
    s.try_act(Action::EndBy(end_by)).map_err(|e| wrong(e.to_string()))?;
    Ok(between.map(|b| b.start))
}

/// What is told of the plan is told of one with the start that was given, or of that which the search went by. The print starts then: the plate is
/// prepared before.
fn plan_from(s: &mut Session, start: Option<Timestamp>) {
    let start = s.in_time_told().map(|t| t.start).or(start);
    if let Some(start) = start {
        let preparing = whole_s(s.job().shifts.changeover.preparing_s);
        s.plan_from(start.checked_sub(SignedDuration::from_secs(preparing)).unwrap_or(start));
        s.tick();
    }
}

/// The part of this name or letter.
fn part_named(s: &Session, job: &Path, word: &str, name: &str) -> Result<Part, Fail> {
    let found = s.job().parts.iter().find(|p| p.name == name || p.letter == name);
    let names = || s.job().parts.iter().map(|p| format!("{} ({})", p.name, p.letter)).collect::<Vec<_>>();
    let none = || Fail::new(format!("{word} {name}: no such part in {}; it has {}", job.display(), names().join(", ")));
    found.cloned().ok_or_else(none)
}

/// Packs the plate shown, or all, with new plates for what does not fit.
fn on_more_plates(s: &Session, scope: Scope) -> Action {
    let asked = |id: PlateId| scope == Scope::Job || s.plate_id() == Some(id);
    let plates: Vec<_> = s.job().plates.iter().filter(|p| asked(p.id)).collect();
    let copies = plates.iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    Action::Remedy(Remedy::PackOnMorePlates { plates: plates.iter().map(|p| p.id).collect(), copies })
}

/// Applies limits, the plate asked for, and turns in place of each part's own.
fn begin(s: &mut Session, job: &Path, limits: &Limits) -> Result<(), Fail> {
    s.set_limits(limits.arrange);
    if let Some(n) = limits.plate {
        let plate = plate_of(s, job, n)?;
        s.act(Action::ShowPlate(plate));
    }
    if let Some(turns) = limits.turns {
        s.override_turns(Some(turns));
    }
    Ok(())
}

fn restore_turns(s: &mut Session, limits: &Limits) {
    if limits.turns.is_some() {
        s.override_turns(None::<Turns>);
    }
}
