//! Hand-over files: placements, packages, meshes, drawings.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{Session, SessionError};
use crate::{
    document::{Job, Part, Plate, PlateId},
    drawing::{self, DrawnBed, DrawnConflict, DrawnCopy, Palette, Paper, SheetInput, TitleBlock},
    formats::write::{
        self, ModelOptions, Placements, PlateModel, WriteError, export_name, placements, placements_csv,
        placements_json,
    },
    mesh::TriMesh,
    plate::ConflictKind,
};

/// What to hand over beside the usual.
#[derive(Debug, Clone, Copy, Default)]
pub struct HandOver {
    /// What goes into 3MF and STL.
    pub model: ModelOptions,
}

/// Names the files of an export, so that the next one can replace them.
const LIST: &str = "stonehand-export.json";
/// Pixels to the millimetre of drawings as pictures: 254 to the inch.
const PX_PER_MM: f64 = 10.0;

impl Session {
    /// Where every copy lies: the contract of `placements.json`.
    pub fn placements(&self, only: Option<PlateId>) -> Placements {
        placements(self.job(), self.shapes(), only, &self.placements_bounds())
    }

    /// Writes the hand-over files of all plates into a folder, which is made if missing. Files of an earlier export of
    /// the same job are replaced or removed; others are left. Returns the names of what was written.
    pub fn export(&mut self, folder: &Path, what: HandOver) -> Result<Vec<String>, SessionError> {
        let write = |path: &Path, why| SessionError::Write { path: path.into(), why };
        let faulty = |e: WriteError| SessionError::Other(e.to_string());
        let mut files: Vec<(String, Vec<u8>)> = Vec::new();
        let all = self.placements(None);
        files.push(("placements.json".into(), placements_json(&all).map_err(faulty)?));
        files.push(("placements.csv".into(), placements_csv(&all).map_err(faulty)?));
        let job = self.shared_job();
        for (i, plate) in job.plates.iter().enumerate().filter(|(_, p)| !p.copies.is_empty()) {
            let time = self.view(plate.id).and_then(|v| v.estimate.as_ref()).map(|e| e.time_s);
            let machine = job.machine(plate.machine).map_or("", |m| m.name.as_str());
            let stem = export_name(i + 1, time, machine);
            let meshes = |part: &Part| -> Option<Arc<TriMesh>> {
                self.library().loaded(&part.mesh).map(|l| l.body(part.body))
            };
            let model = PlateModel { job: &job, plate: plate.id, shapes: self.shapes(), meshes: &meshes };
            files.push((format!("{stem}.build.3mf"), write::three_mf(&model, what.model).map_err(faulty)?));
            files.push((format!("{stem}.stl"), write::stl(&model, what.model).map_err(faulty)?));
            let scene = drawing::sheet(&self.sheet_input(&job, plate));
            let palette = Palette::light();
            files.push((format!("{stem}.svg"), write::svg(&scene, &palette).into_bytes()));
            files.push((format!("{stem}.png"), write::png(&scene, &palette, PX_PER_MM).map_err(faulty)?));
        }
        self.world.make_folder(folder).map_err(|e| write(folder, e))?;
        let list_path = folder.join(LIST);
        let earlier: Vec<String> =
            self.world.read(&list_path).ok().and_then(|b| serde_json::from_slice(&b).ok()).unwrap_or_default();
        for (name, bytes) in &files {
            let path = folder.join(name);
            if self.world.exists(&path) && !earlier.contains(name) {
                return Err(SessionError::Other(format!(
                    "{}: is there already and was not written by an export: move it away, or choose another folder",
                    path.display()
                )));
            }
            self.world.write(&path, bytes).map_err(|e| write(&path, e))?;
        }
        let names: Vec<String> = files.into_iter().map(|(n, _)| n).collect();
        for old in earlier.iter().filter(|n| !names.contains(n) && Path::new(n).components().count() == 1) {
            let path = folder.join(old);
            self.world.remove(&path).map_err(|e| write(&path, e))?;
        }
        let list = serde_json::to_vec_pretty(&names).unwrap_or_default();
        self.world.write(&list_path, &list).map_err(|e| write(&list_path, e))?;
        Ok(names)
    }

    /// A plate's drawing, as the window and the writers draw it.
    pub fn sheet_input(&self, job: &Job, plate: &Plate) -> SheetInput {
        let mut input = SheetInput { paper: Paper::A4, title: self.title_block(job, plate), ..SheetInput::default() };
        if let Some(machine) = job.machine(plate.machine) {
            input.bed = DrawnBed::of_machine(machine, job.edge_mm(machine), job.margins.tolerance_mm);
        }
        input.copies = plate.copies.iter().filter_map(|c| self.drawn_copy(job, c)).collect();
        input.conflicts = self
            .view(plate.id)
            .into_iter()
            .flat_map(|v| &v.conflicts)
            .map(|c| DrawnConflict {
                region: Arc::new(c.region.clone()),
                between: None,
                text: conflict_words(c.kind, c.amount_mm),
            })
            .collect();
        input
    }

    /// A copy as it is drawn, without what the window adds (selection, section, label place).
    pub fn drawn_copy(&self, job: &Job, copy: &crate::document::Copy) -> Option<DrawnCopy> {
        let part = job.part(copy.part)?;
        let shape = self.shapes().get(&copy.part)?;
        let footing = job.footing(copy);
        let form = self.prepared().get(shape, footing, &job.margins);
        let rings = form.rings_at(copy.placement());
        Some(DrawnCopy {
            name: job.copy_name(copy),
            letter: part.letter.clone(),
            hue: hue(job, part),
            shadow: Arc::new(shape.shadow.region().placed(copy.placement())),
            footing: (footing.width_mm() > 0.0).then(|| Arc::new(rings.footing)),
            gap_ring: (job.margins.gap_mm > 0.0).then(|| Arc::new(rings.gap_ring)),
            locked: copy.locked,
            mirrored: part.pose.mirrored,
            ..DrawnCopy::default()
        })
    }

    /// The words of a plate's title block.
    pub fn title_block(&self, job: &Job, plate: &Plate) -> TitleBlock {
        let estimate = self.view(plate.id).and_then(|v| v.estimate.as_ref());
        let material = job.material(plate.material).map_or("", |m| m.name.as_str());
        TitleBlock {
            title: if job.title.is_empty() { self.file_name() } else { job.title.clone() },
            plate: format!("{} of {}", job.plate_number(plate.id).unwrap_or(0), job.plates.len()),
            machine: job.machine(plate.machine).map_or_else(String::new, |m| m.name.clone()),
            material: if plate.colour.is_empty() {
                material.to_owned()
            } else {
                format!("{material}, {}", plate.colour)
            },
            recipe: job.recipe(plate.recipe).map_or_else(String::new, |r| r.name.clone()),
            date: self.today(),
            scale: String::new(),
            time: estimate.map_or_else(String::new, |e| hours(e.time_s)),
            mass: estimate.map_or_else(String::new, |e| format!("{:.0} g", e.filament.mass_g)),
            copies: plate.copies.len().to_string(),
        }
    }

    /// Where a file of this session's export would go; for messages.
    pub fn export_list(folder: &Path) -> PathBuf {
        folder.join(LIST)
    }
}

/// The hue number of a part: its place among all parts ever added, so that it keeps it.
pub fn hue(job: &Job, part: &Part) -> usize {
    (0..job.letters_given as usize).find(|&n| crate::document::letter(n) == part.letter).unwrap_or(0)
}

/// "overlap 8.0": what is written beside a conflict on the drawing.
pub fn conflict_words(kind: ConflictKind, amount_mm: f64) -> String {
    let word = match kind {
        ConflictKind::Overlap | ConflictKind::FootingOverlap => "overlap",
        ConflictKind::Clearance | ConflictKind::FootingClearance => "too near by",
        ConflictKind::OffBed | ConflictKind::TooLarge => "off bed",
        ConflictKind::KeepOut => "keep-out",
        ConflictKind::TooTall => "too tall by",
        ConflictKind::MixedRecipe => return "other recipe".into(),
    };
    format!("{word} {amount_mm:.1}")
}

/// "15 h 40 min", "40 min", "35 s".
pub fn hours(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "?".into();
    }
    if seconds < 60.0 {
        return format!("{seconds:.0} s");
    }
    let minutes = (seconds / 60.0).round() as u64;
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, m) => format!("{h} h {m:02} min"),
    }
}
