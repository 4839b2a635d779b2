//! How much earlier the plan could end, in words.

use super::Timeline;
use crate::words;

impl Timeline {
    /// How a plan that ends at a time stands to the earliest end that any sequence can have: "No sequence on these machines ends before Tue
    /// 15:10; this plan takes 12 % longer."
    pub fn bound_words(&self, finish_s: i64) -> String {
        let bound_s = self.bound_s();
        if finish_s <= bound_s {
            return "No sequence on these machines ends earlier.".to_owned();
        }
        let before = format!("No sequence on these machines ends before {}", self.calendar.words(bound_s));
        let longer = (finish_s - bound_s) as f64 / bound_s.max(1) as f64;
        if longer > 1.0 {
            let (least, takes) = (words::long_time(bound_s as f64), words::long_time(finish_s as f64));
            format!("{before}: at least {least} are needed, and this plan takes {takes}.")
        } else if longer < 0.005 {
            let by = words::long_time((finish_s - bound_s) as f64);
            format!("{before}; this plan ends {by} later.")
        } else {
            format!("{before}; this plan takes {:.0} % longer.", 100.0 * longer)
        }
    }
}
