//! What the tally teaches: offers to take over, failure rates, times, places.

use egui::{Grid, Label, RichText, Ui};

use crate::{
    batch::tally::{Failures, Learned, Rate},
    document::{OutcomeId, PlateOutcome},
    gui::{
        look::Look,
        theme::{Theme, size, strong},
        widgets::link,
        wish::Wish,
    },
    session::{Action, Ask, Session, not_offered, offers},
    words,
};

/// Outcomes listed; older ones are in the table that can be written.
const LISTED: usize = 50;

/// Shows the page.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let l = session.learned();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 16.0;
        let tally: Wish = Look::TallyPlate.into();
        for wish in [tally, Action::Ask(Ask::ReadTally).into(), Action::Ask(Ask::WriteTally).into()] {
            ui.add_enabled_ui(wish.enabled(session), |ui| {
                if link(ui, wish.name(), false).on_hover_text(wish.tooltip()).clicked() {
                    wishes.push(wish.clone());
                }
            });
        }
    });
    ui.add_space(8.0);
    if l.plates == 0 {
        let text = "Nothing is tallied yet. Tally a plate once it has ended: good and bad copies, real hours. Failure rates and time factors follow from it.";
        ui.add(Label::new(RichText::new(text).color(theme.faint)).wrap());
        return;
    }
    let good = words::copies(l.good);
    ui.label(format!("{}: {}, {good} good", words::count(l.plates, "plate"), words::copies(l.copies)));
    let causes: Vec<String> = l.causes.iter().map(|(c, n)| format!("{} {n}", c.words())).collect();
    if !causes.is_empty() {
        ui.label(RichText::new(causes.join(" · ")).color(theme.faint));
    }
    offered(ui, session, l, wishes);
    failing(ui, l);
    times(ui, l);
    places(ui, l);
    outcomes(ui, session, wishes);
}

fn head(ui: &mut Ui, text: &str) {
    let theme = Theme::of(ui.visuals());
    ui.add_space(10.0);
    ui.label(strong(text).size(size::TITLE).color(theme.ink));
}

fn note(ui: &mut Ui, text: &str) {
    let theme = Theme::of(ui.visuals());
    ui.add(Label::new(RichText::new(text).small().color(theme.faint)).wrap());
}

fn offered(ui: &mut Ui, session: &Session, l: &Learned, wishes: &mut Vec<Wish>) {
    head(ui, "For the next estimates");
    for o in offers(session.job(), l) {
        ui.horizontal_wrapped(|ui| {
            ui.label(words::plain(&o.words()).into_owned());
            let action = Action::UseLearned(o.offer);
            ui.add_enabled_ui(action.enabled(session), |ui| {
                let button = link(ui, action.name(), true).on_hover_text(action.tooltip());
                let name = format!("Use this: {}", o.what);
                button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, name.as_str()));
                if button.clicked() {
                    wishes.push(action.clone().into());
                }
            });
        });
    }
    for why in not_offered(l) {
        note(ui, &why);
    }
    note(ui, "In brackets: 95 of 100 such intervals hold the true number. Nothing is applied until you say so.");
}

fn percent(v: f64) -> String {
    format!("{:.1} %", 100.0 * v)
}

fn rate_words(r: &Rate) -> [String; 3] {
    [format!("{} of {}", r.failed, r.of), percent(r.mean), format!("{} to {}", percent(r.low), percent(r.high))]
}

fn failing(ui: &mut Ui, l: &Learned) {
    head(ui, "Copies that fail");
    Grid::new("copies that fail").num_columns(5).spacing([18.0, 3.0]).show(ui, |ui| {
        for text in ["", "failed", "rate", "95 %", "drawn together"] {
            note(ui, text);
        }
        ui.end_row();
        let line = |ui: &mut Ui, name: &str, r: &Rate, drawn: String| {
            ui.label(words::plain(name).into_owned());
            for text in rate_words(r) {
                ui.label(text);
            }
            ui.label(drawn);
            ui.end_row();
        };
        line(ui, "all copies", &l.failing, String::new());
        line(ui, "plates lost at once", &l.lost_plates, String::new());
        for f in &l.failures {
            for g in &f.groups {
                let s = g.shrunk;
                let drawn = format!("{} ({} to {})", percent(s.mean), percent(s.low), percent(s.high));
                line(ui, &format!("{} {}", f.of.word(), g.name), &g.own, drawn);
            }
        }
    });
    if let Some(n) = &l.next {
        let (copies, all, one) = (words::copies(n.copies), percent(n.all_good), percent(n.at_most_one_bad));
        ui.label(format!("The next plate of {copies}: all good with a chance of {all}, at most 1 bad with {one}."));
    }
    let methods: Vec<String> =
        l.failures.iter().map(|f: &Failures| format!("{}: {}", f.of.word(), f.prior.method.words())).collect();
    note(ui, &format!("Rates and intervals after Jeffreys. Drawn together: {}.", methods.join("; ")));
}

fn times(ui: &mut Ui, l: &Learned) {
    if l.times.is_empty() {
        return;
    }
    head(ui, "Actual over estimated time");
    Grid::new("actual over estimated time").num_columns(4).spacing([18.0, 3.0]).show(ui, |ui| {
        for text in ["", "plates", "measured", "drawn towards 1"] {
            note(ui, text);
        }
        ui.end_row();
        for t in &l.times {
            let f = t.factor;
            let on = t.machine_name.as_deref().unwrap_or("all machines");
            ui.label(words::plain(&format!("{}, {on}", t.recipe_name)).into_owned());
            ui.label(f.plates.to_string());
            let range = f.measured_range.map_or_else(String::new, |(a, b)| format!(" ({a:.3} to {b:.3})"));
            ui.label(format!("{:.3}{range}", f.measured));
            ui.label(format!("{:.3} ({:.3} to {:.3})", f.factor, f.low, f.high));
            ui.end_row();
        }
    });
    note(ui, "At a time factor of 1. Drawn towards 1 by one plate that took as long as estimated.");
}

fn places(ui: &mut Ui, l: &Learned) {
    if !l.places.tests.is_empty() {
        head(ui, "Where copies fail");
        for t in &l.places.tests {
            let side = |name: &str, (failed, of): (usize, usize)| format!("{name} {failed} of {of}");
            let told = format!("{}, {}: p = {:.3}", side(t.one, t.on_one), side(t.other, t.on_other), t.p);
            ui.label(told);
        }
        note(
            ui,
            "Fisher's exact test: a p below 0.05 would be rare if the place did not matter. The menu item Show where copies fail marks them on the sheet.",
        );
    }
    if let Some(t) = &l.surface {
        head(ui, "On an old surface");
        for b in &t.bins {
            let to = if b.to == u32::MAX { " and more".to_owned() } else { format!(" to {}", b.to) };
            ui.label(format!(
                "{}{to} plates since it was refreshed: {} of {} came loose, tipped over or warped",
                b.from, b.failed, b.of
            ));
        }
        note(ui, &format!("Trend (Cochran-Armitage): p = {:.3}.", t.p));
    }
}

/// What was written down, the latest first.
fn outcomes(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    head(ui, "Written down");
    let job = session.job();
    let zone = crate::batch::zone_of(&job.shifts.hours);
    let mut remove: Option<OutcomeId> = None;
    let all = job.tally.outcomes();
    let mut line = |ui: &mut Ui, o: &PlateOutcome| {
        let number =
            job.plate_number(o.plate).map_or_else(|| format!("plate {} (removed)", o.number), |n| format!("plate {n}"));
        let when = o.ended.to_zoned_datetime(zone.clone()).strftime("%-d %b %Y %H:%M").to_string();
        let by = if o.by.is_empty() { String::new() } else { format!(", {}", o.by) };
        let note = if o.note.is_empty() { String::new() } else { format!(" · {}", o.note) };
        let machine = &o.machine_name;
        let told = format!(
            "{number}, run {} on {machine}, {when}: {} good, {} bad, {}{by}{note}",
            o.run,
            o.good(),
            o.bad(),
            words::time(o.actual_s)
        );
        ui.horizontal_wrapped(|ui| {
            ui.label(words::plain(&told).into_owned());
            let button = link(ui, "Remove", false).on_hover_text(Action::RemoveOutcome(o.id).tooltip());
            let name = format!("Remove {number}, run {} from the tally", o.run);
            button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, name.as_str()));
            if button.clicked() {
                remove = Some(o.id);
            }
        });
    };
    for o in all.iter().rev().take(LISTED) {
        line(ui, o);
    }
    if all.len() > LISTED {
        note(ui, &format!("{} older ones are in the table.", all.len() - LISTED));
    }
    wishes.extend(remove.map(|id| Action::RemoveOutcome(id).into()));
}
