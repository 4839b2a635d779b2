//! `gauge`: machine-code files, measured; beside a plate's estimate where there is one.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::{
    done::Done,
    fail::Fail,
    job::{finish, open, open_for, plate_of, session, stops},
    plan::GaugePlan,
    print,
};
use crate::{
    document::PlateId,
    estimate::gauge::{
        Basis, DwellUnit, LayerBeside, Measured, beside, layers_beside, least_estimated_layer, lengths_beside, measure,
    },
    session::{Action, Disk, Session, World, code_files, no_code_in, refusal},
    watch::Quiet,
    words,
};

/// Most lines of layer times for a person: a screen of them. JSON has every layer.
const MOST_LINES: usize = 20;

/// Measures files, and folders of them.
pub(super) fn gauge(p: &GaugePlan) -> Result<Done, Fail> {
    let mut s = match &p.job {
        Some(job) => match &p.factor_into {
            Some(output) => open_for(job, output, None)?,
            None => open(job)?,
        },
        None => session(),
    };
    let plate = plate(&s, p)?;
    let basis = basis(&s, p, plate)?;
    let mut all = measured(&p.files, &basis)?;
    all.sort_by(|a, b| a.1.time_s().total_cmp(&b.1.time_s()));
    if let Some(output) = &p.factor_into {
        let ([(name, m)], Some(plate)) = (&all[..], plate) else {
            return Err(Fail::new("--set-factor: takes one file, and a plate to compare it with"));
        };
        let factor = s.factor_for(plate, m).ok_or_else(|| {
            Fail::new(format!(
                "{name}: no time factor makes this plate's estimate match it: was it made from another plate?"
            ))
        })?;
        let before = s.estimate_to_compare(plate).map_or(1.0, |c| c.1);
        s.try_act(Action::SetFactor(plate, factor)).map_err(Fail::new)?;
        print::error(&format!("time factor {before} → {factor}"));
        return finish(&mut s, output, p.json);
    }
    if p.json {
        print::json(&json!({
            "files": all.iter().map(|(name, m)| of_file(name, m, &s, plate)).collect::<Vec<_>>(),
            "assumptions": all.first().map(|f| f.1.assumptions()),
        }))?;
    } else if let [(name, m)] = &all[..] {
        print::line(&in_words(name, m, &s, plate))?;
    } else {
        for (name, m) in &all {
            let watch = s.remarks_on(plate, m).iter().filter(|r| r.level == crate::finding::Level::Watch).count();
            let note = if watch > 0 { format!("  {watch} watch") } else { String::new() };
            let (time, metres, layers) = (words::time(m.time_s()), m.filament_mm / 1000.0, m.layers.len());
            let name = words::plain(name);
            print::line(&format!("{time:>12}  {layers:>5} layers  {metres:>8.2} m  {name}{note}"))?;
        }
    }
    Ok(if p.job.is_some() { stops(&s) } else { Done::Clear })
}

/// The plate to hold files against: the one named, or a job's only one.
fn plate(s: &Session, p: &GaugePlan) -> Result<Option<PlateId>, Fail> {
    let Some(job) = &p.job else { return Ok(None) };
    let plates = &s.job().plates;
    match (p.plate, &plates[..]) {
        (None, [one]) => Ok(Some(one.id)),
        (None, []) => Err(Fail::new(format!("{}: has no plate: pack it first", job.display()))),
        (None, _) if p.recipe.is_some() && p.factor_into.is_none() => Ok(None),
        (None, many) => {
            Err(Fail::new(format!("{}: has {} plates: say which one with --plate", job.display(), many.len())))
        }
        (Some(n), _) => Ok(Some(plate_of(s, job, n)?)),
    }
}

fn basis(s: &Session, p: &GaugePlan, plate: Option<PlateId>) -> Result<Basis, Fail> {
    let job = s.job();
    let recipe = match &p.recipe {
        None => None,
        Some(name) => {
            let names = || job.recipes.iter().map(|r| format!("“{}”", r.name)).collect::<Vec<_>>().join(", ");
            let found = job.recipes.iter().find(|r| r.name == *name);
            Some(found.ok_or_else(|| Fail::new(format!("--recipe {name}: no such recipe; there are {}", names())))?)
        }
    };
    let plate = plate.and_then(|id| job.plate(id));
    let mut basis = s.gauge_basis(plate, recipe).map_err(Fail::new)?;
    if p.dwell_seconds {
        basis.dwell = DwellUnit::Seconds;
    }
    Ok(basis)
}

/// Measures all files. A file named must be readable; one of a folder is passed over with a word.
fn measured(paths: &[PathBuf], basis: &Basis) -> Result<Vec<(String, Measured)>, Fail> {
    let disk = Disk::plain();
    let mut all = Vec::new();
    for path in paths {
        if !path.is_dir() {
            all.push((path.display().to_string(), one(&disk, path, basis)?));
            continue;
        }
        let files: Vec<PathBuf> = code_files(&disk, path).into_iter().filter(|p| !p.is_dir()).collect();
        let before = all.len();
        for file in &files {
            match one(&disk, file, basis) {
                Ok(m) => all.push((file.display().to_string(), m)),
                Err(why) => print::error(&why.0),
            }
        }
        if all.len() == before {
            return Err(Fail::new(if files.is_empty() {
                no_code_in(path)
            } else {
                format!("{}: none of its machine-code files can be measured", path.display())
            }));
        }
    }
    Ok(all)
}

fn one(disk: &Disk, path: &Path, basis: &Basis) -> Result<Measured, Fail> {
    let name = path.display().to_string();
    let (mut file, size) = disk.stream(path).map_err(|e| Fail::new(format!("{name}: cannot be read: {e}")))?;
    measure(&mut file, size, basis, &Quiet).map_err(|e| Fail::new(refusal(&name, &e)))
}

fn of_file(name: &str, m: &Measured, s: &Session, plate: Option<PlateId>) -> Value {
    let t = &m.items;
    let layers: Vec<Value> = m
        .layers
        .iter()
        .map(|l| json!({"z_mm": l.z_mm, "time_s": l.time_s, "bead_mm": l.bead_mm, "filament_mm": l.filament_mm}))
        .collect();
    let least =
        m.least_layer().map(|i| json!({"layer": i + 1, "z_mm": m.layers[i].z_mm, "time_s": m.layers[i].time_s}));
    let remarks: Vec<Value> =
        s.remarks_on(plate, m).iter().map(|r| json!({"level": r.level.word(), "text": r.text})).collect();
    let compared = plate.and_then(|id| Some((id, s.estimate_to_compare(id)?)));
    json!({
        "file": name, "bytes": m.bytes, "lines": m.lines, "moves": m.moves,
        "time_s": m.time_s(), "before_s": m.before_s, "after_s": m.after_s,
        "items": {"beads_s": t.beads_s, "travel_s": t.travel_s, "retraction_s": t.retraction_s, "dwell_s": t.dwell_s},
        "bead_mm": m.bead_mm, "travel_mm": m.travel_mm, "filament_mm": m.filament_mm,
        "least_layer": least, "layers": layers, "unknown": m.unknown, "findings": remarks,
        "beside": compared.map(|(id, (e, factor))| json!({
            "plate": s.job().plate_number(id),
            "items": beside(e, m).iter().map(|(name, estimated, measured)| {
                json!({"item": name, "estimated_s": estimated, "measured_s": measured})
            }).collect::<Vec<_>>(),
            "estimated_layers": e.layers.len(), "estimated_filament_mm": e.of_one_head().length_mm,
            "estimated_bead_mm": e.path.bead_mm, "estimated_travel_mm": e.path.travel_mm,
            "estimated_least_layer": least_estimated_layer(e).map(|i| {
                json!({"layer": i + 1, "z_mm": e.layers[i].top_mm, "time_s": e.layers[i].time_s})
            }),
            "layers": layers_beside(Some(e), m).iter().map(|l| {
                json!({
                    "z_mm": l.z_mm, "estimated_natural_s": l.natural_s, "estimated_s": l.estimated_s,
                    "measured_s": l.measured_s,
                })
            }).collect::<Vec<_>>(),
            "time_factor": factor, "measured_factor": s.factor_for(id, m),
        })),
    })
}

/// "12.3 s"; a dash where there is none.
fn tenths(seconds: Option<f64>) -> String {
    seconds.map_or_else(|| "–".to_owned(), |s| format!("{s:.1} s"))
}

/// Layer times from the bed up, estimated and measured: a line a layer, or the means of so many layers that a screen holds them.
fn layer_lines(layers: &[LayerBeside]) -> Vec<String> {
    if layers.is_empty() {
        return Vec::new();
    }
    let each = layers.len().div_ceil(MOST_LINES);
    let head = if each == 1 { "layer times".to_owned() } else { format!("means of {each} layers") };
    let mut lines = vec![format!("    {head:<19} {:>11} {:>14} {:>14}", "unslowed", "slowed, waited", "measured")];
    for run in layers.chunks(each) {
        let mean = |value: fn(&LayerBeside) -> Option<f64>| {
            let all: Vec<f64> = run.iter().filter_map(value).collect();
            tenths((!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64))
        };
        let (from, to) = (run[0].z_mm, run[run.len() - 1].z_mm);
        let at = if run.len() == 1 { format!("{from:.2} mm") } else { format!("{from:.2} – {to:.2} mm") };
        let times = [mean(|l| l.natural_s), mean(|l| l.estimated_s), mean(|l| l.measured_s)];
        lines.push(format!("    {at:<19} {:>11} {:>14} {:>14}", times[0], times[1], times[2]));
    }
    lines
}

/// A file for a person: beside the estimate where there is one.
fn in_words(name: &str, m: &Measured, s: &Session, plate: Option<PlateId>) -> String {
    let name = words::plain(name);
    let mut lines = vec![format!(
        "{name}  {}  {}  {:.2} m of filament, {:.2} m of bead, {:.2} m of travel",
        words::time(m.time_s()),
        words::count(m.layers.len(), "layer"),
        m.filament_mm / 1000.0,
        m.bead_mm / 1000.0,
        m.travel_mm / 1000.0
    )];
    if let Some((id, (e, factor))) = plate.and_then(|id| Some((id, s.estimate_to_compare(id)?))) {
        let number = s.job().plate_number(id).unwrap_or_default();
        lines.push(format!("    {:<16} {:>14} {:>14}", "", format!("plate {number}"), "measured"));
        for (name, estimated, measured) in beside(e, m) {
            lines.push(format!("    {name:<16} {:>14} {:>14}", words::time(estimated), words::time(measured)));
        }
        lines.push(format!("    {:<16} {:>14} {:>14}", "layers", e.layers.len(), m.layers.len()));
        let least = [least_estimated_layer(e).map(|i| e.layers[i].time_s), m.least_layer().map(|i| m.layers[i].time_s)];
        lines.push(format!("    {:<16} {:>14} {:>14}", "shortest layer", tenths(least[0]), tenths(least[1])));
        for (what, estimated_mm, measured_mm) in lengths_beside(Some(e), m) {
            let metres = [estimated_mm.unwrap_or_default(), measured_mm].map(|mm| format!("{:.2} m", mm / 1000.0));
            lines.push(format!("    {what:<16} {:>14} {:>14}", metres[0], metres[1]));
        }
        if let Some(f) = s.factor_for(id, m) {
            lines.push(format!("    {:<16} {factor:>14} {f:>14}", "time factor"));
        }
        lines.extend(layer_lines(&layers_beside(Some(e), m)));
    } else {
        for (name, seconds) in m.items.list() {
            lines.push(format!("    {name:<16} {:>14}", words::time(seconds)));
        }
    }
    if let Some(i) = m.least_layer() {
        let l = &m.layers[i];
        lines.push(format!("    shortest layer {:.1} s, layer {} at {:.2} mm", l.time_s, i + 1, l.z_mm));
    }
    lines.extend(s.remarks_on(plate, m).iter().map(|r| format!("    {}  {}", r.level.word(), r.text)));
    lines.extend(m.assumptions().iter().map(|a| format!("    assumed: {a}")));
    lines.join("\n")
}
