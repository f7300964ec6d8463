//! The words of a cell: parted where a reader parts them, in small letters and without accents.
//!
//! ```text
//! `Température moy. [°C]`  temperature moy °c          `T_e`     t e       (e hangs on t)
//! `TempMax`                temp max                    `T2m`     t 2 m
//! `R.H. in %`              rh in %                     `0,1 °C`  0.1 °c
//! ```

/// A word of a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Word {
    /// In small letters and without accents; a number as it stands, with a point.
    pub text: String,
    /// True where nothing or `_` stands between it and the word before.
    pub hangs_on: bool,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Lower,
    Upper,
    Digit,
    Degree,
    Sign,
    Joint,
    Gap,
}

fn kind(sign: char) -> Kind {
    match sign {
        '_' => Kind::Joint,
        '°' => Kind::Degree,
        '%' | '‰' | 'Δ' | 'δ' => Kind::Sign,
        _ if sign.is_numeric() => Kind::Digit,
        _ if sign.is_uppercase() => Kind::Upper,
        _ if sign.is_alphabetic() => Kind::Lower,
        _ => Kind::Gap,
    }
}

/// All words of a cell, in order.
pub fn words(cell: &str) -> Vec<Word> {
    let signs: Vec<char> = cell.chars().flat_map(plain).collect();
    let mut words: Vec<Word> = Vec::new();
    let mut before = Kind::Gap;
    for (at, sign) in signs.iter().enumerate() {
        let mut now = kind(*sign);
        let follows = |kinds: &[Kind]| signs.get(at + 1).is_some_and(|next| kinds.contains(&kind(*next)));
        if is_minus(&signs, at) && follows(&[Kind::Digit]) && !ends_in_number(&words) {
            // Kept with its number: `T -2 m` is below the ground.
            words.push(Word { text: "-".to_owned(), hangs_on: false });
            before = Kind::Digit;
            continue;
        }
        let is_decimal = matches!(sign, '.' | ',') && before == Kind::Digit && follows(&[Kind::Digit]);
        if is_decimal {
            now = Kind::Digit;
        }
        // `° C` is `°C`.
        let is_of_degree = before == Kind::Degree && now == Kind::Gap;
        if is_of_degree {
            continue;
        }
        if !matches!(now, Kind::Gap | Kind::Joint) {
            let goes_on = match (before, now) {
                (Kind::Degree, Kind::Lower | Kind::Upper) | (Kind::Upper, Kind::Lower) => true,
                (one, other) => one == other && other != Kind::Sign,
            };
            let small: String = if is_decimal { ".".to_owned() } else { fold(&sign.to_string()) };
            match words.last_mut().filter(|_| goes_on) {
                Some(word) => word.text.push_str(&small),
                None => words.push(Word { text: small, hangs_on: before != Kind::Gap }),
            }
        }
        before = now;
    }
    joined(words)
}

/// A dash at the start of a word, where it is no hyphen: after a gap or a bracket.
fn is_minus(signs: &[char], at: usize) -> bool {
    let begins = at.checked_sub(1).is_none_or(|before| {
        signs[before].is_whitespace() || matches!(signs[before], '(' | '[' | '_' | '=' | ':')
    });
    matches!(signs[at], '-' | '−' | '–' | '‒') && begins
}

/// `1991 -2020`, `0 -1`: ranges.
fn ends_in_number(words: &[Word]) -> bool {
    words.last().is_some_and(|word| word.text.starts_with(|sign: char| sign.is_numeric()))
}

/// Abbreviations that were taken apart: `r. h.`, `hPa`.
fn joined(words: Vec<Word>) -> Vec<Word> {
    const PAIRS: [(&str, &str); 5] = [("r", "h"), ("r", "f"), ("h", "pa"), ("k", "pa"), ("m", "bar")];
    let mut joined: Vec<Word> = Vec::new();
    for word in words {
        match joined.last_mut() {
            Some(last) if PAIRS.contains(&(last.text.as_str(), word.text.as_str())) => {
                last.text.push_str(&word.text);
            }
            _ => joined.push(word),
        }
    }
    joined
}

/// Signs that stand for others.
fn plain(sign: char) -> Vec<char> {
    match sign {
        'º' | '˚' => vec!['°'],
        '℃' => vec!['°', 'C'],
        '℉' => vec!['°', 'F'],
        'ϑ' => vec!['θ'],
        'ϕ' => vec!['φ'],
        'ₑ' => vec!['_', 'e'],
        'ᵢ' => vec!['_', 'i'],
        'ₐ' => vec!['_', 'a'],
        '\u{300}'..='\u{36f}' => vec![], // accents that stand beside their letter
        _ => vec![sign],
    }
}

/// Small letters without accents.
pub fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for letter in text.chars().flat_map(char::to_lowercase) {
        match letter {
            'à'..='å' | 'ą' | 'ă' | 'ā' => folded.push('a'),
            'è'..='ë' | 'ę' | 'ě' | 'ē' | 'ė' => folded.push('e'),
            'ì'..='ï' | 'ı' | 'ī' => folded.push('i'),
            'ò'..='ö' | 'ø' | 'ő' => folded.push('o'),
            'ù'..='ü' | 'ů' | 'ű' | 'ū' => folded.push('u'),
            'ý' | 'ÿ' => folded.push('y'),
            'ç' | 'ć' | 'č' => folded.push('c'),
            'ñ' | 'ń' | 'ň' => folded.push('n'),
            'ś' | 'š' | 'ș' => folded.push('s'),
            'ź' | 'ż' | 'ž' => folded.push('z'),
            'ř' => folded.push('r'),
            'ď' | 'ð' => folded.push('d'),
            'ť' | 'ț' => folded.push('t'),
            'ł' | 'ľ' => folded.push('l'),
            'ß' => folded.push_str("ss"),
            'æ' => folded.push_str("ae"),
            'œ' => folded.push_str("oe"),
            '\u{300}'..='\u{36f}' => {}
            other => folded.push(other),
        }
    }
    folded
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_parted_where_a_reader_parts_them() {
        for (cell, expected) in [
            ("Température moy. [°C]", "temperature moy °c"),
            ("T_e", "t e"),
            ("TempMax", "temp max"),
            ("RHmean", "rhmean"),
            ("T2m", "t 2 m"),
            ("R.H. in %", "rh in %"),
            ("0,1 ° C", "0.1 °c"),
            ("p (hPa)", "p hpa"),
            ("Außen−Temperatur, 1991–2020", "aussen temperatur 1991 2020"),
            ("θₑ", "θ e"),
            ("ΔT", "δ t"),
            ("Tempe\u{301}rature", "temperature"),
            ("— ", ""),
            ("T -2 m", "t -2 m"),
            ("T (−0,5 m)", "t -0.5 m"),
            ("T 1991 -2020 - 2", "t 1991 2020 2"),
            ("T-2m", "t 2 m"),
        ] {
            let words: Vec<String> = words(cell).into_iter().map(|word| word.text).collect();
            assert_eq!(words.join(" "), expected, "{cell}");
        }
    }
}
