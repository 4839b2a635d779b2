//! Left and right: a part and its mirror image, ordered as a pair; and plates that are printed twice at once.

use crate::{
    document::{MeshRef, Part, PartId, PlateId, Twin},
    edit::{Command, NewPart, apply},
    session::{Session, SessionError},
};

impl Session {
    /// Adds the mirror image of a part as an order line of its own, as many wanted, and links the two: a handed twin makes one
    /// of each. One step back.
    pub(super) fn order_hands(&mut self, label: &str, id: PartId) -> Result<(), SessionError> {
        let job = self.shared_job();
        let part = job.part(id).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        if let Some(other) = part.other_hand.and_then(|id| job.part(id)) {
            let why =
                format!("{} {} has its other hand already: {} {}", part.letter, part.name, other.letter, other.name);
            return Err(SessionError::Other(why));
        }
        let Some(mesh) = job.mesh(&part.mesh) else { return Ok(()) };
        let (own_name, name) = names(&part.name);
        let new = NewPart {
            mesh: MeshRef { body: part.body, ..mesh.clone() },
            name,
            wanted: part.wanted,
            pose: part.pose.other_hand(),
            footing: part.footing,
            turns: part.turns,
            material: Some(part.material),
            colour: part.colour.clone(),
            recipe: Some(part.recipe),
        };
        let (mut with, out) = apply(&job, &Command::AddParts { parts: vec![new] })?;
        let Some(&other) = out.parts.first() else { return Ok(()) };
        let mut then = |command: Command| -> Result<(), SessionError> {
            with = apply(&with, &command)?.0;
            Ok(())
        };
        if !part.mends.is_empty() {
            then(Command::SetMends { parts: vec![other], mends: part.mends.clone() })?;
        }
        then(Command::SetPart { part: Part { name: own_name, other_hand: Some(other), ..part.clone() } })?;
        let Some(mirrored) = with.part(other) else { return Ok(()) };
        let mirrored = Part {
            other_hand: Some(id),
            due: part.due.clone(),
            together: part.together,
            clean_up: part.clean_up,
            ..mirrored.clone()
        };
        let (with, _) = apply(&with, &Command::SetPart { part: mirrored })?;
        self.change_to(label, with);
        Ok(())
    }

    /// Prints a plate once, or twice at once.
    pub(super) fn set_twin(&mut self, label: &str, plate: PlateId, twin: Option<Twin>) -> Result<(), SessionError> {
        let job = self.job();
        let machine = job.plate(plate).and_then(|p| job.machine(p.machine));
        if let Some(m) = machine.filter(|m| twin.is_some() && m.carriages.is_none()) {
            return Err(SessionError::Other(format!(
                "{} has one carriage: set two carriages in its particulars, or choose another machine",
                m.name
            )));
        }
        self.command(label, &Command::SetTwin { plate, twin })
    }
}

/// The names of a part and of its other hand.
fn names(name: &str) -> (String, String) {
    let sides = ["left", "right"];
    for (side, other) in [(sides[0], sides[1]), (sides[1], sides[0])] {
        if let Some(plain) = name.strip_suffix(&format!("({side})")) {
            return (name.to_owned(), format!("{plain}({other})"));
        }
    }
    (format!("{name} (left)"), format!("{name} (right)"))
}

#[cfg(test)]
mod tests {
    use super::names;

    #[test]
    fn a_name_that_says_its_hand_keeps_it() {
        assert_eq!(names("gate"), ("gate (left)".into(), "gate (right)".into()));
        assert_eq!(names("gate (right)"), ("gate (right)".into(), "gate (left)".into()));
    }
}
