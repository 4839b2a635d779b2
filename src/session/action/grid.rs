//! Rows and columns: where their copies would lie, and which of them may.

use std::collections::BTreeSet;

use crate::{
    document::{Copy, CopyId, PartId},
    edit::{Command, PlateTarget, Put, apply},
    geom::{Bounds, Placement},
    plate::{Checker, ConflictKind},
    session::{Session, SessionError},
};

/// Most copies made by one request for rows and columns.
const MOST_GRID: u32 = 5000;

/// Rows and columns as they are asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridOf {
    /// Along x.
    pub columns: u32,
    /// Along y.
    pub rows: u32,
    /// Pitch along x, mm; `None`: as close as the margins allow.
    pub pitch_x_mm: Option<f64>,
    /// Pitch along y, mm; `None`: as close as the margins allow.
    pub pitch_y_mm: Option<f64>,
}

/// A place in rows and columns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridSpot {
    /// Of which part.
    pub part: PartId,
    /// Where its copy would lie, bed millimetres.
    pub at: Placement,
    /// Its turn, degrees.
    pub turn_deg: f64,
    /// Clear of all that lies there, of the spots before it, and on the bed.
    pub free: bool,
}

impl Session {
    /// The places that rows and columns of what is selected add, row by row; those that would lie over something or off the bed
    /// are marked.
    ///
    /// # Errors
    /// One sentence where there are none or too many, or the plate does not take the parts.
    pub fn grid_spots(&self, of: GridOf) -> Result<Vec<GridSpot>, SessionError> {
        let Some(plate) = self.plate() else { return Ok(Vec::new()) };
        let copies: Vec<&Copy> = plate.copies.iter().filter(|c| self.selection.contains(&c.id)).collect();
        if copies.is_empty() {
            return Err(SessionError::Other("select the copies to repeat first".into()));
        }
        let made = u64::from(of.columns).saturating_mul(of.rows.into()).saturating_mul(copies.len() as u64);
        if of.columns == 0 || of.rows == 0 || made > u64::from(MOST_GRID) {
            return Err(SessionError::Other(format!("rows and columns must give 1 to {MOST_GRID} copies")));
        }
        let margins = &self.job().margins;
        // As close as the margins allow: shadows a gap apart, footings a footing gap.
        let (mut shadow, mut all) = (Bounds::EMPTY, Bounds::EMPTY);
        for c in &copies {
            shadow = shadow.union(self.shadow_bounds(c).unwrap_or(Bounds::EMPTY));
            all = all.union(self.copy_bounds(c).unwrap_or(Bounds::EMPTY));
        }
        let footing_gap = if margins.footings_may_merge { 0.0 } else { margins.footing_gap_mm };
        let closest = |s: f64, f: f64| (s + margins.gap_mm).max(f + footing_gap);
        let px = of.pitch_x_mm.unwrap_or_else(|| closest(shadow.width(), all.width()));
        let py = of.pitch_y_mm.unwrap_or_else(|| closest(shadow.height(), all.height()));
        let steps = (0..of.rows).flat_map(|row| (0..of.columns).map(move |column| (row, column))).skip(1);
        let puts: Vec<Put> = steps
            .flat_map(|(row, column)| {
                let (dx, dy) = (f64::from(column) * px, f64::from(row) * py);
                copies.iter().map(move |c| Put {
                    copy: None,
                    x_mm: c.x_mm + dx,
                    y_mm: c.y_mm + dy,
                    ..Put::as_it_lies(c, plate.id)
                })
            })
            .collect();
        let (with, out) = apply(self.job(), &Command::put(puts.clone()))?;
        let Some(full) = with.plate(plate.id) else { return Ok(Vec::new()) };
        let new: BTreeSet<CopyId> = out.copies.iter().copied().collect();
        let mut conflicts = Checker::new(&with, full, self.shapes(), self.prepared()).conflicts();
        // Too tall is the part's own affair, wherever it lies.
        conflicts.retain(|c| c.kind != ConflictKind::TooTall && c.copies.iter().any(|id| new.contains(id)));
        let mut taken: BTreeSet<CopyId> = full.copies.iter().map(|c| c.id).filter(|id| !new.contains(id)).collect();
        let spots = puts.into_iter().zip(&out.copies).map(|(p, id)| {
            let meets = |others: &[CopyId]| others.contains(id) && others.iter().all(|o| o == id || taken.contains(o));
            let free = !conflicts.iter().any(|c| meets(&c.copies));
            if free {
                taken.insert(*id);
            }
            let at = Placement::new(p.x_mm, p.y_mm, p.turn_deg.to_radians());
            GridSpot { part: p.part, at, turn_deg: p.turn_deg, free }
        });
        Ok(spots.collect())
    }

    /// Fills rows and columns, leaving out what would lie over something or off the bed.
    pub(super) fn grid(&mut self, label: &str, of: GridOf) -> Result<(), SessionError> {
        let spots = self.grid_spots(of)?;
        let Some(plate) = self.plate_id().filter(|_| !spots.is_empty()) else { return Ok(()) };
        let put = |s: &GridSpot| Put {
            copy: None,
            part: s.part,
            plate: PlateTarget::Existing(plate),
            x_mm: s.at.x,
            y_mm: s.at.y,
            turn_deg: s.turn_deg,
        };
        let puts: Vec<Put> = spots.iter().filter(|s| s.free).map(put).collect();
        let (asked, free) = (spots.len(), puts.len());
        if free == 0 {
            return Err(SessionError::Other(
                "every place of these rows and columns lies over another copy or off the bed: change their number or pitch"
                    .into(),
            ));
        }
        let out = self.put_new(label, puts)?;
        self.selection.extend(out.copies);
        if free < asked {
            self.tell(format!("{free} of {asked} placed: the others would lie over something or off the bed"));
        }
        Ok(())
    }
}
