//! *Keyboard shortcuts*: those of menus from the menus themselves.

use crate::gui::guide::section::{Block, Keys, Place, Section};

pub(crate) const SECTIONS: &[Section] = &[
    Section { head: "In menus", blocks: &[Block::Keys(Keys::Menus)] },
    Section { head: "Everywhere", blocks: &[Block::Keys(Keys::ByHand(Place::Window))] },
    Section { head: "On the sheet", blocks: &[Block::Keys(Keys::ByHand(Place::Sheet))] },
    Section { head: "On the height strip", blocks: &[Block::Keys(Keys::ByHand(Place::Strip))] },
    Section { head: "On the timeline", blocks: &[Block::Keys(Keys::ByHand(Place::Timeline))] },
];
