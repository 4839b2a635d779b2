//! However long a file is, little of it is held at once.

use std::{
    io::{self, Read},
    sync::atomic::{AtomicU64, Ordering},
};

use super::{Basis, DwellUnit, Gauge, GaugeError, Measured, measure, measure::PIECE};
use crate::{
    document::{Recipe, RecipeId},
    estimate::MOST_LAYERS,
    watch::{Quiet, Watch},
};

/// What comes at the n-th place of a file, counted from 0.
type Code = fn(u64) -> String;

/// Every file begins so.
const HEAD: &str = "M83\nG1 X1 E1 F3600\n";

/// Files without end, by what would have to be kept of them.
const ENDLESS: [(&str, Code); 9] = [
    ("lines", |i| format!("G1 X{} Y{} E1\n", i % 97, i % 89)),
    ("no line ends", |i| format!("G1 X{} Y{} E1 ", i % 97, i % 89)),
    ("one comment", |i| if i == 0 { "; ".into() } else { "what is said to people ".into() }),
    ("one name", |i| if i == 0 { "START_".into() } else { "AND_AGAIN_".into() }),
    ("one number", |i| if i == 0 { "G1 X1".into() } else { "2345678901".into() }),
    ("kinds of words", |i| format!("M{} S1\n", 1000 + i)),
    ("kinds of names", |i| format!("DO_{i}\n")),
    // Far more strides than a window holds lie within one braking distance.
    ("tiny strides", |i| if i == 0 { "G91\nG1 F9000\n".into() } else { "X.00001\n".into() }),
    ("layers", |i| format!("Z.{}\nX{}E1\n", 2 + 2 * (i % 2), i % 9)),
];

/// A file that is made up while it is read.
struct File<'a> {
    code: Code,
    next: u64,
    text: Vec<u8>,
    /// Bytes of the text that were given.
    at: usize,
    left: u64,
    given: &'a AtomicU64,
    /// The most that was asked for at once.
    asked: usize,
}

impl<'a> File<'a> {
    fn new(code: Code, bytes: u64, given: &'a AtomicU64) -> Self {
        Self { code, next: 0, text: HEAD.into(), at: 0, left: bytes, given, asked: 0 }
    }
}

impl Read for File<'_> {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        self.asked = self.asked.max(to.len());
        let most = to.len().min(usize::try_from(self.left).unwrap_or(usize::MAX));
        let mut n = 0;
        while n < most {
            if self.at == self.text.len() {
                self.text = (self.code)(self.next).into_bytes();
                self.at = 0;
                self.next += 1;
            }
            let part = (most - n).min(self.text.len() - self.at);
            to[n..n + part].copy_from_slice(&self.text[self.at..self.at + part]);
            self.at += part;
            n += part;
        }
        self.left -= n as u64;
        self.given.fetch_add(n as u64, Ordering::Relaxed);
        Ok(n)
    }
}

fn basis() -> Basis {
    Basis::of(&Recipe::plain(RecipeId(1)), DwellUnit::Milliseconds).expect("a plain recipe's numbers")
}

/// What was held, the most that was asked for at once, the answer.
fn read(code: Code, bytes: u64) -> (usize, usize, Measured) {
    let (basis, given) = (basis(), AtomicU64::new(0));
    let mut file = File::new(code, bytes, &given);
    let mut gauge = Gauge::new(&basis);
    gauge.read(&mut file, bytes, &Quiet).expect("it can be read");
    // What grows does not shrink again: this is the most of the whole way.
    let held = gauge.held();
    let m = gauge.finish().expect("it is machine code");
    assert_eq!(m.bytes, bytes);
    (held, file.asked, m)
}

#[test]
fn a_longer_file_is_held_in_no_more_memory() {
    for (name, code) in ENDLESS {
        let (held, asked, _) = read(code, 1 << 20);
        let (held_of_more, asked_of_more, m) = read(code, 2 << 20);
        assert_eq!((asked, asked_of_more), (PIECE, PIECE), "{name}");
        assert!(held_of_more <= Gauge::most_held(), "{name}: {held_of_more} bytes");
        if name == "layers" {
            // A line a layer, and no more layers than any machine lays.
            assert_eq!(m.layers.len(), MOST_LAYERS);
            assert!(m.doubts.lumped_layers > 0);
        } else {
            assert_eq!(held, held_of_more, "{name}");
        }
    }
}

/// Cancelled, it asks for nothing more, also where the file has neither line ends nor an end.
#[test]
fn no_file_goes_on_once_cancelled() {
    struct After<'a>(&'a AtomicU64);
    const ENOUGH: u64 = 1 << 20;
    impl Watch for After<'_> {
        fn cancelled(&self) -> bool {
            self.0.load(Ordering::Relaxed) >= ENOUGH
        }
    }
    let basis = basis();
    for (name, code) in ENDLESS {
        let given = AtomicU64::new(0);
        let mut file = File::new(code, u64::MAX, &given);
        let told = measure(&mut file, u64::MAX, &basis, &After(&given));
        assert!(matches!(told, Err(GaugeError::Cancelled)), "{name}: {told:?}");
        let given = given.load(Ordering::Relaxed);
        assert!(given < ENOUGH + PIECE as u64, "{name}: {given} bytes were read");
    }
}
