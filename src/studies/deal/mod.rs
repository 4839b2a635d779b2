//! Deal out: the whole order over plates, machines and days.
//!
//! - [`deal()`]: [`DealTask`], [`DealPart`] → [`Dealt`], [`DealtPlate`], [`NotDealt`], [`DealCost`]; [`DealStanding`]: how it gets on; [`DealError`]
//! - `asked`: what is to be dealt, in lines and groups (`line`); `content`: what lies on a plate, without places; `line_time`: its time
//! - `packer`: which copies lie on a bed together; `board`: plates on machines in an order, and what that costs
//! - `first`, `search`, `moves` (`now`, `new_plate`, `turn`, `settle`): a first dealing and better ones; `bound`: what none can beat; `finish`: places, exact times, copies

mod asked;
mod board;
mod bound;
mod content;
mod deal_cost;
mod deal_error;
mod dealt;
mod finish;
mod first;
mod line;
mod line_time;
mod moves;
mod new_plate;
mod now;
mod packer;
mod run;
mod search;
mod settle;
mod task;
#[cfg(test)]
mod tests;
mod turn;

pub use asked::NotDealt;
pub use deal_cost::DealCost;
pub use deal_error::DealError;
pub use dealt::{DealStanding, Dealt, DealtPlate};
pub use run::deal;
pub use task::{DealPart, DealTask};
