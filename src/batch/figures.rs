//! Figures of a machine's time and output, named after ISO 22400-2.

use super::sequence::{Plan, Runs, Window};

/// A machine's time in a stretch of a plan, s. Names and abbreviations after ISO 22400-2; all planned here, not measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct UnitTimes {
    /// Planned busy time, PBT: the stretch less the machine's downtimes.
    pub planned_busy_s: i64,
    /// Actual production time, APT: it prints.
    pub production_s: i64,
    /// Actual unit setup time, AUST: somebody prepares it or takes parts off.
    pub setup_s: i64,
    /// Actual unit delay time, ADET: a print has ended, and the parts cool or wait for somebody.
    pub delay_s: i64,
    /// Actual unit down time, ADOT: its downtimes.
    pub down_s: i64,
}

impl UnitTimes {
    /// Times of one machine of a plan from its start to a time, s.
    pub fn of(runs: &Runs, plan: &Plan, bench: usize, until_s: i64) -> Self {
        let whole = Window::new(0, until_s.max(0));
        let inside = |w: Window| (w.to_s.min(whole.to_s) - w.from_s.max(whole.from_s)).max(0);
        let down_s = runs.benches.get(bench).map_or(0, |b| b.down.iter().map(|w| inside(*w)).sum());
        let mut times = Self { planned_busy_s: whole.length_s() - down_s, down_s, ..Self::default() };
        for t in plan.timed.iter().filter(|t| t.bench == bench) {
            times.production_s += inside(t.print);
            times.setup_s += inside(t.preparing) + t.removal.map_or(0, inside);
            // Parts that never come off wait to the end.
            times.delay_s += inside(Window::new(t.print.to_s, t.removal.map_or(whole.to_s, |r| r.from_s)));
        }
        times
    }
    /// Times of several machines together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            planned_busy_s: self.planned_busy_s + other.planned_busy_s,
            production_s: self.production_s + other.production_s,
            setup_s: self.setup_s + other.setup_s,
            delay_s: self.delay_s + other.delay_s,
            down_s: self.down_s + other.down_s,
        }
    }
    /// Actual unit busy time, AUBT: production, setup and delay.
    pub fn busy_s(&self) -> i64 {
        self.production_s + self.setup_s + self.delay_s
    }
    /// Actual order execution time, AOET: busy and down.
    pub fn order_execution_s(&self) -> i64 {
        self.busy_s() + self.down_s
    }
    /// Availability, APT ÷ PBT; `None` without planned busy time.
    pub fn availability(&self) -> Option<f64> {
        ratio(self.production_s, self.planned_busy_s)
    }
    /// Utilisation efficiency, APT ÷ AUBT; `None` where it was never busy.
    pub fn utilisation(&self) -> Option<f64> {
        ratio(self.production_s, self.busy_s())
    }
    /// Allocation efficiency, AUBT ÷ PBT; `None` without planned busy time.
    pub fn allocation(&self) -> Option<f64> {
        ratio(self.busy_s(), self.planned_busy_s)
    }
}

fn ratio(part: i64, whole: i64) -> Option<f64> {
    (whole > 0).then(|| part as f64 / whole as f64)
}

/// Effectiveness, PRI × PQ ÷ APT: planned run time per item, s, × produced quantity ÷ actual production time, s. `None` without production
/// time. Source: ISO 22400-2.
pub fn effectiveness(planned_item_s: f64, produced: f64, production_s: f64) -> Option<f64> {
    (production_s > 0.0).then(|| planned_item_s * produced / production_s)
}

/// Quality ratio, GQ ÷ PQ: good quantity ÷ produced quantity. `None` where nothing was produced. Source: ISO 22400-2.
pub fn quality_ratio(good: f64, produced: f64) -> Option<f64> {
    (produced > 0.0).then(|| good / produced)
}

/// OEE index: availability × effectiveness × quality ratio. Source: ISO 22400-2.
pub fn oee_index(availability: f64, effectiveness: f64, quality_ratio: f64) -> f64 {
    availability * effectiveness * quality_ratio
}

#[cfg(test)]
mod tests {
    use super::super::sequence::{Bench, OnBench, Order, Run, time};
    use super::*;

    /// Worked check by hand: PBT 1440 min, APT 1150 min, PRI 95 min, PQ 11, GQ 10: 0.798611 × 0.908696 × 0.909091 = 0.659722 = 950 ÷ 1440.
    #[test]
    fn the_worked_check() {
        let times = UnitTimes { planned_busy_s: 1440 * 60, production_s: 1150 * 60, ..UnitTimes::default() };
        let availability = times.availability().expect("busy");
        let effectiveness = effectiveness(95.0 * 60.0, 11.0, 1150.0 * 60.0).expect("it ran");
        let quality = quality_ratio(10.0, 11.0).expect("it made some");
        for (got, expected) in [
            (availability, 0.798_611),
            (effectiveness, 0.908_696),
            (quality, 0.909_091),
            (oee_index(availability, effectiveness, quality), 950.0 / 1440.0),
        ] {
            assert!((got - expected).abs() < 5e-7, "{got} {expected}");
        }
        assert_eq!((UnitTimes::default().availability(), quality_ratio(0.0, 0.0)), (None, None));
    }

    /// By hand: 08:00 to 17:00, 15 min before and 5 min after a print of 4 h whose bed cools for 30 min, and the same again; an hour of
    /// downtime at its end.
    #[test]
    fn times_of_one_machine_add_up() {
        let on = Some(OnBench { print_s: 4 * 3600, cool_s: 1800 });
        let load = super::super::sequence::Load { material: 0, colour: 0 };
        let run = Run { on: vec![on], load, due_s: None, not_before_s: 0, began: None };
        let runs = Runs {
            benches: vec![Bench { down: vec![Window::new(10 * 3600, 11 * 3600)], ..Bench::default() }],
            runs: vec![run.clone(), run],
            attended: vec![Window::new(0, 24 * 3600)],
            people: 1,
            work: super::super::sequence::HandWork { removal_s: 300, preparing_s: 900, ..Default::default() },
        };
        let plan = time(&runs, &Order::as_given(vec![0, 0]));
        let until_s = plan.timed[1].removal.expect("it comes off").to_s;
        assert_eq!(until_s, 2 * (900 + 4 * 3600 + 1800 + 300));
        let all = UnitTimes::of(&runs, &plan, 0, 12 * 3600);
        let expected =
            UnitTimes { planned_busy_s: 11 * 3600, production_s: 8 * 3600, setup_s: 2400, delay_s: 3600, down_s: 3600 };
        assert_eq!(all, expected);
        assert_eq!((all.busy_s(), all.order_execution_s()), (34_800, 38_400));
        assert!((all.utilisation().expect("busy") - 28_800.0 / 34_800.0).abs() < 1e-12);
        assert!((all.allocation().expect("busy") - 34_800.0 / 39_600.0).abs() < 1e-12);
        assert_eq!(UnitTimes::of(&runs, &plan, 0, 3600).production_s, 2700);
        assert_eq!(all.and(all).setup_s, 4800);
    }
}
