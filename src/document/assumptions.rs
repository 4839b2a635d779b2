//! What is assumed: about all that pushes a part over, about copies that fail, and about the hand work after a plate.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Footing, PartId, adhesion::ASSUMED};

/// What pushes a growing part, how far a part must be from falling, and how long its footing takes to come off. The person's to change:
/// no source gives them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assumptions {
    /// Sideways force of the nozzle at the topmost layer, N. Assumed: 0.5 to 5.
    pub sideways_n: f64,
    /// Safety factor on the adhesion.
    pub safety_factor: f64,
    /// Hand work to take one copy's brim off and trim its edge, s. Assumed.
    #[serde(default = "brim_clean_up_s")]
    pub brim_clean_up_s: f64,
    /// Hand work to take one copy off its raft and smooth its underside, s. Assumed.
    #[serde(default = "raft_clean_up_s")]
    pub raft_clean_up_s: f64,
    /// Chance that a copy with a margin of 1 or more lets go, %. Assumed.
    #[serde(default = "failing_percent")]
    pub failing_percent: f64,
    /// Chance that a whole plate is spoilt at once (power, a jam, an empty spool), %. Assumed.
    #[serde(default = "common_cause_percent")]
    pub common_cause_percent: f64,
    /// How far the real time of a plate may be from its estimate, %: 95 of 100 plates end within it. Assumed until the tally knows.
    #[serde(default = "time_spread_percent")]
    pub time_spread_percent: f64,
    /// The same of single parts, %, where the tally has shown it.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub failing_of: BTreeMap<PartId, f64>,
    /// Field name → where its value came from; assumed where it is missing.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub origins: BTreeMap<String, String>,
}

impl Default for Assumptions {
    fn default() -> Self {
        Self {
            sideways_n: 1.0,
            safety_factor: 2.0,
            brim_clean_up_s: brim_clean_up_s(),
            raft_clean_up_s: raft_clean_up_s(),
            failing_percent: failing_percent(),
            common_cause_percent: common_cause_percent(),
            time_spread_percent: time_spread_percent(),
            failing_of: BTreeMap::new(),
            origins: BTreeMap::new(),
        }
    }
}

fn brim_clean_up_s() -> f64 {
    60.0
}

fn raft_clean_up_s() -> f64 {
    120.0
}

fn failing_percent() -> f64 {
    2.0
}

fn common_cause_percent() -> f64 {
    1.0
}

fn time_spread_percent() -> f64 {
    10.0
}

impl Assumptions {
    /// Where a value came from.
    pub fn origin(&self, field: &str) -> &str {
        self.origins.get(field).map_or(ASSUMED, String::as_str)
    }
    /// Chance that a copy of a part with a margin of 1 or more lets go, %: the part's own, else that of all.
    pub fn failing_percent_of(&self, part: PartId) -> f64 {
        self.failing_of.get(&part).copied().unwrap_or(self.failing_percent)
    }
    /// Hand work to take the footing off one copy, s; none where it is bare. Neither width nor shape is looked at.
    pub fn clean_up_s(&self, footing: Footing) -> f64 {
        match footing {
            Footing::Bare => 0.0,
            Footing::Brim { .. } => self.brim_clean_up_s,
            Footing::Raft { .. } => self.raft_clean_up_s,
        }
    }
    pub(super) fn is_default(&self) -> bool {
        *self == Self::default()
    }
}

#[cfg(test)]
mod tests {
    use crate::document::{Assumptions, Footing, Job, Shop, file};

    #[test]
    fn old_files_open_and_new_ones_keep_what_was_typed() {
        let mut job = Job::with_shop("", &Shop::starter());
        let old = file::write(&job).expect("writes");
        assert!(!String::from_utf8_lossy(&old).contains("assumptions"));
        assert_eq!(file::read(&old, "old").expect("opens").assumptions, Assumptions::default());
        job.assumptions.sideways_n = 2.5;
        job.assumptions.origins.insert("sideways_n".into(), "spring scale, 2026-03-02".into());
        let back = file::read(&file::write(&job).expect("writes"), "new").expect("opens");
        assert_eq!(back.assumptions, job.assumptions);
        assert_eq!(back.assumptions.origin("safety_factor"), "assumed");
    }

    /// A file from before hand work and failures were counted: its own numbers are kept, the new ones are assumed.
    #[test]
    fn files_without_clean_up_open() {
        let mut job = Job::with_shop("", &Shop::starter());
        job.assumptions.sideways_n = 2.5;
        let text = String::from_utf8(file::write(&job).expect("writes")).expect("text");
        let is_new = |l: &&str| l.contains("_clean_up_s") || l.contains("failing_percent");
        assert_eq!(text.lines().filter(is_new).count(), 3);
        let old: Vec<&str> = text.lines().filter(|l| !is_new(l)).collect();
        // The comma before them is left over where they were the last.
        let old = old.join("\n").replace(",\n  }", "\n  }");
        let back = file::read(old.as_bytes(), "old").expect("opens").assumptions;
        assert_eq!(back, job.assumptions);
        let brim = Footing::Brim { width_mm: 5.0 };
        let all = [Footing::Bare, brim, Footing::Raft { width_mm: 3.0 }].map(|f| back.clean_up_s(f));
        assert_eq!(all, [0.0, 60.0, 120.0]);
    }
}
