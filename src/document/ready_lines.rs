//! The checklist of a plate, line by line.

use jiff::Timestamp;

use super::{Job, MachineId, Plate, ReadyItem, ReadyLine, Sensor, TailFixed, Tick};

impl Job {
    /// Plates that ended on a machine after a time: tallied or marked as ended.
    pub fn plates_run_since(&self, machine: MachineId, since: Timestamp) -> usize {
        let tallied = self.tally.outcomes().iter().filter(|o| o.machine == machine && o.ended > since).count();
        let ended =
            |p: &&Plate| p.machine == machine && !self.tally.has(p.id) && p.run.ended.is_some_and(|t| t > since);
        tallied + self.plates.iter().filter(ended).count()
    }
    /// Plates that ended on a machine since its surface was refreshed; `None` where nobody said when that was.
    pub fn plates_since_surface(&self, machine: MachineId) -> Option<usize> {
        let refreshed = |t: &&Tick| t.item == ReadyItem::Surface && t.machine == machine;
        let when = self.readiness.ticks.iter().find(refreshed)?.when;
        Some(self.plates_run_since(machine, when))
    }

    /// The checklist of a plate. `delicate` names the copies that are tall, thin or leaning.
    pub fn ready_lines(&self, plate: &Plate, delicate: &[String]) -> Vec<ReadyLine> {
        let own = self.readiness.own.iter().map(|text| ReadyItem::Own(text.clone()));
        ReadyItem::ALL.into_iter().chain(own).map(|item| self.ready_line(plate, item, delicate)).collect()
    }

    fn ready_line(&self, plate: &Plate, item: ReadyItem, delicate: &[String]) -> ReadyLine {
        let ready = &self.readiness;
        let tick = ready.tick(&item, plate);
        let since = tick.map(|t| self.plates_run_since(plate.machine, t.when));
        let machine = self.machine(plate.machine).map_or("the machine", |m| m.name.as_str());
        let material = self.material(plate.material).map_or("this material", |m| m.name.as_str());
        let mut holds = true;
        let after = |most: u32| since.is_some_and(|n| n < most as usize);
        let (text, why) = match &item {
            ReadyItem::Tuned => {
                let nozzle = ready.nozzles.iter().find(|n| n.machine == plate.machine).map(|n| n.when);
                let newer = |t: &Tick| nozzle.is_some_and(|n| n > t.when);
                let other = |t: &Tick| t.material.is_some_and(|m| m != plate.material);
                holds = tick.is_none_or(|t| !newer(t) && !other(t));
                let why = match tick {
                    Some(t) if newer(t) => "The nozzle was changed since.".to_owned(),
                    Some(t) if other(t) => "It was tuned for another material.".to_owned(),
                    _ => "Another nozzle or material needs other temperatures and flow.".to_owned(),
                };
                (format!("{machine} is tuned for {material}"), why)
            }
            ReadyItem::Level => {
                holds = after(ready.level_plates);
                let why = due(since, ready.level_plates, "A bed out of level spoils first layers on one side.");
                ("Level checked".to_owned(), why)
            }
            ReadyItem::Surface => {
                holds = after(ready.surface_plates);
                let why = due(since, ready.surface_plates, "A surface holds less with every plate.");
                ("Adhesive or surface refreshed".to_owned(), why)
            }
            ReadyItem::Clean => {
                ("Surface clean".to_owned(), "Grease and dust keep the first layer from holding.".to_owned())
            }
            ReadyItem::Spool => self.spool_line(plate),
            ReadyItem::Copies if delicate.is_empty() => {
                ("Copies looked at".to_owned(), "None is known to be tall, thin or leaning.".to_owned())
            }
            ReadyItem::Copies => {
                let names = some_of(delicate);
                (format!("Tall, thin or leaning copies looked at: {names}"), "They tip over first.".to_owned())
            }
            ReadyItem::FirstLayer => (
                "First layer watched".to_owned(),
                "What does not hold in the first layer comes loose later.".to_owned(),
            ),
            ReadyItem::Removal => {
                let at = self.shifts.changeover.removal_c;
                let text = format!("Parts come off below {at} °C");
                (text, "Warm parts bend, and a hot bed burns skin.".to_owned())
            }
            ReadyItem::Own(text) => (text.clone(), "An item of this job.".to_owned()),
        };
        let done = tick.filter(|_| holds).map(|t| (t.when, t.by.clone()));
        ReadyLine { item, text, why, done }
    }

    fn spool_line(&self, plate: &Plate) -> (String, String) {
        let Some(spool) = plate.spool.and_then(|id| self.spool(id)) else {
            return ("Spool chosen, and enough on it".into(), "No spool is chosen for this plate.".into());
        };
        let text = format!("Spool {} fits, its end seen to", spool.name);
        let why = match (spool.tail_fixed, spool.sensor) {
            (TailFixed::Unknown, _) => "Nobody has said whether its end is fixed to the hub.",
            (TailFixed::Yes, Sensor::Presence) => {
                "Its end is fixed to the hub and never passes the presence sensor: no pause at the end."
            }
            (TailFixed::Yes, Sensor::Motion) => {
                "Its end is fixed to the hub; the motion sensor should pause the machine."
            }
            (_, Sensor::None) => "Nothing notices the end of the filament.",
            (TailFixed::No, Sensor::Presence | Sensor::Motion) => "The sensor should pause the machine at its end.",
        };
        (text, why.into())
    }
}

/// How many plates an item still holds for.
fn due(since: Option<usize>, most: u32, why: &str) -> String {
    let plates = |n: usize| if n == 1 { "1 plate".to_owned() } else { format!("{n} plates") };
    match since {
        None => why.to_owned(),
        Some(n) => format!("{} since then; due after {}.", plates(n), plates(most as usize)),
    }
}

/// "E 14, E 15 and 3 more".
fn some_of(names: &[String]) -> String {
    const SHOWN: usize = 6;
    let shown = names.iter().take(SHOWN).map(String::as_str).collect::<Vec<_>>().join(", ");
    if names.len() > SHOWN { format!("{shown} and {} more", names.len() - SHOWN) } else { shown }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{MaterialId, check::sample::job};

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).expect("a time")
    }

    fn tick(job: &Job, item: ReadyItem, second: i64) -> Tick {
        let p = &job.plates[0];
        let plate = Some(p.id).filter(|_| !item.is_of_machine());
        Tick { item, machine: p.machine, plate, material: Some(p.material), when: at(second), by: "JK".into() }
    }

    fn open(job: &Job) -> Vec<ReadyItem> {
        job.ready_lines(&job.plates[0], &[]).into_iter().filter(|l| l.done.is_none()).map(|l| l.item).collect()
    }

    #[test]
    fn items_are_ticked_and_taken_back() {
        let mut j = job();
        j.readiness.own.push("Door shut".into());
        assert_eq!(open(&j).len(), 9);
        for item in [ReadyItem::Clean, ReadyItem::Tuned, ReadyItem::Own("Door shut".into())] {
            let t = tick(&j, item, 100);
            j.readiness.set(t);
        }
        assert_eq!(open(&j).len(), 6);
        let again = tick(&j, ReadyItem::Clean, 200);
        j.readiness.set(again);
        assert_eq!(j.readiness.ticks.len(), 3);
        let plate = j.plates[0].clone();
        j.readiness.unset(&ReadyItem::Clean, &plate);
        assert_eq!(open(&j).len(), 7);
    }

    #[test]
    fn tuning_ends_with_the_nozzle_and_the_material() {
        let mut j = job();
        let t = tick(&j, ReadyItem::Tuned, 100);
        j.readiness.set(t);
        let machine = j.plates[0].machine;
        assert!(!open(&j).contains(&ReadyItem::Tuned));
        j.readiness.nozzle_changed(machine, at(150));
        assert!(open(&j).contains(&ReadyItem::Tuned));
        let t = Tick { material: Some(MaterialId(999)), ..tick(&j, ReadyItem::Tuned, 200) };
        j.readiness.set(t);
        assert!(open(&j).contains(&ReadyItem::Tuned));
    }

    #[test]
    fn the_surface_is_due_after_so_many_plates() {
        let mut j = job();
        j.readiness.surface_plates = 1;
        let t = tick(&j, ReadyItem::Surface, 100);
        j.readiness.set(t);
        assert!(!open(&j).contains(&ReadyItem::Surface));
        let machine = j.plates[0].machine;
        assert_eq!(j.plates_since_surface(machine), Some(0));
        j.plates[0].run.ended = Some(at(101));
        assert_eq!(j.plates_since_surface(machine), Some(1));
        assert!(open(&j).contains(&ReadyItem::Surface));
    }

    #[test]
    fn delicate_copies_are_named() {
        let j = job();
        let names: Vec<String> = (1..=8).map(|n| format!("E {n}")).collect();
        let lines = j.ready_lines(&j.plates[0], &names);
        let line = lines.iter().find(|l| l.item == ReadyItem::Copies).expect("there is one");
        assert!(line.text.ends_with("E 6 and 2 more"), "{}", line.text);
    }
}
