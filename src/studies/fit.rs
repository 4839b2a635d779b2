//! Whether a part fits a machine at all.

use std::sync::Arc;

use super::StudyError;
use crate::{
    document::{Footing, Job, Machine, Part, Recipe},
    plate::{Fit, PartShape, PreparedShape, Room, fits},
};

/// Whether one copy of a part with this footing fits a machine, alone and within its skirt. Keep-outs are not looked at.
///
/// # Errors
/// [`StudyError::TooTall`], [`StudyError::TooLarge`].
pub fn check_fit(
    job: &Job,
    part: &Part,
    footing: Footing,
    machine: &Machine,
    shape: &Arc<PartShape>,
) -> Result<(), StudyError> {
    let recipe = job.recipe(part.recipe);
    let lift_mm = match footing {
        Footing::Raft { .. } => recipe.map_or(0.0, Recipe::raft_height_mm),
        Footing::Bare | Footing::Brim { .. } => 0.0,
    };
    let height_mm = shape.height_mm + lift_mm;
    if height_mm > machine.height_mm + 1e-9 {
        let (part, most_mm) = (part.name.clone(), machine.height_mm);
        return Err(StudyError::TooTall { part, height_mm, machine: machine.name.clone(), most_mm });
    }
    let room = Room::within(job, machine, recipe.map_or(0.0, Recipe::skirt_mm));
    let form = PreparedShape::new(shape.clone(), footing, &job.margins);
    match fits(&room, &form, part.turns) {
        Fit::Fits => Ok(()),
        Fit::TooLarge { width_mm, depth_mm } => Err(StudyError::TooLarge {
            part: part.name.clone(),
            size_mm: (width_mm, depth_mm),
            machine: machine.name.clone(),
            room_mm: room.size_mm(),
        }),
    }
}
