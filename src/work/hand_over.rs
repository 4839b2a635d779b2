//! Hand-over files: placements, packages, meshes, drawings, written one after another and bit by bit.

use std::{
    collections::BTreeMap,
    io::{self, BufWriter, Write},
    sync::Arc,
};

use crate::{
    document::{Job, Part, PartId, Plate, PlateId},
    drawing::{self, Palette, Paper, SheetFacts, SheetInput},
    formats::write::{
        self, ModelOptions, PlacementsBounds, PlateModel, PlateTime, WriteError, export_name, write_placements_csv,
        write_placements_json,
    },
    mesh::TriMesh,
    plate::{Prepared, Shapes},
    watch::Watch,
};

/// Pixels to the millimetre of drawings as pictures: 254 to the inch.
const PX_PER_MM: f64 = 10.0;

/// Writes a file's bytes.
pub type Fill<'a> = dyn FnMut(&mut dyn Write) -> Result<(), WriteError> + 'a;

/// Where hand-over files go. None of them is in its place before all are written. Where it is dropped before, nothing
/// has changed.
pub trait OutFolder: std::fmt::Debug + Send {
    /// Writes a file beside its place. The error is one sentence.
    fn write(&mut self, name: &str, fill: &mut Fill<'_>) -> Result<(), String>;
    /// Puts all files in their places. The error is one sentence; then everything is as it was before.
    fn finish(self: Box<Self>) -> Result<(), String>;
}

/// All that hand-over files are made from.
#[derive(Debug)]
pub struct HandOverTask {
    /// The job.
    pub job: Arc<Job>,
    /// Outlines of its parts.
    pub shapes: Shapes,
    /// Meshes of its parts, in their files' coordinates. A plate with a copy whose mesh is not here gets no 3MF and no STL.
    pub meshes: BTreeMap<PartId, Arc<TriMesh>>,
    /// Estimates, where they are known.
    pub times: BTreeMap<PlateId, PlateTime>,
    /// What else `placements.json` says.
    pub bounds: PlacementsBounds,
    /// Title of the drawings.
    pub title: String,
    /// Date on the drawings, ISO 8601.
    pub date: String,
    /// What goes into 3MF and STL.
    pub model: ModelOptions,
}

impl HandOverTask {
    /// Names of all files, in the order in which they are written.
    pub fn names(&self) -> Vec<String> {
        let mut names = vec!["placements.json".to_owned(), "placements.csv".to_owned()];
        for (stem, plate) in self.plates() {
            if self.has_meshes(plate) {
                names.extend([format!("{stem}.build.3mf"), format!("{stem}.stl")]);
            }
            if self.job.machine(plate.machine).is_some() {
                names.extend([format!("{stem}.svg"), format!("{stem}.png")]);
            }
        }
        names
    }

    /// Plates with copies, and the stems of their files' names.
    fn plates(&self) -> impl Iterator<Item = (String, &Plate)> {
        self.job.plates.iter().enumerate().filter(|(_, p)| !p.copies.is_empty()).map(|(i, p)| {
            let machine = self.job.machine(p.machine).map_or("", |m| m.name.as_str());
            (export_name(i + 1, self.times.get(&p.id).map(|t| t.time_s), machine), p)
        })
    }

    fn has_meshes(&self, plate: &Plate) -> bool {
        plate.copies.iter().all(|c| self.meshes.contains_key(&c.part))
    }

    /// Writes all files into `folder`; their names. The error is one sentence; `None`: cancelled.
    pub(super) fn run(&self, mut folder: Box<dyn OutFolder>, watch: &dyn Watch) -> Option<Result<Vec<String>, String>> {
        match self.write_all(folder.as_mut(), watch) {
            _ if watch.cancelled() => None,
            Err(why) => Some(Err(why)),
            Ok(()) => Some(folder.finish().map(|()| self.names())),
        }
    }

    fn write_all(&self, folder: &mut dyn OutFolder, watch: &dyn Watch) -> Result<(), String> {
        let count = self.plates().count();
        let mut put = |name: &str, fill: &mut Fill<'_>| {
            folder.write(name, &mut |out| {
                let mut out = BufWriter::with_capacity(1 << 16, Watched { out, watch });
                fill(&mut out)?;
                out.flush()?;
                Ok(())
            })
        };
        watch.progress(0.0, "placements");
        let time_of = |id: PlateId| self.times.get(&id).copied();
        put("placements.json", &mut |out| write_placements_json(&self.job, &self.shapes, &self.bounds, &time_of, out))?;
        put("placements.csv", &mut |out| write_placements_csv(&self.job, &self.shapes, &self.bounds, out))?;
        let meshes = |part: &Part| self.meshes.get(&part.id).cloned();
        let prepared = Prepared::new();
        for (n, (stem, plate)) in self.plates().enumerate() {
            // The placements have taken a little of the time.
            let done = (n as f64 + 0.5) / (count as f64 + 0.5);
            watch.progress(done, &format!("plate {} of {count}", n + 1));
            if self.has_meshes(plate) {
                let model = PlateModel { job: &self.job, plate: plate.id, shapes: &self.shapes, meshes: &meshes };
                put(
                    &format!("{stem}.build.3mf"),
                    &mut |out| Ok(out.write_all(&write::three_mf(&model, self.model)?)?),
                )?;
                put(&format!("{stem}.stl"), &mut |out| write::write_stl(&model, self.model, out))?;
            }
            if let Some(input) = self.sheet(plate, &prepared) {
                let (scene, palette) = (drawing::sheet(&input), Palette::light());
                put(&format!("{stem}.svg"), &mut |out| Ok(out.write_all(write::svg(&scene, &palette).as_bytes())?))?;
                put(&format!("{stem}.png"), &mut |out| Ok(out.write_all(&write::png(&scene, &palette, PX_PER_MM)?)?))?;
            }
        }
        Ok(())
    }

    fn sheet(&self, plate: &Plate, prepared: &Prepared) -> Option<SheetInput> {
        let time = self.times.get(&plate.id);
        let facts = SheetFacts {
            date: self.date.clone(),
            time_s: time.map(|t| t.time_s),
            mass_g: time.map(|t| t.mass_g),
            items: time.map(|t| t.items),
            paper: Paper::A4,
        };
        let mut input = SheetInput::of_plate(&self.job, plate.id, &self.shapes, prepared, &facts)?;
        input.title.title.clone_from(&self.title);
        for copy in &mut input.copies {
            let part = self.job.parts.iter().find(|p| p.letter == copy.letter);
            copy.ghost = part.is_some_and(|p| !self.meshes.contains_key(&p.id));
        }
        Some(input)
    }
}

/// Ends writing once it is cancelled.
struct Watched<'a> {
    out: &'a mut dyn Write,
    watch: &'a dyn Watch,
}

impl Write for Watched<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.watch.cancelled() {
            return Err(io::Error::other("cancelled"));
        }
        self.out.write(bytes)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}
