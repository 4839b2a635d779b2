//! The tally of 10 000 plates: read from a table into a job, and evaluated; asked: 1 s. `cargo bench --bench tally`. Figures go to standard error as lines of text.

use std::{fmt::Write, fs, time::Instant};

use stonehand::{
    batch::tally::learned,
    document::file,
    session::{Action, Disk, Session, offers},
    work::Runner,
};

const PLATES: usize = 10_000;

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let sample = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/hive-fittings.stonehand");
    let mut s = Session::new(Box::new(Disk::plain()), Runner::inline());
    s.try_act(Action::Open(sample)).expect("the sample opens");
    s.tick();
    s.act(Action::ShowHeight(None));
    let names: Vec<Vec<String>> =
        s.job().plates.iter().map(|p| p.copies.iter().map(|c| s.job().copy_name(c)).collect()).collect();
    let mut text = "plate,hours,bad,bad_copies\n".to_owned();
    for i in 0..PLATES {
        let plate = i % names.len();
        let bad = if i % 7 == 0 { names[plate].get(i % names[plate].len().max(1)) } else { None };
        let hours = 4.0 + (i % 13) as f64 / 10.0;
        writeln!(text, "{},{hours},{},{}", plate + 1, u8::from(bad.is_some()), bad.map_or("", String::as_str))
            .expect("memory");
    }
    let table = folder.path().join("tally.csv");
    fs::write(&table, text).expect("a file");
    let begun = Instant::now();
    s.try_act(Action::ReadTally(table)).expect("it is read");
    let read = begun.elapsed();
    let begun = Instant::now();
    let all = learned(&s.job().tally);
    let evaluated = begun.elapsed();
    let offered = offers(s.job(), &all).len();
    let copies: usize = s.job().tally.outcomes().iter().map(|o| o.copies.len()).sum();
    eprintln!("{PLATES} plates, {copies} copies: read {read:.2?}, evaluated {evaluated:.2?}, {offered} offers");
    let begun = Instant::now();
    let bytes = file::write(s.job()).expect("it is written");
    let written = begun.elapsed();
    let begun = Instant::now();
    file::read(&bytes, "job").expect("it opens");
    eprintln!("the job: {:.1} MB, written {written:.2?}, opened {:.2?}", bytes.len() as f64 / 1e6, begun.elapsed());
}
