//! A plate started, ended, failed, fixed.

use jiff::SignedDuration;

use super::RunMark;
use crate::{
    document::{PlateId, RunState},
    edit::Command,
    session::{Session, SessionError},
};

impl Session {
    /// Keeps what is said of a plate.
    pub(in crate::session) fn mark_run(&mut self, id: PlateId, mark: RunMark) -> Result<(), SessionError> {
        let job = self.job();
        let refuse = |why: String| Err(SessionError::Other(why));
        let Some(plate) = job.plate(id) else { return refuse("there is no such plate".into()) };
        let number = |p: PlateId| job.plate_number(p).unwrap_or(0);
        let (run, now) = (plate.run, self.now());
        let run = match mark {
            RunMark::Started(at) => {
                if plate.copies.is_empty() {
                    return refuse(format!("plate {} is empty: place copies first", number(id)));
                }
                let other = job.plates.iter().find(|p| p.id != id && p.machine == plate.machine && p.run.is_running());
                if let Some(other) = other {
                    let machine = job.machine(plate.machine).map_or("its machine", |m| m.name.as_str());
                    return refuse(format!("{machine} runs plate {}: mark that one as ended first", number(other.id)));
                }
                RunState { started: Some(at.unwrap_or(now)), ended: None, failed: false, ..run }
            }
            RunMark::Ended(_) | RunMark::Failed => {
                let ended = match mark {
                    RunMark::Ended(Some(at)) => at,
                    _ => now,
                };
                // Nobody said when it was started: the print time before its end.
                let print_s = self.view(id).and_then(|v| v.estimate.as_ref()).map_or(0.0, |e| e.time_s);
                let before = SignedDuration::from_secs(print_s.clamp(0.0, 1e9) as i64);
                let started = run.started.or_else(|| ended.checked_sub(before).ok());
                if started.is_some_and(|s| s > ended) {
                    return refuse(format!("plate {} would end before it started: correct the time", number(id)));
                }
                RunState { started, ended: Some(ended), failed: mark == RunMark::Failed, ..run }
            }
            RunMark::NotStarted => RunState { started: None, ended: None, failed: false, ..run },
            RunMark::Fixed(fixed) => RunState { fixed, ..run },
            RunMark::NotBefore(not_before) => RunState { not_before, ..run },
        };
        self.command(mark.name(), &Command::SetRun { plate: id, run })
    }
}
