//! Readiness: what somebody looks at before a plate starts, and who did.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::{MachineId, MaterialId, Plate, PlateId};

/// Something to look at before a plate starts.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReadyItem {
    /// Temperature, flow and retraction are tuned for this nozzle and material.
    Tuned,
    /// The bed is level.
    Level,
    /// The surface holds: adhesive or the sheet itself was refreshed.
    Surface,
    /// The surface is clean.
    Clean,
    /// The spool fits: enough on it, and its end is dealt with.
    Spool,
    /// Copies that are tall, thin or leaning were looked at.
    Copies,
    /// The first layer was watched.
    FirstLayer,
    /// The temperature at which parts come off is known.
    Removal,
    /// One of the job's own.
    Own(String),
}

impl ReadyItem {
    /// All but the job's own, in the order of the list.
    pub const ALL: [Self; 8] = [
        Self::Tuned,
        Self::Level,
        Self::Surface,
        Self::Clean,
        Self::Spool,
        Self::Copies,
        Self::FirstLayer,
        Self::Removal,
    ];
    /// Is it a matter of the machine, and holds for plates to come?
    pub fn is_of_machine(&self) -> bool {
        matches!(self, Self::Tuned | Self::Level | Self::Surface)
    }
}

/// An item that somebody saw to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tick {
    /// What.
    pub item: ReadyItem,
    /// On which machine.
    pub machine: MachineId,
    /// For which plate; `None` where it is of the machine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate: Option<PlateId>,
    /// The material at the time: another one is not tuned by it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<MaterialId>,
    /// When.
    pub when: Timestamp,
    /// Initials of who.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
}

/// A nozzle that was changed: its machine has to be tuned again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NozzleChange {
    /// Of which machine.
    pub machine: MachineId,
    /// When.
    pub when: Timestamp,
}

/// What was seen to, and how often it is due.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Readiness {
    /// After so many plates the surface is refreshed. Common practice, no source.
    #[serde(default = "surface_plates")]
    pub surface_plates: u32,
    /// After so many plates the level is looked at again. Common practice, no source.
    #[serde(default = "level_plates")]
    pub level_plates: u32,
    /// Items of the job's own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub own: Vec<String>,
    /// What was seen to: the latest of each item, machine and plate.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ticks: Vec<Tick>,
    /// The latest change of nozzle of each machine.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub nozzles: Vec<NozzleChange>,
}

fn surface_plates() -> u32 {
    10
}

fn level_plates() -> u32 {
    20
}

impl Default for Readiness {
    fn default() -> Self {
        Self {
            surface_plates: surface_plates(),
            level_plates: level_plates(),
            own: Vec::new(),
            ticks: Vec::new(),
            nozzles: Vec::new(),
        }
    }
}

/// A line of the checklist of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadyLine {
    /// Which item.
    pub item: ReadyItem,
    /// What to see to.
    pub text: String,
    /// Why, in one line.
    pub why: String,
    /// When it was seen to and by whom; `None` while it is open.
    pub done: Option<(Timestamp, String)>,
}

impl Readiness {
    pub(super) fn is_default(&self) -> bool {
        *self == Self::default()
    }
    /// Was anything ever said?
    pub fn is_in_use(&self) -> bool {
        !self.ticks.is_empty() || !self.own.is_empty()
    }
    fn key(tick: &Tick) -> (&ReadyItem, MachineId, Option<PlateId>) {
        (&tick.item, tick.machine, tick.plate)
    }
    /// The latest tick of an item for a plate on its machine.
    pub fn tick(&self, item: &ReadyItem, plate: &Plate) -> Option<&Tick> {
        let of = Some(plate.id).filter(|_| !item.is_of_machine());
        self.ticks.iter().find(|t| Self::key(t) == (item, plate.machine, of))
    }
    /// Keeps a tick, in place of an earlier one of the same.
    pub fn set(&mut self, tick: Tick) {
        match self.ticks.iter_mut().find(|t| Self::key(t) == Self::key(&tick)) {
            Some(old) => *old = tick,
            None => self.ticks.push(tick),
        }
    }
    /// Takes an item's tick back.
    pub fn unset(&mut self, item: &ReadyItem, plate: &Plate) {
        let of = Some(plate.id).filter(|_| !item.is_of_machine());
        self.ticks.retain(|t| Self::key(t) != (item, plate.machine, of));
    }
    /// Keeps a change of nozzle.
    pub fn nozzle_changed(&mut self, machine: MachineId, when: Timestamp) {
        self.nozzles.retain(|n| n.machine != machine);
        self.nozzles.push(NozzleChange { machine, when });
    }
}
