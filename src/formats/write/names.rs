//! Names of exported files.

use crate::drawing::words;

/// The stem of a plate's files: plate time first, so that a folder sorted by name is sorted by plate time:
/// "015h40-hive-fittings-plate-1-bench-2". Then the order's title, so that files of several jobs in one folder stay together. Minutes are those that the screen shows. A time that is not known sorts last. Only letters,
/// figures and hyphens.
pub fn export_name(plate_number: usize, time_s: Option<f64>, title: &str, machine: &str) -> String {
    let time = match time_s.filter(|t| t.is_finite() && *t >= 0.0) {
        Some(t) => {
            let minutes = words::whole_minutes(t).min(999 * 60 + 59);
            format!("{:03}h{:02}", minutes / 60, minutes % 60)
        }
        None => "time-unknown".to_owned(),
    };
    let part = |text: &str| match plain(text).as_str() {
        "" => String::new(),
        text => format!("-{text}"),
    };
    format!("{time}{}-plate-{plate_number}{}", part(title), part(machine))
}

/// Lower case; what is neither letter nor figure becomes one hyphen; at most 40 characters.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
        if out.chars().count() >= 40 {
            break;
        }
    }
    out.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_sort_by_time() {
        let times = [Some(59.0), Some(3600.0), Some(6.9 * 3600.0), Some(15.7 * 3600.0), Some(1e9), None];
        let names: Vec<String> = times.iter().map(|t| export_name(2, *t, "Hive fittings", "Bench 1")).collect();
        let mut sorted = names.clone();
        sorted.sort();
        assert_eq!(names, sorted);
        assert_eq!(names[3], "015h42-hive-fittings-plate-2-bench-1");
        // 2 h 59 min 40 s reads "3 h 00 min" on the screen.
        assert_eq!(words::time(10_780.0), "3 h 00 min");
        assert_eq!(export_name(1, Some(10_780.0), "", ""), "003h00-plate-1");
    }

    #[test]
    fn names_are_safe_on_every_disk() {
        assert_eq!(export_name(1, Some(f64::NAN), "", "../a\\b: *?\"<>|"), "time-unknown-plate-1-a-b");
        assert_eq!(export_name(3, Some(0.0), "", "Größe №2"), "000h00-plate-3-größe-2");
        assert_eq!(export_name(1, Some(60.0), "…/..", "…"), "000h01-plate-1");
        assert!(export_name(1, None, &"y".repeat(500), &"x".repeat(500)).len() < 120);
    }
}
