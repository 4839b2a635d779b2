//! Mends of the parts' meshes.

use super::fault::Fault;
use crate::document::{
    Job, Mend,
    mend::{MOST_MENDS, WELD_UM},
};

/// Adds a fault for each part with too many mends, or one out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, p) in job.parts.iter().enumerate() {
        mends(&p.mends, &format!("parts[{i}].mends"), faults);
    }
}

/// Adds a fault for a list of mends that is not allowed.
pub fn mends(mends: &[Mend], place: &str, faults: &mut Vec<Fault>) {
    if mends.len() > MOST_MENDS {
        faults.push(Fault::new(place.to_owned(), format!("a part takes at most {MOST_MENDS} mends; remove some")));
    }
    for (k, _) in mends.iter().enumerate().filter(|(_, m)| !m.is_allowed()) {
        let (least, most) = WELD_UM;
        faults.push(Fault::new(
            format!("{place}[{k}]"),
            format!("a weld takes {least} to {most} µm; write a number in that range"),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{faults_after, job};
    use crate::document::{Mend, file, mend::MOST_MENDS};

    #[test]
    fn welds_and_counts_have_their_range() {
        assert!(
            faults_after(|j| j.parts[0].mends = vec![Mend::WeldUm(1), Mend::WeldUm(1000), Mend::KeepBody(7)])
                .is_empty()
        );
        assert_eq!(
            faults_after(|j| j.parts[0].mends = vec![Mend::FlipInsideOut, Mend::WeldUm(0)]),
            ["parts[0].mends[1]"]
        );
        assert_eq!(faults_after(|j| j.parts[1].mends = vec![Mend::WeldUm(1001)]), ["parts[1].mends[0]"]);
        assert_eq!(faults_after(|j| j.parts[1].mends = vec![Mend::DropZeroArea; MOST_MENDS + 1]), ["parts[1].mends"]);
    }

    /// Files without mends are written as before there were any.
    #[test]
    fn no_mends_leave_no_trace() {
        let mut job = job();
        let plain = file::write(&job).expect("writes");
        assert!(!String::from_utf8_lossy(&plain).contains("mends"));
        job.parts[0].mends = vec![Mend::FlipInsideOut, Mend::WeldUm(10)];
        let back = file::read(&file::write(&job).expect("writes"), "new").expect("opens");
        assert_eq!(back.parts[0].mends, job.parts[0].mends);
        job.parts[0].mends.clear();
        assert_eq!(file::write(&job).expect("writes"), plain);
    }
}
