//! Carrying out what a person asks for.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

use super::{
    Action, Ask, GridOf, Landing, Scope, Session, SessionError, Side, TopUp,
    arranging::{Arranging, setup_of},
    derived::Pending,
    fingerprint::{Concern, Fingerprint},
    saving::Consent,
};
use crate::{
    document::{BedSide, Copy, CopyId, Job, MeshRef, Part, PartId, Plate, PlateId, PlateSpread, Pose, Preferences},
    edit::{Command, NewPart, Outcome, PlateSetup, PlateTarget, Put},
    finding::Remedy,
    geom::{Bounds, Placement, Point},
    mesh,
    packing::{self, Aim, Layout},
    plate::{self, Checker, Task, move_apart, nearest_free, prepare_push, push_aside},
    watch::{Quiet, Watch},
    work::{Deadline, Request},
};

/// Time for placing single copies while the person waits.
const AT_ONCE: std::time::Duration = std::time::Duration::from_millis(400);

impl Session {
    /// Carries out what is asked; a refusal becomes a notice.
    pub fn act(&mut self, action: Action) {
        if let Err(why) = self.try_act(action) {
            self.tell_fault(why.to_string());
        }
        self.refresh();
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
            Action::Save => match self.path.clone() {
                Some(path) => self.save_to(&path, Consent::Own)?,
                None => self.asked = Some(Ask::SaveAs),
            },
            Action::SaveAs(path) => self.save_to(&path, Consent::Named)?,
            Action::SaveNew(path) => self.save_to(&path, Consent::Own)?,
            Action::Overwrite => self.overwrite()?,
            Action::SaveCopy => self.save_copy()?,
            Action::Export(folder) => self.hand_over(&folder)?,
            Action::ExportAnyway => self.hand_over_anyway()?,
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
            Action::SelectAll => {
                self.selection = self.plate().into_iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
            }
            Action::SelectNone => {
                self.selection.clear();
                self.part = None;
            }
            Action::Select { copies, additive } => self.select(&copies, additive),
            Action::SelectPart(id) => {
                self.part = Some(id);
                self.selection =
                    self.plate().into_iter().flat_map(|p| &p.copies).filter(|c| c.part == id).map(|c| c.id).collect();
            }
            Action::Delete => {
                let copies = self.selected();
                self.change(name, &Command::RemoveCopies { copies })?;
            }
            Action::Duplicate => self.duplicate(name)?,
            Action::Grid { columns, rows, pitch_x_mm, pitch_y_mm } => {
                self.grid(name, GridOf { columns, rows, pitch_x_mm, pitch_y_mm })?;
            }
            Action::Align(side) => self.align(name, side)?,
            Action::Turn(deg) => {
                let puts = self.puts(|c| (c.x_mm, c.y_mm, tidy_deg(c.turn_deg + deg)));
                self.put(name, puts)?;
            }
            Action::Nudge(dx, dy) => {
                let puts = self.puts(|c| (c.x_mm + dx, c.y_mm + dy, c.turn_deg));
                self.put(name, puts)?;
            }
            Action::Put(puts) => self.put(name, puts)?,
            Action::Lock(locked) => {
                let copies = self.selected();
                self.change(name, &Command::LockCopies { copies, locked })?;
            }
            Action::Footing(footing) => {
                let copies = self.selected();
                self.change(name, &Command::SetFooting { copies, footing })?;
            }
            Action::ToPlate(target) => {
                let copies = self.selected();
                self.move_to_plate(name, &copies, target)?;
            }

            Action::Grab { label } => {
                self.history.begin(label);
                self.drag_base = self.plate.and_then(|p| self.view(p)).map(|v| v.conflicts.clone()).unwrap_or_default();
                // Others may be asked to make room when it is let go.
                if let Some(checker) = self.plate.and_then(|p| self.checker(p)).cloned() {
                    rayon::spawn(move || prepare_push(&checker));
                }
            }
            Action::Drag { by, turn_deg } => self.drag(by, turn_deg)?,
            Action::DropIt(landing) => {
                self.land(landing)?;
                self.bring_back()?;
                self.history.commit();
                // A number must never depend on the way there: everything afresh on the drop.
                if let Some(p) = self.plate {
                    self.caches.views.remove(&p);
                }
            }
            Action::LetGo => {
                self.history.abort();
                if let Some(p) = self.plate {
                    self.caches.views.remove(&p);
                }
            }

            Action::SetPart(part) => {
                self.change(name, &Command::SetPart { part: *part })?;
            }
            Action::RemovePart(id) => {
                self.change(name, &Command::RemovePart { id })?;
            }
            Action::LayOn(id, face) => {
                let normal = self
                    .hull_faces(id)
                    .get(face)
                    .map(|f| f.normal)
                    .ok_or_else(|| SessionError::Other("this part has no such face".into()))?;
                self.pose(name, id, |p| p.laid_on(normal))?;
            }
            Action::TurnPart(id, x_deg, y_deg) => self.pose(name, id, |p| p.then_turned_deg(x_deg, y_deg))?,
            Action::SplitBodies(id) => self.split(name, id)?,
            Action::ReplaceMesh(id, path) => self.replace_mesh(id, &path)?,
            Action::LocateMesh(id, path) => self.locate_mesh(id, &path)?,
            Action::SetUnit(id, unit) => {
                let job = self.job();
                let mesh = job.part(id).and_then(|p| job.mesh(&p.mesh)).cloned();
                let mesh = mesh.ok_or_else(|| SessionError::Other("there is no such part".into()))?;
                self.change(name, &Command::SetMeshRef { mesh: MeshRef { unit, ..mesh } })?;
            }
            Action::PlaceOne(part) => self.place_one(name, part)?,
            Action::PlaceAt(part, at) => {
                let plate = self.plate_for(part)?;
                let put = Put { copy: None, part, plate, x_mm: at.x, y_mm: at.y, turn_deg: 0.0 };
                let out = self.put_new(name, vec![put])?;
                self.plate = out.plates.first().copied().or(self.plate);
                self.selection = out.copies.into_iter().collect();
            }

            Action::ShowPlate(id) => {
                if self.job().plate(id).is_some() {
                    self.plate = Some(id);
                    self.selection.clear();
                }
            }
            Action::NewPlate => {
                let setup = self.new_plate_setup()?;
                let out = self.add_plate(name, setup)?;
                self.plate = out.plates.first().copied().or(self.plate);
                self.selection.clear();
            }
            Action::DuplicatePlate(id) => self.duplicate_plate(name, id)?,
            Action::MoveAllApart => self.move_all_apart(name)?,
            Action::AddKeepOut(id, outline) => self.add_keep_out(name, id, outline)?,
            Action::MoveKeepOut(id, index, by) => self.move_keep_out(name, id, index, by)?,
            Action::RemoveKeepOut(id, index) => self.remove_keep_out(name, id, index)?,
            Action::RemovePlate(id) => {
                self.change(name, &Command::RemovePlate { id })?;
            }
            Action::SetPlate(id, setup) => {
                let machine = setup.machine;
                self.change_beds(name, &Command::SetPlate { id, setup }, |m| m == machine)?;
            }
            Action::OrderPlate(id, place) => {
                self.change(name, &Command::OrderPlate { id, place })?;
            }

            Action::Pack(scope) => self.pack(name, scope)?,
            Action::TopUp(what) => self.top_up(name, what, None)?,
            Action::TopUpArea(area) => {
                let what = self.part_id().map_or(TopUp::Order, TopUp::Part);
                self.top_up(name, what, Some(area))?;
            }
            Action::KeepLying(keep) => self.keep_lying = keep,
            Action::Take => {
                if let Some(a) = &self.arranging {
                    a.ticket.cancel();
                }
            }
            Action::Cancel => {
                // What is discarded is not waited for.
                if let Some(a) = self.arranging.take() {
                    a.ticket.cancel();
                }
            }

            Action::SetTitle(title) => {
                self.change(name, &Command::SetTitle { title })?;
            }
            Action::SetCurrency(currency) => {
                self.change(name, &Command::SetCurrency { currency })?;
            }
            Action::SetPreferences(preferences) => {
                self.change(name, &Command::SetPreferences { preferences })?;
            }
            Action::SetMargins(margins) => {
                self.change(name, &Command::SetMargins { margins })?;
            }
            Action::AddMachine(machine) => {
                self.change(name, &Command::AddMachine { machine: *machine })?;
            }
            Action::SetMachine(machine) => {
                let id = machine.id;
                self.change_beds(name, &Command::SetMachine { machine: *machine }, |m| m == id)?;
            }
            Action::RemoveMachine(id) => {
                self.change(name, &Command::RemoveMachine { id })?;
            }
            Action::AddMaterial(material) => {
                self.change(name, &Command::AddMaterial { material: *material })?;
            }
            Action::SetMaterial(material) => {
                self.change(name, &Command::SetMaterial { material: *material })?;
            }
            Action::RemoveMaterial(id) => {
                self.change(name, &Command::RemoveMaterial { id })?;
            }
            Action::AddRecipe(recipe) => {
                self.change(name, &Command::AddRecipe { recipe: *recipe })?;
            }
            Action::SetRecipe(recipe) => {
                self.change(name, &Command::SetRecipe { recipe: *recipe })?;
            }
            Action::RemoveRecipe(id) => {
                self.change(name, &Command::RemoveRecipe { id })?;
            }
            Action::AddSpool(spool) => {
                self.change(name, &Command::AddSpool { spool: *spool })?;
            }
            Action::SetSpool(spool) => {
                self.change(name, &Command::SetSpool { spool: *spool })?;
            }
            Action::RemoveSpool(id) => {
                self.change(name, &Command::RemoveSpool { id })?;
            }
            Action::ChooseSpool(plate, spool) => {
                self.change(name, &Command::ChooseSpool { plate, spool })?;
            }
            Action::KeepAsShop => self.keep_as_shop()?,
            Action::RefreshFromShop => self.refresh_from_shop(name),
            Action::Gauge(path) => self.gauge(&path)?,
            Action::TakeFactor => {
                let plate = self.gauging().and_then(|g| g.plate);
                let (Some(plate), Some(factor)) = (plate, self.measured_factor()) else {
                    return Err(SessionError::Other(
                        "there is no measurement to compare the estimate with: gauge a file first".into(),
                    ));
                };
                self.set_factor(name, plate, factor)?;
            }
            Action::GaugeFolder(path) => self.gauge_folder(&path)?,
            Action::ShowGauged(index) => self.show_gauged(index)?,
            Action::EndGauge => self.stop_gauge(),
            Action::SetFactor(plate, factor) => self.set_factor(name, plate, factor)?,

            Action::ShowHeight(mm) => self.height_mm = mm.filter(|v| v.is_finite()),
            Action::Remedy(remedy) => self.mend(remedy)?,
        }
        Ok(())
    }

    /// Carries out one command as one undo step.
    pub(super) fn change(&mut self, label: &str, command: &Command) -> Result<Outcome, SessionError> {
        Ok(self.history.apply(label, command)?)
    }

    fn selected(&self) -> Vec<CopyId> {
        self.selection.iter().copied().collect()
    }

    fn select(&mut self, copies: &[CopyId], additive: bool) {
        let here: Vec<CopyId> = self.plate().into_iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
        if !additive {
            self.selection.clear();
        }
        for id in copies.iter().filter(|c| here.contains(c)) {
            // One copy asked for again is let go; a whole marquee only ever adds.
            if additive && copies.len() == 1 && self.selection.contains(id) {
                self.selection.remove(id);
            } else {
                self.selection.insert(*id);
            }
        }
        if let [one] = self.selected()[..] {
            self.part = self.job().copy(one).map(|(_, c)| c.part).or(self.part);
        }
    }

    /// New places for what is selected and not locked.
    fn puts(&self, to: impl Fn(&Copy) -> (f64, f64, f64)) -> Vec<Put> {
        let Some(plate) = self.plate() else { return Vec::new() };
        self.selected_copies(plate)
            .filter(|c| !c.locked)
            .map(|c| {
                let (x_mm, y_mm, turn_deg) = to(c);
                put_of(c, plate.id, x_mm, y_mm, turn_deg)
            })
            .collect()
    }

    fn selected_copies<'a>(&'a self, plate: &'a Plate) -> impl Iterator<Item = &'a Copy> + 'a {
        plate.copies.iter().filter(|c| self.selection.contains(&c.id))
    }

    fn put(&mut self, label: &str, puts: Vec<Put>) -> Result<(), SessionError> {
        if puts.is_empty() {
            return Err(SessionError::Other("everything selected is locked: unlock it first".into()));
        }
        self.put_new(label, puts)?;
        Ok(())
    }

    pub(super) fn put_new(&mut self, label: &str, puts: Vec<Put>) -> Result<Outcome, SessionError> {
        let (puts, brought) = self.kept_on_sheet(&self.shared_job(), puts);
        let out = self.change(label, &Command::PutCopies { puts, remove: Vec::new(), drop_empty_plates: false })?;
        self.tell_brought(brought);
        Ok(out)
    }

    fn drag(&mut self, by: Point, turn_deg: f64) -> Result<(), SessionError> {
        if !self.history.in_gesture() {
            self.history.begin("Move");
        }
        let before = self.history.before_gesture();
        let Some(plate) = self.plate.and_then(|id| before.plate(id)) else { return Ok(()) };
        let moving: Vec<&Copy> = plate.copies.iter().filter(|c| self.selection.contains(&c.id) && !c.locked).collect();
        let middle = Bounds::of(moving.iter().map(|c| Point::new(c.x_mm, c.y_mm))).centre();
        let turn = Placement::new(0.0, 0.0, turn_deg.to_radians());
        let puts: Vec<Put> = moving
            .into_iter()
            .map(|c| {
                let at = Point::new(c.x_mm, c.y_mm);
                let to = if turn_deg == 0.0 { at } else { middle + turn.apply(at - middle) } + by;
                put_of(c, plate.id, to.x, to.y, tidy_deg(c.turn_deg + turn_deg))
            })
            .collect();
        let command = Command::PutCopies { puts, remove: Vec::new(), drop_empty_plates: false };
        self.history.preview(&command)?;
        Ok(())
    }

    /// Lets what is dragged down: where it finds itself without room, it stays there all the same.
    fn land(&mut self, landing: Landing) -> Result<(), SessionError> {
        if landing == Landing::There || !self.history.in_gesture() {
            return Ok(());
        }
        let job = self.shared_job();
        let Some(plate) = self.plate.and_then(|id| job.plate(id)) else { return Ok(()) };
        let copy = |id: CopyId| plate.copies.iter().find(|c| c.id == id);
        let laid: Vec<(CopyId, Placement)> = plate
            .copies
            .iter()
            .filter(|c| self.selection.contains(&c.id) && !c.locked)
            .map(|c| (c.id, c.placement()))
            .collect();
        let checker = Checker::new(&job, plate, self.shapes(), self.prepared());
        let moved = match landing {
            Landing::There => None,
            Landing::NearestFree => {
                let searching = Deadline::new(&Quiet, Some(self.drop_time.mul_f64(0.7)));
                let watch = Deadline::new(&Quiet, Some(self.drop_time));
                nearest_free(&checker, &[], &laid, &searching, &watch)
            }
            Landing::PushAside => {
                let parting = Deadline::new(&Quiet, Some(self.drop_time / 2));
                let watch = Deadline::new(&Quiet, Some(self.drop_time));
                push_aside(&checker, &laid, |id| copy(id).is_some_and(|c| !c.locked), &parting, &watch)
            }
        };
        let Some(moved) = moved else {
            self.tell("no free place near by: it stays where you dropped it");
            return Ok(());
        };
        let puts = moved
            .iter()
            .filter_map(|(id, at)| copy(*id).map(|c| put_of(c, plate.id, at.x, at.y, c.turn_deg)))
            .collect();
        self.history.preview(&Command::PutCopies { puts, remove: Vec::new(), drop_empty_plates: false })?;
        Ok(())
    }

    /// What was dragged off the sheet lies at the edge of the bed.
    fn bring_back(&mut self) -> Result<(), SessionError> {
        if !self.history.in_gesture() {
            return Ok(());
        }
        let puts = self.puts(|c| (c.x_mm, c.y_mm, c.turn_deg));
        let (puts, brought) = self.kept_on_sheet(&self.shared_job(), puts);
        if brought > 0 {
            self.history.preview(&Command::PutCopies { puts, remove: Vec::new(), drop_empty_plates: false })?;
            self.tell_brought(brought);
        }
        Ok(())
    }

    /// Box of a copy's shadow and footing on the bed.
    pub fn copy_bounds(&self, copy: &Copy) -> Option<Bounds> {
        let job = self.job();
        let shape = self.shapes().get(&copy.part)?;
        let form = self.prepared().get(shape, job.footing(copy), &job.margins);
        Some(form.bounds_at(copy.placement()))
    }

    pub(super) fn shadow_bounds(&self, copy: &Copy) -> Option<Bounds> {
        Some(self.shapes().get(&copy.part)?.shadow.region().placed(copy.placement()).bounds())
    }

    fn align(&mut self, label: &str, side: Side) -> Result<(), SessionError> {
        let Some(plate) = self.plate() else { return Ok(()) };
        let boxes: BTreeMap<CopyId, Bounds> =
            self.selected_copies(plate).filter_map(|c| Some((c.id, self.shadow_bounds(c)?))).collect();
        let all = boxes.values().fold(Bounds::EMPTY, |a, b| a.union(*b));
        let puts = self.puts(|c| {
            let Some(b) = boxes.get(&c.id) else { return (c.x_mm, c.y_mm, c.turn_deg) };
            let (dx, dy) = match side {
                Side::Left => (all.min.x - b.min.x, 0.0),
                Side::Right => (all.max.x - b.max.x, 0.0),
                Side::Front => (0.0, all.min.y - b.min.y),
                Side::Back => (0.0, all.max.y - b.max.y),
                Side::MiddleAcross => (all.centre().x - b.centre().x, 0.0),
                Side::MiddleUp => (0.0, all.centre().y - b.centre().y),
            };
            (c.x_mm + dx, c.y_mm + dy, c.turn_deg)
        });
        self.put(label, puts)
    }

    fn duplicate(&mut self, label: &str) -> Result<(), SessionError> {
        let Some(plate) = self.plate() else { return Ok(()) };
        let id = plate.id;
        let mut counts: BTreeMap<PartId, usize> = BTreeMap::new();
        for c in self.selected_copies(plate) {
            *counts.entry(c.part).or_default() += 1;
        }
        let puts = self.find_room(id, &counts)?;
        let (asked, found) = (counts.values().sum::<usize>(), puts.len());
        let out = self.put_new(label, puts)?;
        self.selection = out.copies.into_iter().collect();
        if found < asked {
            self.tell(format!("only {found} of {asked} more copies fit on this plate"));
        }
        Ok(())
    }

    /// Places for more copies on a plate, everything else staying where it is; an error where none fits.
    pub(super) fn find_room(&self, plate: PlateId, counts: &BTreeMap<PartId, usize>) -> Result<Vec<Put>, SessionError> {
        let (job, shapes, prepared) = (self.job(), self.shapes(), self.prepared());
        let mut work = job.clone();
        let mut puts = Vec::new();
        for (&part, &count) in counts {
            let mut task = plate::top_up_task(&work, &[plate], Some(part), None, true, shapes, prepared)
                .map_err(|e| SessionError::Other(e.to_string()))?;
            if let Aim::TopUp { at_most, .. } = &mut task.problem.aim {
                for m in at_most {
                    *m = (*m).min(count);
                }
            }
            let quiet = Quiet;
            let deadline: Deadline<'_, Layout> = Deadline::new(&quiet, Some(AT_ONCE));
            let layout = packing::solve(&task.problem, 1, Some(1), &deadline as &dyn Watch<Layout>);
            let found: Vec<Put> = task
                .mapping
                .back(&layout)
                .plates
                .iter()
                .flat_map(|p| &p.copies)
                .map(|c| Put {
                    copy: None,
                    part: c.part,
                    plate: PlateTarget::Existing(plate),
                    x_mm: c.at.x,
                    y_mm: c.at.y,
                    turn_deg: c.turn_deg(),
                })
                .collect();
            let more = Command::PutCopies { puts: found.clone(), remove: Vec::new(), drop_empty_plates: false };
            work = crate::edit::apply(&work, &more)?.0;
            puts.extend(found);
        }
        if puts.is_empty() {
            return Err(SessionError::Other(
                "no room for another copy here: pack this plate, or make a new one".into(),
            ));
        }
        Ok(puts)
    }

    fn place_one(&mut self, label: &str, part: PartId) -> Result<(), SessionError> {
        let PlateTarget::Existing(plate) = self.plate_for(part)? else {
            // The first copy on a new plate lies in the middle.
            return self.on_new_plate(label, part);
        };
        let puts = self.find_room(plate, &BTreeMap::from([(part, 1)]))?;
        let out = self.put_new(label, puts)?;
        self.plate = Some(plate);
        self.selection = out.copies.into_iter().collect();
        Ok(())
    }

    fn on_new_plate(&mut self, label: &str, part: PartId) -> Result<(), SessionError> {
        let plate = self.plate_for(part)?;
        let machine = match &plate {
            PlateTarget::New(_, setup) => self.job().machine(setup.machine),
            PlateTarget::Existing(_) => None,
        };
        let (w, d) = machine.map_or((200.0, 200.0), |m| m.bed.size_mm());
        let put = Put { copy: None, part, plate, x_mm: w / 2.0, y_mm: d / 2.0, turn_deg: 0.0 };
        let out = self.put_new(label, vec![put])?;
        self.plate = out.plates.first().copied().or(self.plate);
        self.selection = out.copies.into_iter().collect();
        Ok(())
    }

    /// The plate shown where the part belongs there, or a new one for it.
    fn plate_for(&self, part: PartId) -> Result<PlateTarget, SessionError> {
        let job = self.job();
        let p = job.part(part).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        match self.plate() {
            Some(plate) if job.belongs(p, plate) => Ok(PlateTarget::Existing(plate.id)),
            _ => Ok(PlateTarget::New(0, self.setup_for(p)?)),
        }
    }

    /// A plate for a part, on the machine of the plate shown or the first one that is high enough.
    fn setup_for(&self, part: &Part) -> Result<PlateSetup, SessionError> {
        let job = self.job();
        let height = self.shapes().get(&part.id).map_or(0.0, |s| s.height_mm);
        let shown = self.plate().and_then(|p| job.machine(p.machine));
        let machine = shown
            .filter(|m| m.height_mm >= height)
            .or_else(|| job.machines.iter().find(|m| m.height_mm >= height))
            .or(job.machines.first())
            .ok_or_else(|| SessionError::Other("there is no machine in the job: add one first".into()))?;
        Ok(PlateSetup {
            machine: machine.id,
            material: part.material,
            colour: part.colour.clone(),
            recipe: part.recipe,
        })
    }

    fn new_plate_setup(&self) -> Result<PlateSetup, SessionError> {
        if let Some(p) = self.plate() {
            return Ok(setup_of(p));
        }
        let job = self.job();
        if let Some(part) = job.parts.first() {
            return self.setup_for(part);
        }
        match (job.machines.first(), job.materials.first(), job.recipes.first()) {
            (Some(m), Some(material), Some(r)) => {
                Ok(PlateSetup { machine: m.id, material: material.id, colour: String::new(), recipe: r.id })
            }
            _ => Err(SessionError::Other("a plate needs a machine, a material and a recipe: add them first".into())),
        }
    }

    /// A plate set up so, made from the spool of the one shown where that fits; one step back.
    fn add_plate(&mut self, label: &str, setup: PlateSetup) -> Result<Outcome, SessionError> {
        let spool = self.plate().and_then(|p| p.spool);
        let (with, out) = crate::edit::apply(self.job(), &Command::AddPlate { setup })?;
        let chosen = out.plates.first().filter(|_| spool.is_some()).map(|&plate| Command::ChooseSpool { plate, spool });
        let with = match chosen {
            Some(command) => crate::edit::apply(&with, &command)?.0,
            None => with,
        };
        self.history.begin(label);
        self.history.show(with);
        self.history.commit();
        Ok(out)
    }

    /// Flat faces of the part's hull in its pose, largest first.
    pub fn hull_faces(&self, part: PartId) -> Vec<mesh::HullFace> {
        let job = self.job();
        let Some(p) = job.part(part) else { return Vec::new() };
        let (Some(loaded), Some(linear)) = (self.library.loaded(&p.mesh), Self::linear(job, p)) else {
            return Vec::new();
        };
        mesh::hull_faces(&loaded.body(p.body).posed(&linear).0)
    }

    fn pose(&mut self, label: &str, id: PartId, to: impl Fn(Pose) -> Pose) -> Result<(), SessionError> {
        let part = self.job().part(id).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        let part = Part { pose: to(part.pose), ..part.clone() };
        self.change(label, &Command::SetPart { part })?;
        Ok(())
    }

    fn split(&mut self, label: &str, id: PartId) -> Result<(), SessionError> {
        let job = self.job();
        let part = job.part(id).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        let loaded = self.library.loaded(&part.mesh).cloned();
        let bodies = loaded.as_ref().map_or(0, |l| l.bodies().len());
        if part.body.is_some() || bodies < 2 {
            return Err(SessionError::Other(format!("{} is one body: there is nothing to split", part.name)));
        }
        let Some(mesh) = job.mesh(&part.mesh) else { return Ok(()) };
        let parts = (0..bodies as u32)
            .map(|n| NewPart {
                mesh: MeshRef { body: Some(n), ..mesh.clone() },
                name: format!("{} {}", part.name, n + 1),
                wanted: part.wanted,
                pose: part.pose,
                footing: part.footing,
                turns: part.turns,
                material: Some(part.material),
                colour: part.colour.clone(),
                recipe: Some(part.recipe),
            })
            .collect();
        // Two commands, one step back: the whole is a gesture.
        let (with, out) = crate::edit::apply(job, &Command::AddParts { parts })?;
        let (without, _) = crate::edit::apply(&with, &Command::RemovePart { id })?;
        self.history.begin(label);
        self.history.show(without);
        self.history.commit();
        self.part = out.parts.first().copied();
        Ok(())
    }

    /// A search needs the outlines of the job as it is now.
    fn outlines_are_there(&self) -> Result<(), SessionError> {
        let computed = |p: &&Part| {
            let key = Self::shape_key(self.job(), p);
            key.is_none_or(|key| !self.pending.values().any(|(_, p)| *p == Pending::Shape(key.clone())))
        };
        match self.job().parts.iter().find(|p| !computed(p)) {
            None => Ok(()),
            Some(p) => Err(SessionError::Other(format!("{} {} is still being read: try again", p.letter, p.name))),
        }
    }

    fn pack(&mut self, label: &str, scope: Scope) -> Result<(), SessionError> {
        self.outlines_are_there()?;
        let job = self.job_to_arrange();
        let (job, shapes, prepared) = (&job, self.shapes(), self.prepared());
        let here: Vec<PlateId> = self.plate.into_iter().collect();
        let all: Vec<PlateId> = job.plates.iter().map(|p| p.id).collect();
        let (task, drop_empty) = match scope {
            Scope::Plate => (plate::pack_task(job, &here, None, false, shapes, prepared), false),
            Scope::Selection => (plate::pack_task(job, &here, Some(&self.selection), false, shapes, prepared), false),
            Scope::Job => (plate::pack_task(job, &all, None, false, shapes, prepared), true),
            Scope::Order => (plate::order_task(job, shapes, prepared), false),
        };
        let task = task.map_err(|e| SessionError::Other(e.to_string()))?;
        self.arrange(label, task, drop_empty, None);
        Ok(())
    }

    fn top_up(&mut self, label: &str, what: TopUp, area: Option<Bounds>) -> Result<(), SessionError> {
        self.outlines_are_there()?;
        let part = match what {
            TopUp::Part(id) => Some(id),
            TopUp::Order => None,
        };
        let here: Vec<PlateId> = self.plate.into_iter().collect();
        let (job, keep) = (self.job_to_arrange(), self.keep_lying);
        let task = plate::top_up_task(&job, &here, part, area, keep, self.shapes(), self.prepared())
            .map_err(|e| SessionError::Other(e.to_string()))?;
        // What fits an area is not what fits the plate.
        self.arrange(label, task, false, self.plate.filter(|_| area.is_none()));
        Ok(())
    }

    /// Begins a search. Its result is one undo step.
    pub(super) fn arrange(&mut self, label: &str, task: Task, drop_empty: bool, bound_of: Option<PlateId>) {
        let task = Arc::new(task);
        let limits = self.limits;
        let topped = match &task.problem.aim {
            Aim::TopUp { shares, .. } => {
                let mut topped = (0..shares.len()).filter(|&s| shares[s] > 0.0);
                let one = topped.next().filter(|_| topped.next().is_none());
                one.and_then(|s| task.mapping.part(s))
            }
            Aim::Pack { .. } => None,
        };
        let bound = match &task.problem.aim {
            // The search's bound is on the copies that are asked for and may be moved; a person counts all copies on the
            // plate: of the part that is topped up, or of all.
            Aim::TopUp { .. } if task.problem.beds.len() == 1 => packing::top_up_bound(&task.bounding()).map(|more| {
                let plate = bound_of.and_then(|id| self.job().plate(id));
                let counted = |c: &&Copy| topped.is_none_or(|part| c.part == part);
                let there = plate.map_or(0, |p| p.copies.iter().filter(counted).count());
                let in_it = task.asked_there();
                packing::Bound { value: more.value + there.saturating_sub(in_it) as u64, ..more }
            }),
            Aim::TopUp { .. } => None,
            Aim::Pack { .. } => packing::beds_bound(&task.bounding()),
        };
        let concern = Concern::of(&task, self.job());
        let print = Fingerprint::new(self.job(), &concern).number();
        let ticket = self.runner.submit(
            Request::Arrange {
                now: Some(task.mapping.now()).filter(|now| now.count() > 0),
                problem: Arc::new(task.problem.clone()),
                seed: limits.seed,
                rounds: limits.rounds,
                limit: limits.time,
                wishes: wishes_of(&self.job().preferences),
                dealing: dealing_of(self.job(), &task),
            },
            print,
        );
        self.arranging = Some(Arranging {
            ticket,
            label: label.into(),
            done: 0.0,
            what: String::new(),
            bound,
            task,
            best: None,
            shown: None,
            drop_empty,
            bound_of,
            begun_with: self.history.shared_job(),
            concern,
            limit: limits.time,
            topped,
        });
    }

    fn mend(&mut self, remedy: Remedy) -> Result<(), SessionError> {
        let label = remedy.label();
        match remedy {
            Remedy::MoveApart { copies } | Remedy::MoveOntoBed { copies } => self.move_clear(label, &copies)?,
            Remedy::MoveToNewPlate { copies } => self.move_to_plate(label, &copies, None)?,
            Remedy::Remove { copies } => {
                self.change(label, &Command::RemoveCopies { copies })?;
            }
            Remedy::PackPlate { plate } => {
                self.plate = Some(plate);
                self.pack(label, Scope::Plate)?;
            }
            Remedy::PackOnMorePlates { plates, copies } => {
                let only: BTreeSet<CopyId> = copies.into_iter().collect();
                let job = self.job_to_arrange();
                let task = plate::pack_task(&job, &plates, Some(&only), true, self.shapes(), self.prepared());
                let task = task.map_err(|e| SessionError::Other(e.to_string()))?;
                self.arrange(label, task, false, None);
            }
            Remedy::PlaceMissing { .. } => self.pack(label, Scope::Order)?,
            Remedy::LocateMesh { mesh } => {
                if let Some(part) = self.job().parts.iter().find(|p| p.mesh == mesh) {
                    self.asked = Some(Ask::LocateMesh(part.id));
                }
            }
            Remedy::TakeChangedMesh { mesh } => self.take_changed(&mesh)?,
            Remedy::Show { copies } => {
                if let Some((plate, _)) = copies.first().and_then(|c| self.job().copy(*c)) {
                    self.plate = Some(plate.id);
                    self.selection = copies.into_iter().collect();
                }
            }
        }
        Ok(())
    }

    /// Moves one of the copies to the nearest place where it is in no conflict.
    fn move_clear(&mut self, label: &str, copies: &[CopyId]) -> Result<(), SessionError> {
        let job = self.job();
        for id in copies.iter().rev() {
            let Some((plate, copy)) = job.copy(*id).filter(|(_, c)| !c.locked) else { continue };
            let Some(at) = self.checker(plate.id).and_then(|c| move_apart(c, *id)) else { continue };
            let put = put_of(copy, plate.id, at.x, at.y, copy.turn_deg);
            return self.put(label, vec![put]);
        }
        Err(SessionError::Other("no free place near by: move it by hand, or pack this plate".into()))
    }
}

/// What the search is to prefer.
fn wishes_of(p: &Preferences) -> packing::Wishes {
    let away = p.away_from.map(BedSide::direction).map(|(x, y)| (Point::new(x, y), p.away));
    packing::Wishes { middle: p.middle, away, tall_back: p.tall_back, tall_apart: p.tall_apart, travel: p.travel }
}

/// How several plates are filled, and the shapes of each part that is to stay together.
fn dealing_of(job: &Job, task: &Task) -> packing::Dealing {
    let spread = match job.preferences.spread {
        PlateSpread::FullThenRest => packing::Spread::FullThenRest,
        PlateSpread::Even => packing::Spread::Even,
    };
    let shapes_of = |part: PartId| -> Vec<usize> {
        (0..task.problem.shapes.len()).filter(|&s| task.mapping.part(s) == Some(part)).collect()
    };
    let together = job.parts.iter().filter(|p| p.together).map(|p| shapes_of(p.id)).filter(|s| !s.is_empty());
    packing::Dealing { spread, together: together.collect() }
}

fn put_of(c: &Copy, plate: PlateId, x_mm: f64, y_mm: f64, turn_deg: f64) -> Put {
    Put { copy: Some(c.id), part: c.part, plate: PlateTarget::Existing(plate), x_mm, y_mm, turn_deg }
}

/// From 0 to 360, without the dust of floating point.
fn tidy_deg(deg: f64) -> f64 {
    let t = ((deg * 1e9).round() / 1e9).rem_euclid(360.0);
    if t >= 360.0 { 0.0 } else { t }
}
