//! Why there is nothing to compare.

use thiserror::Error;

use crate::{estimate::RecipeFault, plate::TaskError};

/// Why there is nothing to compare. Each is one sentence that says what to do.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StudyError {
    /// No such part.
    #[error("there is no such part in the order")]
    NoPart,
    /// No such plate.
    #[error("there is no such plate")]
    NoPlate,
    /// Nothing on it.
    #[error("this plate is empty: place copies first")]
    NoCopies,
    /// No such machine.
    #[error("there is no machine in the job: add one first")]
    NoMachine,
    /// The part's material or recipe is not in the job.
    #[error("{0} has no material or no recipe: choose them first")]
    NoRecipe(String),
    /// The mesh is not there.
    #[error("the mesh of {0} is missing: locate it first")]
    NoMesh(String),
    /// The mesh has nothing to print.
    #[error("the mesh of {0} has no height or touches the bed nowhere: check the mesh and which way up the part is")]
    NoBody(String),
    /// Its layers are not known yet.
    #[error("the layers of {0} are still being worked out: try again when they are there")]
    NotReady(String),
    /// Its layers cannot be timed.
    #[error("{part} cannot be timed: {why}")]
    NoTime {
        /// Which part.
        part: String,
        /// Why, in words.
        why: String,
    },
    /// Wider or deeper than the bed.
    #[error(
        "{part} measures {:.1} × {:.1} mm and does not fit {machine} ({:.1} × {:.1} mm within its margins): choose a larger machine, or \
         turn the part",
        size_mm.0, size_mm.1, room_mm.0, room_mm.1
    )]
    TooLarge {
        /// Which part.
        part: String,
        /// Width and depth with its footing, mm.
        size_mm: (f64, f64),
        /// Which machine.
        machine: String,
        /// Width and depth of the room on its bed, mm.
        room_mm: (f64, f64),
    },
    /// Higher than the machine takes.
    #[error(
        "{part} is {height_mm:.1} mm tall and {machine} takes {most_mm:.1} mm: choose a taller machine, or lay the part down"
    )]
    TooTall {
        /// Which part.
        part: String,
        /// Its height on the bed, a raft included, mm.
        height_mm: f64,
        /// Which machine.
        machine: String,
        /// Its usable height, mm.
        most_mm: f64,
    },
    /// No share between 0 and 1.
    #[error("a confidence of {0} cannot be: choose one between 0 and 1, such as 0.9")]
    Confidence(f64),
    /// A packing problem that cannot be put.
    #[error(transparent)]
    Task(#[from] TaskError),
    /// Numbers that no estimate can be made from.
    #[error(transparent)]
    Numbers(#[from] RecipeFault),
}
