//! The nearest existing name for a misspelt one.

/// Below this Jaro–Winkler similarity a suggestion would puzzle more than help.
const LEAST_SIMILARITY: f64 = 0.75;

/// The candidate most similar to `word`, if any is similar enough.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    candidates
        .into_iter()
        .map(|candidate| (strsim::jaro_winkler(&word, &candidate.to_lowercase()), candidate))
        .filter(|(similarity, _)| *similarity >= LEAST_SIMILARITY)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}

/// "did you mean `x`?" for the nearest candidate; without one, the list of candidates if it is short.
pub fn did_you_mean<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let candidates: Vec<&str> = candidates.into_iter().collect();
    match nearest(word, candidates.iter().copied()) {
        Some(candidate) => Some(format!("did you mean `{candidate}`?")),
        None if candidates.is_empty() => None,
        None if candidates.len() <= 16 => Some(format!("known here: {}", candidates.join(", "))),
        None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_nearest_name_and_leaves_strangers_alone() {
        assert_eq!(nearest("aircrete_60", ["softwood", "aircrete_600"]), Some("aircrete_600"));
        assert_eq!(nearest("condensaton", ["condensation", "claims"]), Some("condensation"));
        assert_eq!(nearest("zzz", ["softwood", "aircrete_600"]), None);
    }
}
