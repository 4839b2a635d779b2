//! A folder to work in, and the program run there.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    process::{Command, Stdio},
    time::{Duration, Instant},
};

use serde_json::Value;
use tempfile::TempDir;

use super::fixtures::{binary, block};

/// Longest that any command here may take, however bad its input.
const LONGEST: Duration = Duration::from_mins(1);
/// Most memory that any command here may have, KiB of address space: a bomb that goes off ends the program.
const MOST_KIB: u32 = 3 << 20;

/// A folder to work in.
pub(crate) struct Table {
    folder: TempDir,
    /// What the program says goes here: a pipe that nobody reads would stop it.
    said: TempDir,
}

/// What the program said.
#[derive(Debug)]
pub(crate) struct Told {
    pub(crate) status: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Table {
    pub(crate) fn new() -> Self {
        let folder = || tempfile::tempdir().expect("a temporary folder");
        Self { folder: folder(), said: folder() }
    }
    /// With a block of 20 × 10 × 5 mm, `block.stl`.
    pub(crate) fn with_block() -> Self {
        let table = Self::new();
        table.put("block.stl", &binary(&block(), 12));
        table
    }
    /// With that block and a job of three copies of it on a bed of 120 × 100 mm, `job.stonehand`.
    pub(crate) fn with_job() -> Self {
        let table = Self::with_block();
        table.run(&["new", "-o", "job.stonehand", "--bed", "120x100x80", "--part", "block.stl:3"]).done();
        table
    }
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }
    pub(crate) fn put(&self, name: &str, bytes: &[u8]) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().expect("inside the folder")).expect("a folder can be made");
        fs::write(path, bytes).expect("a file can be written");
    }
    pub(crate) fn get(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }
    pub(crate) fn text(&self, name: &str) -> String {
        String::from_utf8(self.get(name)).expect("it is text")
    }
    pub(crate) fn json(&self, name: &str) -> Value {
        serde_json::from_slice(&self.get(name)).expect("it is JSON")
    }
    /// Every file, with its bytes.
    pub(crate) fn files(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        fn walk(folder: &Path, all: &mut BTreeMap<PathBuf, Vec<u8>>) {
            for entry in fs::read_dir(folder).expect("a folder can be listed").flatten() {
                let path = entry.path();
                if path.is_dir() {
                    walk(&path, all);
                }
                let bytes = fs::read(&path).unwrap_or_default();
                all.insert(path, bytes);
            }
        }
        let mut all = BTreeMap::new();
        walk(self.folder.path(), &mut all);
        all
    }
    /// Runs the program here, without a display, in bounded time and memory.
    pub(crate) fn run(&self, words: &[&str]) -> Told {
        self.run_with(words, &[])
    }
    /// The same, with these in its environment.
    pub(crate) fn run_with(&self, words: &[&str], environment: &[(&str, &str)]) -> Told {
        let file = |name: &str| fs::File::create(self.said.path().join(name)).expect("a file can be made");
        let mut command = if cfg!(target_os = "linux") {
            let mut shell = Command::new("sh");
            shell.args(["-c", &format!("ulimit -v {MOST_KIB}; exec \"$0\" \"$@\""), env!("CARGO_BIN_EXE_stonehand")]);
            shell
        } else {
            Command::new(env!("CARGO_BIN_EXE_stonehand"))
        };
        command.args(words).current_dir(self.folder.path()).stdin(Stdio::null());
        command.stdout(file("out")).stderr(file("err"));
        for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET", "RUST_BACKTRACE"] {
            command.env_remove(name);
        }
        let mut child = command.envs(environment.iter().copied()).spawn().expect("the program can be started");
        let begun = Instant::now();
        let status = loop {
            if let Some(status) = child.try_wait().expect("the program can be waited for") {
                break status;
            }
            if begun.elapsed() > LONGEST {
                child.kill().expect("the program can be ended");
                panic!("{words:?} took more than {LONGEST:?}");
            }
            std::thread::sleep(Duration::from_millis(2));
        };
        let said = |name: &str| fs::read_to_string(self.said.path().join(name)).expect("it speaks UTF-8");
        let told = Told { status: status.code().unwrap_or(-1), out: said("out"), err: said("err") };
        assert!(matches!(told.status, 0..=2), "{words:?} ended otherwise: {told:?}");
        assert!(!told.err.contains("panicked"), "{words:?}: {told:?}");
        told
    }
    /// The command is refused in one sentence with these words, and leaves every file as it was.
    pub(crate) fn refuses(&self, words: &[&str], sentence: &[&str]) {
        let before = self.files();
        let told = self.run(words);
        told.refused(sentence);
        assert!(self.files() == before, "{words:?} has changed files: {:?}", self.files().keys());
    }
}

impl Told {
    /// It is done, without a *stop* finding.
    pub(crate) fn done(self) -> Self {
        assert_eq!(self.status, 0, "{self:?}");
        self
    }
    /// It is done, with *stop* findings or without.
    pub(crate) fn done_any(self) -> Self {
        assert!(self.status < 2, "{self:?}");
        self
    }
    /// It is done, with a *stop* finding.
    pub(crate) fn done_with_stops(self) -> Self {
        assert_eq!(self.status, 1, "{self:?}");
        self
    }
    /// It is refused: exit status 2, nothing on standard output, one sentence with these words.
    pub(crate) fn refused(&self, sentence: &[&str]) {
        assert_eq!((self.status, self.out.as_str()), (2, ""), "{self:?}");
        let lines: Vec<&str> = self.err.lines().collect();
        let [line] = lines[..] else { panic!("one sentence: {self:?}") };
        assert!(line.starts_with("stonehand: ") && line.len() < 500, "{line}");
        for words in sentence {
            assert!(line.contains(words), "“{words}” is missing in: {line}");
        }
    }
    /// Standard output as JSON.
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }
}

/// The keys of an object, in order.
pub(crate) fn keys(value: &Value) -> Vec<&str> {
    let mut keys: Vec<&str> = value.as_object().expect("an object").keys().map(String::as_str).collect();
    keys.sort_unstable();
    keys
}

/// The object has all of these keys.
pub(crate) fn has_keys(value: &Value, wanted: &[&str]) {
    let there = keys(value);
    for key in wanted {
        assert!(there.contains(key), "{key} is missing: {there:?}");
    }
}

/// Kinds of the findings in the answer of `check --json`, each once.
pub(crate) fn kinds(check: &Value) -> Vec<&str> {
    let all = check["findings"].as_array().expect("a list");
    let mut kinds: Vec<&str> = all.iter().map(|f| f["kind"].as_str().expect("a word")).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
}
