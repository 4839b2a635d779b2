//! The particulars of what is selected: copies, a part, or else the plate and what it is made with.
//!
//! - [`copies`], [`part`], [`plate`]; [`machine`], [`material`], [`recipe`], [`spools`], [`preferences`] under the plate;
//!   [`adhesion`]: of a material, with its pull test
//! - [`mends`]: what was put right in a part's mesh
//! - [`pose_drawing`]: a way to lay a part down, small
//! - [`standing`]: how firmly copies stand
//! - [`checklist`]: what is seen to before the plate starts
//! - [`clean_up`]: hand work on a part's footings
//! - [`footing`]: what holds a part down, as a choice and a width; [`numbers`]: tables of typed numbers; [`lines`]: words and names

mod adhesion;
mod checklist;
mod clean_up;
mod copies;
mod footing;
mod lines;
mod machine;
mod material;
mod mends;
mod numbers;
mod part;
mod plate;
mod pose_drawing;
mod preferences;
mod recipe;
mod spools;
mod standing;

use egui::Ui;

use crate::{
    gui::{view::View, wish::Wish},
    session::Session,
};

/// Shows the particulars.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let selection = session.selection();
    let part = session.part_id().and_then(|id| session.job().part(id));
    // A part was chosen in the order: all its copies on the plate are selected with it.
    let whole_part = part.filter(|p| {
        let of_part = session.plate().into_iter().flat_map(|plate| &plate.copies).filter(|c| c.part == p.id);
        let ids: Vec<_> = of_part.map(|c| c.id).collect();
        ids.len() == selection.len() && ids.len() != 1 && ids.iter().all(|id| selection.contains(id))
    });
    match whole_part {
        Some(part) => part::show(ui, session, part, view, wishes),
        None if !selection.is_empty() => copies::show(ui, session, view, wishes),
        None => plate::show(ui, session, view, wishes),
    }
}
