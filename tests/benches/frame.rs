//! A frame with 500 copies, without the graphics card's part: laying out, drawing and cutting into triangles; of the sheet
//! alone and of the whole window; with nothing moving, with a copy dragged across others, and all copies in one heap.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Pos2, RawInput, Rect, Vec2};
use stonehand::{
    document::{BedShape, Machine, Part},
    edit::{PlateTarget, Put},
    geom::Point,
    gui::App,
    session::{Action, Disk, Session},
    work::Runner,
};

/// The sample job's parts, 500 copies of them on one large bed, all of one material and recipe, `pitch` mm apart.
fn crowded(pitch: f64) -> Option<Session> {
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
    if let Some(machine) = s.job().machine(plate.machine).cloned() {
        let bed = BedShape::Rectangle { width_mm: 30.0 * 75.0, depth_mm: 22.0 * 75.0 };
        s.act(Action::SetMachine(Box::new(Machine { bed, keep_outs: Vec::new(), ..machine })));
    }
    s.tick();
    let puts = (0..500)
        .map(|i| Put {
            copy: None,
            part: parts[i % parts.len()].id,
            plate: PlateTarget::Existing(plate.id),
            x_mm: 60.0 + (i % 28) as f64 * pitch,
            y_mm: 60.0 + (i / 28) as f64 * pitch,
            turn_deg: (i % 8) as f64 * 45.0,
        })
        .collect();
    s.act(Action::Put(puts));
    s.tick();
    Some(s)
}

/// What is drawn, and its size in points.
#[derive(Clone, Copy)]
enum Drawn {
    Window,
    /// As large as it is in that window.
    Sheet,
}

fn one(ctx: &egui::Context, app: &mut App, drawn: Drawn) -> usize {
    let size = match drawn {
        Drawn::Window => Vec2::new(1440.0, 900.0),
        Drawn::Sheet => Vec2::new(826.0, 621.0),
    };
    let screen = Rect::from_min_size(Pos2::ZERO, size);
    let mut out = ctx.run_ui(RawInput { screen_rect: Some(screen), ..RawInput::default() }, |ui| match drawn {
        Drawn::Window => app.frame(ui),
        Drawn::Sheet => app.sheet_frame(ui),
    });
    out.textures_delta.clear();
    ctx.tessellate(out.shapes, 1.0).len()
}

fn frames(c: &mut Criterion) {
    for (what, pitch) in [("500 copies", 75.0), ("a heap of 500 copies", 9.0)] {
        for (name, drawn) in [("sheet", Drawn::Sheet), ("window", Drawn::Window)] {
            let Some(session) = crowded(pitch) else { return };
            let mut app = App::new(session);
            let ctx = egui::Context::default();
            // The first frame puts the fonts in place.
            one(&ctx, &mut app, Drawn::Window);
            for _ in 0..4 {
                one(&ctx, &mut app, drawn);
            }
            c.bench_function(&format!("{name}, {what}, still"), |b| b.iter(|| black_box(one(&ctx, &mut app, drawn))));
            let some = app.session().plate().map(|p| p.copies[250].id);
            let session = app.session_mut();
            session.act(Action::Select { copies: some.into_iter().collect(), additive: false });
            session.act(Action::Grab { label: "Move" });
            let mut x = 0.0;
            c.bench_function(&format!("{name}, {what}, one dragged"), |b| {
                b.iter(|| {
                    x = (x + 0.5) % 80.0;
                    // The move itself has benches of its own; it is part of what the person waits for.
                    app.session_mut().act(Action::Drag { by: Point::new(x, 0.0), turn_deg: 0.0 });
                    black_box(one(&ctx, &mut app, drawn))
                });
            });
        }
    }
}

criterion_group!(benches, frames);
criterion_main!(benches);
