//! Where to look first: copies that may fall, layers too quick to cool.

use std::collections::BTreeSet;

use super::moment::{Moments, after_s};
use crate::{
    document::{Job, Plate},
    estimate::{PlateEstimate, cooling_summary},
    session::{PartStanding, PlateView, Session},
    words,
};

/// Kinds of copies named.
const KINDS: usize = 3;
/// Copies of a kind that are named; of more, how many.
const NAMED: usize = 4;
/// Copies with a margin above this are not worth a look (common practice, no source).
const FIRM: f64 = 2.0;

impl Session {
    /// The riskiest copies first, then the layer with the least headroom.
    pub(super) fn where_to_look(
        &self,
        job: &Job,
        plate: &Plate,
        view: &PlateView,
        moments: Moments<'_>,
    ) -> Vec<String> {
        let Some(e) = &view.estimate else {
            return vec!["Not known: the print time of this plate is not worked out.".to_owned()];
        };
        let mut risky: Vec<&PartStanding> =
            view.standing.iter().filter(|s| s.judged.judgement.margin() < FIRM).collect();
        risky.sort_by(|a, b| a.judged.judgement.margin().total_cmp(&b.judged.judgement.margin()));
        let mut lines: Vec<String> = risky
            .into_iter()
            .take(KINDS)
            .filter_map(|s| {
                let least = s.judged.judgement.least?;
                let could = if least.margin < 1.0 { "could fall over" } else { "stands least firmly" };
                let could = if s.copies.len() > 1 { could.replace("stands", "stand") } else { could.to_owned() };
                let from = s.judged.judgement.tips_above_mm.filter(|_| least.margin < 1.0);
                let from =
                    from.map_or_else(String::new, |mm| format!("from {mm:.0} mm, {}; ", moments.words(after_s(e, mm))));
                Some(format!(
                    "{} {could}: {from}worst at {:.0} mm, {} (margin {:.2})",
                    names(job, plate, s),
                    least.height_mm,
                    moments.words(after_s(e, least.height_mm)),
                    least.margin
                ))
            })
            .collect();
        if lines.is_empty() {
            lines.push("All copies stand firmly by the estimate: look at the tallest first.".to_owned());
        }
        lines.extend(self.least_headroom(job, plate, e, moments));
        lines
    }

    fn least_headroom(&self, job: &Job, plate: &Plate, e: &PlateEstimate, moments: Moments<'_>) -> Option<String> {
        let summary = cooling_summary(e);
        let (worst, headroom) = (summary.worst_layer?, summary.least_headroom?);
        let layer = e.layers.get(worst)?;
        let below_mm = worst.checked_sub(1).and_then(|i| e.layers.get(i)).map_or(0.0, |l| l.top_mm);
        let copies = self.estimated_copies(plate);
        let letters: BTreeSet<&str> = layer
            .copies
            .iter()
            .filter_map(|i| copies.get(*i as usize))
            .filter_map(|c| Some(job.part(c.part)?.letter.as_str()))
            .collect();
        let grows = match layer.copies.as_ref() {
            [] => "nothing grows".to_owned(),
            [one] => format!("only {} grows", copies.get(*one as usize).map_or_else(String::new, |c| job.copy_name(c))),
            all => format!("{} copies of {} grow", all.len(), letters.into_iter().collect::<Vec<_>>().join(", ")),
        };
        let short = if headroom < 1.0 { "too quick to cool" } else { "enough time to cool" };
        Some(format!(
            "Least headroom {headroom:.2} ({short}) at {:.1} mm, {}, where {grows}",
            layer.top_mm,
            moments.words(after_s(e, below_mm))
        ))
    }
}

/// "A 1, A 2 and 5 more (queen-cage peg)".
fn names(job: &Job, plate: &Plate, s: &PartStanding) -> String {
    let mut of: Vec<_> = plate.copies.iter().filter(|c| s.copies.contains(&c.id)).collect();
    of.sort_by_key(|c| c.number);
    let named: Vec<String> = of.iter().take(NAMED).map(|c| job.copy_name(c)).collect();
    let more = of.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let part = job.part(s.part).map_or("", |p| p.name.as_str());
    let part = words::plain(part);
    format!("{}{more} ({part})", named.join(", "))
}
