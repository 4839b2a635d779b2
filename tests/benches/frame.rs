//! A frame of the whole window with 500 copies on the sheet, without the graphics card's part: laying out, drawing and
//! cutting into triangles. Once with nothing moving, once with a copy dragged.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Pos2, RawInput, Rect, Vec2};
use stonehand::{
    document::Part,
    edit::{PlateTarget, Put},
    geom::Point,
    gui::App,
    session::{Action, Disk, Session},
    work::Runner,
};

/// The sample job's parts, 500 copies of them on its largest bed, all of one material and recipe.
fn crowded() -> Option<Session> {
    let folder = tempfile::tempdir().ok()?;
    let mut s = Session::new(Box::new(Disk { own: Some(folder.keep()), ..Disk::default() }), Runner::inline());
    s.act(Action::Open(concat!(env!("CARGO_MANIFEST_DIR"), "/samples/hive-fittings.stonehand").into()));
    s.tick();
    s.act(Action::SelectAll);
    s.act(Action::Delete);
    let plate = s.plate()?.clone();
    let parts: Vec<Part> = s.job().parts.iter().take(8).cloned().collect();
    for part in &parts {
        let part =
            Part { material: plate.material, colour: plate.colour.clone(), recipe: plate.recipe, ..part.clone() };
        s.act(Action::SetPart(Box::new(part)));
    }
    s.tick();
    let puts = (0..500)
        .map(|i| Put {
            copy: None,
            part: parts[i % parts.len()].id,
            plate: PlateTarget::Existing(plate.id),
            x_mm: 5.0 + (i % 25) as f64 * 9.0,
            y_mm: 5.0 + (i / 25) as f64 * 9.0,
            turn_deg: (i % 8) as f64 * 45.0,
        })
        .collect();
    s.act(Action::Put(puts));
    s.tick();
    Some(s)
}

fn one(ctx: &egui::Context, app: &mut App) -> usize {
    let screen = Rect::from_min_size(Pos2::ZERO, Vec2::new(1440.0, 900.0));
    let mut out = ctx.run_ui(RawInput { screen_rect: Some(screen), ..RawInput::default() }, |ui| app.frame(ui));
    out.textures_delta.clear();
    ctx.tessellate(out.shapes, 1.0).len()
}

fn frames(c: &mut Criterion) {
    let Some(session) = crowded() else { return };
    let mut app = App::new(session);
    let ctx = egui::Context::default();
    for _ in 0..4 {
        one(&ctx, &mut app);
    }
    c.bench_function("frame of 500 copies, still", |b| b.iter(|| black_box(one(&ctx, &mut app))));
    let some = app.session().plate().map(|p| p.copies[250].id);
    let session = app.session_mut();
    session.act(Action::Select { copies: some.into_iter().collect(), additive: false });
    session.act(Action::Grab { label: "Move" });
    let mut x = 0.0;
    c.bench_function("frame of 500 copies, one dragged", |b| {
        b.iter(|| {
            x = (x + 0.1) % 20.0;
            // The move itself has benches of its own; it is part of what the person waits for.
            app.session_mut().act(Action::Drag { by: Point::new(x, 0.0), turn_deg: 0.0 });
            black_box(one(&ctx, &mut app))
        });
    });
}

criterion_group!(benches, frames);
criterion_main!(benches);
