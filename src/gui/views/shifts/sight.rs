//! The stretch of time shown.

use crate::batch::sequence::Window;

/// Least stretch, s.
const LEAST_S: i64 = 2 * 3600;

/// The stretch that a person has zoomed or panned to; `None` inside while the whole plan is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Sight(Option<Window>);

impl Sight {
    /// What is shown of a plan of which this is the whole.
    pub(super) fn span(self, whole: Window) -> Window {
        self.0.unwrap_or(whole)
    }
    /// Is something else shown than the whole plan?
    pub(super) fn is_in(self) -> bool {
        self.0.is_some()
    }
    /// Shows the whole plan.
    pub(super) fn whole(&mut self) {
        self.0 = None;
    }
    /// Shows so much less (factor above 1) or more about a time, a share of the stretch from its left.
    pub(super) fn zoom(&mut self, whole: Window, factor: f64, share: f64) {
        if !(factor.is_finite() && factor > 0.0) || factor == 1.0 {
            return;
        }
        let now = self.span(whole);
        // Ten times the plan is as good as nothing.
        let most = whole.length_s().saturating_mul(10).max(LEAST_S);
        let length = ((now.length_s() as f64 / factor).round() as i64).clamp(LEAST_S, most);
        let share = share.clamp(0.0, 1.0);
        let still = now.from_s as f64 + now.length_s() as f64 * share;
        let from_s = (still - length as f64 * share).round() as i64;
        self.show(whole, Window::new(from_s, from_s + length));
    }
    /// Moves what is shown by so much time.
    pub(super) fn pan(&mut self, whole: Window, by_s: i64) {
        if by_s != 0 {
            let now = self.span(whole);
            self.show(whole, Window::new(now.from_s + by_s, now.to_s + by_s));
        }
    }
    /// Moves so that a time is shown: all of it, or its beginning where it is longer than what is shown.
    pub(super) fn reveal(&mut self, whole: Window, time: Window) {
        let now = self.span(whole);
        if time.length_s() > now.length_s() {
            self.pan(whole, time.from_s - now.from_s);
        } else if time.from_s < now.from_s || time.to_s > now.to_s {
            self.pan(whole, i64::midpoint(time.from_s, time.to_s) - i64::midpoint(now.from_s, now.to_s));
        }
    }
    fn show(&mut self, whole: Window, span: Window) {
        // Some of the plan is always in sight.
        let air = span.length_s() * 3 / 4;
        let from_s =
            span.from_s.clamp(whole.from_s - air, (whole.to_s + air - span.length_s()).max(whole.from_s - air));
        self.0 = Some(Window::new(from_s, from_s + span.length_s()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zooming_keeps_the_time_under_the_pointer_and_panning_ends() {
        let whole = Window::new(0, 100_000);
        let mut sight = Sight::default();
        sight.zoom(whole, 4.0, 0.25);
        let now = sight.span(whole);
        assert_eq!((now.length_s(), now.from_s), (25_000, 18_750));
        sight.pan(whole, i64::from(i32::MAX));
        assert!(sight.span(whole).from_s <= 100_000);
        sight.zoom(whole, 1e9, 0.5);
        assert_eq!(sight.span(whole).length_s(), LEAST_S);
        sight.zoom(whole, 1e-9, 0.5);
        assert_eq!(sight.span(whole).length_s(), 1_000_000);
        sight.zoom(whole, f64::NAN, 0.5);
        sight.whole();
        assert!(!sight.is_in() && sight.span(whole) == whole);
        sight.zoom(whole, 10.0, 0.0);
        sight.reveal(whole, Window::new(60_000, 61_000));
        let now = sight.span(whole);
        assert!(now.from_s < 60_000 && 61_000 < now.to_s);
    }
}
