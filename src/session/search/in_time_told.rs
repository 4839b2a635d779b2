//! What came of Pack or Top up by a time.

use jiff::Timestamp;

use crate::{
    batch::{Calendar, TimeSpread},
    document::{Hours, PlateId},
    session::search::end_by::Between,
    studies::MostInTime,
    words,
};

/// A search by a time: which plate, from when to when, and how sure.
#[derive(Debug, Clone)]
pub(in crate::session) struct InTime {
    pub(super) plate: PlateId,
    pub(super) between: Between,
    pub(super) chance: f64,
    pub(super) longest_s: f64,
    pub(super) spread: TimeSpread,
    pub(super) hours: Hours,
    /// Pack: copies may be taken off.
    pub(super) packs: bool,
}

/// What came of Pack or Top up by a time.
#[derive(Debug, Clone, PartialEq)]
pub struct InTimeTold {
    /// Which plate.
    pub plate: PlateId,
    /// When it starts.
    pub start: Timestamp,
    /// By when it has to end.
    pub end_by: Timestamp,
    /// How sure it was to be, 0 to 1.
    pub asked: f64,
    /// Its estimate, s; 0 for an empty plate.
    pub time_s: f64,
    /// When it ends by that; earliest and latest of 95 of 100 plates.
    pub ends: Timestamp,
    /// The earliest.
    pub earliest: Timestamp,
    /// The latest.
    pub latest: Timestamp,
    /// How sure it is to end in time, 0 to 1.
    pub chance: f64,
    /// Copies added (Top up).
    pub added: usize,
    /// What they add to the plate's time, s.
    pub added_s: f64,
    /// Of the time for which layers were slowed or waited for, what they use, s.
    pub cooling_used_s: f64,
    /// When the plate would end with one copy more; `None` where there is no room for one.
    pub one_more_ends: Option<Timestamp>,
    /// Copies that were there and stay (Pack).
    pub stay: usize,
    /// Names of copies taken off (Pack): left out, or on a further plate.
    pub taken_off: Vec<String>,
    /// They lie on a further plate.
    pub further_plate: bool,
    /// The same in words, without the plate's number.
    pub words: String,
}

impl InTime {
    /// What is told of a result: copies added, those that were there and stay, those taken off, and whether they lie on a further plate.
    pub(super) fn told(
        &self,
        most: &MostInTime,
        (added, stay): (usize, usize),
        taken_off: Vec<String>,
        further_plate: bool,
    ) -> InTimeTold {
        let start = self.between.start;
        let after =
            |s: f64| Timestamp::from_second(start.as_second().saturating_add(s.round() as i64)).unwrap_or(start);
        let (least_s, most_s) = self.spread.range_s(most.time_s);
        let mut told = InTimeTold {
            plate: self.plate,
            start,
            end_by: self.between.end,
            asked: self.chance,
            time_s: most.time_s,
            ends: after(most.time_s),
            earliest: after(least_s),
            latest: after(most_s),
            chance: self.spread.chance_within(most.time_s, self.between.available_s()),
            added,
            stay,
            added_s: if added > 0 { most.time_s - most.stay_s } else { 0.0 },
            cooling_used_s: most.cooling_used_s,
            one_more_ends: most.next_s.map(after),
            taken_off,
            further_plate,
            words: String::new(),
        };
        told.words = self.words(&told, most);
        told
    }

    fn words(&self, told: &InTimeTold, most: &MostInTime) -> String {
        let calendar = Calendar::new(&self.hours, told.start, 0);
        let at = |t: Timestamp| calendar.words(calendar.second_of(t));
        let by = at(told.end_by);
        let mut text = Vec::new();
        if self.packs {
            let (kept, off) = (words::copies(told.stay), words::copies(told.taken_off.len()));
            if told.taken_off.is_empty() {
                text.push("every copy stays".to_owned());
            } else if told.further_plate {
                text.push(format!("{kept} stay, {off} on a further plate ({})", told.taken_off.join(", ")));
            } else {
                text.push(format!("{kept} stay, {off} left out ({})", told.taken_off.join(", ")));
            }
        } else if told.added == 0 {
            text.push("no copy added".to_owned());
        } else {
            let more = if told.added == 1 { "1 more copy".to_owned() } else { format!("{} more copies", told.added) };
            let cools = told.cooling_used_s > 0.5 * told.added_s.max(1.0) && most.stay_s > 0.0;
            let free = if cools { ", for they use time in which layers cool" } else { "" };
            if most.stay_s > 0.0 {
                text.push(format!("{more}: + {}{free}", words::time(told.added_s)));
            } else {
                text.push(format!("{more}: {}", words::time(told.added_s)));
            }
        }
        if told.time_s > 0.0 {
            let starts = if self.between.is_past { " (the start is past)" } else { "" };
            text.push(format!("starts {}{starts}, ends {}", at(told.start), at(told.ends)));
            text.push(format!("between {} and {}", at(told.earliest), at(told.latest)));
            text.push(format!("{} sure to end by {by}", percent(told.chance)));
        }
        if let Some(later) = told.one_more_ends {
            text.push(format!("with one copy more it ends {}", at(later)));
        }
        text.join("; ")
    }
}

/// A chance in percent, never said to be sure where it is not.
fn percent(chance: f64) -> String {
    match chance * 100.0 {
        p if p > 99.0 && chance < 1.0 => "more than 99 %".into(),
        p if p < 1.0 && chance > 0.0 => "less than 1 %".into(),
        p => format!("{p:.0} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Assumptions;

    #[test]
    fn in_words() {
        let at = |t: &str| t.parse::<Timestamp>().expect("a time");
        let between = Between { start: at("2026-11-30T16:30:00Z"), end: at("2026-12-01T08:00:00Z"), is_past: false };
        let hours = Hours { time_zone: "Europe/Lisbon".into(), ..Hours::default() };
        let spread = TimeSpread::of(&Assumptions::default());
        let search =
            InTime { plate: PlateId(1), between, chance: 0.5, longest_s: 55_800.0, spread, hours, packs: false };
        let most = MostInTime {
            count: 2,
            of: 9,
            time_s: 54_720.0,
            stay_s: 54_480.0,
            next_s: Some(57_000.0),
            cooling_used_s: 3000.0,
        };
        let told = search.told(&most, (2, 5), Vec::new(), false);
        // 15 h 12 min from 16:30; a tenth more or less: 13 h 49 and 16 h 43; ln(15.5/15.2) / 0.04863 = 0.402: 66 % (scipy.stats.norm).
        assert_eq!(
            told.words,
            "2 more copies: + 4 min, for they use time in which layers cool; starts Mon 16:30, ends Tue 07:42; between Tue 06:19 and Tue 09:13; \
             66 % sure to end by Tue 08:00; with one copy more it ends Tue 08:20"
        );
        let none = search.told(
            &MostInTime { count: 0, time_s: 0.0, stay_s: 0.0, next_s: None, ..most },
            (0, 0),
            Vec::new(),
            false,
        );
        assert_eq!(none.words, "no copy added");
        let packs = InTime { packs: true, ..search };
        let off = packs.told(&MostInTime { next_s: None, ..most }, (0, 2), vec!["A 3".into()], true);
        assert!(off.words.starts_with("2 copies stay, 1 copy on a further plate (A 3); starts"), "{}", off.words);
        assert_eq!(
            [1.0, 0.995, 0.004, 0.0, 0.7].map(percent),
            ["100 %", "more than 99 %", "less than 1 %", "0 %", "70 %"]
        );
    }
}
