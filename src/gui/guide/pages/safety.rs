//! *Safety*. Sources: NIOSH Pocket Guide npgd0359 (flash point of 2-propanol, 12 °C); NIOSH Publication 2024-103 (particles and vapours); Stephens
//! et al. 2013 and Azimi et al. 2016 (more from ABS than from PLA); 43 °C: burn threshold of long contact, from memory of ISO 13732-1. What rules
//! ask for: common practice, no source.

use crate::gui::guide::section::{Block, Section};

pub(crate) const SECTIONS: &[Section] = &[
    Section {
        head: "Who decides",
        blocks: &[Block::Text(
            "These are short cautions, not rules. The manual of the machine's manufacturer, your site's rules, your insurer and the local fire authority \
             come first.",
        )],
    },
    Section {
        head: "Printing with nobody there",
        blocks: &[Block::Text(
            "Shifts shows which prints run with nobody present, from when to when. Ask your insurer and the fire authority before you run them. Their \
             conditions differ; they often ask for a smoke detector, clear surroundings, working temperature cut-outs and an extinguisher that people know how to use.",
        )],
    },
    Section {
        head: "Heat",
        blocks: &[Block::Text(
            "Nozzle and bed burn skin, and stay hot after the print. Let the bed fall below 43 °C before you take parts off. Shifts plans that time in.",
        )],
    },
    Section {
        head: "Particles and vapours",
        blocks: &[Block::Text(
            "Printing releases fine particles and vapours, more with ABS, ASA, PA and PC than with PLA. Ventilate, keep your distance, and read the material's safety \
             data sheet. NIOSH publication 2024-103 is a free guide for small workshops.",
        )],
    },
    Section {
        head: "Alcohol",
        blocks: &[Block::Text(
            "Alcohol for cleaning beds is highly flammable: 2-propanol gives off vapour that can catch fire from 12 °C. Never use it on a hot bed or in a closed \
             enclosure. Keep it away from every source of ignition, close the bottle, and let the bed dry before you heat it.",
        )],
    },
];
