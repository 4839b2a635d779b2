//! *Sheet*.

use crate::{
    drawing::Figure,
    gui::guide::section::{Block, Keys, Place, Section},
};

pub(crate) const SECTIONS: &[Section] = &[
    Section {
        head: "How to read the drawing",
        blocks: &[
            Block::Drawing(Figure::Sheet),
            Block::Text(
                "The bed is seen from above, in millimetres, its front at the bottom. Each copy has its part's letter and hue and a number of its own. The \
                 title block has the plate's time, mass and scale.",
            ),
            Block::Terms(&[
                ("Gap ring.", "Half the gap, drawn round each copy. Two rings that cross are too close."),
                ("Footing.", "The brim or raft round the contact, that is, round what touches the bed."),
                ("Conflict.", "Cross-hatched, with its depth in millimetres."),
                ("Keep-out.", "Single-hatched: a clip or a purge area that nothing may cover."),
                ("Locked.", "A pin: moves and Pack leave the copy where it is."),
            ]),
        ],
    },
    Section {
        head: "Move copies",
        blocks: &[
            Block::Text(
                "Drag a copy, or draw a box round several. Time, cooling, filament and clearance follow while you drag. Turn with the handle. Type exact places in \
                 the particulars. One drag is one step to undo.",
            ),
            Block::Text(
                "Drop a copy on a line of the docket to move it to that plate. Pack, Top up and Deal out run in the background: take what they have so far, or cancel.",
            ),
        ],
    },
    Section {
        head: "The height strip",
        blocks: &[
            Block::Drawing(Figure::Heights),
            Block::Text(
                "The time of each layer over the height of the build. The dashed line is the minimum layer time: below it a layer has too little time to cool, and \
                 is dotted. Headroom is layer time divided by minimum layer time; below 1 the machine slows down or the part softens.",
            ),
            Block::Text(
                "Click the strip to set the height cursor: the sheet then shows the sections at that height. The worst layer and the first with one copy left are \
                 marks to press. Tall parts on one plate keep each other cool.",
            ),
        ],
    },
    Section { head: "Keys of the sheet", blocks: &[Block::Keys(Keys::Sheet), Block::Keys(Keys::ByHand(Place::Sheet))] },
    Section { head: "Keys of the height strip", blocks: &[Block::Keys(Keys::ByHand(Place::Strip))] },
];
