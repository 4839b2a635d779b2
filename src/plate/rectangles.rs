//! How many rectangles lie in rows on a rectangle.

/// How many rectangles of `size_mm`, `gap_mm` apart, lie in rows and columns on a room of `room_mm` (widths and depths, mm), all one way round:
/// the better of the two ways. A quick figure, not a bound: parts that are no rectangles often fit closer. None where a number is not one.
pub fn rectangles_in_rows(room_mm: (f64, f64), size_mm: (f64, f64), gap_mm: f64) -> usize {
    let gap = gap_mm.max(0.0);
    let along = |room: f64, size: f64| ((room + gap + 1e-9) / (size.max(1e-3) + gap)).floor().clamp(0.0, 1e6) as usize;
    let rows = |w: f64, d: f64| along(room_mm.0, w) * along(room_mm.1, d);
    let all = [room_mm.0, room_mm.1, size_mm.0, size_mm.1, gap_mm];
    if all.iter().any(|v| !v.is_finite()) {
        return 0;
    }
    rows(size_mm.0, size_mm.1).max(rows(size_mm.1, size_mm.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 20 × 10 mm, 3 mm apart, on 80 × 60 mm: ⌊83 / 23⌋ · ⌊63 / 13⌋ = 12 one way, ⌊83 / 13⌋ · ⌊63 / 23⌋ = 12 the other; on 79 × 72: 15 and 18.
    #[test]
    fn rows_by_hand() {
        assert_eq!(rectangles_in_rows((80.0, 60.0), (20.0, 10.0), 3.0), 12);
        assert_eq!(rectangles_in_rows((79.0, 72.0), (20.0, 10.0), 3.0), 18);
        assert_eq!(rectangles_in_rows((10.0, 10.0), (20.0, 10.0), 3.0), 0);
        assert_eq!(rectangles_in_rows((10.0, 20.0), (20.0, 10.0), 0.0), 1);
        assert_eq!(rectangles_in_rows((f64::NAN, 20.0), (20.0, 10.0), 0.0), 0);
    }
}
