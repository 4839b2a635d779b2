//! Words looked for.

/// The words that are looked for, in small letters.
pub(super) fn words_of(search: &str) -> Vec<String> {
    search.split_whitespace().map(str::to_lowercase).collect()
}

/// Does a text hold every one of the words?
pub(super) fn holds(text: &str, words: &[String]) -> bool {
    let text = text.to_lowercase();
    words.iter().all(|w| text.contains(w.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_has_to_be_there_in_any_order() {
        let looked_for = words_of("  Brim  RAFT ");
        assert!(holds("A raft, or a brim", &looked_for));
        assert!(!holds("A raft", &looked_for));
        assert!(holds("anything", &words_of(" ")));
    }
}
