//! Cases under watch: no panic, no more time or memory than allowed, and every find written down.

use std::{
    collections::BTreeMap,
    fmt::Write as _,
    fs,
    panic::{self, AssertUnwindSafe},
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex, MutexGuard, PoisonError,
        atomic::{AtomicBool, Ordering::Relaxed},
        mpsc::{RecvTimeoutError, channel},
    },
    time::{Duration, Instant},
};

use super::{dice::Dice, seeds::Seeds, target::Target};

/// Processor time that a case may take. The machine may be busy with other things, so the clock on the wall does not count.
const LONGEST_S: f64 = 30.0;
/// Memory that the program may take, bytes. The largest inputs take a tenth of it.
const MOST_MEMORY: u64 = 4 << 30;
/// A target's turn.
const TURN: Duration = Duration::from_millis(300);
/// Cases left running before the whole run ends.
const MOST_STUCK: usize = 3;
/// Finds of one kind that are kept; more are only counted.
const MOST_KEPT: u64 = 3;

/// How long to go on.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Until {
    /// So long, each target as long as the next.
    Time(Duration),
    /// So many cases of each target.
    Cases(u64),
}

/// What to do.
#[derive(Debug, Clone)]
pub(crate) struct Order {
    pub(crate) seed: u64,
    pub(crate) until: Until,
    pub(crate) targets: Vec<Target>,
    /// Where inputs go that found something; nowhere in tests.
    pub(crate) folder: Option<PathBuf>,
}

/// What came of it.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    /// Cases and processor time of each target.
    pub(crate) cases: BTreeMap<&'static str, (u64, f64)>,
    /// The longest case of each target, s, and its number.
    pub(crate) longest: BTreeMap<&'static str, (f64, u64)>,
    /// What was found, how often, and the first case that found it.
    pub(crate) finds: BTreeMap<String, (u64, String)>,
}

impl Tally {
    /// In words, a line a target and a line a find.
    pub(crate) fn words(&self) -> String {
        let mut text = String::new();
        for (name, (cases, time_s)) in &self.cases {
            let (longest, number) = self.longest.get(name).copied().unwrap_or_default();
            // Writing into a String cannot fail.
            let _ =
                writeln!(text, "{name:<8} {cases:>9} cases {time_s:>7.1} s  longest {longest:.2} s (case {number})");
        }
        for (what, (times, case)) in &self.finds {
            let _ = writeln!(text, "FOUND {times} × {what}\n      {case}");
        }
        text
    }
}

/// The case that runs now.
#[derive(Debug, Default)]
struct Now {
    target: usize,
    number: u64,
    input: Vec<u8>,
    began_s: Option<f64>,
}

/// What the last panic said, on whichever thread: work that is caught and told to the person is a find all the same.
static PANIC: Mutex<Option<String>> = Mutex::new(None);

fn locked<T>(m: &Mutex<T>) -> MutexGuard<'_, T> {
    m.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What is done in a case.
pub(crate) type Case = Arc<dyn Fn(Target, &[u8]) -> Result<(), String> + Send + Sync>;

/// Runs cases until the order is done: from the `from`-th, or one only, with this input.
pub(crate) fn run(order: &Order, from: u64, only: Option<Vec<u8>>) -> Tally {
    let seeds = Arc::new(Seeds::new());
    let run: Case = {
        let seeds = seeds.clone();
        Arc::new(move |target: Target, input: &[u8]| target.run(&seeds, input))
    };
    watched(order, from, &seeds, only.map(Arc::new).as_ref(), &run)
}

/// As [`run`], each case carried out by `case`.
pub(crate) fn watched(order: &Order, from: u64, seeds: &Arc<Seeds>, only: Option<&Arc<Vec<u8>>>, case: &Case) -> Tally {
    // There is one hook for panics in a process, and tests may share one.
    static ONE: Mutex<()> = Mutex::new(());
    let _alone = locked(&ONE);
    let usual = panic::take_hook();
    panic::set_hook(Box::new(|info| {
        let place = info.location().map_or_else(String::new, |l| format!(" at {}:{}", l.file(), l.line()));
        let what = info.payload_as_str().unwrap_or("something").to_owned();
        locked(&PANIC).get_or_insert(format!("panic: {what}{place}"));
    }));
    let tally = Arc::new(Mutex::new(Tally::default()));
    let mut next: BTreeMap<usize, u64> = (0..order.targets.len()).map(|t| (t, from)).collect();
    let mut stuck = 0;
    let begun = Instant::now();
    loop {
        // One worker at a time; a new one where a case does not come back.
        let now = Arc::new(Mutex::new(Now::default()));
        let left = Arc::new(AtomicBool::new(false));
        let (tell, told) = channel();
        let worker = Worker {
            order: order.clone(),
            seeds: seeds.clone(),
            tally: tally.clone(),
            now: now.clone(),
            left: left.clone(),
            run: case.clone(),
            only: only.cloned(),
            begun,
            from,
            next: next.clone(),
        };
        let made = std::thread::Builder::new().name("cases".into()).stack_size(8 << 20).spawn(move || {
            worker.work();
            // Nobody listens any more where this worker was given up.
            let _ = tell.send(());
        });
        if let Err(why) = made {
            note(order, &mut locked(&tally), &format!("no thread: {why}"), &Now::default());
            break;
        }
        let done = watch(order, &tally, &now, &told);
        left.store(true, Relaxed);
        let stopped = locked(&now);
        match done {
            Outcome::Done => break,
            Outcome::TooLong => {
                let what = format!("{}: takes more than {LONGEST_S} s", name_of(order, stopped.target));
                note(order, &mut locked(&tally), &what, &stopped);
                stuck += 1;
            }
            Outcome::TooMuch => {
                let what = format!("{}: takes more than {} GB", name_of(order, stopped.target), MOST_MEMORY >> 30);
                note(order, &mut locked(&tally), &what, &stopped);
                break;
            }
        }
        if stuck >= MOST_STUCK {
            break;
        }
        let tally = locked(&tally);
        next = (0..order.targets.len())
            .map(|t| {
                let cases = tally.cases.get(order.targets[t].name()).map_or(0, |c| c.0);
                (t, if t == stopped.target { stopped.number + 1 } else { from + cases })
            })
            .collect();
    }
    panic::set_hook(usual);
    let mut tally = locked(&tally);
    std::mem::take(&mut *tally)
}

enum Outcome {
    Done,
    TooLong,
    TooMuch,
}

/// Waits for the worker, and for anything that goes wrong.
fn watch(order: &Order, tally: &Mutex<Tally>, now: &Mutex<Now>, told: &std::sync::mpsc::Receiver<()>) -> Outcome {
    loop {
        match told.recv_timeout(Duration::from_millis(50)) {
            Ok(()) => return Outcome::Done,
            Err(RecvTimeoutError::Disconnected) => {
                note(order, &mut locked(tally), "the cases' thread ended", &locked(now));
                return Outcome::Done;
            }
            Err(RecvTimeoutError::Timeout) => {}
        }
        if locked(now).began_s.is_some_and(|s| processor_s() - s > LONGEST_S) {
            return Outcome::TooLong;
        }
        if memory() > MOST_MEMORY {
            return Outcome::TooMuch;
        }
    }
}

struct Worker {
    order: Order,
    seeds: Arc<Seeds>,
    tally: Arc<Mutex<Tally>>,
    now: Arc<Mutex<Now>>,
    /// Nobody waits for this worker any more.
    left: Arc<AtomicBool>,
    run: Case,
    /// In place of inputs made.
    only: Option<Arc<Vec<u8>>>,
    begun: Instant,
    from: u64,
    next: BTreeMap<usize, u64>,
}

impl Worker {
    fn work(mut self) {
        let targets = self.order.targets.clone();
        loop {
            let mut any = false;
            for (t, target) in targets.iter().enumerate() {
                let turn = Instant::now();
                while !self.over(t) && turn.elapsed() < TURN {
                    any = true;
                    self.case(t, *target);
                    if self.left.load(Relaxed) {
                        return;
                    }
                }
            }
            if !any {
                return;
            }
        }
    }

    fn over(&self, t: usize) -> bool {
        match self.order.until {
            Until::Time(time) => self.begun.elapsed() >= time,
            Until::Cases(n) => self.next.get(&t).copied().unwrap_or(0) >= self.from + n,
        }
    }

    fn case(&mut self, t: usize, target: Target) {
        let number = self.next.get(&t).copied().unwrap_or(0);
        self.next.insert(t, number + 1);
        let input = match &self.only {
            Some(input) => input.to_vec(),
            None => target.make(&self.seeds, &mut Dice::of_case(self.order.seed, place_of(target), number)),
        };
        locked(&PANIC).take();
        let began_s = processor_s();
        *locked(&self.now) = Now { target: t, number, input: input.clone(), began_s: Some(began_s) };
        let outcome = panic::catch_unwind(AssertUnwindSafe(|| (self.run)(target, &input)));
        locked(&self.now).began_s = None;
        if self.left.load(Relaxed) {
            return;
        }
        let took = processor_s() - began_s;
        let mut tally = locked(&self.tally);
        let cases = tally.cases.entry(target.name()).or_default();
        *cases = (cases.0 + 1, cases.1 + took);
        let longest = tally.longest.entry(target.name()).or_default();
        if took > longest.0 {
            *longest = (took, number);
        }
        let panicked = locked(&PANIC).take();
        let found = panicked.or(match outcome {
            Ok(outcome) => outcome.err(),
            Err(_) => Some("panic".into()),
        });
        if let Some(what) = found {
            // Numbers differ from case to case; the kind is what is the same.
            note(&self.order, &mut tally, &format!("{}: {what}", target.name()), &locked(&self.now));
        }
    }
}

fn place_of(target: Target) -> usize {
    Target::ALL.iter().position(|t| *t == target).unwrap_or(0)
}

fn name_of(order: &Order, target: usize) -> &'static str {
    order.targets.get(target).map_or("?", |t| t.name())
}

/// Counts a find and writes its input down.
fn note(order: &Order, tally: &mut Tally, what: &str, case: &Now) {
    let what: String = what.chars().take(400).collect();
    let name = name_of(order, case.target);
    let file = format!("{name}-{}-{}", order.seed, case.number);
    let again = format!("--seed {} --target {name} --from {}", order.seed, case.number);
    let find = tally.finds.entry(what.clone()).or_insert((0, again));
    find.0 += 1;
    if let Some(folder) = order.folder.as_ref().filter(|_| find.0 <= MOST_KEPT)
        && let Err(why) = keep(folder, &file, &case.input, &what)
    {
        eprintln!("{}: cannot be written: {why}", folder.display());
    }
}

fn keep(folder: &Path, file: &str, input: &[u8], what: &str) -> std::io::Result<()> {
    fs::create_dir_all(folder)?;
    fs::write(folder.join(file), input)?;
    fs::write(folder.join(format!("{file}.txt")), what)
}

/// Processor time of this process so far, s; wall time where the system does not tell. Source: proc(5), stat, fields 14 and 15 in
/// hundredths.
fn processor_s() -> f64 {
    static BEGUN: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    let told = || {
        let stat = fs::read_to_string("/proc/self/stat").ok()?;
        let fields: Vec<&str> = stat.rsplit_once(')')?.1.split_whitespace().collect();
        let ticks = fields.get(11)?.parse::<f64>().ok()? + fields.get(12)?.parse::<f64>().ok()?;
        Some(ticks / 100.0)
    };
    told().unwrap_or_else(|| BEGUN.get_or_init(Instant::now).elapsed().as_secs_f64())
}

/// Memory in use, bytes; 0 where the system does not tell. Source: proc(5), statm, resident pages of 4 kB.
fn memory() -> u64 {
    let told = || {
        let statm = fs::read_to_string("/proc/self/statm").ok()?;
        statm.split_whitespace().nth(1)?.parse::<u64>().ok()
    };
    told().unwrap_or(0) * 4096
}
