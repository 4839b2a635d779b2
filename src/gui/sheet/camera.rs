//! Where one looks: millimetres of the bed (y up) to points of the screen (y down).

use egui::{Pos2, Rect, Vec2};

use crate::geom::{Bounds, Point};
use crate::gui::theme::size;

/// A view of the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Camera {
    /// What lies in the middle of the canvas, mm.
    centre: Point,
    /// Screen points per millimetre.
    points_per_mm: f64,
    /// The canvas on the screen.
    canvas: Rect,
    /// Follows the size of the canvas until somebody pans or zooms.
    fitted: bool,
}

impl Default for Camera {
    fn default() -> Self {
        Self { centre: Point::new(100.0, 100.0), points_per_mm: 2.0, canvas: Rect::ZERO, fitted: true }
    }
}

impl Camera {
    /// Tells the camera where the canvas is this frame; a fitted view stays fitted to `whole`.
    pub(crate) fn set_canvas(&mut self, canvas: Rect, whole: Bounds) {
        let changed = self.canvas != canvas;
        self.canvas = canvas;
        if self.fitted && (changed || !self.shows_fitted(whole)) {
            self.fit(whole);
        }
    }
    /// The canvas.
    pub(crate) fn canvas(&self) -> Rect {
        self.canvas
    }
    /// Screen points per millimetre.
    pub(crate) fn points_per_mm(&self) -> f64 {
        self.points_per_mm
    }
    /// Shows all of `whole`, as large as fits.
    pub(crate) fn fit(&mut self, whole: Bounds) {
        let (scale, centre) = self.fitting(whole);
        self.points_per_mm = scale;
        self.centre = centre;
        self.fitted = true;
    }
    fn fitting(&self, whole: Bounds) -> (f64, Point) {
        if whole.is_empty() {
            return (self.points_per_mm, self.centre);
        }
        let x = f64::from(self.canvas.width().max(1.0)) / whole.width().max(1.0);
        let y = f64::from(self.canvas.height().max(1.0)) / whole.height().max(1.0);
        (x.min(y).clamp(size::LEAST_ZOOM, size::MOST_ZOOM), whole.centre())
    }
    /// Does it show the whole bed, as nobody has panned or zoomed?
    pub(crate) fn is_fitted(&self) -> bool {
        self.fitted
    }
    fn shows_fitted(&self, whole: Bounds) -> bool {
        self.fitting(whole) == (self.points_per_mm, self.centre)
    }
    /// Moves the drawing along with the hand.
    pub(crate) fn pan(&mut self, by: Vec2) {
        if by != Vec2::ZERO {
            self.centre = self.centre - self.vector_mm(by);
            self.fitted = false;
        }
    }
    /// Larger (factor above 1) or smaller round a point of the screen that stays where it is.
    pub(crate) fn zoom_at(&mut self, pointer: Pos2, factor: f64) {
        if factor == 1.0 || !factor.is_finite() {
            return;
        }
        let before = self.to_mm(pointer);
        self.points_per_mm = (self.points_per_mm * factor).clamp(size::LEAST_ZOOM, size::MOST_ZOOM);
        self.centre += before - self.to_mm(pointer);
        self.fitted = false;
    }
    /// Brings `b` into view, moving no more than needed.
    pub(crate) fn reveal(&mut self, b: Bounds) {
        let shown = self.shown();
        let seen = shown.contains(b.min) && shown.contains(b.max);
        if !b.is_empty() && !seen {
            self.centre = b.centre();
            self.fitted = false;
        }
    }
    /// What part of the plane is on the canvas, mm.
    pub(crate) fn shown(&self) -> Bounds {
        Bounds::of([self.to_mm(self.canvas.min), self.to_mm(self.canvas.max)])
    }
    /// From the bed to the screen.
    pub(crate) fn to_screen(self, p: Point) -> Pos2 {
        let m = self.canvas.center();
        Pos2::new(
            m.x + ((p.x - self.centre.x) * self.points_per_mm) as f32,
            m.y - ((p.y - self.centre.y) * self.points_per_mm) as f32,
        )
    }
    /// From the screen to the bed.
    pub(crate) fn to_mm(self, p: Pos2) -> Point {
        let m = self.canvas.center();
        Point::new(
            self.centre.x + f64::from(p.x - m.x) / self.points_per_mm,
            self.centre.y - f64::from(p.y - m.y) / self.points_per_mm,
        )
    }
    /// A move on the screen in millimetres.
    pub(crate) fn vector_mm(&self, v: Vec2) -> Point {
        Point::new(f64::from(v.x) / self.points_per_mm, -f64::from(v.y) / self.points_per_mm)
    }
    /// A box of the bed on the screen.
    pub(crate) fn rect(&self, b: Bounds) -> Rect {
        if b.is_empty() {
            return Rect::NOTHING;
        }
        Rect::from_two_pos(self.to_screen(b.min), self.to_screen(b.max))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn camera() -> Camera {
        let mut c = Camera::default();
        let canvas = Rect::from_min_size(Pos2::new(284.0, 40.0), Vec2::new(800.0, 600.0));
        c.set_canvas(canvas, Bounds::new(Point::new(0.0, 0.0), Point::new(240.0, 200.0)));
        c
    }

    #[test]
    fn there_and_back_is_the_same_point() {
        let mut c = camera();
        c.pan(Vec2::new(31.0, -7.0));
        c.zoom_at(Pos2::new(400.0, 300.0), 1.7);
        for p in [Point::new(0.0, 0.0), Point::new(240.0, 200.0), Point::new(-13.5, 77.25)] {
            assert!(c.to_mm(c.to_screen(p)).distance(p) < 1e-3);
        }
    }

    #[test]
    fn zooming_keeps_the_point_under_the_pointer() {
        let mut c = camera();
        let pointer = Pos2::new(500.0, 222.0);
        let before = c.to_mm(pointer);
        c.zoom_at(pointer, 3.0);
        assert!(c.to_mm(pointer).distance(before) < 1e-9);
        c.zoom_at(pointer, 1e9);
        assert!(c.points_per_mm() <= size::MOST_ZOOM);
        c.zoom_at(pointer, f64::NAN);
        assert!(c.to_mm(pointer).distance(before) < 1e-6);
    }

    #[test]
    fn up_on_the_bed_is_up_on_the_screen() {
        let c = camera();
        assert!(c.to_screen(Point::new(0.0, 10.0)).y < c.to_screen(Point::new(0.0, 0.0)).y);
    }

    #[test]
    fn a_fitted_view_follows_the_canvas_until_somebody_pans() {
        let whole = Bounds::new(Point::new(0.0, 0.0), Point::new(240.0, 200.0));
        let mut c = camera();
        c.set_canvas(Rect::from_min_size(Pos2::ZERO, Vec2::new(480.0, 900.0)), whole);
        assert!((c.points_per_mm() - 2.0).abs() < 1e-9);
        c.pan(Vec2::new(5.0, 0.0));
        c.set_canvas(Rect::from_min_size(Pos2::ZERO, Vec2::new(960.0, 900.0)), whole);
        assert!((c.points_per_mm() - 2.0).abs() < 1e-9);
    }
}
