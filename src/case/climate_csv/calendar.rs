//! Which month a label means: by name in a dozen languages, by date, by number.
//!
//! A single label may be read in several ways (`listopad` is November in one language and October in another,
//! `01/07` the first of July or the seventh of January), so that all labels of a column are read at once, and
//! in one way.

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
struct Parts {
    words: Vec<String>,
    numbers: Vec<String>,
    /// `01.07.2020`, which is the first of July everywhere.
    has_points: bool,
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
fn numbers(labels: &[&str]) -> Option<Vec<usize>> {
    let number = |label: &&str| {
        let number: f64 = label.trim_end_matches('.').parse().ok()?;
        (number.fract() == 0.0 && (1.0..=12.0).contains(&number)).then_some(number as usize - 1)
    };
    labels.iter().map(number).collect()
}

fn is_year(number: &str) -> bool {
    number.len() == 4 && number.parse().is_ok_and(|year: u32| (1800..=2100).contains(&year))
}

/// `2020-07`, `07/2020`, `2020-07-31`, `31.7.20`, `202007`, `20200731`.
fn dates(labels: &[&str], parts: &[Parts], is_headed: bool) -> Reading {
    let compact = |label: &&str| {
        let is_date = matches!(label.len(), 6 | 8) && label.bytes().all(|sign| sign.is_ascii_digit());
        let month: usize = label.get(4..6).filter(|_| is_date && is_year(&label[..4]))?.parse().ok()?;
        (1..=12).contains(&month).then_some(month - 1)
    };
    if let Some(months) = labels.iter().map(compact).collect() {
        return Reading::Months(months);
    }
    let count = parts.first().map_or(0, |label| label.numbers.len());
    let is_odd = |label: &Parts| label.numbers.len() != count || !matches!(count, 2 | 3);
    if let Some(odd) = parts.iter().position(is_odd) {
        let is_number = |label: &&str| is_headed && numbers(&[label]).is_some();
        return Reading::Unread(labels.iter().position(|label| !is_number(label)).unwrap_or(odd));
    }
    // A number with a point may be a date only where it cannot be a quantity.
    if let Some(plain) = labels.iter().position(|label| label.parse::<f64>().is_ok() && !is_headed) {
        return Reading::Unread(plain);
    }
    let all = |at: usize, holds: &dyn Fn(&str) -> bool| parts.iter().all(|label| holds(&label.numbers[at]));
    let months = |at: usize| -> Option<Vec<usize>> {
        let month = |label: &Parts| {
            let month: usize = label.numbers[at].parse().ok()?;
            (1..=12).contains(&month).then_some(month - 1)
        };
        parts.iter().map(month).collect()
    };
    let has_points = parts.iter().all(|label| label.has_points);
    let places: &[usize] = match count {
        _ if all(0, &is_year) => &[1],
        2 if all(1, &is_year) => &[0],
        _ if has_points => &[1],
        _ => &[0, 1],
    };
    if let [place] = places {
        let is_outside = |label: &Parts| {
            label.numbers[*place].parse().map_or(true, |month: usize| !(1..=12).contains(&month))
        };
        return months(*place).map_or_else(
            || Reading::Unread(parts.iter().position(is_outside).unwrap_or_default()),
            Reading::Months,
        );
    }
    let is_whole = |months: &Vec<usize>| (0..12).all(|month| months.contains(&month));
    let ways = [months(0).filter(is_whole), months(1).filter(is_whole)];
    // 1/1, 2/1, …, 12/1 of one year: firsts of months, or the first twelve days of one.
    let may_be_days = |other: usize| {
        let same = |at: usize| all(at, &|number| number == parts[0].numbers[at]);
        !is_headed
            && same(other)
            && (count == 2 || same(2))
            && parts[0].numbers[other].parse().is_ok_and(|number: usize| (1..=12).contains(&number))
    };
    match ways {
        [Some(one), Some(other)] if one == other => Reading::Months(one),
        [Some(months), None] if !may_be_days(1) => Reading::Months(months),
        [None, Some(months)] if !may_be_days(0) => Reading::Months(months),
        [None, None] => Reading::Unread(0),
        _ => Reading::Ambiguous,
    }
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

    #[test]
    fn dates_are_read_where_they_can_be_months_only() {
        let july = Reading::Months((0..12).map(|month| (month + 6) % 12).collect());
        let of = |month: usize| ((month + 6) % 12 + 1, 2019 + (month + 6) / 12);
        let two = |(month, year): (usize, usize), text: &str| {
            text.replace("MM", &format!("{month:02}"))
                .replace("YYYY", &year.to_string())
                .replace("YY", &(year - 2000).to_string())
        };
        for text in [
            "YYYY-MM",
            "YYYY-MM-01",
            "YYYYMM",
            "YYYYMM15",
            "MM/YYYY",
            "01.MM.YYYY",
            "01.MM.YY",
            "1/MM/YYYY",
            "MM/1/YYYY",
            "15/MM/YY",
            "MM-15-YY",
            "YYYY-MM-01 00:00",
            "YYYY-MM-01T00:00:00Z",
            "MM/YY",
            "01.MM.",
        ] {
            assert_eq!(year(|month| two(of(month), text), false), july, "{text}");
        }
        for text in ["01/MM", "MM/01", "MM/01/2019", "01-MM-2019"] {
            assert_eq!(year(|month| two((month + 1, 2019), text), false), Reading::Ambiguous, "{text}");
            assert!(matches!(year(|month| two((month + 1, 2019), text), true), Reading::Months(_)), "{text}");
        }
        // Days, hours, years, measures, serial numbers, decimal years.
        for text in ["MM:00", "MM", "MM.5", "438MM", "20MM", "2019.MM5"] {
            let read = year(|month| two((month + 1, 2019), text), false);
            assert!(matches!(read, Reading::Unread(_)), "{text}: {read:?}");
        }
    }
}
