//! Bytes → words of machine code: a letter and a number.
//!
//! Words, comments and line numbers as in RS-274; source: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC
//! Interpreter, Version 3, 2000, section 3 (from memory): letters of either case, white space without meaning, comments in
//! parentheses. Common practice on filament machines, no source: `;` begins a comment to the end of the line, `*` a
//! checksum, quotes hold text, and a line that begins with two letters is a command with a name of its own.
//!
//! Memory is the same whatever the file: a word is finished as its bytes go by, nothing of a line is kept.

/// Hears the words of a file, in order.
pub(super) trait Listener {
    /// A word. The letter is upper case, or `*` before a checksum; the number is `None` where none follows it and NaN where what
    /// follows makes no sense.
    fn word(&mut self, letter: u8, number: Option<f64>) -> Rest;
    /// A line that is a command with a name, as far as it is kept.
    fn named(&mut self, text: &[u8]);
    /// The line is over.
    fn end_of_line(&mut self);
}

/// What the rest of the line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rest {
    /// More words.
    Words,
    /// Text for people.
    Text,
}

/// Bytes kept of a command with a name.
const NAME: usize = 160;

/// What the next byte belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Words,
    /// Skipped up to this byte, or the end of the line.
    Until(u8),
    Name,
}

/// The reader; it may be fed in pieces cut anywhere.
#[derive(Debug)]
pub(super) struct Words {
    state: State,
    /// The letter whose number is read; 0 for none.
    letter: u8,
    number: Number,
    /// Only line numbers have been on the line so far.
    first: bool,
    name: [u8; NAME],
    name_length: usize,
    /// Bytes read.
    pub(super) bytes: u64,
    /// Line ends read.
    pub(super) lines: u64,
    /// Bytes of the longest line.
    pub(super) longest: u64,
    line_from: u64,
    /// Bytes that belong to no word, comment or text.
    pub(super) noise: u64,
}

impl Words {
    pub(super) fn new() -> Self {
        Self {
            state: State::Words,
            letter: 0,
            number: Number::default(),
            first: true,
            name: [0; NAME],
            name_length: 0,
            bytes: 0,
            lines: 0,
            longest: 0,
            line_from: 0,
            noise: 0,
        }
    }

    /// Reads a piece.
    pub(super) fn feed(&mut self, bytes: &[u8], to: &mut impl Listener) {
        let mut rest = bytes;
        while !rest.is_empty() {
            let done = match self.state {
                State::Words => self.words(rest, to),
                State::Until(end) => self.skip(rest, end),
                State::Name => self.keep(rest, to),
            };
            self.bytes += done as u64;
            rest = &rest[done..];
        }
    }

    /// The file is over.
    pub(super) fn finish(&mut self, to: &mut impl Listener) {
        self.end_line(0, to);
    }

    /// Reads words until the state is another one; tells how many bytes that were.
    fn words(&mut self, bytes: &[u8], to: &mut impl Listener) -> usize {
        for (i, &b) in bytes.iter().enumerate() {
            match b {
                b'0'..=b'9' if self.letter != 0 => self.number.digit(b - b'0'),
                b'.' if self.letter != 0 => self.number.point(),
                b' ' | b'\t' => {}
                b'A'..=b'Z' | b'a'..=b'z' => {
                    if self.first && self.letter != 0 && self.number == Number::default() && self.letter != b'*' {
                        self.name[0] = self.letter;
                        self.name_length = 1;
                        self.letter = 0;
                        self.state = State::Name;
                        return i;
                    }
                    if self.end_word(to) == Rest::Text {
                        self.state = State::Until(b'\n');
                        return i;
                    }
                    self.letter = b & !0x20;
                }
                b'\n' | b'\r' => {
                    self.end_line(i as u64 + 1, to);
                    self.lines += u64::from(b == b'\n');
                }
                b'-' | b'+' if self.letter != 0 => self.number.sign(b == b'-'),
                b';' | b'(' | b'"' => {
                    let text = self.end_word(to) == Rest::Text;
                    self.state = State::Until(match b {
                        b'(' if !text => b')',
                        b'"' if !text => b'"',
                        _ => b'\n',
                    });
                    return i + 1;
                }
                b'*' => {
                    self.end_word(to);
                    self.letter = b'*';
                }
                // Marks of the file's beginning and end, and of lines that may be left out.
                b'%' | b'/' => {
                    self.end_word(to);
                }
                _ => {
                    self.end_word(to);
                    // A byte order mark at the very beginning is none of it.
                    let mark = [0xEF, 0xBB, 0xBF].get((self.bytes as usize).saturating_add(i));
                    self.noise += u64::from(mark != Some(&b));
                }
            }
        }
        bytes.len()
    }

    fn end_word(&mut self, to: &mut impl Listener) -> Rest {
        if self.letter == 0 {
            return Rest::Words;
        }
        let letter = std::mem::take(&mut self.letter);
        self.first &= letter == b'N';
        to.word(letter, std::mem::take(&mut self.number).value())
    }

    /// The line is over after `done` more bytes than are counted already.
    fn end_line(&mut self, done: u64, to: &mut impl Listener) {
        if self.state == State::Name {
            let kept = self.name;
            to.named(&kept[..self.name_length]);
        }
        self.end_word(to);
        to.end_of_line();
        self.state = State::Words;
        self.first = true;
        let at = self.bytes + done;
        self.longest = self.longest.max(at - self.line_from);
        self.line_from = at;
    }

    fn skip(&mut self, bytes: &[u8], end: u8) -> usize {
        let Some(i) = bytes.iter().position(|&b| b == end || b == b'\n' || b == b'\r') else { return bytes.len() };
        self.state = State::Words;
        // The end of the line is read as such.
        if matches!(bytes[i], b'\n' | b'\r') { i } else { i + 1 }
    }

    fn keep(&mut self, bytes: &[u8], to: &mut impl Listener) -> usize {
        for (i, &b) in bytes.iter().enumerate() {
            match b {
                b'\n' | b'\r' => {
                    self.end_line(i as u64 + 1, to);
                    self.lines += u64::from(b == b'\n');
                    return i + 1;
                }
                b';' => {
                    let kept = self.name;
                    to.named(&kept[..self.name_length]);
                    self.state = State::Until(b'\n');
                    return i + 1;
                }
                _ if self.name_length < NAME => {
                    self.name[self.name_length] = b;
                    self.name_length += 1;
                }
                _ => {}
            }
        }
        bytes.len()
    }
}

/// A number as its bytes go by: no exponent, for E is a word of its own.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Number {
    digits: u64,
    /// Digits seen at all.
    any: bool,
    /// Digits after the point, less those before it that found no room.
    decimals: i32,
    point: bool,
    negative: bool,
    signed: bool,
    wrong: bool,
}

/// Powers of ten that f64 holds exactly.
const TENS: [f64; 20] =
    [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19];

impl Number {
    fn digit(&mut self, d: u8) {
        self.any = true;
        // More digits than f64 can tell apart only move the point.
        if self.digits < 100_000_000_000_000_000 {
            self.digits = self.digits * 10 + u64::from(d);
            self.decimals += i32::from(self.point);
        } else if !self.point {
            self.decimals = self.decimals.saturating_sub(1);
        }
    }
    fn point(&mut self) {
        self.wrong |= self.point;
        self.point = true;
    }
    fn sign(&mut self, negative: bool) {
        self.wrong |= self.signed || self.any || self.point;
        self.signed = true;
        self.negative = negative;
    }
    fn value(self) -> Option<f64> {
        if self.wrong || (!self.any && (self.point || self.signed)) {
            return Some(f64::NAN);
        }
        if !self.any {
            return None;
        }
        let digits = self.digits as f64;
        let size = match usize::try_from(self.decimals) {
            Ok(0) => digits,
            // One rounding: the nearest f64 wherever the digits fit one.
            Ok(n) => TENS.get(n).map_or_else(|| digits / 10f64.powi(self.decimals), |t| digits / t),
            Err(_) => digits * 10f64.powi(self.decimals.saturating_neg()),
        };
        Some(if self.negative { -size } else { size })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Writes down what it hears.
    #[derive(Default)]
    struct Scribe(String);

    impl Listener for Scribe {
        fn word(&mut self, letter: u8, number: Option<f64>) -> Rest {
            let text = number.map_or_else(String::new, |n| n.to_string());
            self.0.push_str(&[&char::from(letter).to_string(), text.as_str(), " "].concat());
            if letter == b'M' && number == Some(117.0) { Rest::Text } else { Rest::Words }
        }
        fn named(&mut self, text: &[u8]) {
            self.0.push_str(&["<", &String::from_utf8_lossy(text), "> "].concat());
        }
        fn end_of_line(&mut self) {
            self.0.push('|');
        }
    }

    fn heard(pieces: &[&[u8]]) -> (String, [u64; 4]) {
        let (mut words, mut scribe) = (Words::new(), Scribe::default());
        for p in pieces {
            words.feed(p, &mut scribe);
        }
        words.finish(&mut scribe);
        (scribe.0, [words.bytes, words.lines, words.longest, words.noise])
    }

    fn told(text: &str) -> String {
        heard(&[text.as_bytes()]).0
    }

    #[test]
    fn words_as_in_the_report() {
        // Its own examples of white space and case: "g0x +0. 12 34y 7" is "g0 x+0.1234 y7".
        assert_eq!(told("g0x +0. 12 34y 7"), "G0 X0.1234 Y7 |");
        assert_eq!(told("N10 G1 X-.5 (a comment G2) Y+3.\n"), "N10 G1 X-0.5 Y3 ||");
        assert_eq!(told("G92.1\r\nG28 X Y\r\n"), "G92.1 ||G28 X Y |||");
        assert_eq!(told("X1.2.3 Y1-2 Z- E."), "XNaN YNaN ZNaN ENaN |");
        // E is a word: there is no exponent.
        assert_eq!(told("X1e300"), "X1 E300 |");
    }

    #[test]
    fn words_as_on_filament_machines() {
        assert_eq!(told("N3 T0*57\nG1X1 ; G1 X2\nM117 G1 X3\nG1"), "N3 T0 *57 |G1 X1 |M117 |G1 |");
        assert_eq!(told("SET_RATE A=1 ;x\nN1 ab\ng4"), "<SET_RATE A=1 > |N1 <Ab> |G4 |");
        assert_eq!(told("M23 \"G1 X2\" S1\n(open\nG1"), "M23 S1 ||G1 |");
        assert_eq!(heard(&["\u{feff}G1\nG1 X=2\n".as_bytes()]).1, [13, 2, 7, 2]);
    }

    #[test]
    fn numbers_are_read_as_the_library_reads_them() {
        // Referee: the standard library's parser.
        for text in ["0", "12.345", "0.1", "123456.789", "00.05", "9007199254740993", "0.30000000000000004", "1.0e"] {
            let text = text.trim_end_matches('e');
            assert_eq!(told(&format!("X{text}")), format!("X{} |", text.parse::<f64>().expect("a number")));
        }
        let long = format!("X{}", "9".repeat(400));
        assert_eq!(told(&long), "Xinf |");
        let small = format!("X0.{}1", "0".repeat(400));
        assert_eq!(told(&small), "X0 |");
    }

    proptest! {
        /// Cut anywhere, the same is heard.
        #[test]
        fn pieces_do_not_matter(text in "[GXYNM0-9;()\"*%=. \r\n\t+-]{0,80}", cuts in prop::collection::vec(0usize..80, 0..6)) {
            let bytes = text.as_bytes();
            let mut cuts: Vec<usize> = cuts.into_iter().map(|c| c.min(bytes.len())).collect();
            cuts.extend([0, bytes.len()]);
            cuts.sort_unstable();
            let pieces: Vec<&[u8]> = cuts.windows(2).map(|w| &bytes[w[0]..w[1]]).collect();
            prop_assert_eq!(heard(&pieces), heard(&[bytes]));
        }
    }
}
