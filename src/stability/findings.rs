//! Tip-over in words: one finding for copies that stand alike.

use super::{Cause, Conditions, Judgement, Look, LookKind, Suggestion, margin_words};
use crate::{
    document::{ASSUMED, CopyId, Footing, PlateId},
    finding::{Finding, FindingKind, Level, Remedy},
};

/// Copies of one part with one footing on one plate, judged.
#[derive(Debug, Clone)]
pub struct JudgedCopies<'a> {
    /// The copies and their names ("A 1"), in the order of the plate.
    pub copies: Vec<(CopyId, String)>,
    /// Their footing.
    pub footing: Footing,
    /// How firmly they stand.
    pub judgement: &'a Judgement,
    /// What else is worth a look.
    pub looks: &'a [Look],
    /// The footing they need; `None` where nobody asked.
    pub suggestion: Option<&'a Suggestion>,
    /// What they are judged under.
    pub conditions: &'a Conditions,
    /// Where the adhesion came from; [`ASSUMED`] where nobody measured it.
    pub adhesion_origin: &'a str,
    /// Where the sideways force came from.
    pub force_origin: &'a str,
    /// Names of the copies that a fall of any of these would strike or drag along.
    pub strikes: &'a [String],
}

/// Findings of one plate, those that could tip over first, the least margin leading; then looks, each once for all copies that share
/// it. A ranking, never a promise: every finding is a *watch* or a *note*.
pub fn findings(plate: PlateId, all: &[JudgedCopies<'_>]) -> Vec<Finding> {
    let mut tipping: Vec<(f64, Finding)> =
        all.iter().filter_map(|c| Some((c.judgement.margin(), tips(plate, c)?))).collect();
    tipping.sort_by(|a, b| a.0.total_cmp(&b.0));
    let looks = all.iter().flat_map(|c| c.looks.iter().map(move |l| look(plate, c, l)));
    tipping.into_iter().map(|t| t.1).chain(looks).collect()
}

/// "A 1, A 2 could tip over above 62 mm: margin 0.7 of what a 1 N push needs (assumed). Suggested: brim 4 mm: margin 1.1 (bare 0.70)."
fn tips(plate: PlateId, c: &JudgedCopies<'_>) -> Option<Finding> {
    let from = c.judgement.tips_above_mm?;
    let least = c.judgement.least?;
    let from = if from < 9.95 { format!("{from:.1}") } else { format!("{from:.0}") };
    let margin = margin_words(least.margin);
    let mut text = match least.cause {
        Cause::Push => {
            let is_assumed = c.adhesion_origin == ASSUMED || c.force_origin == ASSUMED;
            let assumed = if is_assumed { " (assumed)" } else { "" };
            let push = c.conditions.sideways_n;
            format!(
                "{} could tip over above {from} mm: margin {margin} of what a {push} N push needs{assumed}",
                names(c)
            )
        }
        Cause::Balance => {
            let leans =
                if c.copies.len() > 1 { "lean too far for their contact" } else { "leans too far for its contact" };
            format!("{} could tip over above {from} mm: {leans}, margin {margin}", names(c))
        }
    };
    if !c.strikes.is_empty() {
        text.push_str("; would reach ");
        text.push_str(&listed(c.strikes));
    }
    if let Some(s) = c.suggestion.filter(|s| s.footing != c.footing || !s.is_enough) {
        text.push_str(". Suggested: ");
        text.push_str(&s.reason);
    }
    let copies = ids(c);
    let better = c.suggestion.filter(|s| s.footing != c.footing && s.margin > least.margin);
    let remedy = match better {
        Some(s) => Remedy::SetFooting { copies: copies.clone(), footing: s.footing },
        None => Remedy::Show { copies: copies.clone() },
    };
    let (height_mm, remedy) = (c.judgement.tips_above_mm, Some(remedy));
    Some(Finding {
        level: Level::Watch,
        kind: FindingKind::TipOver,
        plate: Some(plate),
        copies,
        height_mm,
        text,
        remedy,
        more: Vec::new(),
    })
}

/// "A 1 starts thin: contact 36.0 mm², 888 mm² at 24.0 mm (4 %). A small contact carries a much wider section."
fn look(plate: PlateId, c: &JudgedCopies<'_>, l: &Look) -> Finding {
    let kind = match l.kind {
        LookKind::Warp => FindingKind::Warp,
        LookKind::MidAir => FindingKind::MidAir,
        _ => FindingKind::Shape,
    };
    let level = if l.kind == LookKind::MidAir { Level::Watch } else { Level::Note };
    let copies = ids(c);
    let remedy = Some(Remedy::Show { copies: copies.clone() });
    let clause = if c.copies.len() > 1 { of_several(&l.text) } else { l.text.clone() };
    let text = format!("{} {clause}. {}", names(c), l.why.trim_end_matches('.'));
    // A finding's height is above the bed: a raft lifts the part.
    let raft = if matches!(c.footing, Footing::Raft { .. }) { c.conditions.sound().raft_mm } else { 0.0 };
    Finding {
        level,
        kind,
        plate: Some(plate),
        copies,
        height_mm: Some(l.height_mm + raft),
        text,
        remedy,
        more: Vec::new(),
    }
}

/// A clause about one copy, said of several.
fn of_several(clause: &str) -> String {
    let verbs = [
        ("stands ", "stand "),
        ("starts ", "start "),
        ("wobbles:", "wobble:"),
        ("has ", "have "),
        ("hardly touches ", "hardly touch "),
        ("bends it ", "bends each "),
        ("wants ", "want "),
    ];
    verbs.iter().fold(clause.to_owned(), |text, (one, many)| text.replacen(one, many, 1))
}

fn ids(c: &JudgedCopies<'_>) -> Vec<CopyId> {
    c.copies.iter().map(|c| c.0).collect()
}

fn names(c: &JudgedCopies<'_>) -> String {
    listed(&c.copies.iter().map(|c| c.1.clone()).collect::<Vec<_>>())
}

/// "A 1", "A 1, A 2", "A 1, A 2, A 3 and 9 more".
fn listed(names: &[String]) -> String {
    match names {
        [a, b, c, _, rest @ ..] => format!("{a}, {b}, {c} and {} more", rest.len() + 1),
        few => few.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::Region,
        stability::{
            Stance,
            conditions::tests::worked,
            judge, looks,
            samples::{leaning, measured, prism, square},
            suggest_footing,
        },
    };

    fn texts(sections: &[Region], copies: usize, origin: &str, strikes: &[String]) -> Vec<String> {
        let (c, mass) = (worked(), measured(sections));
        let judgement = judge(&mass, &Stance::new(&sections[0], None, Footing::Bare, &c), &c);
        let looks = looks(&mass, &sections[0], false, &c);
        let suggestion = suggest_footing(&mass, &sections[0], None, &c, 1.0);
        let judged = JudgedCopies {
            copies: (1..=copies).map(|n| (CopyId(n as u32), format!("A {n}"))).collect(),
            footing: Footing::Bare,
            judgement: &judgement,
            looks: &looks,
            suggestion: Some(&suggestion),
            conditions: &c,
            adhesion_origin: origin,
            force_origin: origin,
            strikes,
        };
        let found = findings(PlateId(7), &[judged]);
        assert!(
            found.iter().all(|f| f.level != Level::Stop && f.copies.len() == copies && f.plate == Some(PlateId(7)))
        );
        found.into_iter().map(|f| f.text).collect()
    }

    #[test]
    fn what_where_how_much_and_what_to_do() {
        let column = prism(square(16.0), 200);
        assert_eq!(
            texts(&column, 1, ASSUMED, &[]),
            [
                "A 1 could tip over above 24 mm: margin 0.60 of what a 1 N push needs (assumed). Suggested: brim 1.5 mm: margin 1.0 \
                 (bare 0.60)"
            ]
        );
        let strikes = ["B 1".to_owned(), "B 2".to_owned()];
        let told = texts(&column, 5, "pull test of 2026-03-02", &strikes);
        assert!(told[0].starts_with("A 1, A 2, A 3 and 2 more could tip over above 24 mm"), "{told:?}");
        assert!(told[0].contains("a 1 N push needs; would reach B 1, B 2. Suggested"), "{told:?}");
        let told = texts(&leaning(10.0, 60.0, 60), 2, ASSUMED, &[]);
        assert!(
            told[0].starts_with("A 1, A 2 could tip over above 5.9 mm: lean too far for their contact, margin 0."),
            "{told:?}"
        );
    }

    #[test]
    fn looks_come_after_and_a_sound_block_is_silent() {
        assert!(texts(&prism(square(30.0), 60), 1, ASSUMED, &[]).is_empty());
        let told = texts(&prism(square(5.0), 500), 1, ASSUMED, &[]);
        assert_eq!(told.len(), 4);
        assert_eq!(
            told[1],
            "A 1 stands tall: 100.0 mm on a base 5.0 mm wide (20.0 to 1). Above 8 to 1 a raft or supports is common practice"
        );
    }
}
