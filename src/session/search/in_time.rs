//! Pack and Top up with as many copies as end by a time.

use std::sync::Arc;

use crate::{
    batch::{TimeSpread, zone_of},
    document::PlateId,
    estimate::FootingProfile,
    packing::{Aim, Layout},
    plate::{Target, Task},
    session::{
        Arranging, EndBy, InTimeTold, Session, SessionError,
        derived::keys::{profile_key, shape_key},
        search::{
            as_command::{command_of, without_room},
            fingerprint::Fingerprint,
            in_time_told::InTime,
        },
    },
    studies::{MostInTime, PlateTimer},
    words,
};

impl Session {
    /// By when Pack and Top up have a plate end; `None` for as many copies as fit.
    pub fn end_by(&self) -> Option<&EndBy> {
        self.end_by.as_ref()
    }

    /// What came of the latest Pack or Top up by a time.
    pub fn in_time_told(&self) -> Option<&InTimeTold> {
        self.in_time_told.as_ref()
    }

    pub(in crate::session) fn set_end_by(&mut self, end_by: Option<EndBy>) -> Result<(), SessionError> {
        if let Some(e) = &end_by
            && !(e.chance > 0.0 && e.chance < 1.0)
        {
            let why = format!("a chance of {} cannot be: choose one between 0 and 1, such as 0.9", e.chance);
            return Err(SessionError::Other(why));
        }
        self.end_by = end_by;
        Ok(())
    }

    /// Begins a search for as many copies as end by a time, on one plate.
    pub(in crate::session) fn arrange_in_time(
        &mut self,
        label: &str,
        task: Task,
        plate: PlateId,
        end_by: &EndBy,
        bound_of: Option<PlateId>,
    ) -> Result<(), SessionError> {
        let (timer, in_time) = self.timer(&task, plate, end_by)?;
        self.in_time_told = None;
        self.arrange_with(label, task, false, bound_of, Some((timer, in_time)));
        Ok(())
    }

    fn timer(&self, task: &Task, plate: PlateId, end_by: &EndBy) -> Result<(PlateTimer, InTime), SessionError> {
        let other = SessionError::Other;
        let job = self.job();
        let number = job.plate_number(plate).unwrap_or(0);
        let missing = || other(format!("plate {number} has no machine, material or recipe: choose them first"));
        let its = job.plate(plate).ok_or_else(missing)?;
        let machine = job.machine(its.machine).ok_or_else(missing)?;
        let material = job.material(its.material).ok_or_else(missing)?;
        let recipe = job.recipe(its.recipe).ok_or_else(missing)?;
        let between = end_by.between(&zone_of(&job.shifts.hours), self.now()).map_err(other)?;
        let mut costs = Vec::new();
        for shape in 0..task.problem.shapes.len() {
            let part = task.mapping.part(shape).and_then(|id| job.part(id));
            let (Some(part), Some(footing)) = (part, task.mapping.footing(shape)) else { return Err(missing()) };
            let not_ready = || {
                other(format!("the layers of {} are still being worked out: try again when they are there", part.name))
            };
            let profile = profile_key(job, part).and_then(|k| self.caches.profiles.get(&k)).ok_or_else(not_ready)?;
            let profile = profile.clone().map_err(|why| other(format!("{} cannot be timed: {why}", part.name)))?;
            let outline = shape_key(job, part).and_then(|k| self.caches.shapes_by_key.get(&k)).ok_or_else(not_ready)?;
            let footing = FootingProfile::compute(outline.contact.region(), footing, recipe)
                .map_err(|why| other(format!("{} cannot be timed: {why}", part.name)))?;
            costs.push((profile, Arc::new(footing)));
        }
        let spread = TimeSpread::of(&job.assumptions);
        let longest_s = spread.longest_s(between.available_s(), end_by.chance);
        let timer = PlateTimer {
            machine: machine.clone(),
            material: material.clone(),
            recipe: recipe.clone(),
            costs,
            longest_s,
        };
        let packs = matches!(task.problem.aim, Aim::Pack { .. });
        let hours = job.shifts.hours.clone();
        Ok((timer, InTime { plate, between, chance: end_by.chance, longest_s, spread, hours, packs }))
    }

    /// Takes in what a search by a time has found.
    pub(super) fn end_in_time(&mut self, a: &Arranging, found: Result<(Arc<Layout>, MostInTime), String>) {
        let Some(in_time) = &a.in_time else { return };
        let (layout, most) = match found {
            Ok(found) => found,
            Err(why) => {
                self.tell_fault(why);
                return;
            }
        };
        let job = self.history.shared_job();
        if Fingerprint::new(&job, &a.concern).number() != a.ticket.fingerprint {
            self.tell_fault("what was arranged has changed meanwhile: ask again");
            return;
        }
        let number = job.plate_number(in_time.plate).unwrap_or(0);
        let placed = a.task.mapping.back(&layout);
        let left_out = without_room(&placed);
        let on_further = placed.plates.iter().filter(|p| matches!(p.target, Target::New(_)));
        let further: Vec<_> = on_further.flat_map(|p| &p.copies).filter_map(|c| c.copy).collect();
        let is_further = !further.is_empty();
        let name = |id: &crate::document::CopyId| job.copy(*id).map(|(_, c)| job.copy_name(c)).unwrap_or_default();
        let taken_off: Vec<String> = further.iter().chain(&left_out).map(name).collect();
        let added = placed.plates.iter().flat_map(|p| &p.copies).filter(|c| c.copy.is_none()).count();
        let stay = job.plate(in_time.plate).map_or(0, |p| p.copies.len()).saturating_sub(taken_off.len());
        let told = in_time.told(&most, (added, stay), taken_off, is_further && left_out.is_empty());
        let mut text = format!("plate {number}: {}", told.words);
        let in_time_at_all = most.is_in_time(in_time.longest_s);
        if !in_time_at_all && most.count == 0 && most.stay_s > 0.0 {
            let why = if in_time.packs {
                "what is locked there takes too long by itself"
            } else {
                "as it is it takes too long already"
            };
            text = format!("{text}; {why}");
        } else if in_time.packs && most.count == 0 && most.of > 0 {
            // An empty plate is not what anybody asked for.
            let why = format!("plate {number}: not even 1 copy ends in time; everything stays where it is");
            self.tell_fault(why);
            return;
        } else if !in_time.packs && added == 0 && most.of == 0 {
            text = format!("{text}; no room was found for another copy");
        }
        self.in_time_told = Some(told);
        let changes = added > 0 || !left_out.is_empty() || *layout != a.task.mapping.now();
        if changes && (in_time.packs || added > 0) {
            let moved = a.task.mapping.moved(&placed);
            match self.history.apply(&a.label, &command_of(&a.task, &layout, false)) {
                Ok(_) if moved > 0 && !in_time.packs => {
                    text = format!("{text}; {} moved to make room", words::copies(moved))
                }
                Ok(_) => {}
                Err(why) => {
                    self.in_time_told = None;
                    self.tell_fault(why.to_string());
                    return;
                }
            }
        }
        self.tell(text);
    }
}
