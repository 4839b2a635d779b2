//! The time factor of a recipe, typed or measured.

use crate::{
    document::{PlateId, Recipe},
    edit::Command,
    session::{Session, SessionError},
};

impl Session {
    /// Gives the recipe of the plate at hand the time factor that was measured.
    pub(super) fn take_factor(&mut self, label: &str) -> Result<(), SessionError> {
        let plate = self.gauging().and_then(|g| g.plate);
        let (Some(plate), Some(factor)) = (plate, self.measured_factor()) else {
            return Err(SessionError::Other(
                "there is no measurement to compare the estimate with: gauge a file first".into(),
            ));
        };
        self.set_factor(label, plate, factor)
    }

    /// Gives a plate's recipe another time factor.
    pub(super) fn set_factor(&mut self, label: &str, plate: PlateId, time_factor: f64) -> Result<(), SessionError> {
        let job = self.job();
        let recipe = job.plate(plate).and_then(|p| job.recipe(p.recipe)).cloned();
        let recipe = recipe.ok_or_else(|| SessionError::Other("this plate's recipe is missing".into()))?;
        self.command(label, &Command::SetRecipe { recipe: Recipe { time_factor, ..recipe } })
    }
}
