//! Run sheets, and hand-overs of one plate or of what has changed.

use std::path::Path;

use stonehand::{
    drawing::run_sheet::PrintPaper,
    geom::Point,
    session::{Action, Ask, World, check_export},
};

use super::{desk::Desk, world::Files};

/// Names and contents of the files in a folder.
fn all(files: &Files, folder: &str) -> Vec<(String, Vec<u8>)> {
    let paths = files.list(Path::new(folder)).into_iter().filter(|p| files.get(p).is_some());
    paths.map(|p| (p.display().to_string(), files.get(&p).expect("it is listed"))).collect()
}

#[test]
fn a_run_sheet_is_written_and_is_the_same_each_time() {
    let mut desk = Desk::with_job();
    let plate = desk.session.plate_id().expect("a plate is shown");
    assert!(Action::Ask(Ask::RunSheet(plate)).enabled(&desk.session));
    desk.act(Action::PrintRunSheet(plate, "/shop/sheet.pdf".into()));
    assert!(desk.told().contains("run sheet written to /shop/sheet.pdf"));
    let first = desk.files.get("/shop/sheet.pdf").expect("it is there");
    assert_eq!(first, desk.session.run_sheet_pdf(plate).expect("a plate"));
    // Other paper, another sheet; another job, another revision.
    desk.act(Action::PrintOn(PrintPaper::Letter));
    assert_eq!(desk.session.print_paper(), PrintPaper::Letter);
    let letter = desk.session.run_sheet_pdf(plate).expect("a plate");
    assert!(first != letter);
    desk.act(Action::PrintOn(PrintPaper::A4));
    assert!(first == desk.session.run_sheet_pdf(plate).expect("a plate"));
    desk.act(Action::SetTitle("Rails".into()));
    assert!(first != desk.session.run_sheet_pdf(plate).expect("a plate"));
    desk.act(Action::RemovePlate(plate));
    let why = desk.session.run_sheet_pdf(plate).expect_err("it is gone").to_string();
    assert!(why.contains("not in the job any more"), "{why}");
    assert!(!Action::Ask(Ask::RunSheet(plate)).enabled(&desk.session));
}

#[test]
fn what_has_not_changed_is_left_untouched() {
    let mut desk = Desk::with_job();
    desk.act(Action::Export("/out".into()));
    desk.told();
    let before = all(&desk.files, "/out");
    desk.act(Action::Export("/out".into()));
    let told = desk.told();
    assert!(told.contains("11 files handed over in /out; 11 of them had not changed"), "{told}");
    let after = all(&desk.files, "/out");
    let but_list = |files: Vec<(String, Vec<u8>)>| {
        files.into_iter().filter(|(name, _)| !name.ends_with("stonehand-export.list")).collect::<Vec<_>>()
    };
    assert!(but_list(before) == but_list(after));
    let checked = check_export(&desk.files, Path::new("/out")).expect("a manifest");
    assert_eq!((checked.unchanged, checked.differs), (10, Vec::new()));
}

#[test]
fn one_plate_is_handed_over_beside_the_others() {
    let mut desk = Desk::with_job();
    let first = desk.session.plate_id().expect("a plate is shown");
    desk.act(Action::DuplicatePlate(first));
    let second = desk.session.job().plates[1].id;
    desk.act(Action::Export("/out".into()));
    desk.told();
    let before = all(&desk.files, "/out");
    desk.act(Action::ShowPlate(second));
    let part = desk.part();
    desk.act(Action::PlaceAt(part, Point::new(180.0, 140.0)));
    desk.act(Action::ExportPlate(second, "/out".into()));
    let told = desk.told();
    assert!(told.contains("9 files handed over in /out"), "{told}");
    let after = all(&desk.files, "/out");
    for (name, bytes) in before.iter().filter(|(n, _)| n.contains("-plate-1-")) {
        assert!(after.iter().any(|(n, b)| n == name && b == bytes), "{name} was of the other plate");
    }
    let of = |files: &[(String, Vec<u8>)], what: &str| files.iter().filter(|(n, _)| n.contains(what)).count();
    assert_eq!(of(&after, "-plate-2-"), 8, "{:?}", after.iter().map(|f| &f.0).collect::<Vec<_>>());
    assert_eq!(of(&after, "/placements."), 2);
    // The time of the second plate is another: its old names are gone.
    let old = before.iter().filter(|(n, _)| n.contains("-plate-2-"));
    assert!(old.into_iter().all(|(n, _)| !after.iter().any(|(a, _)| a == n)));
    assert_eq!(check_export(&desk.files, Path::new("/out")).expect("a manifest").differs, Vec::new());
    // All of it again: the files of one plate alone go.
    desk.act(Action::Export("/out".into()));
    let last = all(&desk.files, "/out");
    assert_eq!((of(&last, "-plate-2-"), last.len()), (5, before.len()));
    assert_eq!(check_export(&desk.files, Path::new("/out")).expect("a manifest").differs, Vec::new());
}
