//! Hand-over files: placements, packages, meshes, drawings, written one after another and bit by bit.

use std::{
    collections::BTreeMap,
    fmt::Write as _,
    io::{self, BufWriter, Write},
    sync::Arc,
};

use super::ToPrint;
use crate::{
    document::{Job, Part, PartId, Plate, PlateId},
    drawing::{self, Palette, Paper, SheetFacts, SheetInput, run_sheet::Pages},
    formats::write::{
        self, ModelOptions, PlacementsBounds, PlateModel, PlateTime, RunRecord, WriteError, export_name,
        write_placements_csv, write_placements_json,
    },
    mesh::TriMesh,
    plate::{Prepared, Shapes},
    watch::Watch,
    words,
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
    /// Puts all files in their places; those that are there already with the same content stay as they are. The error is one sentence; then
    /// everything is as it was before.
    fn finish(self: Box<Self>) -> Result<HandedOver, String>;
}

/// What came of handing over.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HandedOver {
    /// Names of all files handed over.
    pub names: Vec<String>,
    /// How many of them were there already, with the same content.
    pub unchanged: usize,
}

/// The plan as a table and as a calendar.
#[derive(Debug, Clone)]
pub struct PlanFiles {
    /// Plates in time.
    pub runs: Vec<RunRecord>,
    /// In whose local times.
    pub zone: jiff::tz::TimeZone,
    /// When the plan begins: the calendar's events were made no later.
    pub stamp: jiff::Timestamp,
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
    /// This plate alone; `None` for all.
    pub only: Option<PlateId>,
    /// What is printed.
    pub print: ToPrint,
    /// The plan, where any plate is in it.
    pub plan: Option<PlanFiles>,
    /// Machines that can run a plate's files as they are, besides its own.
    pub same_machines: BTreeMap<PlateId, Vec<String>>,
}

impl HandOverTask {
    /// Names of all files, in the order in which they are written.
    pub fn names(&self) -> Vec<String> {
        let mut names = Vec::new();
        if self.only.is_none() {
            names.extend(["placements.json", "placements.csv"].map(str::to_owned));
        }
        for (stem, plate) in self.plates() {
            if self.only.is_some() {
                names.extend([format!("{stem}.placements.json"), format!("{stem}.placements.csv")]);
            }
            if self.has_meshes(plate) {
                names.extend([format!("{stem}.build.3mf"), format!("{stem}.stl")]);
            }
            if self.job.machine(plate.machine).is_some() {
                names.extend([format!("{stem}.svg"), format!("{stem}.png")]);
                if self.print.sheets.contains_key(&plate.id) {
                    names.push(format!("{stem}.run-sheet.pdf"));
                }
            }
            if self.only.is_some() && self.print.labels.iter().any(|(id, _)| *id == plate.id) {
                names.push(format!("{stem}.bin-labels.pdf"));
            }
        }
        if self.only.is_some() {
            return names;
        }
        let of_all = [
            ("run-sheets.pdf", names.iter().any(|n| n.ends_with(".run-sheet.pdf"))),
            ("bin-labels.pdf", !self.print.labels.is_empty()),
            ("timeline.pdf", self.print.timeline.is_some()),
            ("timeline.csv", self.plan.is_some()),
            ("timeline.ics", self.plan.is_some()),
            ("contents.txt", true),
        ];
        names.extend(of_all.into_iter().filter(|(_, there)| *there).map(|(name, _)| name.to_owned()));
        names
    }

    /// Files that are about one plate, and that plate.
    pub fn plate_of_names(&self) -> BTreeMap<String, PlateId> {
        let stems: Vec<(String, PlateId)> = self.plates().map(|(stem, p)| (stem, p.id)).collect();
        let of = |name: String| {
            let is_of = |stem: &str| name.strip_prefix(stem).is_some_and(|end| end.starts_with('.'));
            let plate = stems.iter().find(|(stem, _)| is_of(stem)).map(|(_, id)| *id)?;
            Some((name, plate))
        };
        self.names().into_iter().filter_map(of).collect()
    }

    /// Plates with copies, and the stems of their files' names.
    fn plates(&self) -> impl Iterator<Item = (String, &Plate)> {
        let wanted = |p: &Plate| !p.copies.is_empty() && self.only.is_none_or(|id| id == p.id);
        self.job.plates.iter().enumerate().filter(move |(_, p)| wanted(p)).map(|(i, p)| {
            let machine = self.job.machine(p.machine).map_or("", |m| m.name.as_str());
            (export_name(i + 1, self.times.get(&p.id).map(|t| t.time_s), &self.title, machine), p)
        })
    }

    fn has_meshes(&self, plate: &Plate) -> bool {
        plate.copies.iter().all(|c| self.meshes.contains_key(&c.part))
    }

    /// Writes all files into `folder`; their names. The error is one sentence; `None`: cancelled.
    pub(super) fn run(&self, mut folder: Box<dyn OutFolder>, watch: &dyn Watch) -> Option<Result<HandedOver, String>> {
        match self.write_all(folder.as_mut(), watch) {
            _ if watch.cancelled() => None,
            Err(why) => Some(Err(why)),
            Ok(()) => Some(folder.finish()),
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
        if self.only.is_none() {
            put("placements.json", &mut |out| {
                write_placements_json(&self.job, &self.shapes, &self.bounds, &time_of, out)
            })?;
            put("placements.csv", &mut |out| write_placements_csv(&self.job, &self.shapes, &self.bounds, out))?;
        }
        let black = Palette::print();
        let mut all_sheets: Option<Pages> = None;
        let meshes = |part: &Part| self.meshes.get(&part.id).cloned();
        let prepared = Prepared::new();
        for (n, (stem, plate)) in self.plates().enumerate() {
            // The placements have taken a little of the time.
            let done = (n as f64 + 0.5) / (count as f64 + 0.5);
            watch.progress(done, &format!("plate {} of {count}", n + 1));
            if self.only.is_some() {
                let its = write::placements(&self.job, &self.shapes, Some(plate.id), &self.bounds);
                let its = its.with_times(|_| time_of(plate.id));
                put(&format!("{stem}.placements.json"), &mut |out| Ok(out.write_all(&write::placements_json(&its)?)?))?;
                put(&format!("{stem}.placements.csv"), &mut |out| Ok(out.write_all(&write::placements_csv(&its)?)?))?;
            }
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
                if let Some(pages) = self.print.run_sheet(plate.id, &input) {
                    put(&format!("{stem}.run-sheet.pdf"), &mut |out| Ok(out.write_all(&write::pdf(&pages, &black)?)?))?;
                    all_sheets = Some(match all_sheets {
                        Some(all) => all.then(pages),
                        None => pages,
                    });
                }
            }
            if let Some(pages) = self.print.labels(Some(plate.id)).filter(|_| self.only.is_some()) {
                put(&format!("{stem}.bin-labels.pdf"), &mut |out| Ok(out.write_all(&write::pdf(&pages, &black)?)?))?;
            }
        }
        if self.only.is_some() {
            return Ok(());
        }
        let title = format!("Run sheets: {}", self.title);
        let printed = [
            ("run-sheets.pdf", all_sheets.map(|all| Pages { title, ..all })),
            ("bin-labels.pdf", self.print.labels(None)),
            ("timeline.pdf", self.print.week()),
        ];
        for (name, pages) in printed {
            if let Some(pages) = pages {
                put(name, &mut |out| Ok(out.write_all(&write::pdf(&pages, &black)?)?))?;
            }
        }
        if let Some(PlanFiles { runs, zone, stamp }) = &self.plan {
            put("timeline.csv", &mut |out| Ok(out.write_all(&write::timeline_csv(runs, zone)?)?))?;
            put("timeline.ics", &mut |out| Ok(out.write_all(&write::calendar(&self.title, runs, zone, *stamp))?))?;
        }
        put("contents.txt", &mut |out| Ok(out.write_all(self.contents().as_bytes())?))
    }

    /// What is in the folder, for people: each plate, its machines and its files.
    fn contents(&self) -> String {
        let mut text = format!("{}\n", words::plain(&self.print.head.words()));
        for (stem, plate) in self.plates() {
            let number = self.job.plate_number(plate.id).unwrap_or_default();
            let machine = self.job.machine(plate.machine).map_or("?", |m| m.name.as_str());
            let time = self.times.get(&plate.id).map_or_else(|| "time not known".to_owned(), |t| words::time(t.time_s));
            let copies = words::copies(plate.copies.len());
            // Writing into a String cannot fail.
            let _ = writeln!(text, "\nPlate {number}: {}, {copies}, {time}", words::plain(machine));
            if let Some(same) = self.same_machines.get(&plate.id).filter(|s| !s.is_empty()) {
                let _ = writeln!(text, "  The same files serve {}: identical in what matters.", same.join(", "));
            }
            for name in self.names().iter().filter(|n| n.strip_prefix(&stem).is_some_and(|end| end.starts_with('.'))) {
                let _ = writeln!(text, "  {name}");
            }
        }
        text += "\nOf the whole job:\n";
        let stems: Vec<String> = self.plates().map(|(stem, _)| stem).collect();
        for name in self.names().iter().filter(|n| !stems.iter().any(|s| n.starts_with(s.as_str()))) {
            let _ = writeln!(text, "  {name}");
        }
        text + "  manifest.sha256\n\nTo see whether all of it is there and unchanged: stonehand check-export on this folder, or sha256sum -c \
                manifest.sha256 in it.\n"
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
