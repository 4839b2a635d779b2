//! Labelled undo and redo.

use std::sync::Arc;

use super::{Command, EditError, Outcome, apply};
use crate::document::Job;

/// A job with its past and its future. States are whole jobs behind `Arc`: a job is small (a copy is under 100
/// bytes), and going back can never differ from what was there.
#[derive(Debug, Clone)]
pub struct History {
    now: Arc<Job>,
    undo: Vec<(String, Arc<Job>)>,
    redo: Vec<(String, Arc<Job>)>,
    gesture: Option<Gesture>,
    revision: u64,
    saved: Arc<Job>,
}

#[derive(Debug, Clone)]
struct Gesture {
    label: String,
    before: Arc<Job>,
}

/// Steps kept.
const MOST_STEPS: usize = 500;

impl History {
    /// A job without a past, taken as saved.
    pub fn new(job: Job) -> Self {
        let now = Arc::new(job);
        Self { saved: now.clone(), now, undo: Vec::new(), redo: Vec::new(), gesture: None, revision: 0 }
    }
    /// The job as it is now, a running gesture included.
    pub fn job(&self) -> &Job {
        &self.now
    }
    /// The job as it is now, shared.
    pub fn shared_job(&self) -> Arc<Job> {
        self.now.clone()
    }
    /// Rises with every change; two equal revisions of one history hold the same job.
    pub fn revision(&self) -> u64 {
        self.revision
    }
    /// True when the job differs from what was saved last.
    pub fn changed(&self) -> bool {
        !Arc::ptr_eq(&self.now, &self.saved) && *self.now != *self.saved
    }
    /// The job as it is now has been saved.
    pub fn mark_saved(&mut self) {
        self.saved = self.now.clone();
    }
    /// The job as it is has no saved form (a recovered one).
    pub fn mark_unsaved(&mut self) {
        self.saved = Arc::new(Job { title: "\u{0}".into(), ..Job::default() });
    }
    /// Carries out a command as one undo step; a running gesture is committed first.
    pub fn apply(&mut self, label: &str, command: &Command) -> Result<Outcome, EditError> {
        self.commit();
        let (next, out) = apply(&self.now, command)?;
        if next != *self.now {
            self.push(label.into(), self.now.clone());
            self.set(next);
        }
        Ok(out)
    }
    /// Writes the paths of mesh files anew, in the past and the future as well: they are relative to where the job lies,
    /// and no step back leads to where it lay before.
    pub fn rename_files(&mut self, to: &dyn Fn(&str) -> String) {
        let renamed = |job: &mut Arc<Job>| {
            if job.meshes.iter().any(|m| to(&m.file) != m.file) {
                for mesh in &mut Arc::make_mut(job).meshes {
                    mesh.file = to(&mesh.file);
                }
            }
        };
        renamed(&mut self.now);
        self.undo.iter_mut().chain(&mut self.redo).for_each(|(_, job)| renamed(job));
        if let Some(g) = &mut self.gesture {
            renamed(&mut g.before);
        }
        self.revision += 1;
    }
    /// Begins a gesture: previews until [`Self::commit`] or [`Self::abort`]. One gesture is one undo.
    pub fn begin(&mut self, label: &str) {
        self.commit();
        self.gesture = Some(Gesture { label: label.into(), before: self.now.clone() });
    }
    /// Shows what `command` would do to the job as it was when the gesture began.
    pub fn preview(&mut self, command: &Command) -> Result<Outcome, EditError> {
        let Some(g) = &self.gesture else { return self.apply("change", command) };
        let (next, out) = apply(&g.before, command)?;
        self.set(next);
        Ok(out)
    }
    /// Shows a job made of several commands while a gesture runs; without one it does nothing.
    pub fn show(&mut self, job: Job) {
        if self.gesture.is_some() {
            self.set(job);
        }
    }
    /// True while a gesture runs.
    pub fn in_gesture(&self) -> bool {
        self.gesture.is_some()
    }
    /// The job as it was when the gesture began, or as it is.
    pub fn before_gesture(&self) -> &Job {
        self.gesture.as_ref().map_or(&self.now, |g| &g.before)
    }
    /// Ends a gesture and keeps what it shows.
    pub fn commit(&mut self) {
        if let Some(g) = self.gesture.take()
            && *g.before != *self.now
        {
            self.push(g.label, g.before);
        }
    }
    /// Ends a gesture and goes back to before it.
    pub fn abort(&mut self) {
        if let Some(g) = self.gesture.take() {
            self.now = g.before;
            self.revision += 1;
        }
    }
    /// What would be undone.
    pub fn undo_label(&self) -> Option<&str> {
        self.undo.last().map(|(l, _)| l.as_str())
    }
    /// What would be done again.
    pub fn redo_label(&self) -> Option<&str> {
        self.redo.last().map(|(l, _)| l.as_str())
    }
    /// One step back; false where there is none. A running gesture is aborted instead.
    pub fn undo(&mut self) -> bool {
        if self.gesture.is_some() {
            self.abort();
            return true;
        }
        let Some((label, job)) = self.undo.pop() else { return false };
        self.redo.push((label, std::mem::replace(&mut self.now, job)));
        self.revision += 1;
        true
    }
    /// One step forward again; false where there is none.
    pub fn redo(&mut self) -> bool {
        self.abort();
        let Some((label, job)) = self.redo.pop() else { return false };
        self.undo.push((label, std::mem::replace(&mut self.now, job)));
        self.revision += 1;
        true
    }

    fn push(&mut self, label: String, before: Arc<Job>) {
        self.redo.clear();
        self.undo.push((label, before));
        if self.undo.len() > MOST_STEPS {
            self.undo.remove(0);
        }
    }
    fn set(&mut self, job: Job) {
        self.now = Arc::new(job);
        self.revision += 1;
    }
}
