//! Small problems for tests.

use super::{Bench, HandWork, Load, OnBench, Run, Runs, Window};

/// 08:00 to 17:00 on each of so many days, from a start at 08:00.
pub(super) fn days(n: i64) -> Vec<Window> {
    (0..n).map(|d| Window::new(d * 86_400, d * 86_400 + 9 * 3600)).collect()
}

/// Plates of so many hours on equal machines; one person, 15 minutes before each, nothing after it.
pub(super) fn runs(machines: usize, hours: &[f64], attended: &[Window]) -> Runs {
    let run = |h: &f64| Run {
        on: vec![Some(OnBench { print_s: (h * 3600.0) as i64, cool_s: 0 }); machines],
        load: Load { material: 0, colour: 0 },
        due_s: None,
        not_before_s: 0,
        began: None,
    };
    Runs {
        benches: vec![Bench::default(); machines],
        runs: hours.iter().map(run).collect(),
        attended: attended.to_vec(),
        people: 1,
        work: HandWork { preparing_s: 900, ..HandWork::default() },
    }
}
