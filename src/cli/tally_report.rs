//! What the tally teaches, for people and as JSON.

use serde_json::{Value, json};

use super::{fail::Fail, print};
use crate::{
    batch::tally::{FactorPrior, Rate},
    document::Cause,
    drawing::words,
    session::{Offered, Session, not_offered, offers},
};

fn percent(v: f64) -> String {
    format!("{:.1} %", 100.0 * v)
}

pub(super) fn as_words(s: &Session) -> Result<(), Fail> {
    let (job, l) = (s.job(), s.learned());
    let range =
        |r: &Rate| format!("{} of {}, {} ({} to {})", r.failed, r.of, percent(r.mean), percent(r.low), percent(r.high));
    print::out(|w| {
        let plates = crate::words::count(l.plates, "plate");
        writeln!(w, "{plates} tallied: {}, {} good", crate::words::copies(l.copies), l.good)?;
        if l.plates == 0 {
            return writeln!(
                w,
                "nothing is learned yet: write down what came out of a plate with --plate, --good, --bad and --hours"
            );
        }
        for (cause, n) in &l.causes {
            writeln!(w, "    {:<20} {n}", cause.words())?;
        }
        writeln!(w, "copies that fail         {}", range(&l.failing))?;
        if let Some(n) = &l.next {
            let (all, one) = (percent(n.all_good), percent(n.at_most_one_bad));
            let copies = crate::words::copies(n.copies);
            writeln!(w, "the next plate of {copies}: all good with a chance of {all}, at most 1 bad with {one}")?;
        }
        writeln!(w, "plates lost at once      {}", range(&l.lost_plates))?;
        for f in &l.failures {
            writeln!(w, "copies that fail, by {}", f.of.word())?;
            for g in &f.groups {
                let drawn =
                    format!("{} ({} to {})", percent(g.shrunk.mean), percent(g.shrunk.low), percent(g.shrunk.high));
                writeln!(w, "    {:<24} {}; drawn together {drawn}", words::plain(&g.name), range(&g.own))?;
            }
            writeln!(w, "    drawn together: {}", f.prior.method.words())?;
        }
        if !l.times.is_empty() {
            writeln!(w, "actual over estimated time, at a time factor of 1")?;
        }
        for t in &l.times {
            let on = t
                .machine_name
                .as_ref()
                .map_or_else(|| "all machines".to_owned(), |m| format!("on {}", words::plain(m)));
            let f = t.factor;
            let measured = f
                .measured_range
                .map_or_else(|| "no interval from one plate".to_owned(), |(a, b)| format!("{a:.3} to {b:.3}"));
            let name = words::plain(&t.recipe_name);
            let plates = crate::words::count(f.plates, "plate");
            writeln!(
                w,
                "    {name}, {on}: {plates}, measured {:.3} ({measured}); drawn towards 1: {:.3} ({:.3} to {:.3})",
                f.measured, f.factor, f.low, f.high
            )?;
        }
        if let Ok(x) = &l.spread {
            writeln!(w, "95 of 100 plates end within {:.1} % of that ({:.1} to {:.1} %)", x.percent, x.low, x.high)?;
        }
        if !l.places.tests.is_empty() {
            writeln!(w, "where copies fail (each copy known; plates lost at once left out)")?;
        }
        for t in &l.places.tests {
            let side = |name: &str, (failed, of): (usize, usize)| format!("{name} {failed} of {of}");
            writeln!(w, "    {}, {}: p = {:.3}", side(t.one, t.on_one), side(t.other, t.on_other), t.p)?;
        }
        if let Some(t) = &l.surface {
            writeln!(
                w,
                "came loose, tipped over or warped, by plates since the surface was refreshed (trend: p = {:.3})",
                t.p
            )?;
            for b in &t.bins {
                let to = if b.to == u32::MAX { "and more".to_owned() } else { format!("to {}", b.to) };
                writeln!(w, "    {} {to}: {} of {}", b.from, b.failed, b.of)?;
            }
        }
        for o in offers(job, l) {
            writeln!(w, "offered ({}): {}", o.offer.word(), words::plain(&o.words()))?;
        }
        for why in not_offered(l) {
            writeln!(w, "not offered: {why}")?;
        }
        Ok(())
    })
}

fn rate(r: &Rate) -> Value {
    json!({"failed": r.failed, "of": r.of, "mean": r.mean, "low": r.low, "high": r.high})
}

fn offered(all: &[Offered]) -> Vec<Value> {
    let one = |o: &Offered| {
        json!({
            "what": o.offer.word(), "value": o.offer.value(), "low": o.low, "high": o.high, "now": o.now, "from": o.from,
            "text": o.words(),
        })
    };
    all.iter().map(one).collect()
}

pub(super) fn as_json(s: &Session, taken: &[Offered]) -> Value {
    let (job, l) = (s.job(), s.learned());
    let outcomes: Vec<Value> = job
        .tally
        .outcomes()
        .iter()
        .map(|o| {
            let bad: Vec<Value> = o
                .copies
                .iter()
                .filter_map(|c| Some(json!({"copy": c.copy, "cause": c.bad?.word()})))
                .collect();
            json!({
                "plate": job.plate_number(o.plate), "run": o.run, "ended": o.ended.to_string(), "hours": o.actual_s / 3600.0,
                "good": o.good(), "bad": o.bad(), "bad_copies": bad, "unnamed_bad": o.unnamed_bad,
                "unnamed_cause": o.unnamed_cause.map(Cause::word), "grams": o.actual_g, "initials": o.by, "note": o.note,
                "machine": o.machine_name, "material": o.material_name, "recipe": o.recipe_name,
                "estimated_s": o.estimated_s, "estimated_g": o.estimated_g, "time_factor": o.time_factor,
                "since_surface": o.since_surface, "copies": o.copies.len(),
            })
        })
        .collect();
    let parts: Vec<Value> = job
        .parts
        .iter()
        .map(|p| json!({"part": p.name, "letter": p.letter, "wanted": p.wanted, "placed": s.made(p.id), "good": job.tally.good(p.id)}))
        .collect();
    let failures: Vec<Value> = l
        .failures
        .iter()
        .flat_map(|f| f.groups.iter().map(move |g| (f, g)))
        .map(|(f, g)| {
            json!({
                "by": f.of.word(), "id": g.id, "name": g.name, "own": rate(&g.own),
                "shrunk": {"mean": g.shrunk.mean, "low": g.shrunk.low, "high": g.shrunk.high},
                "prior": {"mean": f.prior.mean, "copies": f.prior.strength, "method": f.prior.method.words()},
            })
        })
        .collect();
    let prior = FactorPrior::STATED;
    let times: Vec<Value> = l
        .times
        .iter()
        .map(|t| {
            let f = t.factor;
            json!({
                "recipe": t.recipe_name, "recipe_id": t.recipe.0, "machine": t.machine_name, "plates": f.plates,
                "measured": f.measured, "measured_low": f.measured_range.map(|r| r.0),
                "measured_high": f.measured_range.map(|r| r.1), "factor": f.factor, "low": f.low, "high": f.high,
                "prior": {"plates": prior.plates, "freedom": prior.freedom, "deviation": prior.deviation},
            })
        })
        .collect();
    let spread = l.spread.as_ref().ok();
    let places: Vec<Value> = l
        .places
        .tests
        .iter()
        .map(|t| {
            let side = |name: &str, (failed, of): (usize, usize)| json!({"side": name, "failed": failed, "of": of});
            json!({"one": side(t.one, t.on_one), "other": side(t.other, t.on_other), "p": t.p})
        })
        .collect();
    let spots: Vec<Value> =
        l.places.spots.iter().map(|p| json!({"x": p.x, "y": p.y, "failed": p.failed, "of": p.of})).collect();
    let surface = l.surface.as_ref().map(|t| {
        let bins: Vec<Value> = t
            .bins
            .iter()
            .map(
                |b| json!({"from": b.from, "to": Some(b.to).filter(|n| *n < u32::MAX), "failed": b.failed, "of": b.of}),
            )
            .collect();
        json!({"bins": bins, "z": t.z, "p": t.p})
    });
    json!({
        "plates": l.plates, "copies": l.copies, "good": l.good, "outcomes": outcomes, "order": parts,
        "next_plate": l.next.map(|n| json!({
            "copies": n.copies, "mean_bad": n.mean_bad, "all_good": n.all_good, "at_most_one_bad": n.at_most_one_bad,
        })),
        "causes": l.causes.iter().map(|(c, n)| json!({"cause": c.word(), "copies": n})).collect::<Vec<_>>(),
        "failing": rate(&l.failing), "lost_plates": rate(&l.lost_plates), "failures": failures, "time_factors": times,
        "time_spread": spread.map(|x| json!({
            "percent": x.percent, "low": x.low, "high": x.high, "plates": x.plates, "freedom": x.freedom,
        })),
        "places": places, "spots": spots, "surface": surface, "offered": offered(&offers(job, l)), "taken": offered(taken),
        "not_offered": not_offered(l),
    })
}
