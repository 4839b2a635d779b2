//! The rows of a footing study in a table.

use egui::{Align2, Sense, Ui};

use crate::{
    gui::{
        panels::table,
        theme::{self, Theme, size},
    },
    stability::margin_words,
    studies::FootingRow,
    words,
};

/// A column: its head, its width in points at the narrowest, and what it says.
struct Column {
    head: &'static str,
    width: f32,
    tooltip: &'static str,
    of: fn(&FootingRow) -> Option<String>,
}

const COLUMNS: [Column; 8] = [
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
    let width = ui.available_width();
    let least: f32 = COLUMNS.iter().map(|c| c.width).sum();
    // The name takes a fifth at least; what is left over goes to the columns alike, up to a limit.
    let stretch = ((width * 0.8) / least).clamp(0.9, 1.5);
    let mut edges = Vec::with_capacity(COLUMNS.len());
    let mut right = width;
    for c in COLUMNS.iter().rev() {
        edges.push(right);
        right -= c.width * stretch;
    }
    edges.reverse();
    let name_room = right - 8.0;
    let mut heads = vec![("footing", 0.0, Align2::LEFT_CENTER)];
    heads.extend(COLUMNS.iter().zip(&edges).map(|(c, x)| (c.head, *x, Align2::RIGHT_CENTER)));
    let told: Vec<String> = COLUMNS.iter().map(|c| format!("{}: {}", c.head, c.tooltip)).collect();
    table::head(ui, &heads).on_hover_text(told.join("\n"));
    ui.spacing_mut().item_spacing.y = 0.0;
    for (i, row) in rows.iter().enumerate() {
        let (rect, response) = table::row(ui, &row.words(), chosen == i, Sense::click());
        let name = if row.is_suggested { format!("{} *", row.footing.words()) } else { row.footing.words() };
        table::name_cell(ui, rect, 0.0, name_room, &name, theme.ink);
        for (c, x) in COLUMNS.iter().zip(&edges) {
            let text = (c.of)(row).unwrap_or_else(|| "–".into());
            let short = c.head == "margin" && row.least.is_some_and(|l| l.margin < 1.0);
            let ink = if short { theme.watch } else { theme.ink };
            table::cell(ui, rect, *x, Align2::RIGHT_CENTER, &text, theme::regular(size::BODY), ink);
        }
        if response.clicked() {
            picked = Some(i);
        }
    }
    if rows.iter().any(|r| r.is_suggested) {
        ui.add_space(3.0);
        ui.label(egui::RichText::new("* suggested").small().color(theme.faint));
    }
    picked
}
