//! The small drawing of a way to lay a part down.

use egui::{Response, Sense, Ui, Vec2, WidgetInfo, accesskit::Role};

use crate::{
    document::Part,
    drawing::{self, PT_MM},
    gui::{sheet::Camera, theme::Theme, view::View},
    stability::PoseView,
};

/// Its size, points.
const SIZE: Vec2 = Vec2::new(88.0, 44.0);

/// Draws the n-th pose of a part, counted from 1; room for it while it is not there yet.
pub(super) fn show(ui: &mut Ui, pose: Option<&PoseView>, n: usize, part: &Part, view: &mut View) -> Response {
    let theme = Theme::of(ui.visuals());
    let (rect, response) = ui.allocate_exact_size(SIZE, Sense::click());
    let words = format!("pose {n} of {} from above and from the front", part.letter);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    if let Some(pose) = pose {
        let mm = |points: f32| f64::from(points) * PT_MM;
        let scene = drawing::pose_outlines(pose, part.hue(), mm(rect.width()), mm(rect.height()));
        let mut camera = Camera::default();
        camera.set_canvas(rect, scene.view);
        view.painter.paint(&ui.painter_at(rect), &scene.marks, &camera, theme);
    }
    response.on_hover_text("Left: from above. Right: from the front, over the bed")
}
