//! Faults of a mesh.

use crate::{
    document::{FileUnit, Job, Mend, MeshRef, Part, PartId},
    finding::{Finding, FindingKind, Level, Remedy},
    mesh::{Fault, FaultKind, Report, suspicious_size},
    session::{MeshState, Session},
};

/// Greatest extents that are not suspicious, mm: as [`suspicious_size`] has them.
const USUAL_MM: std::ops::RangeInclusive<f64> = 1.0..=5000.0;
/// Units that files are mistaken in.
const MISTAKEN: [FileUnit; 3] = [FileUnit::Inch, FileUnit::Meter, FileUnit::Micron];

/// Parts that are made from a mesh in the same way, and what is known of it.
struct Group<'a> {
    parts: Vec<&'a Part>,
    mesh: &'a MeshRef,
    report: &'a Report,
    would_help: &'a [Mend],
}

/// The faults of every mesh, told of the first part made from it. Parts with mends have a report of their own.
pub(super) fn findings(session: &Session, job: &Job) -> Vec<Finding> {
    let mut all = Vec::new();
    for mesh in &job.meshes {
        let Some(MeshState::Ready(loaded)) = session.library().state(&mesh.id) else { continue };
        let mut groups: Vec<Group<'_>> = Vec::new();
        for part in job.parts.iter().filter(|p| p.mesh == mesh.id) {
            let alike = |g: &&mut Group<'_>| {
                let first = g.parts[0];
                first.mends == part.mends && (part.mends.is_empty() || first.body == part.body)
            };
            if let Some(group) = groups.iter_mut().find(alike) {
                group.parts.push(part);
                continue;
            }
            let (report, would_help) = if part.mends.is_empty() {
                (&loaded.report, &loaded.would_help)
            } else {
                let Some(mended) = session.mended_part(job, part) else { continue };
                (&mended.report, &mended.would_help)
            };
            groups.push(Group { parts: vec![part], mesh, report, would_help });
        }
        all.extend(groups.iter().filter_map(Group::finding));
    }
    all
}

impl Group<'_> {
    fn finding(&self) -> Option<Finding> {
        let first = self.parts[0];
        let name = format!("{} {}", first.letter, first.name);
        let ids: Vec<PartId> = self.parts.iter().map(|p| p.id).collect();
        let (level, text, mut remedies) = if self.report.triangles == 0 && !first.mends.is_empty() {
            let text = format!("{name}: the mends leave nothing of the mesh. Undo the last one");
            (Level::Stop, text, vec![Remedy::UndoMend { parts: ids, mend: first.mends.len() - 1 }])
        } else {
            let faults = self.faults();
            (Level::Watch, fault_text(&name, &faults)?, self.remedies(&faults, &ids))
        };
        let more = if remedies.is_empty() { Vec::new() } else { remedies.split_off(1) };
        let remedy = remedies.pop();
        Some(Finding {
            level,
            kind: FindingKind::MeshFault,
            plate: None,
            copies: Vec::new(),
            height_mm: None,
            text,
            remedy,
            more,
        })
    }

    /// The report's, its size judged in the unit that the person chose.
    fn faults(&self) -> Vec<Fault> {
        let mut faults: Vec<Fault> =
            self.report.faults.iter().filter(|f| f.kind != FaultKind::SuspiciousSize).cloned().collect();
        faults.extend(self.report.bounds.and_then(|b| suspicious_size(b, self.mesh.unit.mm(), None)));
        faults.sort_by_key(|f| f.kind);
        faults
    }

    fn remedies(&self, faults: &[Fault], ids: &[PartId]) -> Vec<Remedy> {
        let has = |kind| faults.iter().any(|f| f.kind == kind);
        let mend = |&mend: &Mend| Remedy::Mend { parts: ids.to_vec(), mend };
        let mut all: Vec<Remedy> = self.would_help.iter().map(mend).collect();
        let first = self.parts[0];
        let whole = first.body.is_none() && !first.mends.iter().any(|m| matches!(m, Mend::KeepBody(_)));
        if whole && self.report.bodies > 1 && (has(FaultKind::FloatingShell) || has(FaultKind::OverlappingShells)) {
            all.push(Remedy::SplitBodies { part: first.id });
        }
        if has(FaultKind::SuspiciousSize) {
            let greatest = self.report.bounds.map_or(0.0, |b| (0..3).map(|k| b[1][k] - b[0][k]).fold(0.0, f64::max));
            let fits = |u: &FileUnit| *u != self.mesh.unit && USUAL_MM.contains(&(greatest * u.mm()));
            let doubt = !USUAL_MM.contains(&(greatest * self.mesh.unit.mm()));
            let units = MISTAKEN.into_iter().filter(|u| doubt && fits(u));
            all.extend(units.map(|unit| Remedy::SetUnit { part: first.id, unit }));
        }
        all
    }
}

/// The first fault, and how many more kinds there are.
fn fault_text(name: &str, faults: &[Fault]) -> Option<String> {
    let first = faults.first()?;
    // Their words are an interface of `inspect`, and short.
    let others: Vec<&str> = faults.iter().skip(1).map(|f| f.kind.word()).collect();
    let more = if others.is_empty() { String::new() } else { format!("; also {}", others.join(", ")) };
    Some(format!("{name}: {}{more}", first.text.trim_end_matches('.')))
}
