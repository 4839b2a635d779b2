//! Pages of marks that say what they are.

use crate::drawing::Mark;

/// What a piece of a page is, for those who have the page read to them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Role {
    /// A heading of this level, from 1.
    Heading(u16),
    /// Running text.
    Paragraph,
    /// An item of a list; items that follow one another are one list.
    Item,
    /// A drawing, with what it shows in words.
    Figure(String),
    /// A cell of a table; cells that follow one another are one table.
    Cell {
        /// Its row, from 0.
        row: usize,
        /// It heads its column.
        heads: bool,
    },
    /// Lines and repeated words that say nothing new.
    Layout,
}

/// A part of a page.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// What it is.
    pub role: Role,
    /// Millimetres of the page, y up from its lower left corner, back to front.
    pub marks: Vec<Mark>,
}

impl Piece {
    /// Marks with their role.
    pub fn new(role: Role, marks: Vec<Mark>) -> Self {
        Self { role, marks }
    }
}

/// One page.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Width and height, mm.
    pub size_mm: (f64, f64),
    /// What a list of pages calls it; `None` where it goes on with the page before.
    pub bookmark: Option<String>,
    /// In reading order.
    pub pieces: Vec<Piece>,
}

/// Pages that belong together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pages {
    /// Title of the document.
    pub title: String,
    /// The pages.
    pub pages: Vec<Page>,
}

impl Pages {
    /// The same pages, and others after them.
    #[must_use]
    pub fn then(mut self, other: Self) -> Self {
        self.pages.extend(other.pages);
        self
    }
}

/// What the head of a page says of its job.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PageHead {
    /// The job's title.
    pub job: String,
    /// What tells this state of the job from others: "3f9a2c1b".
    pub revision: String,
    /// The date given, ISO 8601; empty for none.
    pub date: String,
}

impl PageHead {
    /// "Hive fittings · revision 3f9a2c1b · 2026-12-01".
    pub fn words(&self) -> String {
        let revision = if self.revision.is_empty() { String::new() } else { format!("revision {}", self.revision) };
        let all = [self.job.clone(), revision, self.date.clone()];
        all.into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" · ")
    }
}
