//! The window. egui is named only here; what is shown is read from a [`crate::session::Session`], what is wished for
//! goes back to it as an [`crate::session::Action`] after the frame.
//!
//! - [`run`], [`GuiError`]: opens the window; [`graphics`]: on what it can draw; [`App`]: all of it; [`Picker`], [`Question`]: where paths come from
//! - `sheet`: the canvas; `panels`: what lies round it; `views`: the tabs; `lies_over`, `typed_path`, `rows_form`: questions and forms; `over`, `decide`: shown
//! - `wish`: what can be asked for; `menu`, `keys`, `look`; `read`, `words`: what panels read and how they say it
//! - `guide`, `hints`: help that is read, and hints that go away
//! - `widgets`: small pieces; `theme`: every colour and size; `settings`: what is kept between runs; `split`: edges to drag

mod app;
mod decide;
mod dialogs;
mod graphics;
mod guide;
mod hints;
mod keys;
mod lies_over;
mod look;
mod menu;
mod outcome;
mod over;
mod panels;
mod read;
mod rows_form;
mod run;
mod settings;
mod sheet;
mod split;
mod tally_form;
mod theme;
mod typed_path;
mod view;
mod views;
mod widgets;
mod wish;
mod words;

pub use app::App;
pub use dialogs::{Picker, Question};
pub use graphics::graphics;
pub use run::{GuiError, run};
