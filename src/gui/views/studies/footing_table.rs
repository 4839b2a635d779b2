//! The rows of a footing study in a table.

use egui::Ui;

use super::columns::{Column, Columns};
use crate::{gui::theme::Theme, stability::margin_words, studies::FootingRow, words};

const COLUMNS: [Column<FootingRow>; 8] = [
    Column {
        head: "copies",
        width: 48.0,
        tooltip: "Copies that Top up lays on one plate",
        of: |r| Some(r.copies.to_string()),
    },
    Column {
        head: "plate",
        width: 74.0,
        tooltip: "Time of the plate",
        of: |r| r.plate.map(|p| words::time_short(p.time_s)),
    },
    Column {
        head: "each",
        width: 62.0,
        tooltip: "Time of the plate for each copy",
        of: |r| r.plate.map(|p| FootingRow::each_words(p.time_per_copy_s)),
    },
    Column {
        head: "good",
        width: 46.0,
        tooltip: "Copies expected to come out good; the chance that a copy fails is assumed",
        of: |r| r.plate.map(|p| format!("{:.1}", p.expected_good)),
    },
    Column {
        head: "per good",
        width: 64.0,
        tooltip: "Time of the plate for each copy that is expected to come out good",
        of: |r| r.plate.map(|p| p.per_good_words()),
    },
    Column {
        head: "g each",
        width: 50.0,
        tooltip: "Filament for each copy, with footing, skirt and purge",
        of: |r| r.plate.map(|p| format!("{:.2}", p.mass_per_copy_g)),
    },
    Column {
        head: "clean-up",
        width: 66.0,
        tooltip: "Hand work for the whole plate; assumed",
        of: |r| r.plate.map(|p| if p.clean_up_s > 0.0 { words::time_short(p.clean_up_s) } else { "–".into() }),
    },
    Column {
        head: "margin",
        width: 54.0,
        tooltip: "Least margin against tipping over; below 1 the part could tip over",
        of: |r| r.least.map(|l| margin_words(l.margin)),
    },
];

/// Shows the rows; the one that was pressed, if any.
pub(super) fn show(ui: &mut Ui, rows: &[FootingRow], chosen: usize) -> Option<usize> {
    let mut picked = None;
    let theme = Theme::of(ui.visuals());
    // The name takes a fifth at least.
    let name_width = 0.2 * ui.available_width();
    let columns = Columns::head(ui, &COLUMNS, ("footing", name_width));
    ui.spacing_mut().item_spacing.y = 0.0;
    for (i, row) in rows.iter().enumerate() {
        let name = if row.is_suggested { format!("{} *", row.footing.words()) } else { row.footing.words() };
        let is_short = row.least.is_some_and(|l| l.margin < 1.0);
        let ink = |c: &Column<FootingRow>| (is_short && c.head == "margin").then_some(theme.watch);
        if columns.row(ui, row, (&row.words(), &name, chosen == i), ink) {
            picked = Some(i);
        }
    }
    if rows.iter().any(|r| r.is_suggested) {
        ui.add_space(3.0);
        ui.label(egui::RichText::new("* suggested").small().color(theme.faint));
    }
    picked
}
