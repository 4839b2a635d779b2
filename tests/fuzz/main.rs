//! Random input for every way into the program: all readers; a job opened, checked, estimated, packed and exported; anything a
//! person can do in any order.
//!
//! `cargo run --release --example fuzz -- --minutes 10 [--seed N] [--target NAME] [--from CASE] [--cases N] [--folder DIR]`
//!
//! Prints cases and finds of each target; exits 1 on a find. Inputs that found something lie in the folder (`target/fuzz` unless
//! named), each with what it found; `--replay FILE --target NAME` runs one again. `FUZZ_ALOUD=1` prints each random action before it is carried out.
//!
//! - `dice`: seeded chance; `mutate`: files that are nearly right; `seeds`: what they begin with
//! - `target`: the ways in, and what must hold; `session`: a whole job, and random actions; `shifts`: hours, states and moves of plates in time
//! - `watched`: no panic, no more time or memory than allowed

use std::{path::PathBuf, process::ExitCode, time::Duration};

mod dice;
#[path = "../../src/formats/read/fixtures.rs"]
mod fixtures;
mod mutate;
mod seeds;
mod session;
mod shifts;
mod target;
mod watched;
#[path = "../gui/world.rs"]
mod world;

use target::Target;
use watched::{Order, Until};

/// What was asked for.
struct Asked {
    order: Order,
    from: u64,
    replay: Option<PathBuf>,
}

fn asked() -> Result<Asked, String> {
    let mut asked = Asked {
        order: Order {
            seed: 1,
            until: Until::Time(Duration::from_mins(1)),
            targets: Target::ALL.to_vec(),
            folder: Some("target/fuzz".into()),
        },
        from: 0,
        replay: None,
    };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let value = words.next().ok_or_else(|| format!("{word}: a value is missing"))?;
        let number = || value.parse::<u64>().map_err(|_| format!("{word} {value}: not a whole number"));
        match word.as_str() {
            "--minutes" => asked.order.until = Until::Time(Duration::from_mins(number()?)),
            "--cases" => asked.order.until = Until::Cases(number()?),
            "--seed" => asked.order.seed = number()?,
            "--from" => asked.from = number()?,
            "--folder" => asked.order.folder = Some(value.into()),
            "--replay" => asked.replay = Some(value.into()),
            "--target" => {
                let names = || Target::ALL.map(Target::name).join(", ");
                let one = Target::ALL.into_iter().find(|t| t.name() == value);
                asked.order.targets = vec![one.ok_or_else(|| format!("--target {value}: there are {}", names()))?];
            }
            _ => return Err(format!("{word}: not known; see the head of tests/fuzz/main.rs")),
        }
    }
    Ok(asked)
}

fn main() -> ExitCode {
    let asked = match asked() {
        Ok(asked) => asked,
        Err(why) => {
            eprintln!("{why}");
            return ExitCode::from(2);
        }
    };
    let tally = match &asked.replay {
        None => watched::run(&asked.order, asked.from, None),
        Some(path) => match std::fs::read(path) {
            Ok(input) => watched::run(&Order { until: Until::Cases(1), ..asked.order }, 0, Some(input)),
            Err(why) => {
                eprintln!("{}: cannot be read: {why}", path.display());
                return ExitCode::from(2);
            }
        },
    };
    eprint!("{}", tally.words());
    ExitCode::from(u8::from(!tally.finds.is_empty()))
}
