//! Answers on standard output, everything else on standard error.

use std::io::{self, BufWriter, Write};

use serde::Serialize;
use serde_json::{Value, json};

use super::fail::Fail;
use crate::{
    document::{Job, Plate, Recipe, SpoolId},
    drawing::words,
    estimate::{
        CopiesUntil, FloorWords, Interval, LayerWork, MinimumTried, PlateEstimate, Profile, RunsOut, SpoolUse, TRIED_S,
        film_w_m2_k, floor_words, minimum_tried,
    },
    formats::write::ItemsRecord,
    session::Session,
    words::{copies, cost},
};

/// One line on standard error.
pub(super) fn error(text: &str) {
    // Nobody to tell where standard error is closed.
    let _ = writeln!(io::stderr(), "stonehand: {}", words::plain(text));
}

pub(super) fn notices(s: &mut Session) {
    for n in s.take_notices() {
        error(&n.text);
    }
}

/// Text for a person: what would steer the terminal becomes �.
struct Plain<'a>(&'a mut dyn Write);

impl Write for Plain<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // Text comes here in whole pieces, each of them UTF-8.
        let text = String::from_utf8_lossy(bytes);
        self.0.write_all(text.replace(|c| c != '\n' && words::steers(c), "\u{fffd}").as_bytes())?;
        Ok(bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

/// Writes text to standard output.
pub(super) fn out(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<(), Fail> {
    out_as_is(|w| write(&mut Plain(w)))
}

/// Writes to standard output; a reader that has gone away ends the command quietly.
fn out_as_is(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<(), Fail> {
    let mut to = BufWriter::new(io::stdout().lock());
    match write(&mut to).and_then(|()| to.flush()) {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => Err(Fail::new(format!("standard output: {e}"))),
        _ => Ok(()),
    }
}

pub(super) fn line(text: &str) -> Result<(), Fail> {
    out(|w| writeln!(w, "{text}"))
}

pub(super) fn json(value: &impl Serialize) -> Result<(), Fail> {
    // JSON has its own escapes.
    out_as_is(|w| {
        serde_json::to_writer_pretty(&mut *w, value)?;
        writeln!(w)
    })
}

/// After `new`, `pack`, `top-up`: a line a plate.
pub(super) fn placed(s: &Session) -> Result<(), Fail> {
    let job = s.job();
    out(|w| {
        for (i, p) in job.plates.iter().enumerate() {
            let machine = job.machine(p.machine).map_or("?".into(), |m| words::plain(&m.name));
            let time = s.view(p.id).and_then(|v| v.estimate.as_ref()).map_or("?".into(), |e| words::time(e.time_s));
            let bound = s
                .bound(p.id)
                .map(|b| {
                    let part = s
                        .bound_part(p.id)
                        .and_then(|id| job.part(id))
                        .map_or_else(String::new, |p| format!(" {}", p.letter));
                    format!("; at most {}{part} can fit ({})", b.value, b.kind.words())
                })
                .unwrap_or_default();
            let twin = job.twin(p).map_or_else(String::new, |t| format!(" and as many again ({})", t.words()));
            writeln!(w, "plate {}  {machine}  {}{twin}  {time}{bound}", i + 1, copies(p.copies.len()))?;
        }
        if let Some(b) = s.plates_bound() {
            let plates = if b.value == 1 { "plate" } else { "plates" };
            writeln!(w, "at least {} {plates} needed ({})", b.value, b.kind.words())?;
        }
        for part in &job.parts {
            writeln!(
                w,
                "{:>3} {}  wanted {}  placed {}",
                part.letter,
                words::plain(&part.name),
                part.wanted,
                s.made(part.id)
            )?;
        }
        for f in s.all_findings() {
            writeln!(w, "{}  {}", f.level.word(), words::plain(&f.text))?;
        }
        Ok(())
    })
}

pub(super) fn estimate(s: &Session) -> Result<(), Fail> {
    let job = s.job();
    out(|w| {
        // Each is said once, at the end, however many plates it holds for.
        let mut assumptions: Vec<String> = Vec::new();
        for (i, p) in job.plates.iter().enumerate() {
            let machine = job.machine(p.machine).map_or("?".into(), |m| words::plain(&m.name));
            let twin = job.twin(p).map_or_else(String::new, |t| format!(" and as many again ({})", t.words()));
            write!(w, "plate {}  {machine}  {}{twin}  ", i + 1, copies(p.copies.len()))?;
            let Some(view) = s.view(p.id) else { continue };
            let Some(e) = &view.estimate else {
                writeln!(w, "no estimate: {}", view.no_estimate.as_deref().unwrap_or("meshes are missing"))?;
                continue;
            };
            let (metres, mass) = (e.filament.length_mm / 1000.0, words::mass(e.filament.mass_g));
            writeln!(w, "{}  {metres:.2} m  {mass}  {}", words::time(e.time_s), cost(e.filament.cost, &job.currency))?;
            for (name, seconds) in e.items.list() {
                if seconds > 0.0 {
                    writeln!(w, "    {name:<16} {:>12}", words::time(seconds))?;
                }
            }
            for (spool, taken) in [(p.spool, view.spool), (p.twin_spool, view.twin_spool)] {
                let (Some(spool), Some(u)) = (spool.and_then(|id| job.spool(id)), taken) else { continue };
                let (least, most) = (u.after.range_g.least.max(0.0), u.after.range_g.most.max(0.0));
                let needed = words::mass_range(u.needed_g.least, u.needed_g.most);
                let (before, left) = (words::mass(u.before.nominal_g), words::mass_range(least, most));
                writeln!(w, "    spool {}: takes {needed} of {before}, {left} left", words::plain(&spool.name))?;
            }
            if let Some(floor) = floor(job, p) {
                writeln!(w, "    minimum layer time {}", floor.form)?;
                let said = format!("minimum layer time {}: {}", floor.form, floor.assumes);
                if !assumptions.contains(&said) {
                    assumptions.push(said);
                }
            }
            if let Some(recipe) = job.recipe(p.recipe) {
                for t in tried(e, recipe) {
                    let unserved = words::time(t.unserved_s);
                    let left = if t.unserved_s < 0.5 { String::new() } else { format!(", {unserved} unserved") };
                    writeln!(w, "    with a minimum of {} s  {:>12}{left}", t.minimum_s, words::time(t.time_s))?;
                }
            }
            if let Some(s) = job.recipe(p.recipe).and_then(|r| r.support) {
                let (angle, percent) = (s.overhang_deg, s.density * 100.0);
                writeln!(
                    w,
                    "    supports beyond {angle} ° from the vertical, {percent:.0} % dense, touching the part"
                )?;
            }
            for f in &view.findings {
                writeln!(w, "    {}  {}", f.level.word(), words::plain(&f.text))?;
            }
        }
        for part in &job.parts {
            if let Some(until) = s.copies_until_slowing_ends(part.id) {
                writeln!(w, "{:>3} {}  slowing ends at {}", part.letter, words::plain(&part.name), until.words())?;
                let said = format!("slowing ends: {}", CopiesUntil::ASSUMES);
                if !assumptions.contains(&said) {
                    assumptions.push(said);
                }
            }
        }
        if !assumptions.is_empty() {
            writeln!(w, "assumptions")?;
        }
        for said in &assumptions {
            writeln!(w, "    {said}")?;
        }
        Ok(())
    })
}

/// The plate's time with each of the minimum layer times that are tried.
fn tried(e: &PlateEstimate, recipe: &Recipe) -> [MinimumTried; TRIED_S.len()] {
    TRIED_S.map(|minimum_s| minimum_tried(e, recipe, minimum_s))
}

fn floor(job: &Job, plate: &Plate) -> Option<FloorWords> {
    Some(floor_words(job.material(plate.material)?, job.recipe(plate.recipe)?))
}

pub(super) fn estimate_json(s: &Session) -> Result<(), Fail> {
    let job = s.job();
    let plates: Vec<Value> = job
        .plates
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let view = s.view(p.id);
            let Some(e) = view.and_then(|v| v.estimate.as_ref()) else {
                let why = view.and_then(|v| v.no_estimate.clone()).unwrap_or_else(|| "meshes are missing".into());
                return json!({"plate": i + 1, "time_s": null, "why": why, "layers": []});
            };
            let names: Vec<String> = s.estimated_copies(p).iter().map(|c| job.copy_name(c)).collect();
            let layers: Vec<Value> = e
                .layers
                .iter()
                .map(|l| {
                    let copies: Vec<&str> =
                        l.copies.iter().filter_map(|&c| names.get(c as usize)).map(String::as_str).collect();
                    json!({
                        "z_mm": l.top_mm, "natural_s": l.natural_s, "minimum_s": l.minimum_s.unwrap_or(0.0),
                        "time_s": l.time_s, "slowing_s": l.slowing_s, "waiting_s": l.waiting_s,
                        "unserved_s": l.unserved_s, "headroom": l.headroom, "limited_by": l.limit().word(),
                        "copies": copies,
                    })
                })
                .collect();
            let material = job.material(p.material);
            let floor = floor(job, p).map(|f| {
                json!({
                    "form": f.form, "assumes": f.assumes, "fan": material.map(|m| m.fan.word()),
                    "film_w_m2_k": material.map(film_w_m2_k),
                })
            });
            let tried: Vec<Value> = job
                .recipe(p.recipe)
                .into_iter()
                .flat_map(|recipe| tried(e, recipe))
                .map(|t| {
                    json!({
                        "minimum_s": t.minimum_s, "time_s": t.time_s, "short_layers": t.short_layers,
                        "unserved_s": t.unserved_s,
                    })
                })
                .collect();
            json!({
                "plate": i + 1, "time_s": e.time_s, "filament_mm": e.filament.length_mm,
                "mass_g": e.filament.mass_g, "cost": e.filament.cost, "currency": job.currency,
                "items": ItemsRecord::from(e.items),
                "spool": plate_spool(s, p.spool, s.view(p.id).and_then(|v| v.spool)),
                "twin": job.twin(p).map(|twin| json!({
                    "kind": twin, "heads": e.heads, "mass_g_each": e.of_one_head().mass_g,
                    "spool": plate_spool(s, p.twin_spool, s.view(p.id).and_then(|v| v.twin_spool)),
                })),
                "minimum_layer_time": floor, "with_minimum": tried, "support": job.recipe(p.recipe).and_then(|r| r.support),
                "layers": layers,
            })
        })
        .collect();
    let spools: Vec<Value> = job
        .spools
        .iter()
        .map(|spool| {
            let on = |p: &&Plate| [p.spool, p.twin_spool.filter(|_| job.twin(p).is_some())].contains(&Some(spool.id));
            let plates: Vec<_> = job.plates.iter().filter(on).filter_map(|p| job.plate_number(p.id)).collect();
            json!({
                "name": spool.name, "material": job.material(spool.material).map(|m| &m.name),
                "colour": spool.colour, "letter": spool.letter, "grams_left": spool.grams_left,
                "sensor": spool.sensor, "tail_fixed": spool.tail_fixed, "tolerance_mm": spool.tolerance_mm,
                "plates": plates, "after_all_g": s.spool_after(spool.id).map(|l| range(l.range_g)),
            })
        })
        .collect();
    let parts: Vec<Value> = job
        .parts
        .iter()
        .map(|part| {
            let until = s.copies_until_slowing_ends(part.id).map(|u| {
                json!({
                    "every_layer": u.every_layer, "nearly_every_layer": u.nearly_every_layer,
                    "assumes": CopiesUntil::ASSUMES,
                })
            });
            let layers: Vec<Value> = s.profile(part.id).into_iter().flat_map(Profile::layers).map(laid).collect();
            json!({
                "letter": part.letter, "part": part.name, "copies_until_slowing_ends": until, "layers": layers,
            })
        })
        .collect();
    json(&json!({ "plates": plates, "parts": parts, "spools": spools }))
}

fn range(i: Interval) -> Value {
    json!({"least": i.least, "most": i.most})
}

/// What a plate takes from its spool; null where it has none or that is not known.
fn plate_spool(s: &Session, spool: Option<SpoolId>, taken: Option<SpoolUse>) -> Value {
    let spool = spool.and_then(|id| s.job().spool(id));
    let (Some(spool), Some(u)) = (spool, taken) else { return Value::Null };
    let ends =
        |r: Option<RunsOut>| r.map(|r| json!({"layer": r.layer + 1, "height_mm": r.height_mm, "after_s": r.after_s}));
    json!({
        "name": spool.name, "before_g": range(u.before.range_g), "needed_g": range(u.needed_g),
        "after_g": range(u.after.range_g), "runs_out": ends(u.runs_out),
        "runs_out_earliest": ends(u.runs_out_earliest),
    })
}

/// Beads of one layer of one copy alone: their length, and their volume, for not all are as wide as the recipe's.
fn laid(l: &LayerWork) -> Value {
    json!({
        "area_mm2": l.area_mm2, "walls_mm": l.walls.length_mm, "solid_mm": l.solid.length_mm,
        "infill_mm": l.infill.length_mm, "support_mm": l.support.length_mm, "walls_mm3": l.walls.volume_mm3,
        "solid_mm3": l.solid.volume_mm3, "infill_mm3": l.infill.volume_mm3, "support_mm3": l.support.volume_mm3,
        "volume_mm3": l.volume_mm3(),
    })
}

pub(super) fn check(s: &Session) -> Result<(), Fail> {
    let all = s.all_findings();
    out(|w| {
        for f in &all {
            let plate = f.plate.and_then(|p| s.job().plate_number(p));
            let place = plate.map_or_else(|| "job".into(), |n| format!("plate {n}"));
            writeln!(w, "{:<5}  {:<12}  {place:<8}  {}", f.level.word(), f.kind.word(), words::plain(&f.text))?;
        }
        if all.is_empty() {
            writeln!(w, "no findings")?;
        }
        Ok(())
    })
}

pub(super) fn check_json(s: &Session) -> Result<(), Fail> {
    let job = s.job();
    let findings: Vec<Value> = s
        .all_findings()
        .iter()
        .map(|f| {
            let copies: Vec<String> =
                f.copies.iter().filter_map(|c| job.copy(*c)).map(|(_, c)| job.copy_name(c)).collect();
            json!({
                "level": f.level.word(), "kind": f.kind.word(),
                "plate": f.plate.and_then(|p| job.plate_number(p)), "copies": copies, "height_mm": f.height_mm,
                "text": f.text, "remedy": f.remedy.as_ref().map(crate::finding::Remedy::label),
                "remedies": f.remedy.iter().chain(&f.more).map(crate::finding::Remedy::label).collect::<Vec<_>>(),
            })
        })
        .collect();
    json(&json!({ "findings": findings }))
}
