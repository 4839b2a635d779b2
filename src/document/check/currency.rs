//! What money is counted in: a short word or sign.

use super::fault::Fault;
use crate::document::Job;

/// Longest word: "EUR" (ISO 4217) or a sign; some shops write a little more.
const MOST_CHARS: usize = 8;

/// Short, printable, on one line.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    if let Err(text) = currency(&job.currency) {
        faults.push(Fault::new("currency", text));
    }
}

/// Why a text is no currency.
///
/// # Errors
/// A clause that says what to write.
pub fn currency(text: &str) -> Result<(), String> {
    let sound = text.chars().count() <= MOST_CHARS && !text.chars().any(|c| c.is_control() || c.is_ascii_digit());
    let wanted = "write a currency code such as EUR, or a sign such as €, of at most 8 characters and without digits";
    if sound { Ok(()) } else { Err(wanted.to_owned()) }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn codes_and_signs_are_sound_and_other_texts_are_not() {
        for sound in ["", "EUR", "€", "kr", "CHF"] {
            assert_eq!(faults_after(|j| j.currency = sound.into()), [] as [String; 0], "{sound}");
        }
        for wrong in ["euros and cents", "1.50", "E\nR"] {
            assert_eq!(faults_after(|j| j.currency = wrong.into()), ["currency"], "{wrong}");
        }
    }
}
