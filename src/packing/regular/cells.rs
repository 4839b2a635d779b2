//! Equal parts made of squares in a field of squares.
//!
//! Square by square along the rows, each free one is covered by a part or given up. Of all beginnings that leave
//! different borders those with the fewest squares lost and the smoothest borders are kept (a beam search).

/// Rows that a part may have at most, and squares that a row of the field may have.
pub(in crate::packing) const ROWS: usize = 12;
pub(in crate::packing) const COLUMNS: usize = 64;

/// A part at one turn: bits of its rows, from the lowest; the lowest bit of the lowest row is its first square.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Piece {
    /// Moved so that no column is empty on the low side.
    pub(in crate::packing) rows: Vec<u64>,
    /// Where it may lie: by row of the field, bits of the column of its own lowest column.
    pub(in crate::packing) allowed: Vec<u64>,
}

impl Piece {
    fn first(&self) -> u32 {
        self.rows.first().map_or(0, |r| r.trailing_zeros())
    }
    fn squares(&self) -> u32 {
        self.rows.iter().map(|r| r.count_ones()).sum()
    }
}

/// A part laid down: piece, column, row.
pub(in crate::packing) type PieceAt = (usize, usize, usize);

/// How the search goes about it.
#[derive(Debug, Clone, Copy)]
pub(in crate::packing) struct Beam {
    /// Beginnings kept.
    pub(in crate::packing) width: usize,
    /// What a step in the border weighs against a lost square.
    pub(in crate::packing) smooth: f64,
}

#[derive(Debug, Clone, Copy)]
struct State {
    rows: [u64; ROWS],
    lost: u32,
    /// Last part laid, in the list of all.
    last: u32,
    laid: u32,
}

const NONE: u32 = u32::MAX;

/// More parts than `beat`, as many as are found, at most `most`; none where it finds no more than that.
pub(in crate::packing) fn fill(
    [columns, rows]: [usize; 2],
    pieces: &[Piece],
    [beat, most]: [usize; 2],
    beam: Beam,
    cancelled: &dyn Fn() -> bool,
) -> Vec<PieceAt> {
    let size = pieces.iter().map(Piece::squares).min().unwrap_or(0) as usize;
    let tallest = pieces.iter().map(|p| p.rows.len()).max().unwrap_or(0);
    if size == 0 || tallest > ROWS || columns > COLUMNS {
        return Vec::new();
    }
    // Squares that no part can cover count as covered.
    let mut reached = vec![0_u64; rows + ROWS];
    for p in pieces {
        for (r, &columns) in p.allowed.iter().enumerate().take(rows) {
            for (k, bits) in p.rows.iter().enumerate() {
                let mut starts = columns;
                while starts != 0 {
                    reached[r + k] |= bits << starts.trailing_zeros();
                    starts &= starts - 1;
                }
            }
        }
    }
    let squares: u32 = reached.iter().map(|r| r.count_ones()).sum();
    if (beat + 1) * size > squares as usize {
        return Vec::new();
    }
    let may_lose = squares - ((beat + 1) * size) as u32;
    let mut trail: Vec<(u32, PieceAt)> = Vec::new();
    let mut begin = State { rows: [0; ROWS], lost: 0, last: NONE, laid: 0 };
    for (k, row) in begin.rows.iter_mut().enumerate() {
        *row = !reached[k.min(rows + ROWS - 1)];
    }
    let mut now = vec![begin];
    let mut next: Vec<State> = Vec::new();
    for r in 0..rows {
        if cancelled() {
            return Vec::new();
        }
        for c in 0..columns {
            next.clear();
            for s in &now {
                if s.rows[0] >> c & 1 == 1 {
                    next.push(*s);
                    continue;
                }
                if s.lost < may_lose {
                    let mut t = *s;
                    t.rows[0] |= 1 << c;
                    t.lost += 1;
                    next.push(t);
                }
                if s.laid as usize >= most {
                    continue;
                }
                for (i, p) in pieces.iter().enumerate() {
                    let Some(column) = c.checked_sub(p.first() as usize) else { continue };
                    let free = p.allowed.get(r).is_some_and(|a| a >> column & 1 == 1)
                        && p.rows.iter().zip(&s.rows).all(|(bits, row)| bits << column & row == 0);
                    if free {
                        let mut t = *s;
                        for (row, bits) in t.rows.iter_mut().zip(&p.rows) {
                            *row |= bits << column;
                        }
                        trail.push((s.last, (i, column, r)));
                        t.last = trail.len() as u32 - 1;
                        t.laid += 1;
                        next.push(t);
                    }
                }
            }
            if next.len() > beam.width {
                next.sort_unstable_by(|a, b| a.rows.cmp(&b.rows).then(a.lost.cmp(&b.lost)).then(a.last.cmp(&b.last)));
                next.dedup_by(|a, b| a.rows == b.rows);
            }
            if next.len() > beam.width {
                let mut rated: Vec<(f64, usize)> =
                    next.iter().enumerate().map(|(k, s)| (rate(s, tallest, beam.smooth), k)).collect();
                rated.select_nth_unstable_by(beam.width, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                now.clear();
                now.extend(rated[..beam.width].iter().map(|&(_, k)| next[k]));
            } else {
                std::mem::swap(&mut now, &mut next);
            }
            if now.is_empty() {
                return Vec::new();
            }
        }
        for s in &mut now {
            s.rows.rotate_left(1);
            s.rows[ROWS - 1] = reached.get(r + ROWS).map_or(u64::MAX, |row| !row);
        }
    }
    let Some(best) = now.iter().max_by_key(|s| (s.laid, NONE - s.last)) else { return Vec::new() };
    let mut laid = Vec::new();
    let mut at = best.last;
    while let Some(&(before, l)) = trail.get(at as usize) {
        laid.push(l);
        at = before;
    }
    laid.reverse();
    laid
}

/// Squares lost, and the length of the border that is left.
fn rate(s: &State, tallest: usize, smooth: f64) -> f64 {
    let rows = &s.rows[..tallest];
    let across: u32 = rows.iter().map(|r| (r ^ (r >> 1)).count_ones()).sum();
    let up: u32 = rows.windows(2).map(|w| (w[0] ^ w[1]).count_ones()).sum();
    f64::from(s.lost) + smooth * f64::from(across + up)
}
