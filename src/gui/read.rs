//! What panels read from a session, gathered in one place.

use std::sync::Arc;

use crate::{
    document::{Copy, Job, PartId, Plate, PlateId},
    estimate::PlateEstimate,
    finding::Finding,
    plate::{Conflict, PreparedShape},
    session::{MeshState, Session},
    words,
};

/// The shape of a copy with its rings, where its part's outlines are there.
pub(crate) fn prepared(session: &Session, job: &Job, copy: &Copy) -> Option<Arc<PreparedShape>> {
    let shape = session.shapes().get(&copy.part)?;
    Some(session.prepared().get(shape, job.footing(copy), &job.margins))
}

/// The estimate of the plate shown; none while a search runs, for what is shown then is not what is.
pub(crate) fn estimate(session: &Session) -> Option<&PlateEstimate> {
    session.plate_id().and_then(|id| session.view(id)).and_then(|v| v.estimate.as_ref())
}

/// Why there is no estimate, where it is not just still computed.
pub(crate) fn no_estimate(session: &Session) -> Option<&str> {
    session.plate_id().and_then(|id| session.view(id)).and_then(|v| v.no_estimate.as_deref())
}

/// Conflicts of the plate shown; none while a search runs.
pub(crate) fn conflicts(session: &Session) -> &[Conflict] {
    match session.plate_id().and_then(|id| session.view(id)) {
        Some(view) if session.arranging().is_none() => &view.conflicts,
        _ => &[],
    }
}

/// Findings about one plate.
pub(crate) fn findings_of(session: &Session, plate: PlateId) -> &[Finding] {
    session.view(plate).map_or(&[], |v| &v.findings)
}

/// "at most 31 can fit (by area)".
pub(crate) fn bound_words(session: &Session, plate: &Plate) -> Option<String> {
    let bound = session.bound(plate.id)?;
    // Beside other parts, "at most 9" must say of what.
    let alone = plate.copies.iter().all(|c| Some(c.part) == session.bound_part(plate.id));
    let part = session.bound_part(plate.id).and_then(|id| session.job().part(id)).filter(|_| !alone);
    let of = part.map_or_else(String::new, |p| format!(" {}", p.letter));
    Some(format!("at most {}{of} can fit ({})", bound.value, bound.kind.words()))
}

/// While profiles are computed.
pub(crate) fn working_words(session: &Session) -> String {
    let many = session.preparing();
    match session.profile_progress() {
        Some(done) if many > 1 => format!("Working it out… {:.0} %, {} more to do", 100.0 * done, many - 1),
        Some(done) => format!("Working it out… {:.0} %", 100.0 * done),
        None => "Working it out…".into(),
    }
}

/// How a search gets on: copies, density, bound, time.
pub(crate) fn standing_words(session: &Session) -> Option<String> {
    let s = session.arranging()?.standing();
    let mut words = Vec::new();
    if s.density > 0.0 {
        words.push(super::words::copies(s.copies));
        words.push(format!("{:.1} % covered", 100.0 * s.density));
        if s.bounds_beds && s.beds > 1 {
            words.push(format!("{} plates", s.beds));
        }
    }
    // That one plate takes at least one plate is not worth saying.
    if let Some(bound) = s.bound.filter(|b| !s.bounds_beds || b.value > 1) {
        let kind = bound.kind.words();
        let of = s.topped.and_then(|id| session.job().part(id)).map_or_else(String::new, |p| format!(" {}", p.letter));
        words.push(match (s.bounds_beds, bound.value) {
            (true, n) => format!("at least {n} plates ({kind})"),
            (false, n) => format!("at most {n}{of} can fit ({kind})"),
        });
    }
    if let Some((spent, allowed)) = s.time_s {
        words.push(format!("{spent:.0} of {allowed:.0} s"));
    }
    Some(words.join(", "))
}

/// What is known of a part's mesh, in words.
pub(crate) fn mesh_words(session: &Session, part: PartId) -> Option<String> {
    let part = session.job().part(part)?;
    Some(match session.library().state(&part.mesh)? {
        MeshState::Ready(loaded) => {
            let r = session.mended(part.id).map_or(&loaded.report, |m| &m.report);
            let faults = r.faults.iter().map(|f| f.text.as_str()).collect::<Vec<_>>().join("; ");
            let shells = words::count(r.shells, "shell");
            let closed = if r.watertight { "closed" } else { "open" };
            let words = format!("{} triangles, {shells}, {closed}", r.triangles);
            if faults.is_empty() { words } else { format!("{words}; {faults}") }
        }
        MeshState::Missing { .. } => "the file is not there".into(),
        MeshState::Changed { .. } => "the file holds another mesh now".into(),
        MeshState::Unreadable { why } => why.clone(),
    })
}

/// Is the layer at a height of the plate shown short of cooling?
pub(crate) fn short_at(session: &Session, z_mm: f64) -> bool {
    estimate(session).is_some_and(|e| {
        let i = e.layers.partition_point(|l| l.top_mm < z_mm - 1e-9);
        e.layers.get(i).and_then(|l| l.headroom).is_some_and(|h| h < 1.0)
    })
}
