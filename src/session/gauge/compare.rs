//! A measurement compared with the plate it was made from.

use crate::{
    document::{Copy, Plate, PlateId, Recipe, RecipeId},
    estimate::{
        PlateEstimate,
        gauge::{Basis, DwellUnit, Measured, PlateSize, Remark, another_plate, time_factor},
    },
    geom::Bounds,
    session::{Gauging, Session, SessionError},
};

impl Session {
    /// The machine-code file that is measured or was.
    pub fn gauging(&self) -> Option<&Gauging> {
        self.gauging.as_ref()
    }

    /// What a measurement takes for granted: a recipe's numbers, a plate's machine.
    ///
    /// # Errors
    /// Numbers that no time can be made from.
    pub fn gauge_basis(&self, plate: Option<&Plate>, recipe: Option<&Recipe>) -> Result<Basis, SessionError> {
        let job = self.job();
        let machine = plate.and_then(|p| job.machine(p.machine));
        let dwell =
            if machine.is_some_and(|m| m.dwells_in_seconds) { DwellUnit::Seconds } else { DwellUnit::default() };
        let plain = Recipe::plain(RecipeId(0));
        let recipe = recipe.or_else(|| plate.and_then(|p| job.recipe(p.recipe))).unwrap_or(&plain);
        Basis::of(recipe, dwell).map_err(|e| SessionError::Other(e.to_string()))
    }

    /// A plate's estimate and the time factor it was made with.
    pub fn estimate_to_compare(&self, plate: PlateId) -> Option<(&PlateEstimate, f64)> {
        let estimate = self.view(plate)?.estimate.as_ref()?;
        let recipe = self.job().recipe(self.job().plate(plate)?.recipe)?;
        Some((estimate, recipe.time_factor))
    }

    /// The time factor with which a plate's estimate agrees with a measurement, as exactly as people write it.
    pub fn factor_for(&self, plate: PlateId, measured: &Measured) -> Option<f64> {
        let (estimate, factor) = self.estimate_to_compare(plate)?;
        time_factor(estimate, factor, measured.items.moving_s()).map(|f| (f * 1e4).round() / 1e4)
    }

    /// The same for the file and plate at hand.
    pub fn measured_factor(&self) -> Option<f64> {
        let g = self.gauging.as_ref()?;
        self.factor_for(g.plate?, g.measured.as_ref()?)
    }

    /// Remarks on a measurement; first a *watch* where it is plainly not of the plate that it is compared with.
    pub fn remarks_on(&self, plate: Option<PlateId>, measured: &Measured) -> Vec<Remark> {
        let other = plate.and_then(|id| self.of_another_plate(id, measured));
        other.into_iter().chain(measured.remarks()).collect()
    }

    fn of_another_plate(&self, plate: PlateId, measured: &Measured) -> Option<Remark> {
        let plate = self.job().plate(plate)?;
        let (estimate, _) = self.estimate_to_compare(plate.id)?;
        let size = |of: &dyn Fn(&Copy) -> Option<Bounds>| {
            let all = plate.copies.iter().filter_map(of).fold(Bounds::EMPTY, Bounds::union);
            (!all.is_empty()).then(|| [all.width(), all.height()])
        };
        let bare_mm = size(&|c| self.shadow_bounds(c))?;
        let footed_mm = size(&|c| self.copy_bounds(c))?;
        another_plate(PlateSize { bare_mm, footed_mm }, estimate, measured)
    }
}
