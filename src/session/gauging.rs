//! A machine-code file beside the plate it was made from.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{GaugedFolder, Session, SessionError, gauged_folder::name_of};
use crate::{
    document::{Copy, Plate, PlateId, Recipe, RecipeId},
    edit::Command,
    estimate::{
        PlateEstimate,
        gauge::{Basis, DwellUnit, GaugeError, Measured, PlateSize, Remark, another_plate, time_factor},
    },
    geom::Bounds,
    work::{Answer, Request, Source, Ticket, TicketId},
};

/// Endings that machine-code files go by (common practice, no source).
pub const CODE_ENDINGS: [&str; 6] = ["gcode", "gco", "g", "nc", "ngc", "tap"];

/// True where a file goes by one of [`CODE_ENDINGS`].
pub fn is_code(path: &Path) -> bool {
    path.extension().is_some_and(|e| CODE_ENDINGS.iter().any(|c| e.eq_ignore_ascii_case(c)))
}

/// A machine-code file that is measured or was, alone or as one of a folder.
#[derive(Debug)]
pub struct Gauging {
    pub(super) ticket: Ticket,
    /// The file: of a folder the one that is being measured, and then the one that is shown.
    pub path: PathBuf,
    /// The plate it is held against.
    pub plate: Option<PlateId>,
    /// How far the reading is, 0 to 1.
    pub done: f64,
    /// What was measured, once it is; of a folder once all is done.
    pub measured: Option<Arc<Measured>>,
    /// The folder, where all its files are measured.
    pub folder: Option<GaugedFolder>,
}

impl Gauging {
    /// A file whose measurement has just begun.
    pub(super) fn begun(ticket: Ticket, path: PathBuf, plate: Option<PlateId>) -> Self {
        Self { ticket, path, plate, done: 0.0, measured: None, folder: None }
    }
    /// Tells it from others.
    pub fn id(&self) -> TicketId {
        self.ticket.id
    }
    /// "gates.gcode".
    pub fn name(&self) -> String {
        name_of(&self.path)
    }
    /// How far all of it is, 0 to 1.
    pub fn share_done(&self) -> f64 {
        match &self.folder {
            _ if self.measured.is_some() => 1.0,
            Some(f) => (f.finished() as f64 + self.done) / f.count.max(1) as f64,
            None => self.done,
        }
    }
    /// Shows a file of the folder, by its place in the list; false where there is none.
    pub(super) fn show(&mut self, index: usize) -> bool {
        let Some(file) = self.folder.as_ref().and_then(|f| f.files.get(index)) else { return false };
        (self.path, self.measured) = (file.path.clone(), Some(file.measured.clone()));
        true
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
        let basis = self.gauge_basis(self.plate(), None)?;
        let ticket = self.begin_measuring(path, basis)?;
        self.gauging = Some(Gauging::begun(ticket, path.to_path_buf(), self.plate));
        Ok(())
    }

    /// Opens a file and has it measured.
    pub(super) fn begin_measuring(&mut self, path: &Path, basis: Basis) -> Result<Ticket, SessionError> {
        let (file, size) =
            self.world.stream(path).map_err(|why| SessionError::Read { path: path.to_path_buf(), why })?;
        Ok(self.runner.submit(Request::Gauge { source: Source(file), size, basis: Box::new(basis) }, 0))
    }

    /// Puts the measurement away, or ends it, for another job.
    pub(super) fn end_gauge(&mut self) {
        if let Some(g) = self.gauging.take() {
            g.ticket.cancel();
        }
    }

    /// Takes in what was measured.
    pub(super) fn take_measured(&mut self, answer: Option<Answer>) {
        // What was ended and kept as it was takes nothing in any more.
        let Some(mut g) = self.gauging.take_if(|g| g.measured.is_none()) else { return };
        let outcome = match answer {
            Some(Answer::Measured(Ok(m))) => Ok(m),
            Some(Answer::Measured(Err(why))) => Err(refusal(&g.path.display().to_string(), &why)),
            Some(Answer::Failed(why)) => Err(format!("a fault of this program: {why}; report it")),
            _ => return,
        };
        if g.folder.is_some() {
            self.go_through(g, outcome);
            return;
        }
        match outcome {
            Ok(m) => {
                g.measured = Some(m);
                self.gauging = Some(g);
            }
            Err(why) => self.tell_fault(why),
        }
    }
}

/// One sentence on why a file was not measured.
pub fn refusal(path: &str, why: &GaugeError) -> String {
    match why {
        GaugeError::Read(_) => format!("{path}: {why}"),
        _ => format!("{path} {why}"),
    }
}
