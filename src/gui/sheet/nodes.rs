//! Names of what is drawn, for screen readers and tests: each copy, its rings, its section at the height cursor, each
//! keep-out.

use egui::{Id, Sense, Ui, WidgetInfo, accesskit};

use super::{Camera, Drawn};
use crate::{
    document::{CopyId, Job, Plate},
    drawing::DrawnBed,
};

/// "E 14, frame spacer, at 120.0 30.0".
pub(super) fn name_of(job: &Job, plate: &Plate, id: CopyId) -> String {
    let Some(copy) = plate.copies.iter().find(|c| c.id == id) else { return String::new() };
    let part = job.part(copy.part).map_or("", |p| p.name.as_str());
    let mut words = format!("{}, {part}, at {:.1} {:.1}", job.copy_name(copy), copy.x_mm, copy.y_mm);
    if copy.turn_deg != 0.0 {
        words = format!("{words}, turned {}°", (copy.turn_deg * 100.0).round() / 100.0);
    }
    if copy.locked {
        words += ", locked";
    }
    words
}

/// Announces a bed on which nothing lies.
pub(super) fn bed(ui: &Ui, rect: egui::Rect, words: &str) {
    node(ui, ui.scope_id().with("bed"), rect, accesskit::Role::GraphicsObject, None, || words.to_owned());
}

/// Announces everything on the bed. Returns the copy that a screen reader pressed, if one was.
pub(super) fn announce(
    ui: &Ui,
    job: &Job,
    plate: &Plate,
    bed: &DrawnBed,
    drawn: &Drawn,
    camera: &Camera,
) -> Option<CopyId> {
    // Nobody listens: nothing to do.
    ui.ctx().accesskit_node_builder(ui.scope_id(), |_| ())?;
    let clip = ui.clip_rect();
    let mut pressed = None;
    for (i, (name, region)) in bed.keep_outs.iter().enumerate() {
        let rect = camera.rect(region.bounds()).intersect(clip);
        node(ui, ui.scope_id().with(("keep-out", i)), rect, accesskit::Role::GraphicsObject, None, || {
            format!("keep-out {name}")
        });
    }
    if let Some(halves) = &bed.halves {
        let rect = camera.rect(halves.strip.bounds()).intersect(clip);
        node(ui, ui.scope_id().with("strip"), rect, accesskit::Role::GraphicsObject, None, || {
            format!("strip between the carriages, {:.1} mm", halves.strip_mm)
        });
    }
    for twin in drawn.twins() {
        let rect = camera.rect(twin.drawn.shadow.bounds()).intersect(clip);
        let key = ui.scope_id().with(("twin", twin.id));
        node(ui, key, rect, accesskit::Role::GraphicsObject, None, || {
            let mirrored = if twin.drawn.mirrored { ", mirrored" } else { "" };
            format!("{}, twin of {}{mirrored}", twin.drawn.name, name_of(job, plate, twin.id))
        });
    }
    for shown in drawn.shown() {
        let (id, copy) = (shown.id, shown.drawn);
        let rect = camera.rect(copy.shadow.bounds()).intersect(clip);
        let key = ui.scope_id().with(("copy", id));
        node(ui, key, rect, accesskit::Role::ListBoxOption, Some(copy.selected), || name_of(job, plate, id));
        if ui.input(|i| i.has_accesskit_action_request(key, accesskit::Action::Click)) {
            pressed = Some(id);
        }
        if let Some(ring) = &copy.footing {
            let rect = camera.rect(ring.bounds()).intersect(clip);
            node(ui, ui.scope_id().with(("ring", id)), rect, accesskit::Role::GraphicsObject, None, || {
                format!("footing ring of {}", copy.name)
            });
        }
        if let Some(ring) = &copy.gap_ring {
            let rect = camera.rect(ring.bounds()).intersect(clip);
            node(ui, ui.scope_id().with(("gap", id)), rect, accesskit::Role::GraphicsObject, None, || {
                format!("gap ring of {}", copy.name)
            });
        }
        if let Some(section) = &copy.section {
            let rect = camera.rect(section.bounds()).intersect(clip);
            node(ui, ui.scope_id().with(("section", id)), rect, accesskit::Role::GraphicsObject, None, || {
                // What the dots say.
                let short = if copy.short_of_cooling { ": short of cooling" } else { "" };
                format!("section of {}{short}", copy.name)
            });
        }
    }
    pressed
}

fn node(ui: &Ui, id: Id, rect: egui::Rect, role: accesskit::Role, selected: Option<bool>, name: impl Fn() -> String) {
    if !rect.is_positive() {
        return;
    }
    let response = ui.interact(rect, id, Sense::hover());
    response.widget_info(|| WidgetInfo { selected, ..WidgetInfo::labeled(role, true, name()) });
    if role == accesskit::Role::ListBoxOption {
        ui.ctx().accesskit_node_builder(id, |n| n.add_action(accesskit::Action::Click));
    }
}
