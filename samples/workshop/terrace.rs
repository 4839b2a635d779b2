//! Bodies of steps, pockets, holes and cavities: nested loops in plan, each with the heights at which it is solid.

use super::{body::Body, outlines::P2, triangulate::triangulate};

/// Solid from one height to another.
type Span = (f64, f64);

/// What lies inside a loop and outside the loops in it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Area {
    outline: Vec<P2>,
    solid: Vec<Span>,
    inside: Vec<Area>,
}

impl Area {
    /// Solid over the given heights, lowest first.
    pub(crate) fn new(outline: Vec<P2>, solid: &[Span]) -> Self {
        Self { outline, solid: solid.to_vec(), inside: Vec::new() }
    }
    /// Nothing: a hole.
    pub(crate) fn hole(outline: Vec<P2>) -> Self {
        Self::new(outline, &[])
    }
    /// With another area inside; loops must not touch.
    #[must_use]
    pub(crate) fn with(mut self, area: Self) -> Self {
        self.inside.push(area);
        self
    }
    /// The body.
    pub(crate) fn body(&self) -> Body {
        let mut body = Body::default();
        self.add(&[], &mut body);
        body
    }
    fn add(&self, outside: &[Span], body: &mut Body) {
        let holes: Vec<&[P2]> = self.inside.iter().map(|a| a.outline.as_slice()).collect();
        if !self.solid.is_empty() {
            for [a, b, c] in triangulate(&self.outline, &holes) {
                for &(low, high) in &self.solid {
                    let at = |p: P2, z: f64| [p[0], p[1], z];
                    body.triangle(at(a, high), at(b, high), at(c, high));
                    body.triangle(at(a, low), at(c, low), at(b, low));
                }
            }
        }
        for (i, &a) in self.outline.iter().enumerate() {
            let b = self.outline[(i + 1) % self.outline.len()];
            for (low, high) in without(&self.solid, outside) {
                body.quad([a[0], a[1], low], [b[0], b[1], low], [b[0], b[1], high], [a[0], a[1], high]);
            }
            for (low, high) in without(outside, &self.solid) {
                body.quad([b[0], b[1], low], [a[0], a[1], low], [a[0], a[1], high], [b[0], b[1], high]);
            }
        }
        for area in &self.inside {
            area.add(&self.solid, body);
        }
    }
}

/// The heights in `a` that are not in `b`.
fn without(a: &[Span], b: &[Span]) -> Vec<Span> {
    let mut left = a.to_vec();
    for &(low, high) in b {
        left = left
            .iter()
            .flat_map(|&(from, to)| [(from, to.min(low)), (from.max(high), to)])
            .filter(|(from, to)| from < to)
            .collect();
    }
    left
}
