//! Jobs opened and saved by commands.

use std::{
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

use serde_json::{Value, json};

use super::{done::Done, fail::Fail, plan::Limits, print, progress};
use crate::{
    document::PlateId,
    finding::Level,
    session::{Action, Ask, Disk, Replacing, Session},
    words,
    work::Runner,
};

/// A session that works inline and keeps nothing beside the job.
pub(super) fn session() -> Session {
    Session::new(Box::new(Disk::plain()), Runner::inline_heard(progress::heard()))
}

pub(super) fn open(path: &Path) -> Result<Session, Fail> {
    read(session(), path)
}

fn read(mut s: Session, path: &Path) -> Result<Session, Fail> {
    s.try_act(Action::Open(PathBuf::from(path))).map_err(Fail::new)?;
    s.tick();
    print::notices(&mut s);
    Ok(s)
}

/// After the seconds asked for, this much more for telling about the layout; the rest of a second is for saving and printing.
const TELLING: Duration = Duration::from_millis(600);

/// Opens a job for a command that writes one: what is written to meanwhile is not replaced.
pub(super) fn open_for(path: &Path, output: &Path, limits: Option<&Limits>) -> Result<Session, Fail> {
    let mut s = session();
    if let Some(time) = limits.filter(|l| l.in_time).and_then(|l| l.arrange.time) {
        let by = Instant::now() + time;
        s.limit_time(by, by + TELLING);
    }
    s.note_output(output);
    read(s, path)
}

/// The n-th plate, counted from 1.
pub(super) fn plate_of(s: &Session, job: &Path, n: usize) -> Result<PlateId, Fail> {
    let plates = &s.job().plates;
    let plate = n.checked_sub(1).and_then(|i| plates.get(i));
    plate
        .map(|p| p.id)
        .ok_or_else(|| Fail::new(format!("--plate {n}: {} has {}", job.display(), words::count(plates.len(), "plate"))))
}

/// Saves, prints, and says whether there is a *stop* finding.
pub(super) fn finish(s: &mut Session, output: &Path, json: bool) -> Result<Done, Fail> {
    finish_as(s, output, |s| if json { print::json(&with_end(s)?) } else { print::placed(s) })
}

/// As [`finish`], with something else to print.
pub(super) fn finish_as(
    s: &mut Session,
    output: &Path,
    printed: impl FnOnce(&Session) -> Result<(), Fail>,
) -> Result<Done, Fail> {
    save(s, output)?;
    print::notices(s);
    if !s.tell_now() {
        print::error(&format!(
            "{}: the seconds were over before every print time and finding was worked out: run check and estimate on it",
            output.display()
        ));
    }
    print::notices(s);
    printed(s)?;
    Ok(stops(s))
}

/// Placements; where a plate was to end by a time, also when it does.
fn with_end(s: &Session) -> Result<Value, Fail> {
    let mut all = serde_json::to_value(s.placements(None)).map_err(|e| Fail::new(e.to_string()))?;
    if let (Some(t), Some(object)) = (s.in_time_told(), all.as_object_mut()) {
        let end = json!({
            "plate": s.job().plate_number(t.plate), "start": t.start.to_string(), "end_by": t.end_by.to_string(), "asked": t.asked,
            "time_s": t.time_s, "ends": t.ends.to_string(), "earliest": t.earliest.to_string(), "latest": t.latest.to_string(),
            "chance": t.chance, "added": t.added, "added_s": t.added_s, "cooling_used_s": t.cooling_used_s,
            "one_more_ends": t.one_more_ends.map(|t| t.to_string()), "taken_off": t.taken_off,
            "on_further_plate": t.further_plate, "words": t.words,
        });
        object.insert("end".into(), end);
    }
    Ok(all)
}

/// Saves to a named file; refuses to replace what changed there meanwhile.
pub(super) fn save(s: &mut Session, output: &Path) -> Result<(), Fail> {
    s.try_act(Action::SaveAs(output.to_path_buf())).map_err(Fail::new)?;
    if s.take_ask() == Some(Ask::Replace) {
        return Err(Fail(s.replacing().map(Replacing::refusal).unwrap_or_default()));
    }
    Ok(())
}

/// Is there a *stop* finding?
pub(super) fn stops(s: &Session) -> Done {
    if s.all_findings().iter().any(|f| f.level == Level::Stop) { Done::Stops } else { Done::Clear }
}
