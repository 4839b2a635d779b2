//! A machine-code file → what it takes: time layer by layer, lengths, filament.
//!
//! - [`measure`], [`Gauge`]: a whole file, or piece by piece; [`GaugeError`]
//! - [`Basis`], [`DwellUnit`]: what is taken for granted until the file says otherwise
//! - [`Measured`], [`MeasuredLayer`], [`MeasuredItems`], [`Doubts`], [`Remark`]: the answer
//! - [`another_plate`], [`PlateSize`]: a file that is plainly of something else
//! - [`beside`], [`lengths_beside`], [`layers_beside`], [`LayerBeside`], [`least_estimated_layer`], [`time_factor`]: compared with an estimate
//!
//! Inside: `words` (bytes → words), `block` (words that go together), `interpreter` (blocks
//! → what a `machine` does: `moves`, `limit_words`, `unknown_kind`), `arc`, `clock` (moves →
//! times), `ledger` (times → sums).

mod another_plate;
mod arc;
mod basis;
mod beside;
mod block;
mod clock;
mod interpreter;
mod layers_beside;
mod ledger;
mod lengths_beside;
mod limit_words;
mod machine;
mod measure;
mod measured;
mod moves;
#[cfg(test)]
mod streamed;
mod unknown_kind;
mod words;
#[cfg(test)]
mod worked_blocks;

pub use another_plate::{PlateSize, another_plate};
pub use basis::{Basis, DwellUnit};
pub use beside::{beside, least_estimated_layer, time_factor};
pub use layers_beside::{LayerBeside, layers_beside};
pub use lengths_beside::lengths_beside;
pub use measure::{Gauge, GaugeError, measure};
pub use measured::{Doubts, Measured, MeasuredItems, MeasuredLayer, Remark};
