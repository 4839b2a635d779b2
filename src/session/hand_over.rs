//! Hand-over files: placements, packages, meshes, drawings.

use std::{collections::BTreeSet, path::Path, sync::Arc};

use serde::{Deserialize, Serialize};

use super::{Session, SessionError};
use crate::{
    document::{Job, Part, Plate, PlateId},
    drawing::{self, Palette, Paper, SheetFacts, SheetInput},
    formats::write::{
        self, ModelOptions, Placements, PlateModel, PlateTime, WriteError, export_name, placements, placements_csv,
        placements_json,
    },
    mesh::TriMesh,
};

/// What to hand over beside the usual.
#[derive(Debug, Clone, Copy, Default)]
pub struct HandOver {
    /// What goes into 3MF and STL.
    pub model: ModelOptions,
}

/// Names the files of an export, so that the next one can replace them.
const LIST: &str = "stonehand-export.list";

/// What an export wrote, and of which job.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
struct Written {
    /// The job's title; its file's name where it has none.
    job: String,
    files: BTreeSet<String>,
}

impl Written {
    /// Nothing where it is no list. The first lists were names alone and said of no job.
    fn read(bytes: &[u8]) -> Self {
        let names = || serde_json::from_slice(bytes).map(|files| Self { job: String::new(), files });
        serde_json::from_slice(bytes).or_else(|_| names()).unwrap_or_default()
    }
}
/// Pixels to the millimetre of drawings as pictures: 254 to the inch.
const PX_PER_MM: f64 = 10.0;

impl Session {
    /// Where every copy lies and what its plate takes: the contract of `placements.json`.
    pub fn placements(&self, only: Option<PlateId>) -> Placements {
        let plates = &self.job().plates;
        placements(self.job(), self.shapes(), only, &self.placements_bounds()).with_times(|number| {
            let plate = plates.get(number.checked_sub(1)?)?;
            self.view(plate.id)?.estimate.as_ref().map(PlateTime::from)
        })
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
            let meshes =
                |part: &Part| -> Option<Arc<TriMesh>> { self.library().loaded(&part.mesh).map(|l| l.body(part.body)) };
            let model = PlateModel { job: &job, plate: plate.id, shapes: self.shapes(), meshes: &meshes };
            files.push((format!("{stem}.build.3mf"), write::three_mf(&model, what.model).map_err(faulty)?));
            files.push((format!("{stem}.stl"), write::stl(&model, what.model).map_err(faulty)?));
            if let Some(input) = self.sheet_input(&job, plate) {
                let (scene, palette) = (drawing::sheet(&input), Palette::light());
                files.push((format!("{stem}.svg"), write::svg(&scene, &palette).into_bytes()));
                files.push((format!("{stem}.png"), write::png(&scene, &palette, PX_PER_MM).map_err(faulty)?));
            }
        }
        self.world.make_folder(folder).map_err(|e| write(folder, e))?;
        let list_path = folder.join(LIST);
        let earlier = self.world.read(&list_path).ok().map_or_else(Written::default, |b| Written::read(&b));
        let now = Written { job: self.name_for_lists(), files: files.iter().map(|(n, _)| n.clone()).collect() };
        if !earlier.job.is_empty() && earlier.job != now.job {
            return Err(SessionError::Other(format!(
                "{}: holds the export of another job, \"{}\": choose another folder, or empty this one",
                folder.display(),
                earlier.job
            )));
        }
        // Before anything is written: an export is whole or has not begun.
        for name in now.files.difference(&earlier.files) {
            let path = folder.join(name);
            if self.world.exists(&path) {
                return Err(SessionError::Other(format!(
                    "{}: is there already and was not written by an export: move it away, or choose another folder",
                    path.display()
                )));
            }
        }
        // And the list first, old and new names: where writing ends half way, the next export may go on.
        let both = Written { files: now.files.union(&earlier.files).cloned().collect(), ..now.clone() };
        self.write_list(&list_path, &both)?;
        for (name, bytes) in &files {
            let path = folder.join(name);
            self.world.write(&path, bytes).map_err(|e| write(&path, e))?;
        }
        for old in earlier.files.difference(&now.files).filter(|n| Path::new(n).components().count() == 1) {
            let path = folder.join(old);
            self.world.remove(&path).map_err(|e| write(&path, e))?;
        }
        self.write_list(&list_path, &now)?;
        Ok(files.into_iter().map(|(name, _)| name).collect())
    }

    fn write_list(&self, path: &Path, written: &Written) -> Result<(), SessionError> {
        let list = serde_json::to_vec_pretty(written).unwrap_or_default();
        self.world.write(path, &list).map_err(|why| SessionError::Write { path: path.into(), why })
    }

    /// The job's title, or its file's name.
    fn name_for_lists(&self) -> String {
        match self.job().title.trim() {
            "" => self.file_name(),
            title => title.to_owned(),
        }
    }

    /// A plate's drawing, as the window and the writers draw it; `None` where its machine is missing.
    pub fn sheet_input(&self, job: &Job, plate: &Plate) -> Option<SheetInput> {
        let estimate = self.view(plate.id).and_then(|v| v.estimate.as_ref());
        let facts = SheetFacts {
            date: self.today(),
            time_s: estimate.map(|e| e.time_s),
            mass_g: estimate.map(|e| e.filament.mass_g),
            items: estimate.map(|e| e.items),
            paper: Paper::A4,
        };
        let mut input = SheetInput::of_plate(job, plate.id, self.shapes(), self.prepared(), &facts)?;
        input.title.title = self.name_for_lists();
        Some(input)
    }
}
