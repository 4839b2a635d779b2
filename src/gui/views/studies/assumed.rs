//! What a study assumes, in the open, to be typed over.

use egui::{RichText, Ui};

use crate::{
    document::{
        Assumptions,
        limits::{self, Allowed},
    },
    gui::{
        theme::Theme,
        widgets::{NumberField, Unit, refusal, take_refused},
        wish::Wish,
    },
    session::{Action, Session},
};

/// One number that is assumed.
#[derive(Clone, Copy)]
pub(super) struct Assumed {
    label: &'static str,
    /// Its name in the job, under which its origin is kept.
    field: &'static str,
    unit: Unit,
    allowed: Allowed,
    place: fn(&mut Assumptions) -> &mut f64,
}

impl Assumed {
    pub(super) const FAILING: Self = Self {
        label: "copies that fail",
        field: "failing_percent",
        unit: Unit::Percent,
        allowed: limits::FAILING,
        place: |a| &mut a.failing_percent,
    };
    pub(super) const COMMON_CAUSE: Self = Self {
        label: "plates spoilt at once",
        field: "common_cause_percent",
        unit: Unit::Percent,
        allowed: limits::COMMON_CAUSE,
        place: |a| &mut a.common_cause_percent,
    };
    pub(super) const TIME_SPREAD: Self = Self {
        label: "spread of real times",
        field: "time_spread_percent",
        unit: Unit::Percent,
        allowed: limits::TIME_SPREAD,
        place: |a| &mut a.time_spread_percent,
    };
    pub(super) const BRIM_CLEAN_UP: Self = Self {
        label: "clean-up of a brim",
        field: "brim_clean_up_s",
        unit: Unit::Seconds,
        allowed: limits::BRIM_CLEAN_UP,
        place: |a| &mut a.brim_clean_up_s,
    };
    pub(super) const RAFT_CLEAN_UP: Self = Self {
        label: "clean-up of a raft",
        field: "raft_clean_up_s",
        unit: Unit::Seconds,
        allowed: limits::RAFT_CLEAN_UP,
        place: |a| &mut a.raft_clean_up_s,
    };
}

/// The numbers in a line; what is typed is no assumption of ours any more.
pub(super) fn show(ui: &mut Ui, session: &Session, numbers: &[Assumed], wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let now = &session.job().assumptions;
    let mut new = now.clone();
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Assumed:").small().color(theme.faint));
        for n in numbers {
            ui.label(RichText::new(n.label).small().color(theme.faint));
            let value = (n.place)(&mut new);
            // Told apart from the words beside it.
            let name = format!("{}, assumed", n.label);
            let field = NumberField::new(&name, *value, n.unit).allowed(n.allowed).width(64.0);
            if let Some(typed) = field.show(ui) {
                *value = typed;
                new.origins.insert(n.field.to_owned(), "typed".to_owned());
            }
        }
    });
    if let Some(why) = take_refused(ui) {
        refusal(ui, &why);
    }
    if new != *now {
        wishes.push(Action::SetAssumptions(new).into());
    }
}
