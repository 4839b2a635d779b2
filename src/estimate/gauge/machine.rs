//! The machine that the words speak to: modes, limits, place, and what has been counted so far.

use std::collections::BTreeMap;

use super::{
    Basis, Doubts, Measured,
    arc::Plane,
    block::{Block, Mode, Motion},
    clock::{Clock, Corner},
    ledger::Ledger,
    unknown_kind::UnknownKind,
};
use crate::geom::Bounds;

/// Kinds of unknown commands told apart.
const MOST_KINDS: usize = 256;

/// What a machine would do, as far as it bears on time.
#[derive(Debug)]
pub(super) struct Machine<'a> {
    pub(super) basis: &'a Basis,
    pub(super) block: Block,
    pub(super) clock: Clock,
    pub(super) ledger: Ledger,
    pub(super) doubts: Doubts,
    pub(super) unknown: BTreeMap<UnknownKind, u64>,
    pub(super) moves: u64,
    pub(super) bead_mm: f64,
    pub(super) travel_mm: f64,
    /// What is laid above the first layer, seen from above.
    pub(super) above: Bounds,
    pub(super) dwelt_by_p: bool,
    pub(super) homed: bool,
    pub(super) held: bool,
    pub(super) ended: bool,

    // Modes.
    pub(super) unit_mm: f64,
    pub(super) relative: bool,
    pub(super) filament_relative: Option<bool>,
    pub(super) plane: Plane,
    pub(super) motion: Option<Motion>,
    /// The way of moving in force is not understood.
    pub(super) lost: bool,
    pub(super) feed_mm_s: Option<f64>,
    pub(super) speed_share: f64,
    pub(super) flow_share: f64,
    /// mm of filament for each unit of E.
    pub(super) per_e: f64,

    // Limits.
    pub(super) acceleration: f64,
    pub(super) travel_acceleration: f64,
    pub(super) retraction_acceleration: f64,
    pub(super) corner: Corner,
    /// X, Y, Z, E.
    pub(super) most_speed: [f64; 4],
    pub(super) most_acceleration: [f64; 4],
    /// Any of these is finite.
    pub(super) bounded: bool,

    // Place.
    /// From the machine's own 0, mm.
    pub(super) place: [f64; 3],
    /// What the file calls a place, less what the machine does, mm.
    pub(super) shift: [f64; 3],
    /// E as the file counts it.
    pub(super) e: f64,
    pub(super) fed_mm: f64,
    pub(super) most_fed_mm: f64,

    // Layers.
    pub(super) layer: u32,
    pub(super) layer_z: f64,
    pub(super) layer_height: f64,
}

impl<'a> Machine<'a> {
    pub(super) fn new(basis: &'a Basis) -> Self {
        Self {
            basis,
            block: Block::new(),
            clock: Clock::new(),
            ledger: Ledger::default(),
            doubts: Doubts::default(),
            unknown: BTreeMap::new(),
            moves: 0,
            bead_mm: 0.0,
            travel_mm: 0.0,
            above: Bounds::EMPTY,
            dwelt_by_p: false,
            homed: false,
            held: false,
            ended: false,
            unit_mm: 1.0,
            relative: false,
            filament_relative: None,
            plane: Plane::XY,
            motion: None,
            lost: false,
            feed_mm_s: None,
            speed_share: 1.0,
            flow_share: 1.0,
            per_e: 1.0,
            acceleration: basis.acceleration_mm_s2,
            travel_acceleration: basis.travel_acceleration_mm_s2,
            retraction_acceleration: f64::INFINITY,
            corner: Corner::Deviation(basis.junction_deviation_mm),
            most_speed: [f64::INFINITY; 4],
            most_acceleration: [f64::INFINITY; 4],
            bounded: false,
            place: [0.0; 3],
            shift: [0.0; 3],
            e: 0.0,
            fed_mm: 0.0,
            most_fed_mm: 0.0,
            layer: 0,
            layer_z: 0.0,
            layer_height: 0.0,
        }
    }

    /// The file is over.
    pub(super) fn finish(mut self) -> Measured {
        self.stop();
        self.doubts.lumped_layers = self.ledger.lumped;
        self.doubts.forced = self.clock.forced;
        // The last layer ends with its last bead.
        let (before_s, after_s) = match self.ledger.layers.len() {
            0 => (self.ledger.since_s, 0.0),
            _ => (self.ledger.before_s, self.ledger.since_s),
        };
        Measured {
            items: self.ledger.items,
            before_s,
            after_s,
            bead_mm: self.bead_mm,
            travel_mm: self.travel_mm,
            above_mm: if self.above.is_empty() { [0.0; 2] } else { [self.above.width(), self.above.height()] },
            filament_mm: self.most_fed_mm,
            layers: self.ledger.layers,
            moves: self.moves,
            lines: 0,
            bytes: 0,
            unknown: self.unknown.into_iter().map(|(k, n)| (k.words(), n)).collect(),
            doubts: self.doubts,
            basis: self.basis.clone(),
            dwelt_by_p: self.dwelt_by_p,
            homed: self.homed,
            held: self.held,
        }
    }

    /// Bytes that it holds beside itself.
    #[cfg(test)]
    pub(super) fn held(&self) -> usize {
        self.clock.held() + self.ledger.held() + self.unknown.len() * size_of::<(UnknownKind, u64)>()
    }

    /// The most that it can be.
    #[cfg(test)]
    pub(super) const fn most_held() -> usize {
        Clock::most_held() + Ledger::most_held() + (MOST_KINDS + 1) * size_of::<(UnknownKind, u64)>()
    }

    pub(super) fn stop(&mut self) {
        let ledger = &mut self.ledger;
        self.clock.stop(&mut |layer, t| ledger.stride(layer, t));
    }

    pub(super) fn count(&mut self, kind: UnknownKind) {
        let kind =
            if self.unknown.len() < MOST_KINDS || self.unknown.contains_key(&kind) { kind } else { UnknownKind::More };
        *self.unknown.entry(kind).or_default() += 1;
    }

    pub(super) fn set(&mut self, mode: Mode) {
        match mode {
            Mode::Unit(mm) => self.unit_mm = mm,
            Mode::Relative(on) => self.relative = on,
            Mode::FilamentRelative(on) => self.filament_relative = Some(on),
            Mode::Plane(p) => self.plane = p,
            Mode::AsEver => {}
        }
    }
}
