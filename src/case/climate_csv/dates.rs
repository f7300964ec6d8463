//! Months of dates, where no other reading of the dates is possible.

use super::calendar::{Parts, Reading, numbers};

fn is_year(number: &str) -> bool {
    number.len() == 4 && number.parse().is_ok_and(|year: u32| (1800..=2100).contains(&year))
}

/// `2020-07`, `07/2020`, `2020-07-31`, `31.7.20`, `202007`, `20200731`.
pub fn dates(labels: &[&str], parts: &[Parts], is_headed: bool) -> Reading {
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
    use super::super::calendar::read;
    use super::*;

    fn year(label: impl Fn(usize) -> String, is_headed: bool) -> Reading {
        let labels: Vec<String> = (0..12).map(label).collect();
        read(&labels.iter().map(String::as_str).collect::<Vec<_>>(), is_headed)
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
