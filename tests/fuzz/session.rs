//! The session: a job all the way, and anything a person can do in any order.

use stonehand::{
    batch::Spoils,
    document::{ClockTime, CopyId, FileUnit, Footing, PartId, PlateId, PlateSpread, Preferences, file},
    edit::{PlateTarget, Put},
    geom::{Bounds, Point},
    session::{Action, EndBy, Landing, Scope, Session, Side, StudyWish, TopUp, When},
};

use super::{
    dice::Dice,
    mutate,
    seeds::{BLOCK, JOB, Seeds, copy_of, on},
    shifts,
    world::Files,
};

/// Where exports go.
const OUT: &str = "/shop/out";

/// Opens the job that lies there, looks at all that is derived, packs, tops up, exports.
pub(crate) fn route(files: &Files) -> Result<(), String> {
    let mut session = on(files);
    if session.try_act(Action::Open(JOB.into())).is_err() {
        return Ok(());
    }
    session.tick();
    looked_at(&mut session)?;
    let plates: Vec<PlateId> = session.job().plates.iter().map(|p| p.id).take(2).collect();
    for &plate in &plates {
        session.act(Action::ShowPlate(plate));
        session.act(Action::ShowHeight(Some(1.0)));
        session.tick();
        session.act(Action::Pack(Scope::Plate));
        session.tick();
        looked_at(&mut session)?;
        session.act(Action::TopUp(TopUp::Order));
        session.tick();
    }
    looked_at(&mut session)?;
    exported(&mut session, files)?;
    session.act(Action::SaveAs(JOB.into()));
    file::read(&files.get(JOB).unwrap_or_default(), JOB)
        .map(drop)
        .map_err(|e| format!("the job saved cannot be read: {e}"))
}

/// What a person sees of the job.
fn looked_at(session: &mut Session) -> Result<(), String> {
    for notice in session.take_notices() {
        if notice.text.contains("a fault of this program") {
            return Err(notice.text);
        }
    }
    for finding in session.all_findings() {
        if finding.text.is_empty() {
            return Err("a finding without words".into());
        }
    }
    shifts::sound(session)?;
    for plate in &session.job().plates {
        let Some(view) = session.view(plate.id) else { continue };
        if view.conflicts.iter().any(|c| !c.amount_mm.is_finite()) {
            return Err("a conflict of no number".into());
        }
        if let Some(e) = &view.estimate
            && !(e.time_s.is_finite() && e.time_s >= 0.0 && e.filament.length_mm.is_finite())
        {
            return Err(format!("an estimate of {} s and {} mm", e.time_s, e.filament.length_mm));
        }
    }
    Ok(())
}

fn exported(session: &mut Session, files: &Files) -> Result<(), String> {
    session.act(Action::Export(OUT.into()));
    // Where it asks first: yes. A refusal is an answer too.
    session.act(Action::ExportAnyway);
    session.tick();
    let Some(json) = files.get(format!("{OUT}/placements.json")) else { return Ok(()) };
    serde_json::from_slice::<serde_json::Value>(&json).map(drop).map_err(|e| format!("placements are no JSON: {e}"))
}

/// Does what the dice say, and looks after each step whether all is well; then takes everything back and does it again.
pub(crate) fn actions(seeds: &Seeds, dice: &mut Dice) -> Result<(), String> {
    let files = copy_of(&seeds.files);
    let small = seeds.jobs.len() - 1;
    let job = if dice.one_in(20) { small } else { dice.below(small) };
    let mut bytes = seeds.jobs[job].clone();
    if dice.one_in(3) {
        bytes = mutate::json(dice, &bytes, false);
    }
    files.put(JOB, bytes);
    let mut session = on(&files);
    session.set_now(shifts::now(dice));
    session.act(Action::Open(JOB.into()));
    session.tick();
    // The steps, for whoever runs a case again.
    let aloud = std::env::var_os("FUZZ_ALOUD").is_some();
    for _ in 0..10 + dice.below(30) {
        let action = action(&session, dice);
        let name = format!("{action:?}");
        if aloud {
            eprintln!("{name}");
        }
        session.act(action);
        if !dice.one_in(4) {
            session.tick();
        }
        looked_at(&mut session).and_then(|()| whole(&session)).map_err(|e| format!("{e}, after {name}"))?;
    }
    session.act(Action::LetGo);
    session.act(Action::Cancel);
    session.tick();
    let after = written(&session)?;
    let mut steps = 0;
    while session.undo_label().is_some() {
        session.act(Action::Undo);
        steps += 1;
    }
    session.tick();
    for _ in 0..steps {
        session.act(Action::Redo);
    }
    session.tick();
    if written(&session)? == after { Ok(()) } else { Err("undone and done again, the job is another".into()) }
}

/// The job can be saved and opened again.
fn whole(session: &Session) -> Result<(), String> {
    let bytes = written(session)?;
    let back = file::read(&bytes, JOB).map_err(|e| format!("the job could not be opened again: {e}"))?;
    if back == *session.job() { Ok(()) } else { Err("the job changes by being saved".into()) }
}

fn written(session: &Session) -> Result<Vec<u8>, String> {
    file::write(session.job()).map_err(|e| format!("the job cannot be written: {e}"))
}

fn action(session: &Session, dice: &mut Dice) -> Action {
    let job = session.job();
    let copies: Vec<CopyId> = session.plate().into_iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
    let parts: Vec<PartId> = job.parts.iter().map(|p| p.id).collect();
    let plates: Vec<PlateId> = job.plates.iter().map(|p| p.id).collect();
    let copy = |d: &mut Dice| copies.get(d.below(copies.len() + 1)).copied().unwrap_or(CopyId(999_999));
    let part = |d: &mut Dice| {
        parts.get(d.below(parts.len() * 12 + 1) % parts.len().max(1)).copied().unwrap_or(PartId(999_999))
    };
    let plate = |d: &mut Dice| plates.get(d.below(plates.len() + 1)).copied().unwrap_or(PlateId(999_999));
    let point = |d: &mut Dice| Point::new(d.length(), d.length());
    match dice.below(56) {
        0 => Action::SelectAll,
        1 => Action::SelectNone,
        2 | 3 => Action::Select { copies: vec![copy(dice), copy(dice)], additive: dice.one_in(2) },
        4 => Action::SelectPart(part(dice)),
        5 => Action::Delete,
        6 => Action::Duplicate,
        7 => Action::Grid {
            columns: dice.below(6) as u32,
            rows: if dice.one_in(20) { u32::MAX } else { dice.below(5) as u32 },
            pitch_x_mm: dice.one_in(2).then(|| dice.length()),
            pitch_y_mm: dice.one_in(2).then(|| dice.length()),
        },
        8 => Action::Align(*dice.of(&[
            Side::Left,
            Side::Right,
            Side::Front,
            Side::Back,
            Side::MiddleAcross,
            Side::MiddleUp,
        ])),
        9 => Action::Turn(if dice.one_in(3) { 90.0 } else { dice.length() }),
        10 => Action::Nudge(dice.length(), dice.length()),
        11 => Action::Lock(dice.one_in(2)),
        12 => {
            let width_mm = dice.length() / 20.0;
            Action::Footing(
                dice.of(&[
                    None,
                    Some(Footing::Bare),
                    Some(Footing::Brim { width_mm }),
                    Some(Footing::Raft { width_mm }),
                ])
                .to_owned(),
            )
        }
        13 => Action::ToPlate(dice.one_in(2).then(|| plate(dice))),
        14 | 15 => Action::Grab { label: "Move" },
        16 | 17 => Action::Drag { by: point(dice), turn_deg: if dice.one_in(2) { 0.0 } else { dice.length() } },
        18 | 19 => Action::DropIt(*dice.of(&[Landing::There, Landing::NearestFree, Landing::PushAside])),
        20 => Action::LetGo,
        21 => {
            let id = part(dice);
            let Some(mut p) = job.part(id).cloned() else { return Action::RemovePart(id) };
            match dice.below(4) {
                0 => p.wanted = dice.below(30) as u32,
                1 => p.footing = Footing::Brim { width_mm: dice.length() / 20.0 },
                2 => p.together = !p.together,
                _ => p.name = "=1+1\u{1b}".into(),
            }
            Action::SetPart(Box::new(p))
        }
        22 => Action::LayOn(part(dice), dice.below(9)),
        23 => Action::TurnPart(part(dice), dice.length(), dice.length()),
        24 => Action::SplitBodies(part(dice)),
        25 => {
            // Microns seldom: a bed then holds twenty thousand, and every step after that takes its time.
            let units = if dice.one_in(12) { &FileUnit::ALL[..] } else { &FileUnit::ALL[1..] };
            Action::SetUnit(part(dice), *dice.of(units))
        }
        26 => Action::PlaceOne(part(dice)),
        27 | 28 => Action::PlaceAt(part(dice), point(dice)),
        29 => Action::ShowPlate(plate(dice)),
        30 => Action::NewPlate,
        31 => {
            if dice.one_in(4) {
                Action::RemovePlate(plate(dice))
            } else {
                Action::OrderPlate(plate(dice), dice.below(9))
            }
        }
        32 if dice.one_in(4) => Action::Deal,
        32 => Action::Pack(*dice.of(&[Scope::Plate, Scope::Selection, Scope::Job, Scope::Order])),
        33 => match dice.below(10) {
            0 => Action::Study(StudyWish::Copies {
                part: part(dice),
                spoils: *dice.of(&Spoils::ALL),
                confidence: dice.share(),
            }),
            1..4 => Action::EndBy(dice.one_in(4).then(|| end_by(dice))),
            _ => Action::TopUp(if dice.one_in(2) { TopUp::Order } else { TopUp::Part(part(dice)) }),
        },
        34 => Action::TopUpArea(Bounds::new(point(dice), point(dice))),
        35 => {
            let mut margins = job.margins;
            if dice.one_in(3) {
                margins.gap_mm = dice.length() / 10.0;
            }
            margins.edge_mm = dice.length() / 20.0;
            Action::SetMargins(margins)
        }
        36 => Action::SetPreferences(Preferences {
            spread: *dice.of(&[PlateSpread::Even, PlateSpread::FullThenRest]),
            ..job.preferences
        }),
        37 => {
            let Some(mut machine) = job.machines.get(dice.below(job.machines.len())).cloned() else {
                return Action::New;
            };
            machine.height_mm = dice.length();
            Action::SetMachine(Box::new(machine))
        }
        38 => {
            let Some(mut recipe) = job.recipes.get(dice.below(job.recipes.len())).cloned() else { return Action::New };
            match dice.below(5) {
                0 => recipe.layer_height_mm = dice.length() / 500.0,
                1 => recipe.bead_width_mm = dice.length() / 200.0,
                2 => recipe.skirt_loops = dice.below(12) as u32,
                3 => recipe.raft_layers = dice.below(8) as u32,
                _ => recipe.first_layer_mm = dice.length() / 500.0,
            }
            Action::SetRecipe(Box::new(recipe))
        }
        39 => Action::ShowHeight(dice.one_in(2).then(|| dice.length())),
        40 | 41 => {
            if dice.one_in(3) {
                Action::Redo
            } else {
                Action::Undo
            }
        }
        42 => Action::Put(vec![Put {
            copy: dice.one_in(2).then(|| copy(dice)),
            part: part(dice),
            plate: PlateTarget::Existing(plate(dice)),
            x_mm: dice.length(),
            y_mm: dice.length(),
            turn_deg: dice.length(),
        }]),
        43 => {
            let remedies: Vec<_> =
                session.all_findings().iter().flat_map(|f| f.remedy.iter().chain(&f.more)).cloned().collect();
            remedies.get(dice.below(remedies.len())).map_or(Action::Take, |r| Action::Remedy(r.clone()))
        }
        46.. => shifts::action(session, dice),
        44 => Action::AddFiles(vec![(*dice.of(&[BLOCK, "/shop/strap-hook.3mf", "/shop/none.stl"])).into()]),
        _ => {
            if dice.one_in(2) {
                Action::Export(OUT.into())
            } else {
                Action::ExportAnyway
            }
        }
    }
}

/// A start and an end, sensible or not.
fn end_by(dice: &mut Dice) -> EndBy {
    let clock =
        |dice: &mut Dice| When::Clock(ClockTime::from_minutes(dice.below(1441) as u16).unwrap_or(ClockTime::END));
    let dates = ["2026-11-30T16:30", "2026-12-01T08:00", "-9999-01-01T00:00", "9999-12-31T23:59"];
    let date = |dice: &mut Dice| dice.of(&dates).parse().unwrap_or(When::Clock(ClockTime::MIDNIGHT));
    let when = |dice: &mut Dice| if dice.one_in(3) { date(dice) } else { clock(dice) };
    let start = dice.one_in(2).then(|| when(dice));
    EndBy { start, end: when(dice), chance: dice.share(), further_plate: dice.one_in(2) }
}
