//! Files that are nearly right.

use serde_json::{Number, Value};

use super::dice::Dice;

/// Largest input made.
const MOST_BYTES: usize = 300_000;

/// Pieces that parsers trip over.
const PIECES: [&[u8]; 36] = [
    b"0",
    b"-0",
    b"1",
    b"-1",
    b"0.5",
    b"1e-320",
    b"1e15",
    b"1e29",
    b"-1e30",
    b"1e300",
    b"1e999",
    b"-1e999",
    b"255",
    b"65536",
    b"4294967295",
    b"4294967296",
    b"9223372036854775808",
    b"18446744073709551616",
    b"nan",
    b"inf",
    b"null",
    b"true",
    b"\"\"",
    b"[]",
    b"{}",
    b"\n",
    b" ",
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"/",
    b"\\",
    b"\"",
    b"<",
    b">",
    b";",
];

/// A file with a few changes: bytes, pieces, numbers, and pieces of another file.
pub(crate) fn bytes(dice: &mut Dice, file: &[u8], other: &[u8]) -> Vec<u8> {
    let mut out = file.to_vec();
    for _ in 0..=dice.below(6) {
        one_change(dice, &mut out, other);
    }
    out.truncate(MOST_BYTES);
    out
}

fn one_change(dice: &mut Dice, out: &mut Vec<u8>, other: &[u8]) {
    let at = dice.below(out.len());
    // Short runs more often than long ones.
    let run = |dice: &mut Dice, from: usize, len: usize| {
        let most = if dice.one_in(4) { len } else { 40 };
        from..(from + dice.below(most)).min(len)
    };
    match dice.below(12) {
        0 => {
            if let Some(b) = out.get_mut(at) {
                *b ^= 1 << dice.below(8);
            }
        }
        1 => {
            if let Some(b) = out.get_mut(at) {
                *b = dice.next() as u8;
            }
        }
        2 => {
            let piece = *dice.of(&PIECES);
            out.splice(at..at, piece.iter().copied());
        }
        3 => {
            let range = run(dice, at, out.len());
            out.drain(range);
        }
        4 => {
            let range = run(dice, at, out.len());
            let again = out[range].to_vec();
            let times = 1 + dice.below(if again.len() < 200 { 40 } else { 2 });
            out.splice(at..at, again.repeat(times));
        }
        5 => {
            let from = dice.below(other.len());
            let range = run(dice, from, other.len());
            out.splice(at..at, other[range].iter().copied());
        }
        6 if dice.one_in(3) => out.truncate(at),
        7 => {
            let (a, b) = (at, dice.below(out.len()));
            if a < out.len() && b < out.len() {
                out.swap(a, b);
            }
        }
        // Four bytes as a number: counts and coordinates of binary files.
        8 => {
            let four = match dice.below(4) {
                0 => (*dice.of(&[0_u32, 1, 12, 0xffff, u32::MAX])).to_le_bytes(),
                1 => (*dice.of(&[0.0_f32, -1.0, 1e-38, 1e9, 1e29, 3e38, f32::NAN, f32::INFINITY])).to_le_bytes(),
                2 => (dice.length() as f32).to_le_bytes(),
                _ => (dice.next() as u32).to_le_bytes(),
            };
            let at = if dice.one_in(2) { at / 4 * 4 } else { at };
            if let Some(place) = out.get_mut(at..at + 4) {
                place.copy_from_slice(&four);
            }
        }
        _ => number(dice, out, at),
    }
}

/// Puts another number in the place of the one next to a byte.
fn number(dice: &mut Dice, out: &mut Vec<u8>, near: usize) {
    let part = |b: &u8| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E');
    let Some(from) = out.get(near..).and_then(|o| o.iter().position(u8::is_ascii_digit)).map(|i| i + near) else {
        return;
    };
    let from = out[..from].iter().rposition(|b| !part(b)).map_or(0, |i| i + 1);
    let to = out[from..].iter().position(|b| !part(b)).map_or(out.len(), |i| i + from);
    let old: f64 = std::str::from_utf8(&out[from..to]).ok().and_then(|t| t.parse().ok()).unwrap_or(1.0);
    let new = match dice.below(6) {
        0 => {
            let piece: &&[u8] = dice.of(&PIECES[..22]);
            String::from_utf8_lossy(piece).into_owned()
        }
        1 => format!("{}", dice.below(100_000)),
        2 => format!("{}", -old),
        3 => format!("{}", old + dice.share() - 0.5),
        4 => format!("{:e}", old * 10_f64.powf(dice.below(41) as f64 - 20.0)),
        _ => format!("{}", dice.length()),
    };
    out.splice(from..to, new.into_bytes());
}

/// JSON with a few values changed, so that most of it still makes sense; `wild` goes beyond every limit.
pub(crate) fn json(dice: &mut Dice, file: &[u8], wild: bool) -> Vec<u8> {
    let Ok(mut value) = serde_json::from_slice::<Value>(file) else { return file.to_vec() };
    for _ in 0..=dice.below(5) {
        // Down to a value somewhere, each branch as likely as the next.
        change(dice, &mut value, wild);
    }
    value.to_string().into_bytes()
}

fn change(dice: &mut Dice, value: &mut Value, wild: bool) {
    match value {
        Value::Object(map) if !map.is_empty() => {
            let at = dice.below(map.len());
            let Some(key) = map.keys().nth(at).cloned() else { return };
            if wild && dice.one_in(30) {
                map.remove(&key);
            } else if let Some(v) = map.get_mut(&key) {
                change(dice, v, wild);
            }
        }
        Value::Array(list) if !list.is_empty() => {
            let at = dice.below(list.len());
            match dice.below(if wild { 12 } else { 40 }) {
                0 => drop(list.remove(at)),
                1 => {
                    let again = list[at].clone();
                    list.extend(std::iter::repeat_n(again, 1 + dice.below(12)));
                }
                2 => {
                    let other = dice.below(list.len());
                    list.swap(at, other);
                }
                _ => change(dice, &mut list[at], wild),
            }
        }
        Value::Number(n) => {
            let old = n.as_f64().unwrap_or_default();
            let new = match dice.below(if wild { 8 } else { 6 }) {
                0 => 0.0,
                1 => old * *dice.of(&[0.5, 2.0, 10.0, 0.1, 100.0, 0.01, 1000.0, 1e-3]),
                2 => old + *dice.of(&[1.0, -1.0, 0.1, 1e-9]),
                3 => -old,
                4 => dice.below(400) as f64 / 2.0,
                5 => dice.share(),
                6 => dice.length(),
                _ => *dice.of(&[1e9, 1e18, -1e18, 1e300, 5e-324]),
            };
            // Ids and counts stay whole, or nothing could be read.
            *value = if n.is_f64() || new.abs() > 1e15 {
                Number::from_f64(new).map_or(Value::Null, Value::Number)
            } else {
                Value::from(new.round() as i64)
            };
        }
        Value::String(s) => {
            if wild || dice.one_in(8) {
                *s = match dice.below(5) {
                    0 => String::new(),
                    1 => "=1+1\u{1b}[2J\n\u{202e}".into(),
                    2 => "x".repeat(dice.below(3000)),
                    3 => "../../../..".into(),
                    _ => format!("{s}{}", dice.below(10)),
                };
            }
        }
        Value::Bool(b) => *b = !*b,
        other => {
            if wild {
                *other = dice.of(&[Value::Null, Value::from(1), Value::from("x"), Value::Array(vec![])]).clone();
            }
        }
    }
}
