//! A frame of the view *Shifts* while a bar is dragged over 200 plates on 20 machines, without the graphics card's part: what the plan would
//! be, laying out, drawing and cutting into triangles. Asked: it answers within 8 ms. The bar is dragged to another place with every frame;
//! beside it the same with nothing moving.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Event, Key, Modifiers, PointerButton, Pos2, RawInput, Rect, Vec2};
use stonehand::{
    document::Machine,
    gui::App,
    session::{Action, Disk, Session},
    work::Runner,
};

const PLATES: usize = 200;
const MACHINES: usize = 20;

/// The sample job's plates again and again, dealt in turn to machines like its first.
fn busy() -> Option<Session> {
    let folder = tempfile::tempdir().ok()?;
    let mut s = Session::new(Box::new(Disk { own: Some(folder.keep()), ..Disk::default() }), Runner::inline());
    s.act(Action::Open(concat!(env!("CARGO_MANIFEST_DIR"), "/samples/hive-fittings.stonehand").into()));
    s.tick();
    let first = s.job().machines.first()?.clone();
    while s.job().machines.len() < MACHINES {
        let name = format!("Bench {}", s.job().machines.len() + 1);
        s.try_act(Action::AddMachine(Box::new(Machine { name, ..first.clone() }))).ok()?;
    }
    let short = s.job().plates.get(1)?.id;
    while s.job().plates.len() < PLATES {
        s.try_act(Action::DuplicatePlate(short)).ok()?;
    }
    let (plates, machines): (Vec<_>, Vec<_>) =
        (s.job().plates.iter().map(|p| p.id).collect(), s.job().machines.iter().map(|m| m.id).collect());
    for (n, plate) in plates.into_iter().enumerate() {
        // Where it does not fit it stays.
        let _ = s.try_act(Action::MoveRun { plate, machine: machines[n % machines.len()], before: None });
    }
    s.act(Action::ShowHeight(None));
    s.tick();
    let t = s.timeline()?;
    assert_eq!((t.plan.timed.len(), t.floor.machines.len(), t.pending.len()), (PLATES, MACHINES, 0));
    Some(s)
}

fn one(ctx: &egui::Context, app: &mut App, events: Vec<Event>) -> usize {
    let screen = Rect::from_min_size(Pos2::ZERO, Vec2::new(2560.0, 1440.0));
    let mut out = ctx.run_ui(RawInput { screen_rect: Some(screen), events, ..RawInput::default() }, |ui| app.frame(ui));
    out.textures_delta.clear();
    ctx.tessellate(out.shapes, 1.0).len()
}

fn button(pos: Pos2, pressed: bool) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE }
}

fn frames(c: &mut Criterion) {
    let Some(session) = busy() else { return };
    let mut app = App::new(session);
    let ctx = egui::Context::default();
    let keys = |pressed| Event::Key {
        key: Key::Num3,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers: Modifiers::COMMAND,
    };
    for _ in 0..4 {
        one(&ctx, &mut app, Vec::new());
    }
    one(&ctx, &mut app, vec![Event::ModifiersChanged(Modifiers::COMMAND), keys(true), keys(false)]);
    one(&ctx, &mut app, vec![Event::ModifiersChanged(Modifiers::NONE)]);
    for _ in 0..4 {
        one(&ctx, &mut app, Vec::new());
    }
    let name = |what| format!("shifts, {PLATES} plates on {MACHINES} machines, {what}");
    c.bench_function(&name("still"), |b| b.iter(|| black_box(one(&ctx, &mut app, Vec::new()))));
    // A bar is looked for along a row: what is pressed and pulled is dragged.
    let from = (400..2200).step_by(20).map(|x| Pos2::new(x as f32, 160.0)).find(|at| {
        one(&ctx, &mut app, vec![Event::PointerMoved(*at)]);
        one(&ctx, &mut app, vec![button(*at, true)]);
        one(&ctx, &mut app, vec![Event::PointerMoved(*at + Vec2::new(12.0, 30.0))]);
        one(&ctx, &mut app, vec![Event::PointerMoved(*at + Vec2::new(14.0, 40.0))]);
        let drags = app.drags_a_bar();
        if !drags {
            one(&ctx, &mut app, vec![button(*at, false)]);
        }
        drags
    });
    let Some(from) = from else {
        eprintln!("no bar was found to drag");
        return;
    };
    let mut n = 0_usize;
    c.bench_function(&name("a bar dragged"), |b| {
        b.iter(|| {
            // Another row and another time with every frame: nothing that was worked out before is of use.
            n += 1;
            let to = Pos2::new(420.0 + ((n * 137) % 1700) as f32, 160.0 + ((n * 41) % 560) as f32);
            black_box(one(&ctx, &mut app, vec![Event::PointerMoved(to)]))
        });
    });
    assert!(app.drags_a_bar(), "it was let go meanwhile, having begun at {from:?}");
}

criterion_group!(benches, frames);
criterion_main!(benches);
