//! Studies begun, cancelled, heard.

use super::{StudyRun, StudyState, StudyWish};
use crate::{
    document::Footing,
    session::{Session, SessionError},
    studies::{CopiesRow, CopiesStudy, FootingRow, FootingStudy, PlateRow, PlateStudy, StudyError},
    work::{Answer, Event, Request, Ticket, TicketId},
};

/// Share of the time allowed that searches take.
const SEARCHING: f64 = 0.95;

impl Session {
    /// The latest study of footings.
    pub fn footings_studied(&self) -> Option<&StudyRun<FootingStudy, FootingRow>> {
        self.studies.footings.as_ref()
    }

    /// The latest comparison of a plate with itself.
    pub fn plate_studied(&self) -> Option<&StudyRun<PlateStudy, PlateRow>> {
        self.studies.plate.as_ref()
    }

    /// The latest study of how many copies at once.
    pub fn copies_studied(&self) -> Option<&StudyRun<CopiesStudy, CopiesRow>> {
        self.studies.copies.as_ref()
    }

    /// The study that begins once outlines and layers are worked out.
    pub fn study_waiting(&self) -> Option<&StudyWish> {
        self.studies.waiting.as_ref()
    }

    /// True while a study runs or waits.
    pub fn is_studying(&self) -> bool {
        self.studies.waiting.is_some()
            || self.studies.footings.as_ref().is_some_and(StudyRun::is_running)
            || self.studies.plate.as_ref().is_some_and(StudyRun::is_running)
            || self.studies.copies.as_ref().is_some_and(StudyRun::is_running)
    }

    /// Begins a study, or has it wait for layers that are worked out now. One that runs ends with the rows so far.
    pub(in crate::session) fn study(&mut self, wish: StudyWish) -> Result<(), SessionError> {
        self.cancel_study();
        match self.begin_study(&wish) {
            Err(StudyError::NotReady(_)) if self.preparing() > 0 => self.studies.waiting = Some(wish),
            other => other.map_err(|e| SessionError::Other(e.to_string()))?,
        }
        Ok(())
    }

    fn begin_study(&mut self, wish: &StudyWish) -> Result<(), StudyError> {
        match wish {
            StudyWish::Footings(part, variants) => {
                let study = self.footing_study(*part)?;
                // The rest is for estimates and for what the parts are judged by.
                let time = study.time.map(|t| t.mul_f64(SEARCHING));
                let study = FootingStudy { variants: variants.clone(), time, ..study };
                let ticket = self.runner.submit(Request::StudyFootings(Box::new(study.clone())), 0);
                self.studies.footings = Some(StudyRun::new(study, ticket));
            }
            StudyWish::Plate(plate, variants) => {
                let study = self.plate_study(*plate, variants.clone())?;
                let ticket = self.runner.submit(Request::StudyPlate(Box::new(study.clone())), 0);
                self.studies.plate = Some(StudyRun::new(study, ticket));
            }
            StudyWish::Copies { part, spoils, confidence } => {
                let study = self.copies_study(*part, *spoils, *confidence)?;
                let ticket = self.runner.submit(Request::StudyCopies(Box::new(study.clone())), 0);
                self.studies.copies = Some(StudyRun::new(study, ticket));
            }
        }
        Ok(())
    }

    /// Begins the study that waits, where all is there by now; says why where it never will be.
    pub(in crate::session) fn begin_waiting_study(&mut self) {
        let Some(wish) = self.studies.waiting.take() else { return };
        match self.begin_study(&wish) {
            Ok(()) => {}
            Err(StudyError::NotReady(_)) if self.preparing() > 0 => self.studies.waiting = Some(wish),
            Err(why) => self.tell_fault(why.to_string()),
        }
    }

    /// Ends the study that runs or waits; its rows so far stay.
    pub(in crate::session) fn cancel_study(&mut self) {
        self.studies.waiting = None;
        let running = [
            self.studies.footings.as_ref().and_then(StudyRun::ticket),
            self.studies.plate.as_ref().and_then(StudyRun::ticket),
            self.studies.copies.as_ref().and_then(StudyRun::ticket),
        ];
        running.into_iter().flatten().for_each(Ticket::cancel);
    }

    /// Forgets what was studied: another job was opened.
    pub(in crate::session) fn forget_studies(&mut self) {
        self.cancel_study();
        self.studies = super::Studies::default();
    }

    /// Takes in what a study says. False where the event is not of a study that anybody waits for.
    pub(in crate::session) fn hear_study(&mut self, event: &Event) -> bool {
        match event {
            Event::FootingRow(id, row) => {
                if let Some(run) = self.studies.footings.as_mut().filter(|r| is_of(r, *id)) {
                    // The widest come first; shown is the order of the table.
                    let place = |f: Footing| (u8::from(matches!(f, Footing::Raft { .. })), f.width_mm());
                    let at = run.rows.partition_point(|r| place(r.footing) <= place(row.footing));
                    run.rows.insert(at, (**row).clone());
                }
                true
            }
            Event::PlateRow(id, row) => {
                if let Some(run) = self.studies.plate.as_mut().filter(|r| is_of(r, *id)) {
                    run.rows.push((**row).clone());
                }
                true
            }
            Event::CopiesRow(id, row) => {
                if let Some(run) = self.studies.copies.as_mut().filter(|r| is_of(r, *id)) {
                    run.rows.push((**row).clone());
                }
                true
            }
            Event::Progress(id, share, what) => {
                let state = self.state_of(*id);
                if let Some(StudyState::Running { done, what: now, .. }) = state {
                    (*done, *now) = (*share, what.clone());
                    return true;
                }
                false
            }
            Event::End { ticket, cancelled, answer } => {
                let Some(state) = self.state_of(*ticket) else { return false };
                *state = match answer {
                    Some(Answer::Studied(Ok(true))) => StudyState::Done,
                    Some(Answer::Studied(Err(why))) => StudyState::Failed(why.to_string()),
                    Some(Answer::Failed(why)) => {
                        StudyState::Failed(format!("a fault of this program: {why}; save your work and report it"))
                    }
                    _ if *cancelled => StudyState::Cancelled,
                    _ => StudyState::Failed("the study ended early: run it again".into()),
                };
                true
            }
            _ => false,
        }
    }

    fn state_of(&mut self, id: TicketId) -> Option<&mut StudyState> {
        let studies = &mut self.studies;
        if let Some(run) = studies.footings.as_mut().filter(|r| is_of(r, id)) {
            return Some(&mut run.state);
        }
        if let Some(run) = studies.plate.as_mut().filter(|r| is_of(r, id)) {
            return Some(&mut run.state);
        }
        studies.copies.as_mut().filter(|r| is_of(r, id)).map(|r| &mut r.state)
    }
}

fn is_of<S, R>(run: &StudyRun<S, R>, id: TicketId) -> bool {
    run.ticket().is_some_and(|t| t.id == id)
}
