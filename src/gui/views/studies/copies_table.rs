//! The rows of a copies study in a table.

use egui::Ui;

use super::columns::{Column, Columns};
use crate::{
    batch::Spoils,
    gui::{panels::table, theme::Theme},
    studies::{CopiesRow, CopiesWay},
    words,
};

/// Higher than this the table is scrolled.
const MOST_HEIGHT: f32 = 300.0;
/// Room for the number of copies at the least, points.
const NAME_WIDTH: f32 = 58.0;

/// "0.48", "10.8": three figures have room.
fn lost_words(copies: f64) -> String {
    if copies < 9.995 { format!("{copies:.2}") } else { format!("{copies:.1}") }
}

const COLUMNS: [Column<CopiesRow>; 11] = [
    Column { head: "time", width: 54.0, tooltip: "Time of the plate", of: |r| Some(words::time_short(r.time_s)) },
    Column { head: "each", width: 64.0, tooltip: "Time of the plate for each copy", of: |r| Some(r.each_words()) },
    Column {
        head: "slowed",
        width: 42.0,
        tooltip: "Share of the time by which layers are slowed or waited for, so that they cool",
        of: |r| Some(format!("{:.0} %", r.slowed * 100.0)),
    },
    Column {
        head: "changes",
        width: 48.0,
        tooltip: "Changeovers a day on one machine under people's hours, weekends counted",
        of: |r| r.hours.map(|h| format!("{:.2}", h.changeovers_per_day)),
    },
    Column {
        head: "good/day",
        width: 50.0,
        tooltip: "Good parts a day on one machine, weekends counted",
        of: |r| r.hours.map(|h| format!("{:.1}", h.good_per_day)),
    },
    Column {
        head: "loss: copy",
        width: 54.0,
        tooltip: "Copies lost on a plate where a failure spoils that copy alone; one after another: that copy and all after it",
        of: |r| Some(format!("{:.2}", r.lost(Spoils::Copy))),
    },
    Column {
        head: "reach",
        width: 38.0,
        tooltip: "Copies lost where a failure also spoils the copies within reach of the fall",
        of: |r| (r.way != CopiesWay::InTurn).then(|| lost_words(r.lost(Spoils::Reach))),
    },
    Column {
        head: "plate",
        width: 38.0,
        tooltip: "Copies lost where any failure spoils the plate",
        of: |r| (r.way != CopiesWay::InTurn).then(|| lost_words(r.lost(Spoils::Plate))),
    },
    Column {
        head: "common",
        width: 46.0,
        tooltip: "Copies lost on top to causes that spoil the whole plate at once",
        of: |r| Some(format!("{:.2}", r.lost_to_common_causes)),
    },
    Column {
        head: "all good",
        width: 46.0,
        tooltip: "Chance that every copy of the plate is good",
        of: |r| Some(format!("{:.0} %", r.all_good * 100.0)),
    },
    Column {
        head: "to start",
        width: 44.0,
        tooltip: "Plates to start so that the number wanted comes out good, as sure as asked for above",
        of: |r| r.plates_to_start.map(|n| n.to_string()),
    },
];

/// Shows the rows; the one that was pressed, if any.
pub(super) fn show(ui: &mut Ui, rows: &[CopiesRow], chosen: usize, best: Option<usize>) -> Option<usize> {
    let mut picked = None;
    let theme = Theme::of(ui.visuals());
    let columns = Columns::head(ui, &COLUMNS, ("copies", NAME_WIDTH));
    table::lines(ui, "numbers of copies", MOST_HEIGHT, rows.len(), |ui| {
        for (i, row) in rows.iter().enumerate() {
            let mark = if best == Some(i) { " *" } else { "" };
            let name = match row.way {
                CopiesWay::Together => format!("{}{mark}", row.copies),
                CopiesWay::InTurn => format!("{} in turn{mark}", row.copies),
                CopiesWay::Twin => format!("{} twin{mark}", row.copies),
            };
            if columns.row(ui, row, (&row.words(), &name, chosen == i), |_| None) {
                picked = Some(i);
            }
        }
    });
    let in_turn = rows.iter().any(|r| r.way == CopiesWay::InTurn);
    let twin = rows.iter().any(|r| r.way == CopiesWay::Twin);
    let notes = [
        (best.is_some(), "* most good parts a day"),
        (in_turn, "in turn: one after another, the thin lines above"),
        (twin, "twin: two carriages print the left half twice, the dashed lines above"),
    ];
    let notes: Vec<&str> = notes.iter().filter(|n| n.0).map(|n| n.1).collect();
    if !notes.is_empty() {
        ui.add_space(3.0);
        ui.label(egui::RichText::new(notes.join("; ")).small().color(theme.faint));
    }
    picked
}
