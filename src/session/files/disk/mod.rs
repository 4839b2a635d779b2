//! The real world.
//!
//! - [`Disk`]: files, locks and the clock; `regular_file`: reading; `replaced`: links, owner and mode; `date`

mod date;
mod real;
mod regular_file;
mod replaced;
#[cfg(test)]
mod tests;

pub use real::Disk;
