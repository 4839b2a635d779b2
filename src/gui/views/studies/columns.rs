//! A table of a study: a name and columns of numbers, a line a row.

use egui::{Align2, Color32, Rect, Sense, Ui};

use crate::gui::{
    panels::table,
    theme::{self, Theme, size},
};

/// Between two heads at the least, points.
const HEAD_GAP: f32 = 7.0;

/// A column: its head, its width in points at the narrowest, and what it says.
pub(super) struct Column<R: 'static> {
    pub(super) head: &'static str,
    pub(super) width: f32,
    pub(super) tooltip: &'static str,
    pub(super) of: fn(&R) -> Option<String>,
}

/// Where the columns of a table lie.
pub(super) struct Columns<R: 'static> {
    all: &'static [Column<R>],
    /// Right edges, points from the left.
    edges: Vec<f32>,
    name_room: f32,
}

impl<R> Columns<R> {
    /// Columns in the room there is beside a name of this width at the least: what is left over goes to them alike, up to a limit. Draws the heads.
    pub(super) fn head(ui: &mut Ui, columns: &'static [Column<R>], (name, name_width): (&str, f32)) -> Self {
        let width = ui.available_width();
        // Heads of neighbours keep apart, whatever the size of the letters.
        let painter = ui.painter();
        let wide = |c: &Column<R>| {
            let head = painter.layout_no_wrap(c.head.to_owned(), theme::regular(size::TINY), Color32::PLACEHOLDER);
            c.width.max(head.size().x + HEAD_GAP)
        };
        let widths: Vec<f32> = columns.iter().map(wide).collect();
        let least: f32 = widths.iter().sum();
        let stretch = ((width - name_width) / least).clamp(1.0, 1.5);
        let mut edges = Vec::with_capacity(columns.len());
        let mut right = width;
        for width in widths.iter().rev() {
            edges.push(right);
            right -= width * stretch;
        }
        edges.reverse();
        let mut heads = vec![(name, 0.0, Align2::LEFT_CENTER)];
        heads.extend(columns.iter().zip(&edges).map(|(c, x)| (c.head, *x, Align2::RIGHT_CENTER)));
        let told: Vec<String> = columns.iter().map(|c| format!("{}: {}", c.head, c.tooltip)).collect();
        table::head(ui, &heads).on_hover_text(told.join("\n"));
        Self { all: columns, edges, name_room: right - 8.0 }
    }

    /// One line; whether it was pressed. `ink` gives the colour of a column's number where it is not the usual one.
    pub(super) fn row(
        &self,
        ui: &mut Ui,
        row: &R,
        (words, name, chosen): (&str, &str, bool),
        ink: impl Fn(&Column<R>) -> Option<Color32>,
    ) -> bool {
        let (rect, response) = table::row(ui, words, chosen, Sense::click());
        if ui.is_rect_visible(rect) {
            self.cells(ui, rect, row, name, ink);
        }
        response.clicked()
    }

    fn cells(&self, ui: &Ui, rect: Rect, row: &R, name: &str, ink: impl Fn(&Column<R>) -> Option<Color32>) {
        let theme = Theme::of(ui.visuals());
        table::name_cell(ui, rect, 0.0, self.name_room, name, theme.ink);
        for (c, x) in self.all.iter().zip(&self.edges) {
            let text = (c.of)(row).unwrap_or_else(|| "–".into());
            let ink = ink(c).unwrap_or(theme.ink);
            table::cell(ui, rect, *x, Align2::RIGHT_CENTER, &text, theme::regular(size::BODY), ink);
        }
    }
}
