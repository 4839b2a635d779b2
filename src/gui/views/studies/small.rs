//! Plates as small drawings.

use std::{collections::BTreeMap, sync::Arc};

use egui::{Response, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, accesskit::Role};

use crate::{
    document::{Job, MachineId, PartId},
    drawing::{DrawnBed, DrawnCopy, PT_MM, Scene, label_spot, small_plate},
    geom::InnerCircle,
    gui::{
        sheet::{Camera, ScenePainter},
        theme::Theme,
    },
    plate::{PartShape, Prepared},
    studies::LaidCopy,
};

/// What a small drawing is of.
pub(super) struct Drawn<'a> {
    /// The job as it was studied.
    pub(super) job: &'a Job,
    /// Whose bed.
    pub(super) machine: MachineId,
    /// What lies on it.
    pub(super) layout: &'a Arc<[LaidCopy]>,
    /// Outlines of parts.
    pub(super) shape: &'a dyn Fn(PartId) -> Option<Arc<PartShape>>,
    /// Outlines with their rings.
    pub(super) prepared: &'a Prepared,
}

struct Kept {
    layout: Arc<[LaidCopy]>,
    machine: MachineId,
    /// Whole points.
    size: (u32, u32),
    scene: Arc<Scene>,
    used: bool,
}

/// Small drawings kept from frame to frame.
#[derive(Default)]
pub(crate) struct SmallPlates {
    kept: Vec<Kept>,
}

impl SmallPlates {
    fn scene(&mut self, drawn: &Drawn<'_>, size: Vec2) -> Arc<Scene> {
        let key = (size.x.max(0.0) as u32, size.y.max(0.0) as u32);
        let same = |k: &&mut Kept| Arc::ptr_eq(&k.layout, drawn.layout) && k.machine == drawn.machine && k.size == key;
        if let Some(kept) = self.kept.iter_mut().find(same) {
            kept.used = true;
            return kept.scene.clone();
        }
        let scene = Arc::new(scene_of(drawn, size));
        let (layout, machine) = (drawn.layout.clone(), drawn.machine);
        self.kept.push(Kept { layout, machine, size: key, scene: scene.clone(), used: true });
        scene
    }
    /// Forgets what was not drawn in this frame.
    pub(super) fn end_frame(&mut self) {
        self.kept.retain(|k| k.used);
        self.kept.iter_mut().for_each(|k| k.used = false);
    }
}

fn scene_of(drawn: &Drawn<'_>, size: Vec2) -> Scene {
    let Drawn { job, machine, layout, shape, prepared } = *drawn;
    let tolerance_mm = job.margins.tolerance_mm.max(1e-3);
    let bed = job
        .machine(machine)
        .map_or_else(DrawnBed::default, |m| DrawnBed { room: None, ..DrawnBed::of_machine(m, 0.0, tolerance_mm) });
    let mut spots: BTreeMap<PartId, Option<InnerCircle>> = BTreeMap::new();
    let copies: Vec<DrawnCopy> = layout
        .iter()
        .filter_map(|laid| {
            let shape = shape(laid.part)?;
            let spot = *spots.entry(laid.part).or_insert_with(|| label_spot(shape.shadow.region()));
            let form = prepared.get(&shape, laid.footing, &job.margins);
            Some(DrawnCopy::of_laid(job, laid, &form, spot))
        })
        .collect();
    let mm = |points: f32| f64::from(points) * PT_MM;
    small_plate(&bed, &copies, mm(size.x), mm(size.y))
}

/// A small drawing of so many points, lit while `chosen`.
pub(super) fn small(
    ui: &mut Ui,
    drawn: &Drawn<'_>,
    drawings: &mut SmallPlates,
    painter: &mut ScenePainter,
    size: Vec2,
    (words, chosen): (&str, bool),
) -> Response {
    let theme = Theme::of(ui.visuals());
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Image, true, chosen, words));
    if ui.is_rect_visible(rect) {
        let scene = drawings.scene(drawn, rect.size());
        let mut camera = Camera::default();
        camera.set_canvas(rect, scene.view);
        painter.paint(&ui.painter_at(rect), &scene.marks, &camera, theme);
    }
    if chosen || response.has_focus() || response.hovered() {
        let width = if chosen { 1.6 } else { 1.0 };
        ui.painter().rect_stroke(rect, 2.0, Stroke::new(width, theme.accent), StrokeKind::Inside);
    }
    response
}
