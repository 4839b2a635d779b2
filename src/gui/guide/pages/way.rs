//! *From mesh to machine*.

use crate::{
    drawing::Figure,
    gui::guide::section::{Block, Section},
};

pub(crate) const SECTIONS: &[Section] = &[
    Section {
        head: "The way of an order",
        blocks: &[
            Block::Drawing(Figure::Way),
            Block::Steps(&[
                (
                    "Add parts.",
                    "Drop mesh files (STL, OBJ, 3MF) on the window, or use Add part… in the order. Each mesh becomes a line there. Type how many copies are wanted, and by when.",
                ),
                (
                    "Set up the machine.",
                    "Press the bare bed: the particulars on the right have the machine, its bed and keep-outs, the material and the recipe. Save to shop file keeps them for other jobs.",
                ),
                (
                    "Lay each part down.",
                    "Select a part. In its particulars, choose a face… lists ways to lay it down, best first. The footing (bare, a brim, a raft) is what holds it down.",
                ),
                (
                    "Place the copies.",
                    "Place the order fills plates. Pack arranges tighter, Top up adds as many more as fit, Deal out spreads the order over machines and days. Or drag lines of the order onto the bed.",
                ),
                (
                    "Read the findings.",
                    "Stop: the plate must not run so. Watch: it needs an eye. Note: worth knowing. Where there is a remedy, it is a button.",
                ),
                ("Plan the day.", "Shifts shows when each plate runs and who is there then."),
                (
                    "Hand over.",
                    "Job, Hand over… writes placements, 3MF, STL and a drawing of each plate. Open the 3MF in your toolpath program, and do not let it arrange the copies again.",
                ),
            ]),
        ],
    },
    Section {
        head: "What Stonehand does not do",
        blocks: &[Block::Text(
            "It makes no toolpaths and drives no machine. Times are estimates: gauge one file of your toolpath program (Job, Gauge a machine-code \
             file…), and set the recipe's time factor from it with one press.",
        )],
    },
    Section {
        head: "What is assumed",
        blocks: &[Block::Text(
            "Adhesion, forces, failure rates, changeover times and hours are assumptions until you set them. Each is shown where it is used, and each is \
             yours to change. Margins against tipping over are a ranking, not a promise.",
        )],
    },
    Section {
        head: "Nothing is lost",
        blocks: &[Block::Text(
            "Everything can be undone. Unsaved work is kept as you go and offered after a crash. Mesh files are never changed: mends are made in \
             Stonehand's own copy.",
        )],
    },
];
