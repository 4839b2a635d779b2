//! `tally`: what came out of plates.

use super::{
    args::LearnedArg,
    done::Done,
    fail::Fail,
    job::{open, open_for, plate_of, save, stops},
    print,
    tally_plan::{SaidOfPlate, TallyPlan},
    tally_report,
};
use crate::{
    document::PlateOutcome,
    drawing::words,
    session::{Action, Offer, Session, TallyEntry, offers},
};

pub(super) fn tally(plan: TallyPlan) -> Result<Done, Fail> {
    let named = |e: &dyn std::fmt::Display| Fail::new(format!("{}: {e}", plan.job.display()));
    let mut s = match &plan.output {
        Some(output) => open_for(&plan.job, output, None)?,
        None => open(&plan.job)?,
    };
    let before = s.job().tally.outcomes().len();
    if let Some(said) = plan.said {
        let entry = entry(&s, &plan.job, said, plan.replace)?;
        s.try_act(Action::Tally(Box::new(entry))).map_err(|e| named(&e))?;
    }
    let mut read = 0;
    if let Some(path) = &plan.csv_in {
        read = s.read_tally_as("Read tally from a table", path, plan.replace).map_err(Fail::new)?;
    }
    // What was asked is carried out; what follows from it is worked out with the next look.
    s.act(Action::ShowHeight(None));
    s.tick();
    let mut taken = Vec::new();
    for what in &plan.take {
        let all: Vec<_> = offers(s.job(), s.learned()).into_iter().filter(|o| is(*what, o.offer)).collect();
        if all.is_empty() {
            return Err(named(&format!(
                "--use {}: nothing is offered, since too few plates are tallied or the job has this number already; see --report",
                word(*what)
            )));
        }
        for offered in all {
            s.try_act(Action::UseLearned(offered.offer)).map_err(|e| named(&e))?;
            taken.push(offered);
        }
        s.act(Action::ShowHeight(None));
        s.tick();
    }
    if let Some(path) = &plan.csv_out {
        s.write_tally_csv(path).map_err(Fail::new)?;
    }
    if let Some(output) = &plan.output {
        save(&mut s, output)?;
    }
    print::notices(&mut s);
    if plan.json {
        print::json(&tally_report::as_json(&s, &taken))?;
    } else if plan.report {
        tally_report::as_words(&s)?;
    } else {
        told(&s, before, read, &taken)?;
    }
    Ok(stops(&s))
}

fn entry(s: &Session, job: &std::path::Path, said: SaidOfPlate, replace: bool) -> Result<TallyEntry, Fail> {
    let plate = plate_of(s, job, said.plate)?;
    let ended = said.date.as_deref().map(|d| s.when_ended(d)).transpose();
    Ok(TallyEntry {
        plate,
        run: said.run,
        replace,
        ended: ended.map_err(|why| Fail::new(format!("--date: {why}")))?,
        hours: said.hours,
        good: said.good,
        bad: said.bad,
        bad_copies: said.bad_copies,
        cause: said.cause,
        grams: said.grams,
        spool: said.spool,
        by: said.initials,
        note: said.note,
    })
}

/// Does a word ask for this offer?
fn is(what: LearnedArg, offer: Offer) -> bool {
    offer.word() == word(what)
}

fn word(what: LearnedArg) -> &'static str {
    match what {
        LearnedArg::TimeFactor => "time-factor",
        LearnedArg::TimeSpread => "time-spread",
        LearnedArg::LostPlates => "lost-plates",
        LearnedArg::Failing => "failing",
        LearnedArg::FailingOfParts => "failing-of-parts",
    }
}

/// After one plate or a table was written down.
fn told(s: &Session, before: usize, read: usize, taken: &[crate::session::Offered]) -> Result<(), Fail> {
    let job = s.job();
    let all = job.tally.outcomes();
    print::out(|w| {
        if read > 0 {
            let (good, bad) =
                (all.iter().map(PlateOutcome::good).sum(), all.iter().map(PlateOutcome::bad).sum::<usize>());
            let lines = crate::words::count(read, "line");
            writeln!(
                w,
                "{lines} read; the tally has {}: {} good, {bad} bad",
                crate::words::count(all.len(), "run"),
                words_of(good)
            )?;
        } else if let Some(o) = all.last().filter(|_| all.len() > before) {
            let number = job.plate_number(o.plate).unwrap_or(0);
            let took = crate::words::time(o.actual_s);
            write!(w, "plate {number}, run {}: {} good, {} bad, {took}", o.run, o.good(), o.bad())?;
            match o.estimated_s {
                Some(e) => writeln!(w, " where {} were estimated", crate::words::time(e))?,
                None => writeln!(w)?,
            }
        }
        for part in &job.parts {
            let (name, wanted, good) = (words::plain(&part.name), part.wanted, job.tally.good(part.id));
            writeln!(w, "{:>3} {name}  wanted {wanted}  placed {}  good {good}", part.letter, s.made(part.id))?;
        }
        for o in taken {
            writeln!(w, "taken over: {}", words::plain(&o.words()))?;
        }
        let offered = offers(job, s.learned());
        for o in &offered {
            writeln!(w, "offered ({}): {}", o.offer.word(), words::plain(&o.words()))?;
        }
        for f in s.all_findings() {
            writeln!(w, "{}  {}", f.level.word(), words::plain(&f.text))?;
        }
        Ok(())
    })
}

fn words_of(copies: usize) -> String {
    crate::words::copies(copies)
}
