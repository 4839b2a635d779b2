//! This shop's hours.

use crate::{
    batch::zone_of,
    document::Shifts,
    edit::Command,
    session::{Session, SessionError},
};

impl Session {
    /// Sets hours, changeovers and the start of the plan. What a person sets gets the name of its time zone, so that it means the same on
    /// another computer.
    pub(in crate::session) fn set_shifts(&mut self, label: &str, shifts: Shifts) -> Result<(), SessionError> {
        let mut shifts = shifts;
        if shifts.hours != self.job().shifts.hours {
            name_zone(&mut shifts);
        }
        self.command(label, &Command::SetShifts { shifts: Box::new(shifts) })
    }

    /// The example hours that a job begins with are this shop's.
    pub(in crate::session) fn take_hours(&mut self, label: &str) -> Result<(), SessionError> {
        let mut shifts = self.job().shifts.clone();
        name_zone(&mut shifts);
        self.command(label, &Command::SetShifts { shifts: Box::new(shifts) })
    }
}

fn name_zone(shifts: &mut Shifts) {
    if shifts.hours.time_zone.is_empty() {
        let zone = zone_of(&shifts.hours);
        zone.iana_name().unwrap_or("UTC").clone_into(&mut shifts.hours.time_zone);
    }
}
