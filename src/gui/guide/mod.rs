//! The guide under *Help*: a page a view, plain text with drawings, and every key.
//!
//! - [`Page`]: which pages there are; [`Open`]: where one reads; [`show`]: all of it, in the room of a question
//! - `section`: what pages are made of; `pages`: what they say; `by_hand`: keys and gestures that are in no menu; `search`: words looked for

mod by_hand;
mod open;
mod page;
mod pages;
mod search;
mod section;
mod show;

pub(crate) use open::Open;
pub(crate) use page::Page;
pub(crate) use show::show;
