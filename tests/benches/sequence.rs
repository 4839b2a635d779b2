//! Sequencing alone: 200 plates on 20 machines over three weeks: the first order, and what a second and ten seconds of search make of it.
//! `cargo bench --bench sequence`. Figures go to standard error as lines of text: cost and gap are what matters, not only time.

use std::time::{Duration, Instant};

use stonehand::{
    batch::sequence::{
        Bench, HandWork, Load, OnBench, Order, Plan, Run, Runs, Window, finish_bound_s, improve, late_bound_s, time,
    },
    rng::Rng,
    watch::Watch,
};

/// Ends after a time.
struct Until(Instant);

impl Watch<Plan> for Until {
    fn cancelled(&self) -> bool {
        Instant::now() >= self.0
    }
}

fn runs(plates: usize, machines: usize, people: usize, seed: u64) -> Runs {
    let mut rng = Rng::new(seed);
    let days = (0..400).filter(|d| d % 7 < 5);
    let attended = days.map(|d| Window::new(d * 86_400, d * 86_400 + 9 * 3600)).collect();
    let run = |rng: &mut Rng| {
        let hours = [1.5, 3.0, 4.0, 6.0, 8.0, 11.0, 14.0, 15.5, 22.0];
        let print_s = (3600.0 * hours[rng.below(hours.len())] * rng.between(0.9, 1.1)) as i64;
        Run {
            on: vec![Some(OnBench { print_s, cool_s: 600 }); machines],
            load: Load { material: rng.below(2) as u32, colour: rng.below(4) as u32 },
            due_s: (rng.below(4) == 0).then(|| (rng.between(2.0, 21.0) * 86_400.0) as i64),
            not_before_s: 0,
            began: None,
        }
    };
    Runs {
        benches: vec![Bench::default(); machines],
        runs: (0..plates).map(|_| run(&mut rng)).collect(),
        attended,
        people,
        work: HandWork { removal_s: 300, preparing_s: 300, colour_s: 300, material_s: 600 },
    }
}

fn main() {
    for (plates, machines, people) in [(20, 3, 1), (60, 6, 1), (200, 20, 2)] {
        let r = runs(plates, machines, people, 3);
        let began = Instant::now();
        let order = Order::first(&r);
        let plan = time(&r, &order);
        let first_s = began.elapsed().as_secs_f64();
        let began = Instant::now();
        for _ in 0..100 {
            std::hint::black_box(time(&r, &order));
        }
        let each_s = began.elapsed().as_secs_f64() / 100.0;
        let began = Instant::now();
        let (finish, late) = (finish_bound_s(&r), late_bound_s(&r));
        eprintln!(
            "{plates} plates, {machines} machines: first {:.1} ms, timing {:.0} µs, bounds {:.1} ms",
            1e3 * first_s,
            1e6 * each_s,
            1e3 * began.elapsed().as_secs_f64()
        );
        let say = |what: &str, plan: &Plan| {
            let c = plan.cost;
            eprintln!(
                "  {what}: late {:.1} h (bound {:.1}), finish {:.2} d (bound {:.2}, gap {:.1} %), idle {:.0} h, changes {}, not run {}",
                c.late_s as f64 / 3600.0,
                late as f64 / 3600.0,
                c.finish_s as f64 / 86_400.0,
                finish as f64 / 86_400.0,
                100.0 * (c.finish_s - finish) as f64 / finish.max(1) as f64,
                c.idle_s as f64 / 3600.0,
                c.changes,
                c.not_run
            );
        };
        say("first", &plan);
        for seconds in [0, 1, 10] {
            let end = Instant::now() + Duration::from_secs(seconds);
            let (_, plan) = improve(&r, order.clone(), 1, None, &Until(end));
            say(&format!("{seconds} s"), &plan);
        }
    }
}
