//! A dealing has ended.

use std::fmt::Write as _;

use super::{
    DealRecord,
    take_over::{carried_out, is_about},
};
use crate::{session::Session, studies::Dealt, words, work::Answer};

impl Session {
    pub(super) fn end_dealing(&mut self, answer: Option<Answer>) {
        let Some(running) = self.deals.running.take() else { return };
        let dealt = match answer {
            Some(Answer::Dealt(Ok(dealt))) => dealt,
            Some(Answer::Dealt(Err(why))) => {
                self.tell_fault(why.to_string());
                return;
            }
            Some(Answer::Failed(why)) => {
                self.tell_fault(format!("a fault of this program: {why}; save your work and report it"));
                return;
            }
            _ => return,
        };
        let job = self.shared_job();
        if !is_about(&running.begun_with, &job) {
            self.tell_fault("the job has changed while the order was dealt out, so nothing was moved: deal out again");
            return;
        }
        match carried_out(&job, &dealt) {
            Ok((after, plates)) => {
                let record = DealRecord::new(&after, &dealt, &plates, running.start);
                self.tell(told(&dealt, &record));
                for part in &job.parts {
                    self.why_unplaced.remove(&part.id);
                }
                for n in &dealt.not_dealt {
                    self.why_unplaced.insert(n.part, n.why.clone());
                }
                if after == *job {
                    self.tell("every plate stays as it is: no better dealing was found");
                } else {
                    self.change_to(&running.label, after);
                    self.selection.clear();
                }
                self.plate = self.plate.filter(|id| plates.contains(id)).or_else(|| plates.first().copied());
                self.deals.record = Some((self.shared_job(), record));
            }
            Err(why) => self.tell_fault(why.to_string()),
        }
    }
}

/// "dealt out on 12 plates: the last print ends Thu 14:20; 2 plates are late".
fn told(dealt: &Dealt, record: &DealRecord) -> String {
    let plates = words::count(dealt.plates.len(), "plate");
    let mut text = format!("dealt out on {plates}: the last print ends {}", record.finish_words);
    let late = dealt.plates.iter().filter(|p| p.late_s > 0).count();
    if late > 0 {
        let _ = write!(text, "; {} late", words::count(late, "plate"));
    }
    let never = dealt.plates.iter().filter(|p| p.ready_s.is_none()).count();
    if never > 0 {
        let (plates, run) = (words::count(never, "plate"), if never == 1 { "runs" } else { "run" });
        let why = "nobody is there for long enough: lengthen the hours, or shorten the changeover";
        let _ = write!(text, "; {plates} never {run}: {why}");
    }
    let left: usize = dealt.not_dealt.iter().map(|n| n.count).sum();
    if left > 0 {
        let _ = write!(text, "; {} could not be dealt out", words::copies(left));
    }
    text
}
