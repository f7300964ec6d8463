//! Which month a label means: by name in a dozen languages, by date, by number.
//!
//! A single label may be read in several ways (`listopad` is November in one language and October in another,
//! `01/07` the first of July or the seventh of January), so that all labels of a column are read at once, and
//! in one way.

use super::dates::dates;
use super::words::fold;

/// January to December in one language a line; other spellings after `/`. Any beginning of three letters
/// counts, where it tells.
const LANGUAGES: [&str; 12] = [
    "january february march april may june july august september october november december",
    "januar/janner februar/feber marz/maerz/mrz april mai juni juli august september oktober november dezember",
    "janvier fevrier mars avril mai juin juillet aout septembre octobre novembre decembre",
    "enero febrero marzo abril mayo junio julio agosto septiembre/setiembre octubre noviembre diciembre",
    "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre",
    "januari februari maart/mrt april mei juni juli augustus september oktober november december",
    "janeiro fevereiro marco abril maio junho julho agosto setembro outubro novembro dezembro",
    "januar/januari februar/februari marts/mars april maj/mai juni juli august/augusti september oktober november december/desember",
    "styczen luty marzec kwiecien maj czerwiec lipiec sierpien wrzesien pazdziernik listopad grudzien",
    "leden unor brezen duben kveten cerven cervenec srpen zari rijen listopad prosinec",
    "tammikuu helmikuu maaliskuu huhtikuu toukokuu kesakuu heinakuu elokuu syyskuu lokakuu marraskuu joulukuu",
    "i ii iii iv v vi vii viii ix x xi xii",
];

/// The initials, which tell months only in their order.
const INITIALS: &str = "jfmamjjasond";

/// The months of labels, from 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reading {
    /// In the order of the labels.
    Months(Vec<usize>),
    /// The labels are dates that may be months or days, or months in two ways.
    Ambiguous,
    /// This label (by number) is read in no way that fits the others.
    Unread(usize),
}

/// A label's words and numbers, without a time of day.
pub struct Parts {
    words: Vec<String>,
    /// As written.
    pub numbers: Vec<String>,
    /// `01.07.2020`, which is the first of July everywhere.
    pub has_points: bool,
}

fn parts(label: &str) -> Parts {
    let date = label.find(':').map_or(label, |colon| {
        let before = &label[..colon];
        before.rfind([' ', 'T']).map_or("", |end| &before[..end])
    });
    let folded = fold(date);
    let mut all: Vec<String> = Vec::new();
    let mut before = ' ';
    for sign in folded.chars() {
        let goes_on = before.is_alphanumeric() && before.is_ascii_digit() == sign.is_ascii_digit();
        match all.last_mut().filter(|_| goes_on) {
            Some(last) if sign.is_alphanumeric() => last.push(sign),
            _ if sign.is_alphanumeric() => all.push(sign.to_string()),
            _ => {}
        }
        before = sign;
    }
    let (numbers, words) =
        all.into_iter().partition(|part| part.starts_with(|sign: char| sign.is_ascii_digit()));
    Parts { words, numbers, has_points: date.contains('.') }
}

/// The month of a name in a language, from 0.
fn in_language(language: &str, name: &str) -> Option<usize> {
    let months: Vec<&str> = language.split(' ').collect();
    let with = |fits: &dyn Fn(&str) -> bool| -> Vec<usize> {
        (0..months.len()).filter(|month| months[*month].split('/').any(fits)).collect()
    };
    let exact = with(&|month| month == name);
    let found =
        if exact.is_empty() && name.len() >= 3 { with(&|month| month.starts_with(name)) } else { exact };
    if let [one] = found.as_slice() { Some(*one) } else { None }
}

fn named(language: &str, label: &Parts) -> Option<usize> {
    let [word] = label.words.as_slice() else { return None };
    in_language(language, word)
}

/// True for a label with the name of a month in any language, as a whole word.
pub fn is_month_name(label: &str) -> bool {
    let parts = parts(label);
    let has_letters = parts.words.iter().any(|word| word.len() >= 3);
    has_letters && LANGUAGES.iter().any(|language| named(language, &parts).is_some())
}

/// Reads the labels of a column. `is_headed` is true below `month`: plain numbers are months there, and dates
/// cannot be days.
pub fn read(labels: &[&str], is_headed: bool) -> Reading {
    let parts: Vec<Parts> = labels.iter().map(|label| parts(label)).collect();
    if let Some(months) = initials(&parts) {
        return Reading::Months(months);
    }
    if is_headed && let Some(months) = numbers(labels) {
        return Reading::Months(months);
    }
    if parts.iter().all(|label| label.words.is_empty()) {
        return dates(labels, &parts, is_headed);
    }
    let by_language =
        LANGUAGES.map(|language| parts.iter().map(|label| named(language, label)).collect::<Vec<_>>());
    let mut complete: Vec<Vec<usize>> =
        by_language.iter().filter_map(|months| months.iter().copied().collect()).collect();
    complete.sort();
    complete.dedup();
    match complete.as_slice() {
        [months] => Reading::Months(months.clone()),
        [] => {
            let reach =
                |months: &Vec<Option<usize>>| months.iter().take_while(|month| month.is_some()).count();
            Reading::Unread(by_language.iter().map(reach).max().unwrap_or_default())
        }
        _ => Reading::Ambiguous,
    }
}

/// J F M A M J J A S O N D from any month on.
fn initials(labels: &[Parts]) -> Option<Vec<usize>> {
    let letters: Option<String> = labels
        .iter()
        .map(|label| match label.words.as_slice() {
            [word] if word.len() == 1 && label.numbers.is_empty() => word.chars().next(),
            _ => None,
        })
        .collect();
    let letters = letters.filter(|letters| letters.len() == INITIALS.len())?;
    let first = format!("{INITIALS}{INITIALS}").find(&letters)?;
    Some((0..INITIALS.len()).map(|month| (first + month) % INITIALS.len()).collect())
}

/// 1 to 12, also `07` and `7.0`.
pub fn numbers(labels: &[&str]) -> Option<Vec<usize>> {
    let number = |label: &&str| {
        let number: f64 = label.trim_end_matches('.').parse().ok()?;
        (number.fract() == 0.0 && (1.0..=12.0).contains(&number)).then_some(number as usize - 1)
    };
    labels.iter().map(number).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn year(label: impl Fn(usize) -> String, is_headed: bool) -> Reading {
        let labels: Vec<String> = (0..12).map(label).collect();
        read(&labels.iter().map(String::as_str).collect::<Vec<_>>(), is_headed)
    }

    #[test]
    fn every_language_names_its_months_whole_and_by_their_beginnings() {
        for language in LANGUAGES {
            let months: Vec<&str> = language.split(' ').collect();
            assert_eq!(months.len(), 12);
            let spelt = |month: &str, last: bool| {
                let mut spellings = month.split('/');
                if last { spellings.next_back() } else { spellings.next() }.unwrap().to_owned()
            };
            for last in [false, true] {
                let read = year(|month| spelt(months[(month + 6) % 12], last).to_uppercase(), false);
                let expected: Vec<usize> = (0..12).map(|month| (month + 6) % 12).collect();
                assert_eq!(read, Reading::Months(expected), "{language}");
            }
        }
    }
}
