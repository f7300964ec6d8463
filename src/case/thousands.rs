//! Lengths written with a sign between thousands: `1.200` for 1200 mm is 1.2 mm to YAML.
//!
//! What gives it away is a zero that nobody writes: one to two digits, a point and three more of which the last
//! is 0, where a length in mm is wanted. Files of programs write all numbers so; there `300.000` or `1200.000`
//! stands somewhere too, which can be no thousands of millimetres.

use std::collections::BTreeSet;

use super::diagnostic::{Diagnostic, Place, Sources};
use super::expression;
use super::node::{Node, Value};
use super::reader::Lengths;

const HINT: &str = "lengths are in mm, thousands without a sign: 1200; where so little is meant, leave the last zeros away: 1.2";

/// A warning for each length that is written so, where it stands.
pub fn warnings(sources: &Sources, lengths: &Lengths, trees: &[&Node]) -> Vec<Diagnostic> {
    if sources.all().iter().any(|source| tokens(&source.text).any(has_decimals_anyway)) {
        return Vec::new();
    }
    let parameters = parameters(trees);
    let names = all_names(&lengths.names, &parameters);
    let definitions = parameters.iter().filter(|(name, _)| names.contains(*name)).map(|(_, node)| node.place);
    let sets = (0..sources.all().len()).filter_map(|file| set(sources, file, &names));
    let mut places: Vec<Place> = lengths.places.iter().copied().chain(definitions).chain(sets).collect();
    places.sort_by_key(|place| (place.file, place.start));
    places.dedup();
    places.into_iter().filter_map(|place| warning(sources, place)).collect()
}

fn warning(sources: &Sources, place: Place) -> Option<Diagnostic> {
    let text = sources.get(place.file).text.get(place.start..place.end)?;
    let written = tokens(text).find(|token| is_of_thousands(token))?;
    let [value, meant] = [written.parse::<f64>().ok()?, written.replace('.', "").parse().ok()?];
    let message = format!("`{written}` mm is {value} mm, not {meant}");
    Some(Diagnostic::warning(place, message).hint(HINT))
}

/// The definitions of all parameters, with their names.
fn parameters<'n>(trees: &[&'n Node]) -> Vec<(&'n str, &'n Node)> {
    let tables = trees.iter().filter_map(|tree| super::names::block(tree, "parameters"));
    let entries =
        tables.filter_map(|node| if let Value::Table(entries) = &node.value { Some(entries) } else { None });
    entries.flatten().map(|entry| (entry.key.as_str(), &entry.node)).collect()
}

/// The names of lengths, with those that they are sums of. In a product the other factor may be anything.
fn all_names(known: &BTreeSet<String>, parameters: &[(&str, &Node)]) -> BTreeSet<String> {
    let mut all = known.clone();
    loop {
        let summed =
            parameters.iter().filter(|(name, _)| all.contains(*name)).flat_map(|(_, node)| terms(node));
        let new: Vec<String> = summed.filter(|name| !all.contains(name)).collect();
        if new.is_empty() {
            return all;
        }
        all.extend(new);
    }
}

/// The names that an expression adds up.
pub fn terms(node: &Node) -> Vec<String> {
    match &node.value {
        Value::Text(text) if !text.contains(['*', '/']) => {
            expression::names(text).into_iter().map(str::to_owned).collect()
        }
        _ => Vec::new(),
    }
}

/// The place of a `--set` of one of these names.
fn set(sources: &Sources, file: usize, names: &BTreeSet<String>) -> Option<Place> {
    let source = sources.get(file);
    let (name, _) = source.text.split_once('=').filter(|_| source.name == "--set")?;
    names.contains(name.trim()).then_some(Place { file, start: 0, end: source.text.len() })
}

/// Numbers as they are written, without their sign.
fn tokens(text: &str) -> impl Iterator<Item = &str> {
    text.split(|sign: char| !(sign.is_alphanumeric() || matches!(sign, '.' | '_')))
        .filter(|token| !token.is_empty())
}

fn parts(token: &str) -> Option<(&str, &str)> {
    let (whole, decimals) = token.split_once('.')?;
    let are_digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    (are_digits(whole) && are_digits(decimals) && decimals.len() == 3).then_some((whole, decimals))
}

fn is_of_thousands(token: &str) -> bool {
    parts(token).is_some_and(|(whole, decimals)| {
        whole.len() <= 2 && !whole.starts_with('0') && decimals.ends_with('0')
    })
}

/// `300.000`, `1200.000`: as thousands they would be no length of a drawing.
fn has_decimals_anyway(token: &str) -> bool {
    parts(token).is_some_and(|(whole, _)| whole.len() > 2 && !whole.starts_with('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_told_from_decimals() {
        for written in ["1.200", "12.500", "2.000", "1.250"] {
            assert!(is_of_thousands(written) && !has_decimals_anyway(written), "{written}");
        }
        for written in
            ["1.2", "0.200", "1.235", "1.20", "1.2000", "12.5", "1200", "v1.200", "0.031", "1.200.000"]
        {
            assert!(!is_of_thousands(written), "{written}");
        }
        assert!(has_decimals_anyway("300.000") && has_decimals_anyway("1200.000"));
    }
}
