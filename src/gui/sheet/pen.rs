//! Ink on the screen: lines, dashes, hatches and filled triangles gathered in one mesh.
//!
//! Hundreds of copies are drawn per frame; one mesh with vertices made here is several times cheaper than a shape for
//! each line.

use egui::{Color32, Mesh, Pos2, Rect, Vec2, epaint::Vertex};

use crate::drawing::{Dash, Hatch};

/// Half widths of a line: where it is full, where it has faded.
#[derive(Clone, Copy)]
struct Across {
    inner: Option<f32>,
    outer: f32,
}

/// Draws into a mesh.
pub(crate) struct Pen {
    mesh: Mesh,
    clip: Rect,
    /// Width of the soft edge: one pixel, in points.
    soft: f32,
    thinned: Vec<Pos2>,
    piece: Vec<Pos2>,
}

impl Pen {
    /// A pen that leaves out what is wholly outside of `clip`.
    pub(crate) fn new(clip: Rect, pixels_per_point: f32) -> Self {
        Self {
            mesh: Mesh::default(),
            clip,
            soft: 1.0 / pixels_per_point.max(0.1),
            thinned: Vec::new(),
            piece: Vec::new(),
        }
    }
    /// What was drawn.
    pub(crate) fn finish(self) -> Mesh {
        self.mesh
    }
    /// True when something inside `rect` could be seen.
    pub(crate) fn sees(&self, rect: Rect) -> bool {
        self.clip.intersects(rect)
    }
    fn vertex(&mut self, pos: Pos2, color: Color32) -> u32 {
        let index = self.mesh.vertices.len() as u32;
        self.mesh.vertices.push(Vertex { pos, uv: egui::epaint::WHITE_UV, color });
        index
    }
    /// Triangles over points.
    pub(crate) fn triangles(&mut self, points: impl Iterator<Item = Pos2>, indices: &[u32], color: Color32) {
        let base = self.mesh.vertices.len() as u32;
        for p in points {
            self.vertex(p, color);
        }
        let count = self.mesh.vertices.len() as u32 - base;
        self.mesh.indices.extend(indices.iter().filter(|&&i| i < count).map(|i| base + i));
    }
    /// A line through points.
    pub(crate) fn line(&mut self, points: &[Pos2], closed: bool, width: f32, color: Color32, dash: Dash) {
        if points.len() < 2 || color == Color32::TRANSPARENT || width <= 0.0 {
            return;
        }
        let bounds = Rect::from_points(points);
        if !self.sees(bounds.expand(width)) {
            return;
        }
        // Round something this small, dashes would run into one another: fewer and longer ones.
        let coarse = if bounds.width().max(bounds.height()) < 32.0 { 3.0 } else { 1.0 };
        let mut thin = std::mem::take(&mut self.thinned);
        thin_out(points, closed, &mut thin);
        match dash.pattern_pt() {
            [] => self.ribbon(&thin, closed, width, color),
            pattern => self.dashes(&thin, closed, width, color, pattern, coarse),
        }
        self.thinned = thin;
    }
    fn dashes(&mut self, points: &[Pos2], closed: bool, width: f32, color: Color32, pattern: &[f32], coarse: f32) {
        let mut piece = std::mem::take(&mut self.piece);
        piece.clear();
        let (mut slot, mut left) = (0, pattern[0] * coarse);
        let n = points.len();
        let ends = if closed { n } else { n - 1 };
        for i in 0..ends {
            let (mut a, b) = (points[i], points[(i + 1) % n]);
            let mut length = a.distance(b);
            if !length.is_finite() || length > 20_000.0 {
                continue;
            }
            if slot % 2 == 0 && piece.is_empty() {
                piece.push(a);
            }
            while length > left {
                a = a.lerp(b, left / length);
                length -= left;
                if slot % 2 == 0 {
                    piece.push(a);
                    self.ribbon(&piece, false, width, color);
                    piece.clear();
                } else {
                    piece.clear();
                    piece.push(a);
                }
                slot = (slot + 1) % pattern.len();
                left = pattern[slot] * coarse;
            }
            left -= length;
            if slot % 2 == 0 {
                piece.push(b);
            }
        }
        if slot % 2 == 0 && piece.len() > 1 {
            self.ribbon(&piece, false, width, color);
        }
        piece.clear();
        self.piece = piece;
    }
    /// A line with soft edges. A corner gets a rung of vertices across the line: soft, full, soft for thin lines, and
    /// a second full one for wide ones.
    fn ribbon(&mut self, points: &[Pos2], closed: bool, width: f32, color: Color32) {
        let n = points.len();
        if n < 2 || (n == 2 && points[0] == points[1]) {
            return;
        }
        // A line thinner than a pixel is drawn a pixel wide and paler.
        let (width, color) =
            if width < self.soft { (self.soft, color.gamma_multiply(width / self.soft)) } else { (width, color) };
        let across = if width < self.soft * 1.4 {
            // A triangle of that height and half width covers as much as the line.
            Across { inner: None, outer: width }
        } else {
            Across { inner: Some((width - self.soft) / 2.0), outer: width.midpoint(self.soft) }
        };
        let normal = |i: usize| {
            let d = points[(i + 1) % n] - points[i % n];
            let l = d.length();
            if l > 0.0 { Vec2::new(-d.y, d.x) / l } else { Vec2::ZERO }
        };
        let mut last: Option<u32> = None;
        let mut first: Option<u32> = None;
        let mut before = if closed { normal(n - 1) } else { normal(0) };
        for (i, &p) in points.iter().enumerate() {
            let after = if i + 1 < n || closed { normal(i) } else { before };
            let middle = before + after;
            let sq = middle.length_sq();
            // Sharp corners are cut: a rung for each side of them.
            let rungs: [Option<Vec2>; 2] =
                if sq < 1.2 { [Some(before), Some(after)] } else { [Some(middle * (2.0 / sq)), None] };
            for rung in rungs.into_iter().flatten() {
                let at = self.rung(p, rung, across, color);
                if let Some(from) = last {
                    self.strip(from, at, across);
                }
                first.get_or_insert(at);
                last = Some(at);
            }
            before = after;
        }
        if let (true, Some(from), Some(to)) = (closed, last, first) {
            self.strip(from, to, across);
        }
    }
    fn rung(&mut self, p: Pos2, along: Vec2, across: Across, color: Color32) -> u32 {
        let at = self.vertex(p + along * across.outer, Color32::TRANSPARENT);
        match across.inner {
            None => {
                self.vertex(p, color);
            }
            Some(inner) => {
                self.vertex(p + along * inner, color);
                self.vertex(p - along * inner, color);
            }
        }
        self.vertex(p - along * across.outer, Color32::TRANSPARENT);
        at
    }
    fn strip(&mut self, from: u32, to: u32, across: Across) {
        let quads = if across.inner.is_some() { 3 } else { 2 };
        for k in 0..quads {
            let (a, b, c, d) = (from + k, from + k + 1, to + k, to + k + 1);
            self.mesh.indices.extend([a, b, c, c, b, d]);
        }
    }
    /// A patterned area between loops (even-odd). `origin` is where the bed's origin is on the screen, so that the
    /// pattern moves along with the drawing.
    pub(crate) fn hatch(&mut self, loops: &[Vec<Pos2>], hatch: Hatch, origin: Pos2, step: f32, color: Color32) {
        let bounds = Rect::from_points(&loops.concat()).intersect(self.clip);
        if !bounds.is_positive() || step <= 0.0 {
            return;
        }
        let diagonal = std::f32::consts::FRAC_1_SQRT_2;
        let rising = Vec2::new(diagonal, -diagonal);
        let falling = Vec2::new(diagonal, diagonal);
        match hatch {
            Hatch::Single => self.hatch_lines(loops, bounds, rising, origin, step, color),
            Hatch::Cross => {
                self.hatch_lines(loops, bounds, rising, origin, step, color);
                self.hatch_lines(loops, bounds, falling, origin, step, color);
            }
            Hatch::Dots => {
                let along = Vec2::new(1.0, 0.0);
                for (a, b) in runs(loops, bounds, along, origin, step * 0.9) {
                    let first = ((a.x - origin.x) / step).ceil() as i32;
                    let last = ((b.x - origin.x) / step).floor() as i32;
                    for i in first..=last {
                        self.dot(Pos2::new(origin.x + i as f32 * step, a.y), 0.9, color);
                    }
                }
            }
        }
    }
    fn hatch_lines(&mut self, loops: &[Vec<Pos2>], bounds: Rect, along: Vec2, origin: Pos2, step: f32, color: Color32) {
        for (a, b) in runs(loops, bounds, along, origin, step) {
            self.ribbon(&[a, b], false, 0.9, color);
        }
    }
    /// A small filled square that looks like a dot.
    fn dot(&mut self, at: Pos2, radius: f32, color: Color32) {
        let (a, b) = (at - Vec2::splat(radius), at + Vec2::splat(radius));
        let corners = [a, Pos2::new(b.x, a.y), b, Pos2::new(a.x, b.y)];
        self.triangles(corners.into_iter(), &[0, 1, 2, 0, 2, 3], color);
    }
    /// A filled disc.
    pub(crate) fn disc(&mut self, at: Pos2, radius: f32, color: Color32) {
        const SIDES: u32 = 20;
        let rim = (0..SIDES).map(|i| at + Vec2::angled(i as f32 / SIDES as f32 * std::f32::consts::TAU) * radius);
        let indices: Vec<u32> = (1..SIDES - 1).flat_map(|i| [0, i, i + 1]).collect();
        self.triangles(rim, &indices, color);
    }
}

/// Leaves out points whose loss nobody can see: closer together than half a point, or so nearly on a line that all left
/// out since the last kept one stray less than an eighth of a point.
pub(super) fn thin_out(points: &[Pos2], closed: bool, into: &mut Vec<Pos2>) {
    const STRAY: f32 = 0.125;
    into.clear();
    let Some(&first) = points.first() else { return };
    into.push(first);
    let n = points.len();
    let (mut kept, mut strayed) = (first, 0.0);
    for (i, &p) in points.iter().enumerate().skip(1) {
        let next = match points.get(i + 1) {
            Some(&next) => next,
            None if closed => first,
            None => {
                if p != kept {
                    into.push(p);
                }
                break;
            }
        };
        let (d, chord) = (p - kept, next - kept);
        let length = chord.length();
        let off = if length > 1e-3 { (chord.x * d.y - chord.y * d.x).abs() / length } else { d.length() };
        let beyond = d.dot(chord) > chord.length_sq();
        if strayed + off > STRAY || beyond {
            if d.length_sq() > 0.2 {
                into.push(p);
                kept = p;
            }
            strayed = 0.0;
        } else {
            strayed += off;
        }
    }
    if into.len() == 1 && n > 1 {
        // Something smaller than a pixel still leaves a mark.
        into.push(first + Vec2::new(0.5, 0.0));
    }
}

/// The pieces of parallel lines that lie between the loops (even-odd rule), cut to `bounds`.
fn runs(loops: &[Vec<Pos2>], bounds: Rect, along: Vec2, origin: Pos2, step: f32) -> Vec<(Pos2, Pos2)> {
    let across = Vec2::new(-along.y, along.x);
    let corners = [bounds.left_top(), bounds.right_top(), bounds.right_bottom(), bounds.left_bottom()];
    let depth = |p: Pos2| (p - origin).dot(across);
    let reach = |p: Pos2| (p - origin).dot(along);
    let (mut low, mut high) = (f32::INFINITY, f32::NEG_INFINITY);
    for c in corners {
        low = low.min(depth(c));
        high = high.max(depth(c));
    }
    let (first, last) = ((low / step).ceil() as i32, (high / step).floor() as i32);
    if last < first || last - first > 4000 {
        return Vec::new();
    }
    let mut crossings: Vec<Vec<f32>> = vec![Vec::new(); (last - first + 1) as usize];
    for ring in loops {
        for (i, &a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            let (da, db) = (depth(a), depth(b));
            if da == db {
                continue;
            }
            let from = ((da.min(db) / step).ceil() as i32).max(first);
            let to = ((da.max(db) / step).ceil() as i32 - 1).min(last);
            for line in from..=to {
                let t = (line as f32 * step - da) / (db - da);
                crossings[(line - first) as usize].push(reach(a) + (reach(b) - reach(a)) * t);
            }
        }
    }
    let mut pieces = Vec::new();
    for (line, mut xs) in (first..).zip(crossings) {
        xs.sort_by(f32::total_cmp);
        let d = line as f32 * step;
        for pair in xs.chunks_exact(2) {
            let at = |t: f32| origin + across * d + along * t;
            let (a, b) = (at(pair[0]), at(pair[1]));
            if let Some(piece) = cut(a, b, bounds) {
                pieces.push(piece);
            }
        }
    }
    pieces
}

/// The part of a segment inside a rectangle. Source: Liang and Barsky, 1984.
fn cut(a: Pos2, b: Pos2, r: Rect) -> Option<(Pos2, Pos2)> {
    let d = b - a;
    let (mut t0, mut t1) = (0.0_f32, 1.0_f32);
    for (p, q) in [(-d.x, a.x - r.left()), (d.x, r.right() - a.x), (-d.y, a.y - r.top()), (d.y, r.bottom() - a.y)] {
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            t0 = t0.max(q / p);
        } else {
            t1 = t1.min(q / p);
        }
    }
    (t0 < t1).then(|| (a + d * t0, a + d * t1))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLIP: Rect = Rect { min: Pos2::ZERO, max: Pos2::new(1000.0, 1000.0) };

    fn square(from: f32, to: f32) -> Vec<Pos2> {
        vec![Pos2::new(from, from), Pos2::new(to, from), Pos2::new(to, to), Pos2::new(from, to)]
    }

    fn length(pieces: &[(Pos2, Pos2)]) -> f32 {
        pieces.iter().map(|(a, b)| a.distance(*b)).sum()
    }

    #[test]
    fn hatch_lines_cover_the_area_and_leave_holes_free() {
        // Line length × distance between lines ≈ area.
        let rings = [square(100.0, 500.0), square(200.0, 400.0)];
        let along = Vec2::new(0.6, 0.8);
        let pieces = runs(&rings, CLIP, along, Pos2::ZERO, 5.0);
        let area = 400.0 * 400.0 - 200.0 * 200.0;
        assert!((length(&pieces) * 5.0 - area).abs() < 0.01 * area);
        let inside_hole = |p: Pos2| p.x > 200.1 && p.x < 399.9 && p.y > 200.1 && p.y < 399.9;
        assert!(!pieces.iter().any(|(a, b)| inside_hole(a.lerp(*b, 0.5))));
    }

    #[test]
    fn dashes_are_drawn_for_their_share_of_the_length() {
        let mut pen = Pen::new(CLIP, 1.0);
        pen.line(&square(100.0, 600.0), true, 1.0, Color32::BLACK, Dash::Dashed);
        let mesh = pen.finish();
        assert!(mesh.is_valid());
        // 2000 points of line, 9.5 a dash and gap: 211 dashes of two or three rungs with three vertices each.
        let rungs = mesh.vertices.len() / 3;
        assert!((2 * 210..=2 * 211 + 10).contains(&rungs), "{rungs}");
    }

    #[test]
    fn nothing_outside_is_drawn_and_nothing_breaks_it() {
        let mut pen = Pen::new(CLIP, 2.0);
        pen.line(&square(2000.0, 2100.0), true, 1.0, Color32::BLACK, Dash::Solid);
        assert!(pen.mesh.is_empty());
        let nan = Pos2::new(f32::NAN, 1.0);
        pen.line(&[nan, Pos2::new(1.0, 1.0), nan], true, 1.0, Color32::BLACK, Dash::DashDot);
        pen.line(&[Pos2::ZERO, Pos2::ZERO], false, 1.0, Color32::BLACK, Dash::Solid);
        pen.hatch(&[vec![nan, Pos2::ZERO, Pos2::new(9.0, 9.0)]], Hatch::Cross, Pos2::ZERO, 4.0, Color32::BLACK);
        pen.hatch(&[], Hatch::Dots, Pos2::ZERO, 4.0, Color32::BLACK);
        assert!(pen.finish().is_valid());
    }

    #[test]
    fn circles_keep_their_shape_with_fewer_points() {
        let circle: Vec<Pos2> =
            (0..720).map(|i| Pos2::new(500.0, 500.0) + Vec2::angled(i as f32 * 0.5_f32.to_radians()) * 100.0).collect();
        let mut thin = Vec::new();
        thin_out(&circle, true, &mut thin);
        assert!(thin.len() < 200, "{}", thin.len());
        for i in 0..thin.len() {
            let middle = thin[i].lerp(thin[(i + 1) % thin.len()], 0.5);
            let off = (100.0 - middle.distance(Pos2::new(500.0, 500.0))).abs();
            assert!(off < 0.25, "{off}");
        }
        thin_out(&square(100.0, 200.0), true, &mut thin);
        assert_eq!(thin, square(100.0, 200.0));
    }

    #[test]
    fn a_closed_line_is_as_long_as_its_outline() {
        let mut pen = Pen::new(CLIP, 1.0);
        pen.line(&square(100.0, 200.0), true, 3.0, Color32::BLACK, Dash::Solid);
        let mesh = pen.finish();
        // Four corners of one rung each, three strips a side.
        assert_eq!(mesh.vertices.len(), 16);
        assert_eq!(mesh.indices.len(), 4 * 3 * 6);
        assert_eq!(mesh.calc_bounds(), Rect::from_min_max(Pos2::new(98.0, 98.0), Pos2::new(202.0, 202.0)));
    }
}
