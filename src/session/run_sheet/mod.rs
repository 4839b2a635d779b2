//! Run sheets: what stands on the page that goes to the machine.
//!
//! - `given`: all of it; `moment`: clock times in a print; `figures`, `look`, `cautions`, `checks`: its parts
//! - `head`: what every page says of the job; `bins`: labels for bins; `print`: one plate's run sheet as a file

mod bins;
mod cautions;
mod checks;
mod figures;
mod given;
mod head;
mod look;
mod moment;
mod print;

pub(in crate::session) use given::same_machines;
