//! Mutations of a document as text: bytes and lines changed, removed, repeated and exchanged, numbers made
//! absurd, lines of one file put into another.

/// Values that have broken readers before.
pub const VALUES: &[&str] = &[
    "0",
    "-1",
    "1e308",
    "-1e308",
    "1e-308",
    "NaN",
    ".inf",
    "-.inf",
    "0.000001",
    "999999",
    "1e9",
    "0x10",
    "1_000",
    "~",
    "true",
    "''",
    "[]",
    "{}",
    "1/0",
    "((((1))))",
    "min(1)",
    "max()",
    "block",
    "*a",
    "&a 1",
    "!!float x",
    "2**3",
    "--1",
    "1e",
    "[[[[1]]]]",
    "{a: {b: {c: 1}}}",
    "\"\\u0000\"",
    "\u{202e}",
    "é",
];

/// One of the texts, or parts of several, with up to four mutations; `roll` gives a number below the one
/// asked for.
pub fn mutated(texts: &[&str], roll: &mut dyn FnMut(usize) -> usize) -> String {
    let mut lines: Vec<String> = texts[roll(texts.len())].lines().map(str::to_owned).collect();
    for _ in 0..=roll(4) {
        if lines.is_empty() {
            break;
        }
        let (line, other) = (roll(lines.len()), roll(lines.len()));
        match roll(9) {
            0 => lines.swap(line, other),
            1 => drop(lines.remove(line)),
            2 => {
                let copy = lines[line].clone();
                lines.insert(other, copy);
            }
            3 => {
                let stranger: Vec<&str> = texts[roll(texts.len())].lines().collect();
                lines.insert(line, stranger[roll(stranger.len())].to_owned());
            }
            4 => {
                let mut characters: Vec<char> = lines[line].chars().collect();
                if !characters.is_empty() {
                    let place = roll(characters.len());
                    characters[place] =
                        ['{', '}', '[', ']', ':', ',', '-', ' ', '\t', '#', '&', '*', '"', '9', '.', 'x']
                            [roll(16)];
                }
                lines[line] = characters.into_iter().collect();
            }
            5 => lines[line] = lines[line].replacen(' ', "", 1 + roll(3)),
            6 => lines[line] = format!("{}{}", " ".repeat(roll(6)), lines[line]),
            7 => lines.truncate(line + 1),
            _ => {
                // A number becomes something else.
                let text = &lines[line];
                if let Some(start) = text.find(|character: char| character.is_ascii_digit()) {
                    let end = text[start..]
                        .find(|character: char| !character.is_ascii_digit() && character != '.')
                        .map_or(text.len(), |end| start + end);
                    lines[line] = format!("{}{}{}", &text[..start], VALUES[roll(VALUES.len())], &text[end..]);
                }
            }
        }
    }
    lines.join("\n")
}
