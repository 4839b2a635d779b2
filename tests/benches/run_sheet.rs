//! Run sheets of 20 plates of the sample job's first (28 copies each), as PDF: from the session to bytes. Asked: 2 s for all of them.
//! `cargo bench --bench run_sheet`. Figures go to standard error as lines of text.

use std::time::{Duration, Instant};

use stonehand::{
    session::{Action, Disk, Session},
    work::Runner,
};

const PLATES: usize = 20;
const ASKED: Duration = Duration::from_secs(2);

fn main() {
    let mut s = Session::new(Box::new(Disk::plain()), Runner::inline());
    s.act(Action::Open(concat!(env!("CARGO_MANIFEST_DIR"), "/samples/hive-fittings.stonehand").into()));
    s.tick();
    let Some(first) = s.job().plates.first().map(|p| p.id) else { return };
    while s.job().plates.len() < PLATES {
        s.act(Action::DuplicatePlate(first));
        s.tick();
    }
    let plates: Vec<_> = s.job().plates.iter().map(|p| p.id).collect();
    for round in 1..=3 {
        let began = Instant::now();
        let sizes = plates.iter().filter_map(|id| s.run_sheet_pdf(*id).ok()).map(|bytes| bytes.len());
        let (count, bytes) = sizes.fold((0, 0), |(n, sum), size| (n + 1, sum + size));
        let took = began.elapsed();
        let verdict = if count == plates.len() && took <= ASKED { "as asked" } else { "NOT as asked" };
        eprintln!("round {round}: {count} run sheets, {} kB, {:.3} s: {verdict}", bytes / 1000, took.as_secs_f64());
    }
}
