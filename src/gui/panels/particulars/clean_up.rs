//! Hand work to take a part's footings off.

use egui::Ui;

use crate::{
    document::{
        Footing, Job, Part,
        limits::{PART_BRIM_CLEAN_UP, PART_RAFT_CLEAN_UP},
    },
    gui::widgets::{NumberField, Rule, Unit, line, link},
};

/// Seconds in the minutes that are shown.
const MINUTE_S: f64 = 60.0;

/// Minutes for one copy, of the kind of footing that the part has, or of both kinds where it is bare.
pub(super) fn show(ui: &mut Ui, job: &Job, part: &Part, new: &mut Part) {
    let kinds = [
        ("clean-up of a brim", Footing::Brim { width_mm: 0.0 }, PART_BRIM_CLEAN_UP),
        ("clean-up of a raft", Footing::Raft { width_mm: 0.0 }, PART_RAFT_CLEAN_UP),
    ];
    let shown = |f: Footing| part.footing == Footing::Bare || part.footing.kind() == f.kind();
    for (label, footing, allowed) in kinds.into_iter().filter(|k| shown(k.1)) {
        let is_brim = matches!(footing, Footing::Brim { .. });
        let own = if is_brim { &mut new.clean_up.brim_s } else { &mut new.clean_up.raft_s };
        line(ui, label, Rule::None, |ui| {
            let tip = "Hand work for one copy, in minutes. Until you type one, what the job assumes for every part";
            let field = NumberField::new(label, job.clean_up_s(part, footing) / MINUTE_S, Unit::Plain(" min"))
                .range(allowed.least / MINUTE_S, allowed.most / MINUTE_S)
                .step(0.5);
            if let Some(minutes) = field.of(part.id).tooltip(tip).show(ui) {
                *own = Some(minutes * MINUTE_S);
            }
        });
        if own.is_some() {
            let words =
                format!("{label}: as the job assumes ({})", crate::words::time(job.assumptions.clean_up_s(footing)));
            if link(ui, &words, false).clicked() {
                *own = None;
            }
        }
    }
}
