//! *Shifts*.

use crate::{
    drawing::Figure,
    gui::guide::section::{Block, Keys, Place, Section},
};

pub(crate) const SECTIONS: &[Section] = &[
    Section {
        head: "How to read the timeline",
        blocks: &[
            Block::Drawing(Figure::Week),
            Block::Text(
                "A row is a machine, a bar a plate. The light band is when somebody is there. Before each print somebody prepares the machine; after it the bed \
                 cools, and somebody takes the parts off. Both need somebody there. Printing does not.",
            ),
            Block::Text(
                "The range at a bar's end holds 95 of 100 prints, as far as the assumption on real times is right. The blue line is now.",
            ),
        ],
    },
    Section {
        head: "Change the plan",
        blocks: &[Block::Text(
            "Drag a bar to another place or machine, and every end follows. Improve the sequence looks for a better order. Start now says what to start on each free \
             machine, when it ends, and who is there then. A long plate last before closing runs while nobody has to be there.",
        )],
    },
    Section {
        head: "Hours",
        blocks: &[Block::Text(
            "The hours on the right are an example until you set them. Holidays, changeover times and downtimes are set below them. Mark plates as started, ended or \
             failed: the plan then goes on from what happened.",
        )],
    },
    Section {
        head: "With nobody there",
        blocks: &[Block::Text(
            "A plan can have machines print with nobody present. It is a finding, with the hours. Read the page Safety first.",
        )],
    },
    Section { head: "Keys of the timeline", blocks: &[Block::Keys(Keys::ByHand(Place::Timeline))] },
];
