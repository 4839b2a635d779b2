//! Faults of a mesh.

use crate::{
    document::Part,
    finding::{Finding, FindingKind, Level},
    work::Loaded,
};

/// The first fault of a mesh, told of the first part made from it.
pub(super) fn finding(part: &Part, loaded: &Loaded) -> Option<Finding> {
    Some(Finding {
        level: Level::Watch,
        kind: FindingKind::MeshFault,
        plate: None,
        copies: Vec::new(),
        height_mm: None,
        text: fault_text(&format!("{} {}", part.letter, part.name), loaded)?,
        remedy: None,
    })
}

fn fault_text(name: &str, loaded: &Loaded) -> Option<String> {
    let faults = &loaded.report.faults;
    let first = faults.first()?;
    let more = match faults.len() {
        1 => String::new(),
        2 => "; one more kind of fault".into(),
        n => format!("; {} more kinds of fault", n - 1),
    };
    Some(format!("{name}: {}{more}", first.text.trim_end_matches('.')))
}
