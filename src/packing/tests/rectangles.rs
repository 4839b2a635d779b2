//! Equal rectangles in a rectangle.

/// A room, the sides of what is packed into it, and the most that fit. Proved by integer programming over sums of sides; in the first
/// ten as many as the area allows.
pub(crate) const RECTANGLES: [([f64; 2], [f64; 2], usize); 11] = [
    ([22.0, 16.0], [5.0, 3.0], 23),
    ([23.0, 14.0], [5.0, 3.0], 21),
    ([30.0, 22.0], [7.0, 4.0], 23),
    ([40.0, 25.0], [7.0, 3.0], 47),
    ([43.0, 26.0], [7.0, 3.0], 53),
    ([49.0, 28.0], [8.0, 3.0], 57),
    ([57.0, 34.0], [7.0, 4.0], 69),
    ([52.0, 33.0], [9.0, 4.0], 47),
    ([56.0, 52.0], [12.0, 5.0], 48),
    ([86.0, 82.0], [15.0, 11.0], 42),
    // Two by area more than there can be.
    ([19.0, 15.0], [5.0, 4.0], 12),
];
