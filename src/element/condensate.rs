//! Condensate inside an element through the years: what each month adds and takes, until the year repeats
//! itself.
//!
//! The element starts dry. Condensate only ever raises the vapour pressure beside it to saturation, so more
//! of it at one interface never means less at another: the state after a year is a monotone function of the
//! state before, and years that start dry lead upwards. Either they come to a year that ends as it began, or
//! some interfaces stay wet all year and gain the same amount every year; what is held there changes nothing
//! else any more, so that this goes on for good. Both outcomes are the same whatever month the first year
//! starts with: what one start holds at the other start's date lies between dry and its final state.
//!
//! Within a month the air is steady. When an interface falls dry, the rest of the month goes on without it.

use super::vapour::Course;
use crate::climate::{Climate, DAYS, Indoor};

/// Less than this, kg/m², is rounding.
const NOTHING: f64 = 1e-9;
/// Years gone through at most. Nearly all elements settle within ten; water that moves to and fro between two
/// tight layers can take hundreds.
const MOST_YEARS: usize = 3000;
const MONTHS: usize = 12;

/// One interface in one month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wet {
    /// Index into [`Course::interfaces`].
    pub interface: usize,
    /// Condensation in the month, negative for drying, kg/m².
    pub change: f64,
    /// Held at its end, kg/m². Where an interface gains every year, counted from the start of the year shown.
    pub held: f64,
}

/// The most that an interface holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Index into [`Course::interfaces`].
    pub interface: usize,
    /// kg/m², counted as for [`Wet::held`].
    pub amount: f64,
    /// The month in which, or at the end of which, it is reached.
    pub month: usize,
}

/// What the years come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Nothing condenses in any month.
    Dry,
    /// The year ends as it began.
    Repeats,
    /// The same is added every year.
    Grows,
    /// Neither could be shown.
    Open,
}

/// The year that the element comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// What the years come to.
    pub ending: Ending,
    /// Years gone through until then, from dry.
    pub years: usize,
    /// Index of the month the count starts with: the first one in which something condenses after the longest
    /// time in which nothing does; `None` if nothing condenses in any month.
    pub first: Option<usize>,
    /// In calendar order from `first`: what each month does, interfaces that stay dry left out.
    pub months: Vec<(usize, Vec<Wet>)>,
    /// The largest sum held at any moment of that year, kg/m², counted as for [`Wet::held`].
    pub peak: f64,
    /// The same for each interface that is ever wet.
    pub peaks: Vec<Peak>,
    /// What the year adds for good, kg/m².
    pub left: f64,
    /// The same for each interface that gains.
    pub gains: Vec<(usize, f64)>,
}

/// A climate and what it does to an element.
#[derive(Clone, Debug)]
pub struct Wetting<'a> {
    /// The climate.
    pub climate: &'a Climate,
    /// The air inside.
    pub indoor: Indoor,
    /// The element as seen by heat and vapour: of two readings the worse one.
    pub course: &'a Course,
    /// Its year.
    pub year: Year,
    /// Where a slightly ventilated air layer can be read in two ways.
    pub slight: Option<Slight>,
}

/// The other reading of a slightly ventilated air layer.
#[derive(Clone, Debug)]
pub struct Slight {
    /// True if outside air in the layer is the worse reading, the one shown.
    pub is_open: bool,
    /// The year of the other one.
    pub other: Year,
}

impl<'a> Wetting<'a> {
    /// Goes through the years. `open` is the course with outside air in a slightly ventilated layer, where
    /// there is one; of the two the one that gains more counts, and if none gains the one that holds more.
    pub fn of(closed: &'a Course, open: Option<&'a Course>, climate: &'a Climate, indoor: Indoor) -> Self {
        let year = closed.year(climate, &indoor);
        let Some(open) = open else { return Self { climate, indoor, course: closed, year, slight: None } };
        let ventilated = open.year(climate, &indoor);
        if (ventilated.left, ventilated.peak) > (year.left, year.peak) {
            let slight = Some(Slight { is_open: true, other: year });
            Self { climate, indoor, course: open, year: ventilated, slight }
        } else {
            let slight = Some(Slight { is_open: false, other: ventilated });
            Self { climate, indoor, course: closed, year, slight }
        }
    }
}

/// A year in the making.
struct Trace {
    /// For each month from the first: which, and what is held at each interface before and after it.
    months: Vec<(usize, Vec<f64>, Vec<f64>)>,
    /// The largest amount at each interface and in sum, with the month.
    most: Vec<(f64, usize)>,
    most_together: f64,
    /// The least amount at each interface.
    least: Vec<f64>,
}

/// An element between the air of twelve months.
struct Weather<'c> {
    course: &'c Course,
    /// Saturation pressures at the interfaces and vapour pressures of the air, Pa, month by month.
    months: Vec<(Vec<f64>, [f64; 2])>,
}

impl Year {
    /// The largest sum held, kg/m², where the years come to an end of it.
    pub fn largest(&self) -> Option<f64> {
        matches!(self.ending, Ending::Dry | Ending::Repeats).then_some(self.peak)
    }
}

impl Course {
    /// The year that this element comes to between these months and this air inside.
    pub fn year(&self, climate: &Climate, indoor: &Indoor) -> Year {
        self.year_from(climate, indoor, 0)
    }

    /// The same with the first year starting, dry, with another month. It changes nothing but the number of
    /// years.
    pub fn year_from(&self, climate: &Climate, indoor: &Indoor, start: usize) -> Year {
        let month = |outdoor: &crate::climate::Month| {
            let saturated = self.saturation([indoor.temperature, outdoor.temperature]);
            (saturated, [indoor.pressure(outdoor), outdoor.pressure()])
        };
        let weather = Weather { course: self, months: climate.months.iter().map(month).collect() };
        let mut held = vec![0.0; self.interfaces.len()];
        let mut ending = Ending::Open;
        let mut last_gains: Option<Vec<f64>> = None;
        let mut years = 0;
        while years < MOST_YEARS && ending == Ending::Open {
            years += 1;
            let before = held.clone();
            let trace = weather.year(&mut held, start);
            let gains: Vec<f64> = held.iter().zip(&before).map(|(after, before)| after - before).collect();
            if trace.most_together <= NOTHING {
                let (months, peaks, gains) = (Vec::new(), Vec::new(), Vec::new());
                return Year {
                    ending: Ending::Dry,
                    years,
                    first: None,
                    months,
                    peak: 0.0,
                    peaks,
                    left: 0.0,
                    gains,
                };
            }
            let stays_wet = |index: usize| gains[index] > NOTHING && trace.least[index] > NOTHING;
            let is_still = |index: usize| gains[index].abs() <= NOTHING;
            if (0..gains.len()).all(is_still) {
                ending = Ending::Repeats;
            } else if let Some(last) = &last_gains
                && last.iter().zip(&gains).all(|(last, gain)| (last - gain).abs() <= NOTHING)
                && (0..gains.len()).all(|index| is_still(index) || stays_wet(index))
            {
                ending = Ending::Grows;
            }
            last_gains = Some(gains);
        }
        weather.settled(held, start, ending, years)
    }
}

impl Weather<'_> {
    /// The year to show, from a state at the start of month `start`.
    fn settled(&self, mut held: Vec<f64>, start: usize, ending: Ending, years: usize) -> Year {
        let first = first_month(&self.year(&mut held.clone(), start));
        for month in (start..start + (first + MONTHS - start) % MONTHS).map(|month| month % MONTHS) {
            self.month(month, &mut held, &mut |_| {});
        }
        let at_start = held.clone();
        let trace = self.year(&mut held, first);
        let gains = held.iter().zip(&at_start).map(|(after, before)| after - before).enumerate();
        let gains: Vec<(usize, f64)> = if ending == Ending::Repeats {
            Vec::new()
        } else {
            gains.filter(|(_, gain)| *gain > NOTHING).collect()
        };
        // What grows is counted from the start of the year shown: how much there was already depends on how
        // many years have passed.
        let mut counted_from = vec![0.0; held.len()];
        for (interface, _) in gains.iter().filter(|_| ending == Ending::Grows) {
            counted_from[*interface] = at_start[*interface];
        }
        let uncounted: f64 = counted_from.iter().sum();
        let in_month = |before: &[f64], after: &[f64]| -> Vec<Wet> {
            let is_wet = |index: &usize| before[*index] > NOTHING || after[*index] > NOTHING;
            let wet = |index: usize| Wet {
                interface: index,
                change: after[index] - before[index],
                held: after[index] - counted_from[index],
            };
            (0..after.len()).filter(is_wet).map(wet).collect()
        };
        let months =
            trace.months.iter().map(|(month, before, after)| (*month, in_month(before, after))).collect();
        let peaks = trace.most.iter().enumerate().filter(|(_, (amount, _))| *amount > NOTHING);
        Year {
            ending,
            years,
            first: Some(first),
            months,
            peak: trace.most_together - uncounted,
            peaks: peaks
                .map(|(interface, (amount, month))| Peak {
                    interface,
                    amount: amount - counted_from[interface],
                    month: *month,
                })
                .collect(),
            left: gains.iter().map(|(_, gain)| gain).sum::<f64>() + 0.0,
            gains,
        }
    }

    /// Lets a year pass over what is held, from the start of a month.
    fn year(&self, held: &mut [f64], start: usize) -> Trace {
        let mut trace = Trace {
            months: Vec::with_capacity(MONTHS),
            most: held.iter().map(|held| (*held, start)).collect(),
            most_together: held.iter().sum(),
            least: held.to_vec(),
        };
        for month in (start..start + MONTHS).map(|month| month % MONTHS) {
            let before = held.to_vec();
            self.month(month, held, &mut |held| {
                trace.most_together = trace.most_together.max(held.iter().sum());
                for ((most, least), held) in trace.most.iter_mut().zip(&mut trace.least).zip(held) {
                    if *held > most.0 {
                        *most = (*held, month);
                    }
                    *least = least.min(*held);
                }
            });
            trace.months.push((month, before, held.to_vec()));
        }
        trace
    }

    /// Lets a month pass over what is held. `look` sees the state whenever a rate changes, and at the end.
    fn month(&self, month: usize, held: &mut [f64], look: &mut dyn FnMut(&[f64])) {
        let (saturated, pressures) = &self.months[month];
        let mut left = DAYS[month] * 86_400.0;
        // Drying lowers the pressures beside it, so that an interface falls dry once at most.
        for _ in 0..=held.len() {
            let wet: Vec<bool> = held.iter().map(|held| *held > NOTHING).collect();
            let rates = self.course.rates(saturated, *pressures, &wet);
            let until_dry = |(held, rate): (&f64, &f64)| {
                if *held > NOTHING && *rate < 0.0 { -held / rate } else { f64::INFINITY }
            };
            let step = held.iter().zip(&rates).map(until_dry).fold(left, f64::min);
            for (held, rate) in held.iter_mut().zip(&rates) {
                *held += rate * step;
                if *held <= NOTHING {
                    *held = 0.0;
                }
            }
            look(held);
            left -= step;
            if left <= 0.0 {
                return;
            }
        }
    }
}

/// The first month in which something condenses after the longest run of months in which nothing does.
fn first_month(trace: &Trace) -> usize {
    let mut condenses = [false; MONTHS];
    for (month, before, after) in &trace.months {
        condenses[*month] = before.iter().zip(after).any(|(before, after)| after - before > NOTHING);
    }
    let dry_before =
        |month: usize| (1..MONTHS).take_while(|back| !condenses[(month + MONTHS - back) % MONTHS]).count();
    let candidates = (0..MONTHS).filter(|month| condenses[*month]);
    // The earliest in the calendar of several.
    candidates.rev().max_by_key(|month| dry_before(*month)).unwrap_or(0)
}
