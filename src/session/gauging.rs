//! A machine-code file beside the plate it was made from.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{Session, SessionError};
use crate::{
    document::{Plate, PlateId, Recipe, RecipeId},
    edit::Command,
    estimate::{
        PlateEstimate,
        gauge::{Basis, DwellUnit, GaugeError, Measured, time_factor},
    },
    work::{Answer, Request, Source, Ticket, TicketId},
};

/// Endings that machine-code files go by (common practice, no source).
pub const CODE_ENDINGS: [&str; 6] = ["gcode", "gco", "g", "nc", "ngc", "tap"];

/// True where a file goes by one of [`CODE_ENDINGS`].
pub fn is_code(path: &Path) -> bool {
    path.extension().is_some_and(|e| CODE_ENDINGS.iter().any(|c| e.eq_ignore_ascii_case(c)))
}

/// A machine-code file that is measured or was.
#[derive(Debug)]
pub struct Gauging {
    pub(super) ticket: Ticket,
    /// The file.
    pub path: PathBuf,
    /// The plate it is held against.
    pub plate: Option<PlateId>,
    /// How far the reading is, 0 to 1.
    pub done: f64,
    /// What was measured, once it is.
    pub measured: Option<Arc<Measured>>,
}

impl Gauging {
    /// Tells it from others.
    pub fn id(&self) -> TicketId {
        self.ticket.id
    }
    /// "gates.gcode".
    pub fn name(&self) -> String {
        self.path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }
}

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

    /// Gives a plate's recipe another time factor.
    pub(super) fn set_factor(&mut self, label: &str, plate: PlateId, time_factor: f64) -> Result<(), SessionError> {
        let job = self.job();
        let recipe = job.plate(plate).and_then(|p| job.recipe(p.recipe)).cloned();
        let recipe = recipe.ok_or_else(|| SessionError::Other("this plate's recipe is missing".into()))?;
        self.change(label, &Command::SetRecipe { recipe: Recipe { time_factor, ..recipe } })?;
        Ok(())
    }

    /// Begins to measure a file, in place of the one before.
    pub(super) fn gauge(&mut self, path: &Path) -> Result<(), SessionError> {
        let basis = Box::new(self.gauge_basis(self.plate(), None)?);
        let (file, size) =
            self.world.stream(path).map_err(|why| SessionError::Read { path: path.to_path_buf(), why })?;
        let ticket = self.runner.submit(Request::Gauge { source: Source(file), size, basis }, 0);
        self.gauging = Some(Gauging { ticket, path: path.to_path_buf(), plate: self.plate, done: 0.0, measured: None });
        Ok(())
    }

    /// Puts the measurement away, or ends it.
    pub(super) fn end_gauge(&mut self) {
        if let Some(g) = self.gauging.take() {
            g.ticket.cancel();
        }
    }

    /// Takes in what was measured.
    pub(super) fn take_measured(&mut self, answer: Option<Answer>) {
        let Some(g) = &mut self.gauging else { return };
        let path = g.path.display().to_string();
        match answer {
            Some(Answer::Measured(Ok(m))) => {
                g.measured = Some(m);
                return;
            }
            Some(Answer::Measured(Err(why))) => self.tell_fault(refusal(&path, &why)),
            Some(Answer::Failed(why)) => self.tell_fault(format!("a fault of this program: {why}; report it")),
            _ => {}
        }
        self.gauging = None;
    }
}

/// One sentence on why a file was not measured.
pub fn refusal(path: &str, why: &GaugeError) -> String {
    match why {
        GaugeError::Read(_) => format!("{path}: {why}"),
        _ => format!("{path} {why}"),
    }
}
