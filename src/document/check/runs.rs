//! What is said of plates in the shop.

use jiff::{Timestamp, tz::TimeZone};

use super::fault::Fault;
use crate::document::{Job, RunState, limits::YEARS};

/// Adds a fault for each plate that ended before it started, failed without an end, or runs in a year beyond reason.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, p) in job.plates.iter().enumerate() {
        run(&p.run, &format!("plates[{i}].run"), faults);
    }
}

/// Adds the faults of one plate's state; `place` is where it stands in the file.
pub fn run(run: &RunState, place: &str, faults: &mut Vec<Fault>) {
    let (least, most) = YEARS;
    for (key, at) in [("not_before", run.not_before), ("started", run.started), ("ended", run.ended)] {
        let year = |t: Timestamp| t.to_zoned_datetime(TimeZone::UTC).year();
        if let Some(at) = at.filter(|t| !(least..=most).contains(&year(*t))) {
            let text = format!("{at} is out of range; write a year from {least} to {most}");
            faults.push(Fault::new(format!("{place}.{key}"), text));
        }
    }
    if let (Some(started), Some(ended)) = (run.started, run.ended)
        && ended < started
    {
        faults.push(Fault::new(format!("{place}.ended"), "the plate ends before it starts; correct one of the times"));
    }
    if run.failed && run.ended.is_none() {
        let text = "the plate failed and has no end; write when it ended, or take \"failed\" out";
        faults.push(Fault::new(format!("{place}.failed"), text));
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::document::RunState;

    #[test]
    fn states_that_cannot_be() {
        let at = |text: &str| Some(text.parse().expect("an instant"));
        let with = |run: RunState| faults_after(|j| j.plates[0].run = run);
        let (monday, tuesday) = (at("2026-11-30T16:00:00Z"), at("2026-12-01T08:00:00Z"));
        let plain = RunState::default();
        assert!(with(RunState { started: monday, ended: tuesday, failed: true, ..plain }).is_empty());
        assert_eq!(with(RunState { started: tuesday, ended: monday, ..plain }), ["plates[0].run.ended"]);
        assert_eq!(with(RunState { failed: true, ..plain }), ["plates[0].run.failed"]);
        let beyond = RunState { not_before: at("-000044-03-15T00:00:00Z"), ..plain };
        assert_eq!(with(beyond), ["plates[0].run.not_before"]);
    }
}
