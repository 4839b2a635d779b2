//! *Studies*.

use crate::{
    drawing::Figure,
    gui::guide::section::{Block, Section},
};

pub(crate) const SECTIONS: &[Section] = &[
    Section {
        head: "Footings",
        blocks: &[
            Block::Drawing(Figure::Footings),
            Block::Text(
                "A tall part on a small contact can tip over while it grows. A brim or a raft holds it, but takes bed, filament and clean-up. The study fills a plate \
                 with the part bare, with brims and on a raft, and compares copies, hours, grams, clean-up and least margin.",
            ),
            Block::Text(
                "A margin below 1 means that the part could tip over under the assumed force. Use a row for the part, or lay it out on a new plate.",
            ),
        ],
    },
    Section {
        head: "How many copies",
        blocks: &[
            Block::Text(
                "More copies on a plate mean fewer changeovers, and layers that have time to cool. But one failed copy can spoil the plate. The study lays out and \
                 times 1, 2, 3 … copies and follows the plate through your hours: good parts a day, minutes each, losses, plates to start.",
            ),
            Block::Text("The best number is marked, with the reason."),
        ],
    },
    Section {
        head: "This plate, two ways",
        blocks: &[Block::Text(
            "Shows the plate as it is beside itself on another footing, before you change anything.",
        )],
    },
    Section {
        head: "While a study runs",
        blocks: &[Block::Text(
            "Studies run in the background; Escape or Cancel ends one. A study that no longer matches the job says so.",
        )],
    },
];
