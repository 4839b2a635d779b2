//! The real disk, in temporary folders.

use std::{
    fs,
    io::{self, Read},
    path::Path,
    time::{Duration, UNIX_EPOCH},
};

use super::{Disk, regular_file::MOST_BYTES};
use crate::session::World;

#[test]
#[cfg(target_os = "linux")]
fn this_process_runs_and_others_do_not() {
    // Linux numbers processes up to 2^22: proc(5), pid_max.
    let disk = Disk::default();
    assert!(disk.runs(std::process::id()));
    assert!(!disk.runs(u32::MAX));
}

#[test]
fn a_write_replaces_whole_files_and_leaves_nothing_beside() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("a.txt");
    let disk = Disk::default();
    disk.write(&path, b"one").expect("first write");
    disk.write(&path, b"two").expect("second write");
    assert_eq!(disk.read(&path).expect("read back"), b"two");
    assert_eq!(disk.list(folder.path()), vec![path]);
}

#[test]
#[cfg(unix)]
fn a_write_follows_links_and_keeps_mode_owner_and_umask() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, chown, symlink};
    let folder = tempfile::tempdir().expect("a temporary folder");
    let at = |name: &str| folder.path().join(name);
    let disk = Disk::default();
    let mode = |path: &Path| fs::metadata(path).expect("it is there").permissions().mode() & 0o777;
    // A new file is as any other program makes it here.
    fs::write(at("usual"), b"1").expect("a file");
    disk.write(&at("new"), b"1").expect("a new file");
    assert_eq!(mode(&at("new")), mode(&at("usual")));
    fs::set_permissions(at("new"), fs::Permissions::from_mode(0o640)).expect("a mode");
    // Only an administrator can give a file to somebody else.
    let given = chown(at("new"), Some(4321), Some(4322)).is_ok();
    fs::create_dir(at("below")).expect("a folder");
    symlink("../new", at("below/link")).expect("a link");
    symlink("below/link", at("link")).expect("a link");
    disk.write(&at("link"), b"two").expect("a write through links");
    assert!(fs::symlink_metadata(at("link")).expect("it is there").is_symlink());
    assert_eq!((fs::read(at("new")).expect("it is there"), mode(&at("new"))), (b"two".to_vec(), 0o640));
    if given {
        let about = fs::metadata(at("new")).expect("it is there");
        assert_eq!((about.uid(), about.gid()), (4321, 4322));
    }
    symlink("nowhere", at("dangling")).expect("a link");
    disk.write(&at("dangling"), b"3").expect("a write through a link to nothing");
    assert_eq!(fs::read(at("nowhere")).expect("it is there now"), b"3");
    assert!(!disk.write_protected(&at("new")));
    fs::set_permissions(at("new"), fs::Permissions::from_mode(0o444)).expect("a mode");
    assert!(disk.write_protected(&at("new")) && disk.write_protected(&at("link")));
}

#[test]
fn what_killed_runs_left_is_swept_and_what_is_being_written_stays() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let disk = Disk::default();
    let long_ago = UNIX_EPOCH + Duration::from_secs(1_000_000);
    let made = |name: &str| {
        let file = fs::File::create(folder.path().join(name)).expect("a file");
        file.set_modified(long_ago).expect("a time can be set");
        file
    };
    drop(made(".stonehand-dead.tmp"));
    drop(made("notes.tmp"));
    let writing = made(".stonehand-alive.tmp");
    writing.try_lock().expect("nobody else holds it");
    fs::write(folder.path().join(".stonehand-fresh.tmp"), b"").expect("a file");
    disk.sweep(folder.path());
    let names = |s: &Disk| {
        let all = s.list(folder.path()).into_iter();
        all.map(|p| p.file_name().unwrap_or_default().to_string_lossy().into_owned()).collect::<Vec<_>>()
    };
    assert_eq!(names(&disk), [".stonehand-alive.tmp", ".stonehand-fresh.tmp", "notes.tmp"]);
    drop(writing);
    disk.sweep(folder.path());
    assert_eq!(names(&disk), [".stonehand-fresh.tmp", "notes.tmp"]);
}

#[test]
fn a_lock_is_held_once_and_goes_with_its_holder() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let (disk, path) = (Disk::default(), folder.path().join("a.lock"));
    let held = disk.lock(&path).expect("locks work here").expect("nobody holds it");
    assert!(disk.lock(&path).expect("locks work here").is_none());
    drop(held);
    assert!(disk.lock(&path).expect("locks work here").is_some());
}

fn refusal<T>(outcome: io::Result<T>) -> String {
    outcome.err().expect("it is refused").to_string()
}

/// A pipe nobody writes to, and devices without end: refused at once.
#[test]
#[cfg(unix)]
fn only_regular_files_are_read() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let pipe = folder.path().join("pipe.stl");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().expect("mkfifo runs").success());
    let socket = folder.path().join("socket.stl");
    let _listener = std::os::unix::net::UnixListener::bind(&socket).expect("a socket");
    let (disk, zero) = (Disk::default(), Path::new("/dev/zero"));
    for (path, word) in [(&*pipe, "a pipe"), (&socket, "a socket"), (zero, "a device"), (folder.path(), "a folder")] {
        let all = [
            refusal(disk.read(path)),
            refusal(disk.read_small(path, 1 << 20)),
            refusal(disk.stream(path).map(|s| s.1)),
        ];
        assert!(all.iter().all(|why| why.contains(word)), "{word}: {all:?}");
    }
    // Through a link, too.
    let link = folder.path().join("link.stl");
    std::os::unix::fs::symlink(zero, &link).expect("a link");
    assert!(refusal(disk.read(&link)).contains("a device"));
}

#[test]
#[cfg(target_os = "linux")]
fn bytes_are_counted_as_they_come() {
    // Files below /proc state a length of 0: proc(5).
    let (disk, path) = (Disk::default(), Path::new("/proc/self/status"));
    assert_eq!(fs::metadata(path).expect("it is there").len(), 0);
    let all = disk.read(path).expect("it can be read");
    assert!(all.starts_with(b"Name:") && all.len() > 200);
    let (mut stream, _) = disk.stream(path).expect("it can be opened");
    let mut streamed = String::new();
    stream.read_to_string(&mut streamed).expect("it can be read");
    assert!(streamed.starts_with("Name:"));
    assert_eq!(refusal(disk.read_small(path, 100)), "it is larger than 100 bytes");
}

#[test]
fn a_file_over_the_limit_is_refused_before_it_is_read() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("large.stl");
    // A hole: it takes no room on the disk.
    fs::File::create(&path).and_then(|f| f.set_len(MOST_BYTES + 1)).expect("a file with a hole");
    let disk = Disk::default();
    assert_eq!(refusal(disk.read(&path)), "it is larger than 4 GB");
    assert_eq!(refusal(disk.stream(&path).map(|s| s.1)), "it is larger than 4 GB");
    assert_eq!(refusal(disk.read_small(&path, 64 << 20)), "it is larger than 64 MB");
    fs::write(&path, [7; 9]).expect("a small file");
    assert_eq!(disk.read_small(&path, 9).expect("just small enough"), [7; 9]);
}
