//! What the writers write, against files kept beside this one, and against one another.
//!
//! `UPDATE_GOLDEN=1 cargo test --test golden` accepts what is written now; look at the difference before committing it.

mod accept;
mod fixture;
mod same_place;
mod schema;
mod written;
