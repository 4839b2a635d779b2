//! Which heights the strip shows: the whole build, or a stretch of it.

/// No stretch shown is shorter, mm: a few layers.
const LEAST_MM: f64 = 1.0;

/// The heights shown, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    /// At the left edge.
    pub(crate) from_mm: f64,
    /// At the right edge.
    pub(crate) to_mm: f64,
}

impl Span {
    /// From the bed to the top of the build.
    pub(crate) fn whole(top_mm: f64) -> Self {
        Self { from_mm: 0.0, to_mm: top_mm.max(1e-3) }
    }
    /// How much height it shows.
    pub(crate) fn length_mm(&self) -> f64 {
        self.to_mm - self.from_mm
    }
    /// Where a height lies, from 0 at the left edge to 1 at the right one; beyond them outside.
    pub(crate) fn share(&self, z_mm: f64) -> f64 {
        (z_mm - self.from_mm) / self.length_mm()
    }
    /// The height at a share.
    pub(crate) fn height_mm(&self, share: f64) -> f64 {
        self.from_mm + share * self.length_mm()
    }
    /// Is a height shown?
    pub(crate) fn holds(&self, z_mm: f64) -> bool {
        (-1e-9..=1.0 + 1e-9).contains(&self.share(z_mm))
    }
    /// `factor` times as near (less than 1: farther), the height at `share` staying where it is; never more than the whole.
    pub(crate) fn zoomed(&self, factor: f64, share: f64, top_mm: f64) -> Self {
        let still = self.height_mm(share);
        let length = (self.length_mm() / factor.max(1e-6)).clamp(LEAST_MM.min(top_mm), top_mm);
        Self::from(still - share * length, length, top_mm)
    }
    /// Moved up by so much height, as far as the build goes.
    pub(crate) fn moved(&self, by_mm: f64, top_mm: f64) -> Self {
        Self::from(self.from_mm + by_mm, self.length_mm(), top_mm)
    }
    /// Moved just so far that a height is shown.
    pub(crate) fn showing(&self, z_mm: f64, top_mm: f64) -> Self {
        self.moved((z_mm - self.to_mm).max(0.0) - (self.from_mm - z_mm).max(0.0), top_mm)
    }
    fn from(from_mm: f64, length_mm: f64, top_mm: f64) -> Self {
        let from_mm = from_mm.clamp(0.0, (top_mm - length_mm).max(0.0));
        Self { from_mm, to_mm: from_mm + length_mm }
    }
}

/// The stretch that a person has zoomed to; `None` while the whole build is shown.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Zoom(Option<Span>);

impl Zoom {
    /// What is shown of a build so high. A stretch chosen on a higher build is cut to this one.
    pub(crate) fn span(&self, top_mm: f64) -> Span {
        match self.0 {
            Some(s) if s.length_mm() < top_mm - 1e-6 => s.moved(0.0, top_mm),
            _ => Span::whole(top_mm),
        }
    }
    /// Is less than the whole build shown?
    pub(crate) fn is_in(&self, top_mm: f64) -> bool {
        self.span(top_mm) != Span::whole(top_mm)
    }
    /// Shows this from now on.
    pub(crate) fn show(&mut self, span: Span) {
        self.0 = Some(span);
    }
    /// Shows the whole build.
    pub(crate) fn whole(&mut self) {
        self.0 = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zooming_keeps_the_height_under_the_pointer() {
        let whole = Span::whole(80.0);
        let near = whole.zoomed(4.0, 0.25, 80.0);
        assert!((near.length_mm() - 20.0).abs() < 1e-9 && (near.height_mm(0.25) - 20.0).abs() < 1e-9, "{near:?}");
        assert!((near.share(20.0) - 0.25).abs() < 1e-9 && near.holds(34.9) && !near.holds(35.1));
        // Back out about anywhere it is the whole again, and never more.
        assert_eq!(near.zoomed(0.01, 0.9, 80.0), whole);
        assert!((whole.zoomed(1e9, 0.5, 80.0).length_mm() - LEAST_MM).abs() < 1e-9);
        assert_eq!(Span::whole(0.4).zoomed(5.0, 0.5, 0.4), Span::whole(0.4));
    }

    #[test]
    fn panning_ends_at_the_bed_and_at_the_top() {
        let near = Span::whole(80.0).zoomed(4.0, 0.5, 80.0);
        assert_eq!(near.moved(-500.0, 80.0).from_mm, 0.0);
        assert_eq!(near.moved(500.0, 80.0).to_mm, 80.0);
        assert_eq!(near.showing(40.0, 80.0), near);
        assert!((near.showing(70.0, 80.0).to_mm - 70.0).abs() < 1e-9);
        assert!((near.showing(3.0, 80.0).from_mm - 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_stretch_of_a_higher_build_is_cut_to_a_lower_one() {
        let mut zoom = Zoom::default();
        assert!(!zoom.is_in(80.0));
        zoom.show(Span { from_mm: 60.0, to_mm: 80.0 });
        assert!(zoom.is_in(80.0));
        assert_eq!(zoom.span(50.0), Span { from_mm: 30.0, to_mm: 50.0 });
        assert_eq!(zoom.span(10.0), Span::whole(10.0));
        zoom.whole();
        assert_eq!(zoom, Zoom::default());
    }
}
