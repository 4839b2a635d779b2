//! Random runs against the rules, judged anew.

use proptest::prelude::*;

use super::{
    Bench, HandWork, Load, OnBench, Order, Plan, Run, Runs, Window, finish_bound_s, improve, late_bound_s, time,
};
use crate::watch::Quiet;

const HOUR: i64 = 3600;

prop_compose! {
    fn any_run(machines: usize)(
        hours in prop::collection::vec(0_i64..20, machines),
        cannot in prop::collection::vec(0_u8..6, machines),
        cool_s in 0_i64..5000,
        material in 0_u32..2,
        colour in 0_u32..3,
        due in prop::option::of(0_i64..80),
        not_before in 0_i64..30,
        begins in 0_u8..12,
    ) -> Run {
        let on = hours.iter().zip(&cannot).map(|(h, c)| (*c > 0).then_some(OnBench { print_s: h * HOUR + 1, cool_s })).collect();
        let not_before_s = if not_before > 20 { not_before * HOUR } else { i64::MIN / 4 };
        let began = (begins == 0).then_some((0, -1800));
        Run { on, load: Load { material, colour }, due_s: due.map(|h| h * HOUR), not_before_s, began }
    }
}

prop_compose! {
    fn any_runs()(machines in 1_usize..4)(
        list in prop::collection::vec(any_run(machines), 0..6),
        down in prop::collection::vec((0_i64..60, 1_i64..20), machines),
        opens in 0_i64..10,
        hours in 0_i64..12,
        people in 0_usize..3,
        work in (0_i64..2000, 0_i64..2000, 0_i64..2000, 0_i64..2000),
    ) -> Runs {
        let mut list = list;
        // One run at a time on a machine.
        let mut begun = false;
        for run in &mut list {
            if run.began.is_some() {
                if begun || run.on[0].is_none() {
                    run.began = None;
                } else {
                    begun = true;
                }
            }
        }
        let bench = |(from, length): &(i64, i64)| Bench {
            free_s: 0,
            down: if *length > 10 { vec![Window::new(from * HOUR, (from + length) * HOUR)] } else { Vec::new() },
            load: Some(Load { material: 0, colour: 0 }),
        };
        let attended = (0..60).map(|d| Window::new((24 * d + opens) * HOUR, (24 * d + opens + hours) * HOUR));
        Runs {
            benches: down.iter().map(bench).collect(),
            runs: list,
            attended: attended.filter(|w| w.length_s() > 0).collect(),
            people,
            work: HandWork { removal_s: work.0, preparing_s: work.1, colour_s: work.2, material_s: work.3 },
        }
    }
}

/// Every breach of the rules, in words.
fn breaches(r: &Runs, plan: &Plan) -> Vec<String> {
    let mut said = Vec::new();
    let mut hands = Vec::new();
    for t in &plan.timed {
        let run = &r.runs[t.run];
        let Some(on) = run.on[t.bench] else {
            said.push(format!("run {} cannot run on {}", t.run, t.bench));
            continue;
        };
        if t.print.length_s() != on.print_s || t.cool_s != t.print.to_s + on.cool_s {
            said.push(format!("run {}: other times", t.run));
        }
        match run.began {
            Some((b, since)) if (b, since) != (t.bench, t.print.from_s) => {
                said.push(format!("run {} was moved", t.run))
            }
            Some(_) => {}
            None => {
                hands.push(t.preparing);
                let whole = Window::new(t.preparing.from_s, t.print.to_s);
                if t.preparing.to_s != t.print.from_s || t.print.from_s < run.not_before_s {
                    said.push(format!("run {} starts at a wrong time", t.run));
                }
                if r.benches[t.bench].down.iter().any(|d| d.meets(whole)) {
                    said.push(format!("run {} is cut by a downtime", t.run));
                }
            }
        }
        if let Some(off) = t.removal {
            hands.push(off);
            if off.from_s < t.cool_s || off.length_s() != r.work.removal_s {
                said.push(format!("run {}: parts come off too early", t.run));
            }
        }
    }
    for w in &hands {
        if !r.attended.iter().any(|a| a.from_s <= w.from_s && w.to_s <= a.to_s) {
            said.push(format!("nobody is there from {} to {}", w.from_s, w.to_s));
        }
        let at_once = hands.iter().filter(|o| o.length_s() > 0 && o.from_s <= w.from_s && w.from_s < o.to_s).count();
        if w.length_s() > 0 && at_once > r.people {
            said.push(format!("{at_once} places at once at {}", w.from_s));
        }
    }
    for b in 0..r.benches.len() {
        let mut its: Vec<_> = plan.timed.iter().filter(|t| t.bench == b).collect();
        its.sort_by_key(|t| t.print.from_s);
        let mut load = r.benches[b].load;
        for (k, t) in its.iter().enumerate() {
            let run = &r.runs[t.run];
            if run.began.is_none() && t.preparing.length_s() != r.work.before_s(load, run.load) {
                said.push(format!("run {} is prepared for another time", t.run));
            }
            load = Some(run.load);
            if let Some(next) = its.get(k + 1)
                && t.removal.is_none_or(|off| off.to_s > next.preparing.from_s)
            {
                said.push(format!("run {} is still on the machine", t.run));
            }
        }
    }
    let told: std::collections::BTreeSet<usize> =
        plan.timed.iter().map(|t| t.run).chain(plan.not_run.iter().map(|n| n.0)).collect();
    if told.len() != r.runs.len() || told.len() != plan.timed.len() + plan.not_run.len() {
        said.push("a run is missing or there twice".into());
    }
    said
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// Any order gives a plan that breaks no rule, and the search keeps to them too; nothing beats the bounds.
    #[test]
    fn every_plan_is_sound(r in any_runs(), seed in 0_u64..1000) {
        let first = Order::first(&r);
        let mut plans = vec![time(&r, &first)];
        let (order, best) = improve(&r, first, seed, Some(1), &Quiet);
        prop_assert_eq!(&time(&r, &order), &best);
        plans.push(best);
        for plan in &plans {
            prop_assert_eq!(breaches(&r, plan), Vec::<String>::new());
            if plan.cost.not_run == 0 {
                prop_assert!(finish_bound_s(&r) <= plan.cost.finish_s, "{} > {}", finish_bound_s(&r), plan.cost.finish_s);
                prop_assert!(late_bound_s(&r) <= plan.cost.late_s);
            }
        }
        prop_assert!(plans[1].cost <= plans[0].cost);
    }
}
