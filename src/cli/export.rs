//! Files handed over, and a look at whether they are as they were.

use std::path::Path;

use serde_json::json;

use super::{done::Done, fail::Fail, job::stops, print};
use crate::{
    session::{Disk, HandOver, Session, check_export},
    words,
};

/// Writes the files, and prints where each is.
pub(super) fn export(s: &mut Session, output: &Path, what: HandOver, json: bool) -> Result<Done, Fail> {
    let made = s.export(output, what).map_err(Fail::new)?;
    if json {
        print::json(&made.names)?;
    } else {
        for name in &made.names {
            print::line(&words::plain(&output.join(name).display().to_string()))?;
        }
    }
    if made.unchanged > 0 {
        let of = words::count(made.names.len(), "file");
        print::error(&format!("{} of {of} had not changed and stayed as they were", made.unchanged));
    }
    Ok(stops(s))
}

/// Compares a folder with its manifest; what differs is printed, a line each.
pub(super) fn check(folder: &Path, json: bool) -> Result<Done, Fail> {
    let checked = check_export(&Disk::plain(), folder).map_err(Fail::new)?;
    if json {
        let differs: Vec<_> = checked.differs.iter().map(|(name, why)| json!({ "file": name, "why": why })).collect();
        print::json(&json!({ "unchanged": checked.unchanged, "differs": differs }))?;
    } else {
        for (name, why) in &checked.differs {
            print::line(&format!("{} {}", words::plain(name), words::plain(why)))?;
        }
        print::line(&format!("{} unchanged", words::count(checked.unchanged, "file")))?;
    }
    Ok(if checked.differs.is_empty() { Done::Clear } else { Done::Stops })
}
