//! Handing over: what goes into the files, what is asked first, and how far they are.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::Path,
};

use crate::{
    document::{Plate, PlateId},
    drawing::run_sheet::PrintPaper,
    finding::Level,
    formats::write::{ModelOptions, Placements, PlacementsBounds, PlateTime, WriteError, placements},
    session::{
        Ask, HandOver, HandOverDoubt, HandingOver, Session, SessionError, Timeline,
        files::{
            paths::{absolute, relative},
            staging::{Staging, Written},
        },
        findings::shifts::are_asked_for,
        run_sheet::same_machines,
    },
    words,
    work::{Answer, HandOverTask, HandedOver, PlanFiles, Request, ToPrint},
};

impl Session {
    /// Where every copy lies and what its plate takes: the contract of `placements.json`.
    pub fn placements(&self, only: Option<PlateId>) -> Placements {
        let plates = &self.job().plates;
        placements(self.job(), self.shapes(), only, &self.placements_bounds()).with_times(|number| {
            let plate = plates.get(number.checked_sub(1)?)?;
            self.view(plate.id)?.estimate.as_ref().map(PlateTime::from)
        })
    }

    /// Hand-over files on their way.
    pub fn handing_over(&self) -> Option<&HandingOver> {
        self.hand_overs.running.as_ref()
    }

    /// What [`Ask::HandOverFaulty`] is about.
    pub fn hand_over_doubt(&self) -> Option<&HandOverDoubt> {
        self.hand_overs.doubt.as_ref()
    }

    /// Writes the hand-over files of all plates into a folder, which is made if missing, and waits for them: for who has
    /// an inline runner; of one plate where that is asked for. Files of an earlier export of the same job are replaced or
    /// removed, and left untouched where nothing of them has changed; others are left.
    ///
    /// # Errors
    /// One sentence; the folder is then as it was.
    pub fn export(&mut self, folder: &Path, what: HandOver) -> Result<HandedOver, SessionError> {
        let job = self.shared_job();
        let wanted = job.plates.iter().filter(|p| what.only.is_none_or(|id| id == p.id));
        for copy in wanted.flat_map(|p| &p.copies) {
            if let Some(part) = job.part(copy.part).filter(|p| self.library.loaded(&p.mesh).is_none()) {
                let missing = WriteError::MissingMesh { copy: job.copy_name(copy), part: part.name.clone() };
                return Err(SessionError::Other(format!("{missing}: find the mesh first")));
            }
        }
        self.begin_hand_over(folder, what)?;
        self.tick();
        match self.hand_overs.ended.take() {
            Some(Ok(handed_over)) => Ok(handed_over),
            Some(Err(why)) => Err(SessionError::Other(why)),
            None => Err(SessionError::Other("the hand-over was cancelled".into())),
        }
    }

    /// Begins to write hand-over files; asks first where a plate has faults.
    pub(in crate::session) fn hand_over(&mut self, folder: &Path, only: Option<PlateId>) -> Result<(), SessionError> {
        let doubt = self.doubt_of_hand_over(folder, only);
        if doubt.stops.is_empty() && doubt.without_models.is_empty() {
            return self.begin_hand_over(folder, self.hand_over_choice(only));
        }
        self.hand_overs.doubt = Some(doubt);
        self.asked = Some(Ask::HandOverFaulty);
        Ok(())
    }

    /// Hands over what was asked about, faults and all.
    pub(in crate::session) fn hand_over_anyway(&mut self) -> Result<(), SessionError> {
        match self.hand_overs.doubt.take() {
            Some(doubt) => self.begin_hand_over(&doubt.folder, self.hand_over_choice(doubt.only)),
            None => Err(SessionError::Other("there is nothing to hand over".into())),
        }
    }

    /// Do hand-over files hold both halves of plates that are printed twice at once?
    pub fn hands_over_both_halves(&self) -> bool {
        self.hand_overs.both_halves
    }

    /// What run sheets are printed on.
    pub fn print_paper(&self) -> PrintPaper {
        self.hand_overs.paper
    }

    fn hand_over_choice(&self, only: Option<PlateId>) -> HandOver {
        let model = ModelOptions { both_halves: self.hand_overs.both_halves, ..ModelOptions::default() };
        HandOver { model, paper: self.print_paper(), only }
    }

    fn doubt_of_hand_over(&self, folder: &Path, only: Option<PlateId>) -> HandOverDoubt {
        let job = self.job();
        let (mut stops, mut without_models) = (Vec::new(), Vec::new());
        let wanted = |p: &Plate| !p.copies.is_empty() && only.is_none_or(|id| id == p.id);
        for (i, plate) in job.plates.iter().enumerate().filter(|(_, p)| wanted(p)) {
            let findings = self.view(plate.id).map_or(&[][..], |v| &v.findings);
            stops.extend(findings.iter().filter(|f| f.level == Level::Stop).map(|f| (i + 1, f.text.clone())));
            let there = |part| job.part(part).is_some_and(|p| self.library.loaded(&p.mesh).is_some());
            if !plate.copies.iter().all(|c| there(c.part)) {
                without_models.push(i + 1);
            }
        }
        HandOverDoubt { folder: folder.into(), only, stops, without_models }
    }

    /// Begins to write hand-over files.
    fn begin_hand_over(&mut self, folder: &Path, what: HandOver) -> Result<(), SessionError> {
        if self.hand_overs.running.is_some() {
            return Err(SessionError::Other("files are still being handed over: wait, or cancel that first".into()));
        }
        let job = self.shared_job();
        let placed: BTreeSet<_> = job.plates.iter().flat_map(|p| &p.copies).map(|c| c.part).collect();
        let parts = job.parts.iter().filter(|p| placed.contains(&p.id));
        let being_mended =
            |p: &&crate::document::Part| self.library.loaded(&p.mesh).is_some() && self.solid(p).is_none();
        if let Some(part) = parts.clone().find(being_mended) {
            return Err(SessionError::Other(format!(
                "the mesh of {} is being mended: try again in a moment",
                part.name
            )));
        }
        let meshes = parts.filter_map(|p| Some((p.id, self.solid(p)?))).collect();
        let time = |p: &Plate| Some((p.id, self.view(p.id)?.estimate.as_ref().map(PlateTime::from)?));
        let task = HandOverTask {
            shapes: self.shapes().clone(),
            meshes,
            times: job.plates.iter().filter_map(time).collect(),
            bounds: PlacementsBounds { files_from_here: self.files_from(folder), ..self.placements_bounds() },
            title: self.name_for_lists(),
            date: self.today(),
            model: what.model,
            only: what.only,
            print: self.to_print(what.paper),
            plan: self.plan_files(),
            same_machines: job.plates.iter().map(|p| (p.id, same_machines(&job, p))).collect(),
            job,
        };
        let now = Written::new(task.title.clone(), task.names().into_iter().collect(), task.plate_of_names());
        let staging = Staging::begin(&self.world, folder, now, what.only)?;
        self.hand_overs.ended = None;
        let ticket = self.runner.submit(Request::HandOver { task: Box::new(task), folder: Box::new(staging) }, 0);
        self.hand_overs.running = Some(HandingOver { ticket, folder: folder.into(), done: 0.0, what: String::new() });
        Ok(())
    }

    /// What goes onto paper.
    fn to_print(&self, paper: PrintPaper) -> ToPrint {
        let head = self.page_head();
        let plates = self.job().plates.iter().filter(|p| !p.copies.is_empty());
        let sheets = plates.filter_map(|p| Some((p.id, self.run_sheet_given(p.id, &head)?))).collect();
        let timeline = self.asked_plan().filter(|t| !t.plan.timed.is_empty()).map(|t| {
            let example = if t.hours_are_example { "The hours are an example: set this shop's." } else { "" };
            (t.drawn(self.job(), None), example.to_owned())
        });
        ToPrint { labels: self.bin_labels(&head), head, paper, sheets, timeline }
    }

    /// The timeline, where anybody has said anything about when plates run.
    fn asked_plan(&self) -> Option<&Timeline> {
        self.timeline().filter(|_| are_asked_for(self.job()))
    }

    /// The plan as a table and as a calendar; `None` where no plate is in it.
    fn plan_files(&self) -> Option<PlanFiles> {
        let zone = self.asked_plan()?.calendar.zone().clone();
        let runs = self.run_records();
        // The same plan gives the same file, whenever it is written.
        let stamp = runs.iter().map(|r| r.preparing.map_or(r.print.0, |p| p.0)).min()?;
        Some(PlanFiles { runs, zone, stamp })
    }

    /// Mesh files as the job writes them, and as they are seen from a folder.
    fn files_from(&self, folder: &Path) -> BTreeMap<String, String> {
        let (here, there) = (self.folder(), absolute(folder));
        let seen = |file: &str| relative(&absolute(&here.join(file)), &there);
        self.job().meshes.iter().map(|m| (m.file.clone(), seen(&m.file))).collect()
    }

    /// Ends handing over; the folder stays as it was.
    pub(in crate::session) fn cancel_hand_over(&mut self) {
        if let Some(running) = &self.hand_overs.running {
            running.ticket.cancel();
        }
    }

    /// Takes in what came of handing over.
    pub(in crate::session) fn take_handed_over(&mut self, answer: Option<Answer>) {
        let Some(running) = self.hand_overs.running.take() else { return };
        let folder = running.folder.display();
        self.hand_overs.ended = match answer {
            Some(Answer::HandedOver(ended)) => Some(ended),
            Some(Answer::Failed(why)) => Some(Err(format!("a fault of this program: {why}; report it"))),
            _ => None,
        };
        match &self.hand_overs.ended {
            Some(Ok(h)) => {
                let same = match h.unchanged {
                    0 => String::new(),
                    n => format!("; {n} of them had not changed"),
                };
                self.tell(format!("{} handed over in {folder}{same}", words::count(h.names.len(), "file")));
            }
            Some(Err(why)) => self.tell_fault(why.clone()),
            None => self.tell(format!("nothing was handed over: {folder} is as it was")),
        }
    }
}
