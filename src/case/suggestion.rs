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

/// Other words that the trade uses for what a key or name here says, each with ours.
const CALLED: &[(&str, &[&str])] = &[
    ("conductivity", &["lambda", "λ", "k", "k_value", "thermal_conductivity", "lambda_value", "lambda_d"]),
    ("density", &["rho", "ρ"]),
    ("heat_capacity", &["c", "cp", "c_p", "specific_heat", "specific_heat_capacity"]),
    ("vapour_resistance", &["mu", "μ", "sd", "s_d", "sd_value", "vapor_resistance"]),
    ("emissivity", &["epsilon", "ε", "emission", "emittance"]),
    ("humidity", &["rh", "phi", "φ", "relative_humidity", "moisture"]),
    ("temperature", &["temp", "theta", "θ", "t"]),
    ("resistance", &["r", "rs", "rsi", "rse", "r_si", "r_se", "r_value", "surface_resistance"]),
    ("u_value", &["u", "u-value", "uvalue", "transmittance"]),
    ("fill", &["material", "solid"]),
    ("thickness", &["d", "depth"]),
    ("exclude", &["excluded"]),
];

/// "did you mean `x`?" for what a word of the trade stands for, for all that begin with it, or for the nearest
/// candidate; without one, the list of candidates if it is short.
pub fn did_you_mean<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let candidates: Vec<&str> = candidates.into_iter().collect();
    let lower = word.to_lowercase();
    let called =
        CALLED.iter().find(|(ours, words)| candidates.contains(ours) && words.contains(&lower.as_str()));
    if let Some((ours, _)) = called {
        return Some(format!("did you mean `{ours}`?"));
    }
    let longer: Vec<String> = candidates
        .iter()
        .filter(|candidate| candidate.strip_prefix(lower.as_str()).is_some_and(|rest| rest.starts_with('_')))
        .map(|candidate| format!("`{candidate}`"))
        .collect();
    if let [first @ .., last] = longer.as_slice()
        && !first.is_empty()
    {
        return Some(format!("did you mean {} or {last}?", first.join(", ")));
    }
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

    #[test]
    fn knows_the_words_of_the_trade_and_tells_all_that_begin_alike() {
        let known =
            |word| did_you_mean(word, ["label", "conductivity", "psi_internal", "psi_external"]).unwrap();
        for word in ["lambda", "Lambda", "λ", "k"] {
            assert_eq!(known(word), "did you mean `conductivity`?");
        }
        assert_eq!(known("psi"), "did you mean `psi_internal` or `psi_external`?");
        // Ours is not there: the nearest name counts.
        assert_eq!(did_you_mean("lambda", ["label"]).unwrap(), "did you mean `label`?");
    }
}
