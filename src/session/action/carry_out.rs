//! Which file carries out which action.

use crate::{
    edit::Command,
    session::{Action, GridOf, Session, SessionError, TopUp, files::on_disk::Consent},
};

impl Session {
    /// Carries out what is asked; a refusal becomes a notice.
    pub fn act(&mut self, action: Action) {
        if let Err(why) = self.attempt(action) {
            self.tell_fault(why.to_string());
        }
    }

    /// Carries out what is asked, for who shows a refusal beside the question.
    ///
    /// # Errors
    /// As [`Self::try_act`].
    pub fn attempt(&mut self, action: Action) -> Result<(), SessionError> {
        let done = self.try_act(action);
        self.refresh();
        done
    }

    /// Carries out what is asked.
    ///
    /// # Errors
    /// One sentence on why not; the job is then as it was.
    pub fn try_act(&mut self, action: Action) -> Result<(), SessionError> {
        let name = action.name();
        match action {
            Action::New => self.start_new(),
            Action::Ask(ask) => self.asked = Some(ask),
            Action::Open(path) => self.open(&path)?,
            Action::Save => self.save()?,
            Action::SaveAs(path) => self.save_to(&path, Consent::Named)?,
            Action::SaveNew(path) => self.save_to(&path, Consent::Own)?,
            Action::Overwrite => self.overwrite()?,
            Action::SaveCopy => self.save_copy()?,
            Action::Export(folder) => self.hand_over(&folder, None)?,
            Action::ExportPlate(plate, folder) => self.hand_over(&folder, Some(plate))?,
            Action::PrintRunSheet(plate, path) => self.print_run_sheet(plate, &path)?,
            Action::PrintOn(paper) => self.hand_overs.paper = paper,
            Action::ExportAnyway => self.hand_over_anyway()?,
            Action::BothHalves(both) => self.hand_overs.both_halves = both,
            Action::CancelExport => self.cancel_hand_over(),
            Action::AddFiles(paths) => self.add_files(&paths),
            Action::Recover(path) => self.recover(&path)?,
            Action::Forget(path) => self.forget_recovery(&path),
            Action::Quit => self.quit = true,

            Action::Undo => {
                self.history.undo();
            }
            Action::Redo => {
                self.history.redo();
            }
            Action::SelectAll => self.select_all(),
            Action::SelectNone => self.select_none(),
            Action::Select { copies, additive } => self.select(&copies, additive),
            Action::SelectPart(id) => self.select_part(id),
            Action::Delete => self.command(name, &Command::RemoveCopies { copies: self.selected() })?,
            Action::Duplicate => self.duplicate(name)?,
            Action::Grid { columns, rows, pitch_x_mm, pitch_y_mm } => {
                self.grid(name, GridOf { columns, rows, pitch_x_mm, pitch_y_mm })?;
            }
            Action::Align(side) => self.align(name, side)?,
            Action::Turn(deg) => self.turn(name, deg)?,
            Action::Nudge(dx, dy) => self.nudge(name, dx, dy)?,
            Action::Put(puts) => self.put(name, puts)?,
            Action::Lock(locked) => self.command(name, &Command::LockCopies { copies: self.selected(), locked })?,
            Action::Footing(footing) => {
                self.command(name, &Command::SetFooting { copies: self.selected(), footing })?;
            }
            Action::ToPlate(target) => self.move_to_plate(name, &self.selected(), target)?,

            Action::Grab { label } => self.grab(label),
            Action::Drag { by, turn_deg } => self.drag(by, turn_deg)?,
            Action::DropIt(landing) => self.drop_it(landing)?,
            Action::LetGo => self.let_go(),

            Action::SetPart(part) => self.set_part(name, *part)?,
            Action::FootingAsPart(part) => self.footing_as_part(name, part)?,
            Action::RemovePart(id) => self.command(name, &Command::RemovePart { id })?,
            Action::LayOn(id, face) => self.lay_on(name, id, face)?,
            Action::RankPoses(id) => self.rank_poses(id),
            Action::LayDown(id, normal) => self.lay_down(name, id, normal)?,
            Action::TurnPart(id, x_deg, y_deg) => self.pose(name, id, |p| p.then_turned_deg(x_deg, y_deg))?,
            Action::Mend(id, mend) => self.add_mend(name, &[id], mend)?,
            Action::UndoMend(id, n) => self.undo_mend(name, &[id], n)?,
            Action::TurnPartAboutZ(id, z_deg) => self.pose(name, id, |p| p.then_turned_about_z_deg(z_deg))?,
            Action::OrderHands(id) => self.order_hands(name, id)?,
            Action::SplitBodies(id) => self.split(name, id)?,
            Action::ReplaceMesh(id, path) => self.replace_mesh(id, &path)?,
            Action::LocateMesh(id, path) => self.locate_mesh(id, &path)?,
            Action::LookForMeshes => self.look_for_mesh_files(),
            Action::SetUnit(id, unit) => self.set_unit(name, id, unit)?,
            Action::PlaceOne(part) => self.place_one(name, part)?,
            Action::PlaceAt(part, at) => self.place_at(name, part, at)?,

            Action::ShowPlate(id) => self.show_plate(id),
            Action::NewPlate => self.new_plate(name)?,
            Action::DuplicatePlate(id) => self.duplicate_plate(name, id)?,
            Action::MoveAllApart => self.move_all_apart(name)?,
            Action::AddKeepOut(id, outline) => self.add_keep_out(name, id, outline)?,
            Action::MoveKeepOut(id, index, by) => self.move_keep_out(name, id, index, by)?,
            Action::RemoveKeepOut(id, index) => self.remove_keep_out(name, id, index)?,
            Action::RemovePlate(id) => self.command(name, &Command::RemovePlate { id })?,
            Action::SetPlate(id, setup) => self.set_plate(name, id, setup)?,
            Action::SetTwin(id, twin) => self.set_twin(name, id, twin)?,
            Action::OrderPlate(id, place) => self.command(name, &Command::OrderPlate { id, place })?,

            Action::Pack(scope) => self.pack(name, scope)?,
            Action::TopUp(what) => self.top_up(name, what, None)?,
            Action::TopUpArea(area) => {
                let what = self.part_id().map_or(TopUp::Order, TopUp::Part);
                self.top_up(name, what, Some(area))?;
            }
            Action::KeepLying(keep) => self.keep_lying = keep,
            Action::EndBy(end_by) => self.set_end_by(end_by)?,
            Action::Deal => self.deal_out(name),
            Action::Take => self.take_best(),
            Action::Cancel => self.cancel_search(),

            Action::SetTitle(title) => self.command(name, &Command::SetTitle { title })?,
            Action::SetCurrency(currency) => self.command(name, &Command::SetCurrency { currency })?,
            Action::SetAssumptions(assumptions) => self.command(name, &Command::SetAssumptions { assumptions })?,
            Action::SuggestedFootings(plate) => self.use_suggested_footings(name, plate)?,
            Action::RecordPullTest { material, surface, test } => {
                self.command(name, &Command::RecordPullTest { material, surface, test })?;
            }
            Action::SetPreferences(preferences) => self.command(name, &Command::SetPreferences { preferences })?,
            Action::SetMargins(margins) => self.command(name, &Command::SetMargins { margins })?,
            Action::AddMachine(machine) => self.command(name, &Command::AddMachine { machine: *machine })?,
            Action::SetMachine(machine) => self.set_machine(name, *machine)?,
            Action::RemoveMachine(id) => self.command(name, &Command::RemoveMachine { id })?,
            Action::AddMaterial(material) => self.command(name, &Command::AddMaterial { material: *material })?,
            Action::SetMaterial(material) => self.command(name, &Command::SetMaterial { material: *material })?,
            Action::RemoveMaterial(id) => self.command(name, &Command::RemoveMaterial { id })?,
            Action::AddRecipe(recipe) => self.command(name, &Command::AddRecipe { recipe: *recipe })?,
            Action::SetRecipe(recipe) => self.command(name, &Command::SetRecipe { recipe: *recipe })?,
            Action::RemoveRecipe(id) => self.command(name, &Command::RemoveRecipe { id })?,
            Action::AddSpool(spool) => self.command(name, &Command::AddSpool { spool: *spool })?,
            Action::SetSpool(spool) => self.command(name, &Command::SetSpool { spool: *spool })?,
            Action::RemoveSpool(id) => self.command(name, &Command::RemoveSpool { id })?,
            Action::ChooseSpool(plate, spool) => self.command(name, &Command::ChooseSpool { plate, spool })?,
            Action::ChooseTwinSpool(plate, spool) => self.command(name, &Command::ChooseTwinSpool { plate, spool })?,
            Action::KeepAsShop => self.keep_as_shop()?,
            Action::RefreshFromShop => self.refresh_from_shop(name),

            Action::SetShifts(shifts) => self.set_shifts(name, *shifts)?,
            Action::ImproveSequence => self.improve_sequence()?,
            Action::CancelImprove => self.cancel_improving(),
            Action::UseHours => self.take_hours(name)?,
            Action::SaveTimeline(file, path) => self.save_timeline(file, &path, Consent::Named)?,
            Action::SaveNewTimeline(file, path) => self.save_timeline(file, &path, Consent::Own)?,
            Action::MarkRun(plate, mark) => self.mark_run(plate, mark)?,
            Action::MoveRun { plate, machine, before } => self.move_run(name, plate, machine, before)?,

            Action::Tally(entry) => self.tally(name, &[*entry])?,
            Action::RemoveOutcome(id) => self.command(name, &Command::RemoveOutcome { id })?,
            Action::ReadTally(path) => self.read_tally(name, &path)?,
            Action::WriteTally(path) => self.write_tally_csv(&path)?,
            Action::UseLearned(offer) => self.use_learned(name, offer)?,
            Action::Tick(plate, item, by) => self.tick_item(name, plate, item, &by)?,
            Action::Untick(plate, item) => self.untick_item(name, plate, &item)?,
            Action::NozzleChanged(machine) => self.nozzle_changed(name, machine)?,
            Action::SetReadiness(readiness) => self.command(name, &Command::SetReadiness { readiness })?,

            Action::Gauge(path) => self.gauge(&path)?,
            Action::TakeFactor => self.take_factor(name)?,
            Action::SetFactor(plate, factor) => self.set_factor(name, plate, factor)?,
            Action::GaugeFolder(path) => self.gauge_folder(&path)?,
            Action::ShowGauged(index) => self.show_gauged(index)?,
            Action::EndGauge => self.stop_gauge(),

            Action::Study(wish) => self.study(wish)?,
            Action::CancelStudy => self.cancel_study(),
            Action::UseFooting(part, footing) => self.use_footing(name, part, footing)?,
            Action::LayOutStudied(row) => self.lay_out_studied(name, row)?,
            Action::LayOutCopies(row) => self.lay_out_copies(name, row)?,
            Action::UsePlateRow(row) => self.use_plate_row(name, row)?,

            Action::ShowHeight(mm) => self.height_mm = mm.filter(|v| v.is_finite()),
            Action::Remedy(remedy) => self.mend(remedy)?,
        }
        Ok(())
    }
}
