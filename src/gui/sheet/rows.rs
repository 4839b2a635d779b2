//! Rows and columns on the sheet before they are filled.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    document::CopyId,
    drawing::{DrawnCopy, Hatch, Ink, Mark, copy_marks},
    gui::rows_form::RowsForm,
    session::{GridOf, Session},
};

/// The places found last, and for what.
#[derive(Default)]
pub(super) struct Kept {
    key: Option<(GridOf, u64, BTreeSet<CopyId>)>,
    places: Vec<(DrawnCopy, bool)>,
    /// Why there are none.
    refused: Option<String>,
}

impl Kept {
    /// Finds the places while rows and columns are being asked for.
    pub(super) fn update(&mut self, session: &Session, form: Option<&RowsForm>) {
        let Some(form) = form else {
            *self = Self::default();
            return;
        };
        let of =
            GridOf { columns: form.columns, rows: form.rows, pitch_x_mm: form.pitch_x_mm, pitch_y_mm: form.pitch_y_mm };
        let key = (of, session.revision(), session.selection().clone());
        if self.key.as_ref() == Some(&key) {
            return;
        }
        self.key = Some(key);
        self.places.clear();
        self.refused = None;
        match session.grid_spots(of) {
            Ok(spots) => {
                self.places.extend(spots.into_iter().filter_map(|s| {
                    let (part, shape) = (session.job().part(s.part)?, session.shapes().get(&s.part)?);
                    let shadow = Arc::new(shape.shadow.region().placed(s.at));
                    Some((DrawnCopy { hue: part.hue(), shadow, ghost: true, ..DrawnCopy::default() }, s.free))
                }));
            }
            Err(why) => self.refused = Some(why.to_string()),
        }
    }
    /// The places as they are drawn: those that stay empty are cross-hatched.
    pub(super) fn marks(&self, mm_per_pt: f64) -> Vec<Mark> {
        let mut marks = Vec::new();
        for (copy, free) in &self.places {
            marks.extend(copy_marks(copy, mm_per_pt));
            if !free {
                let region = copy.shadow.clone();
                marks.push(Mark::Pattern { region, hatch: Hatch::Cross, ink: Ink::Stop });
            }
        }
        marks
    }
    /// "5 more copies; 2 places over something or off the bed stay empty".
    pub(super) fn words(&self) -> Option<String> {
        self.key.as_ref()?;
        if let Some(why) = &self.refused {
            return Some(why.clone());
        }
        let free = self.places.iter().filter(|(_, free)| *free).count();
        let more = if free == 1 { "1 more copy".to_owned() } else { format!("{free} more copies") };
        Some(match self.places.len() - free {
            0 => more,
            1 => format!("{more}; 1 place over something or off the bed stays empty"),
            n => format!("{more}; {n} places over something or off the bed stay empty"),
        })
    }
}
