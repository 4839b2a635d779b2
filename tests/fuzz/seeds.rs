//! What the mutations begin with: the sample workshop's files, and small ones for many cases a second.

use std::{fmt::Write as _, path::Path};

use stonehand::{
    document::{Footing, Shop, file},
    geom::Point,
    session::{Action, ArrangeLimits, Session, World},
    work::Runner,
};

use super::{
    fixtures::{ascii, binary, block, model, package, packed, xml_block},
    world::Files,
};

/// Files to begin with, by kind.
pub(crate) struct Seeds {
    pub(crate) stl: Vec<Vec<u8>>,
    pub(crate) obj: Vec<Vec<u8>>,
    /// Models, packed after they are changed.
    pub(crate) models: Vec<Vec<u8>>,
    /// Whole packages.
    pub(crate) packages: Vec<Vec<u8>>,
    pub(crate) jobs: Vec<Vec<u8>>,
    pub(crate) shops: Vec<Vec<u8>>,
    pub(crate) code: Vec<Vec<u8>>,
    /// The files that the jobs name.
    pub(crate) files: Files,
}

/// Where the small jobs' mesh lies.
pub(crate) const BLOCK: &str = "/shop/block.stl";
/// Where the small jobs lie.
pub(crate) const JOB: &str = "/shop/small.stonehand";

impl Seeds {
    pub(crate) fn new() -> Self {
        let files = Files::samples();
        let of = |name: &str| files.get(Path::new("/shop").join(name)).unwrap_or_default();
        let bracket: Vec<_> = block().into_iter().map(|t| t.map(|[x, y, z]| [x + 0.3 * z, y, 0.4 * z])).collect();
        files.put(BLOCK, binary(&bracket, 12));
        let jobs: Vec<Vec<u8>> = small_jobs(&files).into_iter().chain([of("hive-fittings.stonehand")]).collect();
        Self {
            stl: vec![
                binary(&block(), 12),
                binary(&bracket, 12),
                ascii("gate", &block()).into_bytes(),
                (ascii("gate", &block()) + &ascii("lid", &bracket)).into_bytes(),
                of("faulty-clip.stl"),
                of("queen-cage-peg.stl"),
            ],
            obj: vec![
                b"o a\nv 0 0 0\nv 9 0 0\nv 9 9 0\nv 0 9 3\nv 4 4 8\nf 1 2 3 4\nf -1 -2 -3\no b\nf 1/1 2//2 5/1/1\nf 1 3 5 2 4\n"
                    .to_vec(),
                comb(),
                of("frame-spacer.obj"),
            ],
            models: models(),
            packages: vec![packed(&String::from_utf8_lossy(&models()[0])), of("strap-hook.3mf"), two_parts()],
            jobs,
            shops: file::write_shop(&Shop::starter()).into_iter().collect(),
            code: code(),
            files,
        }
    }
}

/// A face of many corners, one that crosses itself, and spikes.
fn comb() -> Vec<u8> {
    let mut text = String::new();
    let mut face = "f".to_owned();
    for i in 0..40 {
        let _ = writeln!(text, "v {} {} {}", i / 2, if i % 4 < 2 { 0 } else { 9 }, i % 3);
        let _ = write!(face, " {}", i * 7 % 40 + 1);
    }
    let _ = writeln!(text, "{face}\nf 1 2 3 4 5 6 7 8 9\nf 40 1 20 2 30");
    text.into_bytes()
}

fn models() -> Vec<Vec<u8>> {
    let object = format!("<object id=\"1\" name=\"Gate &amp; rail\" type=\"model\">{}</object>", xml_block());
    let pair = "<object id=\"2\"><components><component objectid=\"1\"/>\
                <component objectid=\"1\" transform=\"-1 0 0 0 1 0 0 0 1 -5 0 0\"/></components></object>";
    let items = "<item objectid=\"1\" transform=\"0 1 0 -1 0 0 0 0 1 110 95 0\"/><item objectid=\"2\"/>";
    vec![
        model(&object, "<item objectid=\"1\"/>").into_bytes(),
        model(&(object + pair), items).replace("millimeter", "inch").into_bytes(),
    ]
}

fn two_parts() -> Vec<u8> {
    let root = model(
        "<object id=\"2\"><components><component xmlns:p=\"x\" p:path=\"/3D/b.model\" objectid=\"1\"/></components></object>",
        "<item objectid=\"2\"/>",
    );
    let other = model(&format!("<object id=\"1\">{}</object>", xml_block()), "");
    package(&[("3D/b.model", other.as_bytes()), ("3D/3dmodel.model", root.as_bytes())])
}

fn code() -> Vec<Vec<u8>> {
    let mut square = String::from("G21\nG90\nM83\nM204 S1000\nG28\nG92 E0\n");
    for i in 1..=12 {
        let z = 0.2 * f64::from(i);
        let _ =
            writeln!(square, "G1 Z{z:.1} F600\nG1 X40 E2 F3600\nG1 Y40 E2\nG2 X0 Y40 I-20 J0 E3\nG1 X0 Y0 E2\nG4 P20");
    }
    let odd = "N1 G20 G91 (turn) X1.5Y-.5E.1*33\nG17\nG3X10Y0I5J0\nG18 G2 X1 Z1 R3\nM82\nG1 E-1 F2400\nM566 X5\n; the end\nG4 S1\nM104 S0";
    vec![square.into_bytes(), odd.as_bytes().to_vec()]
}

/// Jobs of one or two small parts: bare, with brims and a keep-out, and with a raft.
fn small_jobs(files: &Files) -> Vec<Vec<u8>> {
    let mut jobs = Vec::new();
    for footing in [Footing::Bare, Footing::Brim { width_mm: 3.0 }, Footing::Raft { width_mm: 2.0 }] {
        let mut session = on(files);
        session.act(Action::AddFiles(vec![BLOCK.into()]));
        session.tick();
        let Some(mut part) = session.job().parts.first().cloned() else { continue };
        part.footing = footing;
        part.wanted = 4;
        let id = part.id;
        session.act(Action::SetPart(Box::new(part)));
        for (x, y) in [(40.0, 40.0), (90.0, 60.0), (40.0, 110.0)] {
            session.act(Action::PlaceAt(id, Point::new(x, y)));
            session.tick();
        }
        session.act(Action::SaveAs(JOB.into()));
        session.tick();
        jobs.extend(files.get(JOB));
    }
    jobs
}

/// A session on these files that works inline and searches for one round.
pub(crate) fn on(files: &Files) -> Session {
    let mut session = Session::new(Box::new(files.clone()), Runner::inline());
    session.set_limits(ArrangeLimits { seed: 3, rounds: Some(1), time: Some(std::time::Duration::from_millis(400)) });
    session
}

/// The files in `/shop`, for a case to do with as it likes.
pub(crate) fn copy_of(files: &Files) -> Files {
    let copy = Files::default();
    for path in files.list(Path::new("/shop")) {
        let bytes = files.get(&path).unwrap_or_default();
        copy.put(path, bytes);
    }
    copy
}
