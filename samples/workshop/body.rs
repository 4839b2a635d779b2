//! Triangles of a body.

/// A point in millimetres.
pub(crate) type P3 = [f64; 3];

/// Triangles, counter-clockwise from outside.
#[derive(Debug, Clone, Default)]
pub(crate) struct Body {
    /// The triangles.
    pub(crate) triangles: Vec<[P3; 3]>,
}

/// Rounded to 0.0001 mm, so that the last digit of a sine changes no file.
fn rounded(v: f64) -> f64 {
    // Adding zero turns -0 into 0.
    (v * 1e4).round() / 1e4 + 0.0
}

impl Body {
    /// Adds a triangle unless two of its corners fall together.
    pub(crate) fn triangle(&mut self, a: P3, b: P3, c: P3) {
        let [a, b, c] = [a, b, c].map(|p| p.map(rounded));
        if a != b && b != c && c != a {
            self.triangles.push([a, b, c]);
        }
    }
    /// Adds a quadrilateral as two triangles.
    pub(crate) fn quad(&mut self, a: P3, b: P3, c: P3, d: P3) {
        self.triangle(a, b, c);
        self.triangle(a, c, d);
    }
    /// Inside out.
    #[must_use]
    pub(crate) fn flipped(mut self) -> Self {
        for t in &mut self.triangles {
            t.swap(1, 2);
        }
        self
    }
    /// Moved along.
    #[must_use]
    pub(crate) fn moved(mut self, by: P3) -> Self {
        for p in self.triangles.iter_mut().flatten() {
            *p = [0, 1, 2].map(|i| rounded(p[i] + by[i]));
        }
        self
    }
    /// With another body's triangles added.
    #[must_use]
    pub(crate) fn and(mut self, other: Self) -> Self {
        self.triangles.extend(other.triangles);
        self
    }
    /// Width and depth of the box round it, seen from above.
    pub(crate) fn size_in_plan(&self) -> [f64; 2] {
        [0, 1].map(|axis: usize| {
            let along = || self.triangles.iter().flatten().map(|p| p[axis]);
            along().fold(f64::MIN, f64::max) - along().fold(f64::MAX, f64::min)
        })
    }
    /// Shared vertices and triangles of indices, in order of first use.
    pub(crate) fn indexed(&self) -> (Vec<P3>, Vec<[usize; 3]>) {
        let mut seen = std::collections::HashMap::new();
        let mut vertices = Vec::new();
        let triangles = self
            .triangles
            .iter()
            .map(|t| {
                t.map(|p| {
                    *seen.entry(p.map(f64::to_bits)).or_insert_with(|| {
                        vertices.push(p);
                        vertices.len() - 1
                    })
                })
            })
            .collect();
        (vertices, triangles)
    }
}
