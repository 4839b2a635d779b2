//! Numbers and findings in words, for all panels alike.

/// "15 h 40", "38 min", "12 s".
pub(crate) fn time(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "–".into();
    }
    let minutes = (seconds / 60.0).round() as u64;
    if seconds < 59.5 {
        format!("{:.0} s", seconds.max(0.0))
    } else if minutes < 60 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02}", minutes / 60, minutes % 60)
    }
}

/// "15 h 40 min".
pub(crate) fn long_time(seconds: f64) -> String {
    let short = time(seconds);
    if short.contains(" h ") { short + " min" } else { short }
}

/// "412 g", "1.24 kg".
pub(crate) fn mass(grams: f64) -> String {
    if grams < 9.95 {
        format!("{grams:.1} g")
    } else if grams < 999.5 {
        format!("{grams:.0} g")
    } else {
        format!("{:.2} kg", grams / 1000.0)
    }
}

/// "12.4 m".
pub(crate) fn length(millimetres: f64) -> String {
    format!("{:.1} m", millimetres / 1000.0)
}

/// "cost 1.90 EUR", "cost € 1.90"; "cost 1.90" where no currency is named.
pub(crate) fn cost(amount: f64, currency: &str) -> String {
    // A sign stands before the amount, a code behind it.
    let is_sign = !currency.is_empty() && !currency.chars().any(char::is_alphabetic);
    match currency {
        "" => format!("cost {amount:.2}"),
        sign if is_sign => format!("cost {sign} {amount:.2}"),
        code => format!("cost {amount:.2} {code}"),
    }
}

/// "1 copy", "26 copies".
pub(crate) fn copies(n: usize) -> String {
    if n == 1 { "1 copy".into() } else { format!("{n} copies") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_masses_are_short() {
        assert_eq!(time(56_400.0), "15 h 40");
        assert_eq!(long_time(56_400.0), "15 h 40 min");
        assert_eq!(time(3599.0), "1 h 00");
        assert_eq!(time(2280.0), "38 min");
        assert_eq!(time(12.2), "12 s");
        assert_eq!(time(f64::NAN), "–");
        let costs = ["", "EUR", "€", "kr"].map(|c| cost(1.904, c));
        assert_eq!(costs, ["cost 1.90", "cost 1.90 EUR", "cost € 1.90", "cost 1.90 kr"]);
        assert_eq!(mass(412.3), "412 g");
        assert_eq!(mass(1240.0), "1.24 kg");
        assert_eq!(mass(3.04), "3.0 g");
    }
}
