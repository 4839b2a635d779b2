//! How far a command is, on standard error.

use std::{
    io::{self, IsTerminal, Write},
    sync::{Arc, Mutex, PoisonError},
    time::{Duration, Instant},
};

use crate::{
    packing::Layout,
    watch::Watch,
    work::{Event, Heard},
};

/// Shorter work is done without a word.
const SILENT: Duration = Duration::from_secs(1);
/// Between two tellings.
const REWRITTEN: Duration = Duration::from_millis(200);
/// Back to the start of the line, which is cleared (ECMA-48).
const CLEARED: &str = "\r\u{1b}[2K";

/// Tells how far work is in one line that is rewritten and goes away at the end; nothing where standard error is no terminal.
pub(super) fn heard() -> Heard {
    let terminal = io::stderr().is_terminal();
    let line = Mutex::new(Line::new());
    Arc::new(move |event| {
        let said = line.lock().unwrap_or_else(PoisonError::into_inner).hear(event, Instant::now());
        if let Some(text) = said.filter(|_| terminal) {
            // Nobody to tell where standard error is closed.
            let _ = write!(io::stderr(), "{text}");
        }
    })
}

/// Work on this thread, told likewise.
pub(super) struct Told {
    line: Mutex<Line>,
    terminal: bool,
}

impl Told {
    pub(super) fn new() -> Self {
        Self { line: Mutex::new(Line::new()), terminal: io::stderr().is_terminal() }
    }
    /// The work is over.
    pub(super) fn end(&self) {
        let told = self.line.lock().unwrap_or_else(PoisonError::into_inner).told.take();
        if told.is_some() && self.terminal {
            let _ = write!(io::stderr(), "{CLEARED}");
        }
    }
}

impl Watch for Told {
    fn cancelled(&self) -> bool {
        false
    }
    fn progress(&self, done: f64, what: &str) {
        let said = self.line.lock().unwrap_or_else(PoisonError::into_inner).tell(done, what, Instant::now());
        if let Some(text) = said.filter(|_| self.terminal) {
            let _ = write!(io::stderr(), "{text}");
        }
    }
}

/// What has been heard and when it was last told.
struct Line {
    begun: Instant,
    told: Option<Instant>,
    best: Option<(usize, usize)>,
}

impl Line {
    fn new() -> Self {
        Self { begun: Instant::now(), told: None, best: None }
    }
    /// The line to write now, if any.
    fn hear(&mut self, event: &Event, now: Instant) -> Option<String> {
        match event {
            Event::Begin(_) => {
                *self = Self { begun: now, ..Self::new() };
                None
            }
            Event::Improved(_, layout) => {
                self.best = Some(size(layout));
                None
            }
            Event::Progress(_, done, what) => self.tell(*done, what, now),
            Event::Dealing(..) | Event::FootingRow(..) | Event::PlateRow(..) | Event::CopiesRow(..) => None,
            // What is printed next begins on an empty line.
            Event::End { .. } => self.told.take().map(|_| CLEARED.to_owned()),
        }
    }
    fn tell(&mut self, done: f64, what: &str, now: Instant) -> Option<String> {
        let wait = if self.told.is_some() { REWRITTEN } else { SILENT };
        if now.saturating_duration_since(self.told.unwrap_or(self.begun)) < wait {
            return None;
        }
        self.told = Some(now);
        let best = match self.best {
            Some((copies, plates)) => {
                format!(", so far {} on {}", crate::words::copies(copies), crate::words::count(plates, "plate"))
            }
            None => String::new(),
        };
        let seconds = now.saturating_duration_since(self.begun).as_secs();
        Some(format!("{CLEARED}{what}: {:.0} %{best} ({seconds} s)", done.clamp(0.0, 1.0) * 100.0))
    }
}

/// Copies placed and plates with any.
fn size(layout: &Layout) -> (usize, usize) {
    (layout.count(), layout.beds.iter().filter(|b| !b.is_empty()).count())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        packing::{Item, Layout},
        work::TicketId,
    };

    fn after(line: &mut Line, event: &Event, ms: u64) -> Option<String> {
        let now = line.begun + Duration::from_millis(ms);
        line.hear(event, now)
    }

    #[test]
    fn short_work_is_silent_and_long_work_says_how_far_it_is() {
        let progress = |done| Event::Progress(TicketId(1), done, "packing".into());
        let mut line = Line::new();
        assert_eq!(after(&mut line, &progress(0.1), 900), None);
        assert_eq!(after(&mut line, &progress(0.25), 1000).as_deref(), Some("\r\u{1b}[2Kpacking: 25 % (1 s)"));
        let item = Item { shape: 0, at: crate::geom::Placement::default() };
        let layout = Layout { beds: vec![vec![item; 3], vec![item], vec![]], ..Layout::default() };
        assert_eq!(after(&mut line, &Event::Improved(TicketId(1), Arc::new(layout)), 1050), None);
        assert_eq!(after(&mut line, &progress(0.5), 1150), None, "not more often than five times a second");
        let told = after(&mut line, &progress(0.5), 6000);
        assert_eq!(told.as_deref(), Some("\r\u{1b}[2Kpacking: 50 %, so far 4 copies on 2 plates (6 s)"));
        let end = Event::End { ticket: TicketId(1), cancelled: false, answer: None };
        assert_eq!(after(&mut line, &end, 6100).as_deref(), Some("\r\u{1b}[2K"));
        assert_eq!(after(&mut line, &end, 6200), None);
    }
}
