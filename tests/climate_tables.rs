//! Tables of months: what agrees with the plain table is read, what is or may be something else is refused at
//! its line, with a hint that names the cause.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::PathBuf;

use assert_cmd::Command;
use coldseam::case::{self, Rejected};
use coldseam::climate::humid_air::saturation_pressure;
use coldseam::climate::{Climate, MONTHS};
use proptest::prelude::*;

/// Temperature and humidity of the plain table.
const YEAR: [(f64, f64); 12] = [
    (-0.4, 88.0),
    (0.6, 85.0),
    (4.2, 80.0),
    (8.3, 74.0),
    (13.1, 71.0),
    (16.2, 72.0),
    (18.0, 72.5),
    (17.6, 74.0),
    (13.9, 79.0),
    (9.2, 84.0),
    (4.1, 87.0),
    (1.0, 89.0),
];

struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn with(&self, name: &str, text: &str) -> PathBuf {
        let file = self.0.path().join(name);
        fs::write(&file, text).unwrap();
        file
    }

    fn read(&self, text: &str) -> Result<Climate, Rejected> {
        case::load_climate(&self.with("station.csv", text))
    }
}

/// A heading and a line for each month: `N` is its number, `NN` with two digits, `MONTH` and `MON` its name, `T`
/// temperature, `H` humidity.
fn table(heading: &str, line: &str) -> String {
    from(0, heading, line)
}

/// The same from a month on.
fn from(first: usize, heading: &str, line: &str) -> String {
    let lines = (0..12).map(|at| {
        let (month, year) = ((first + at) % 12, 2019 + (first + at) / 12);
        let (temperature, humidity) = YEAR[month];
        let names = [("MONTH", "\u{1}", MONTHS[month]), ("MON", "\u{2}", &MONTHS[month][..3])];
        let hidden = names.iter().fold(line.to_owned(), |line, (name, sign, _)| line.replace(name, sign));
        let filled = hidden
            .replace("NN", &format!("{:02}", month + 1))
            .replace('N', &(month + 1).to_string())
            .replace("YYYY", &year.to_string())
            .replace('T', &temperature.to_string())
            .replace('H', &humidity.to_string());
        names.iter().fold(filled, |line, (_, sign, name)| line.replace(sign, name)) + "\n"
    });
    format!("{heading}\n{}", lines.collect::<String>())
}

fn with_comma(text: &str) -> String {
    text.replace('.', ",")
}

/// A table of two columns in other units.
fn converted(heading: &str, temperature: fn(f64) -> f64, humidity: fn(f64, f64) -> f64) -> String {
    let line =
        |(one, other): &(f64, f64)| format!("{:.4},{:.4}\n", temperature(*one), humidity(*one, *other));
    format!("{heading}\n{}", YEAR.iter().map(line).collect::<String>())
}

/// The month's label in another language; from July on.
fn labelled(heading: &str, labels: &str) -> String {
    let labels: Vec<&str> = labels.split(' ').collect();
    let line = |at: usize| {
        let month = (at + 6) % 12;
        format!("{};{};{}\n", labels[month], YEAR[month].0, YEAR[month].1)
    };
    format!("{heading}\n{}", (0..12).map(line).collect::<String>())
}

fn agrees(climate: &Climate, text: &str) {
    for (month, (temperature, humidity)) in climate.months.iter().zip(YEAR) {
        let difference = (month.humidity - humidity / 100.0).abs();
        assert!(month.temperature == temperature && difference < 1e-5, "{month:?}\n{text}");
    }
}

#[test]
fn honest_tables_agree_with_the_plain_one() {
    let folder = Folder::new();
    let headings = [
        "temperature,humidity",
        "Temperature,Humidity",
        "Temperature in °C,relative humidity in %",
        "theta_e,phi_e",
        "θ,φ",
        "θe [°C],φe [%]",
        "T,RH",
        "T_e,RH_e",
        "Te,RHe",
        "Tmean,RHmean",
        "T mean (°C),Avg. RH",
        "Tavg,Rel. hum.",
        "TempAvg,RelHum",
        "temp_c,rh_pct",
        "Dry bulb,R.H.",
        "Dry-bulb temperature,% RH",
        "Mean daily temperature,Mean daily relative humidity",
        "Monthly mean air temperature 2 m,RH",
        "T2m,RH2m",
        "°C,%",
        "Temperature (1991–2020),Humidity (1991–2020)",
        "Temperatur,Feuchte",
        "Außentemperatur,Luftfeuchte",
        "Monatsmittel der Lufttemperatur,rel. Luftfeuchtigkeit",
        "mittlere Außenlufttemperatur,relative Feuchte in %",
        "Température,Humidité",
        "Température moyenne,Humidité relative",
        "Temperatura media,Humedad relativa",
        "Temperatura,Umidità",
        "T gem.,Luchtvochtigheid",
        "Medeltemperatur,Luftfuktighet",
        "Temperatura średnia,Wilgotność względna",
        "T ext.,RH ext.",
        "Outdoor temperature,Outdoor RH",
        "24 h mean temperature,relative humidity (0-100)",
    ];
    let mut tables: Vec<String> = headings.map(|heading: &str| table(heading, "T,H")).to_vec();
    for heading in
        ["month;temperature;humidity", "Monat;Temperatur;Feuchte", ";T;RH", "Station;T;RH", "date;T;RH"]
    {
        tables.push(from(6, heading, "MONTH;T;H"));
    }
    tables.extend([
        table("\u{feff}temperature,humidity", "T,H").replace('\n', "\r\n"),
        table("# a remark\n\ntemperature,humidity", "T,H") + "# the end\n\n",
        table("humidity,temperature", "H,T"),
        // Beside what is not taken.
        table("Month;Tmax;Tmin;Tmean;RH at 3 pm;RH;Rain", "N;30;-5;T;40;H;70"),
        table("T_i,RH_i,T_e,RH_e", "20,50,T,H"),
        table("temperature,dew point temperature,soil temperature,humidity,vapour pressure", "T,3,4,H,9"),
        table("temperature,humidity,absolute humidity (g/m³)", "T,H,5"),
        table("month,T,RH,remark", "N,T,H,").replace("1,-0.4,88,", "1,-0.4,88,snow"),
        // Months.
        from(6, "month,temperature,humidity", "N,T,H"),
        from(6, "Monat,temperature,humidity", "NN,T,H"),
        from(9, "month,temperature,humidity", "N.0,T,H"),
        from(6, "when,temperature,humidity", "MON,T,H"),
        from(6, "date,temperature,humidity", "MON YYYY,T,H"),
        from(6, "time,temperature,humidity", "YYYY-NN-01 00:00,T,H"),
        from(6, "period,temperature,humidity", "YYYY-NN,T,H"),
        from(6, "from,temperature,humidity", "01.NN.YYYY,T,H"),
        from(6, "x,temperature,humidity", "YYYYNN,T,H"),
        from(6, "x,temperature,humidity", "NN/15/YYYY,T,H"),
        from(6, "year,month,temperature,humidity", "YYYY,N,T,H"),
        from(6, "year,month,day,temperature,humidity", "YYYY,N,1,T,H"),
        table("no,temperature,humidity", "N,T,H"),
        table("place,temperature,humidity", "Lowfield,T,H"),
        labelled(
            "mois;T;RH",
            "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
        ),
        labelled("Monat;T;RH", "Jän. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez."),
        labelled("miesiąc;T;RH", "I II III IV V VI VII VIII IX X XI XII"),
        labelled(
            "měsíc;T;RH",
            "leden únor březen duben květen červen červenec srpen září říjen listopad prosinec",
        ),
        labelled("m;T;RH", "J F M A M J J A S O N D"),
        // Around the table.
        table("Lowfield by the sea, 480 m\nMonthly means 1991-2020\n\nmonth,temperature,humidity", "N,T,H"),
        table("Temperature and humidity, monthly means\nmonth,T,RH", "N,T,H"),
        table("Max-Planck-Straße 5, Lowfield\nmonth;T;RH", "N;T;H"),
        table("Roof of the Max Planck Institute\nmonth;T;RH", "N;T;H"),
        table("# converted from °F to °C\nmonth;T;RH", "N;T;H"),
        table("Temperatures converted from degrees Fahrenheit into degrees Celsius\nmonth;T;RH", "N;T;H"),
        table("umgerechnet von °F in °C\nMonat;Temperatur;Feuchte", "N;T;H"),
        table("month,temperature,humidity\n,°C,%", "N,T,H"),
        table("month;Temperature;;;Humidity\n;max;mean;min;mean", "MON;30;T;-5;H"),
        table("Temperatures in °F beside those in °C\nmonth,°C,%", "N,T,H"),
        // As in the README.
        with_comma(&from(6, "Lowfield, 1991–2020\nMonat; T mean; T max; RH\n; °C; °C; %", "MON; T; 23.1; H"))
            + "Jahr; 8,8; 13,0; 80\n",
        table("Outside;;Inside;\nT;RH;T;RH", "T;H;20;50"),
        table(";Inside;;Outside;\nmonth;T;RH;T;RH", "N;20;50;T;H"),
        table("T;unit;RH;unit", "T;°C;H;%"),
        table("month;T;RH;quality", "N;T;H;good"),
        table("Mean, max and min temperature at Lowfield\nmonth,Tmean,Tmax,Tmin,RH", "N,T,30,-5,H"),
        table("month,temperature,humidity", "MON,T,H") + "ANN,8.8,80\nDJF,0.4,87\n",
        table("# degrees F\ntemperature in °C,humidity", "T,H"),
        table("month,temperature,humidity", "N,T,H") + "Year,8.8,80\n",
        table("Monat;Temperatur;Feuchte", "MON;T;H") + "Jahresmittel;8.8;80\n",
        table("month,temperature,humidity", "MON,T,H") + "Jan–Dec,8.8,80\n",
        table(",T,RH", "MON,T,H") + "Annual mean,8.8,80\nMax,18,89\n",
        table("month,temperature,humidity", "N,T,H") + "Source: the weather service\n",
        // Separators and numbers.
        "sep=;\n".to_owned() + &table("month;temperature;humidity", "N;T;H"),
        "sep=,\n".to_owned() + &table("temperature,humidity", "T,H"),
        table("| month | temperature | humidity |\n|---|---|---|", "| N | T | H |"),
        table("month\ttemperature\thumidity", "MONTH\tT\tH"),
        with_comma(&table("month;temperature;humidity", "N;T;H")),
        with_comma(&table("month\ttemperature\thumidity", "N\tT\tH")),
        table("temperature,humidity", "T,H").replace("-0.4,", "\"-0,4\","),
        table("temperature,humidity", "T,H").replace('-', "−"),
        table("temperature,humidity", "T °C,H %"),
        converted("temperature,humidity (fraction)", |t| t, |_, h| h / 100.0),
        converted("temperature,RH (0-1)", |t| t, |_, h| h / 100.0),
        converted("temperature,vapour pressure in Pa", |t| t, |t, h| h / 100.0 * saturation_pressure(t)),
        converted("temperature,water vapour pressure [hPa]", |t| t, |t, h| h / 1e4 * saturation_pressure(t)),
    ]);
    assert!(tables.len() >= 80);
    let failures: Vec<String> = tables
        .iter()
        .filter_map(|text| match folder.read(text) {
            Ok(climate) => {
                agrees(&climate, text);
                None
            }
            Err(rejected) => {
                let top = text.lines().take(5).collect::<Vec<_>>().join("\n    ");
                Some(format!("{}\n{top}", told(&rejected)))
            }
        })
        .collect();
    assert!(failures.is_empty(), "{} of {}\n{}", failures.len(), tables.len(), failures.join("\n"));
    let plain = table("month;temperature;humidity", "N;T;H");
    for name in ["a.tsv", "a.txt", "a.CSV", "a.dat"] {
        agrees(&case::load_climate(&folder.with(name, &plain)).unwrap(), name);
    }
    let yaml = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/cases/climate.yaml")).unwrap();
    assert!(case::load_climate(&folder.with("yaml.txt", &yaml)).unwrap().indoor.is_some());
}

fn told(rejected: &Rejected) -> String {
    let hints: Vec<&str> =
        rejected.diagnostics.iter().filter_map(|diagnostic| diagnostic.hint.as_deref()).collect();
    format!("{rejected}; {}", hints.join("; "))
}

/// Tables that are to be refused, and what went wrong with that.
struct Refusals {
    folder: Folder,
    count: usize,
    failures: Vec<String>,
}

impl Refusals {
    fn new() -> Self {
        Self { folder: Folder::new(), count: 0, failures: Vec::new() }
    }

    /// Refused at the line, with a hint that has the word, and not in line after line.
    fn expect(&mut self, text: &str, line: usize, word: &str) {
        self.count += 1;
        let top = text.lines().take(5).collect::<Vec<_>>().join("\n    ");
        let failure = match self.folder.read(text) {
            Ok(climate) => format!("read, `{word}`: {}\n{top}", climate.source),
            Err(rejected) => {
                let first = &rejected.diagnostics[0];
                let hint = first.hint.as_deref().unwrap_or_default();
                let found = first.place.map(|place| rejected.sources.line_column(place).0);
                if found == Some(line) && hint.contains(word) && rejected.diagnostics.len() <= 2 {
                    return;
                }
                format!("line {line}, `{word}`: {}\n{top}", told(&rejected))
            }
        };
        self.failures.push(failure);
    }

    fn are_at_least(&self, least: usize) {
        assert!(self.count >= least);
        assert!(
            self.failures.is_empty(),
            "{} of {}\n{}",
            self.failures.len(),
            self.count,
            self.failures.join("\n")
        );
    }
}

#[test]
fn other_quantities_are_refused_by_their_heading() {
    let mut refused = Refusals::new();
    for (heading, word) in [
        ("°F", "Fahrenheit"),
        ("T (F)", "Fahrenheit"),
        ("temp_f", "Fahrenheit"),
        ("TempF", "Fahrenheit"),
        ("temperature in degrees F", "Fahrenheit"),
        ("temperature [K]", "kelvin"),
        ("air temperature, kelvin", "kelvin"),
        ("temperature in 0.1 °C", "0.1"),
        ("temperature, tenths of °C", "tenths"),
        ("temperature °C x 10", "x"),
        ("Tmax", "maximum"),
        ("max. temperature", "maximum"),
        ("mean daily maximum temperature", "maximum"),
        ("Höchsttemperatur", "maximum"),
        ("mean of max and min temperature", "maximum"),
        ("Tn", "minimum"),
        ("TempMin", "minimum"),
        ("lowest temperature", "minimum"),
        ("record temperature", "record"),
        ("temperature, standard deviation", "standard"),
        ("T std", "standard"),
        ("temperature anomaly", "difference"),
        ("ΔT", "difference"),
        ("dT", "difference"),
        ("dT in °C", "difference"),
        ("dTmean", "difference"),
        ("mean anomaly of temperature °C", "difference"),
        ("mittlere Abweichung der Temperatur", "difference"),
        ("T -2 m", "-2"),
        ("T (-0.5 m)", "-0.5"),
        ("mean temperature −2 m", "-2"),
        ("temperature in -2 m", "-2"),
        ("temperature difference", "difference"),
        ("daily temperature range", "difference"),
        ("median temperature", "median"),
        ("design temperature", "design"),
        ("temperature sum", "sum"),
        ("daily temperature", "daily"),
        ("soil temperature", "soil"),
        ("ground temperature °C", "soil"),
        ("Bodentemperatur", "soil"),
        ("surface temperature", "surface"),
        ("sea temperature", "water"),
        ("water temperature", "water"),
        ("sky temperature", "sky"),
        ("indoor temperature", "inside"),
        ("inside °C", "inside"),
        ("room temperature", "inside"),
        ("Innentemperatur", "inside"),
        ("T_i", "inside"),
        ("T_in [°C]", "inside"),
        ("θi", "inside"),
        ("dew point", "dew point"),
        ("dewpoint (°C)", "dew point"),
        ("Td", "dew point"),
        ("Taupunkttemperatur", "dew point"),
        ("wet bulb temperature", "wet bulb"),
        ("Twb", "wet bulb"),
        ("feels-like temperature", "felt"),
        ("apparent temperature", "felt"),
        ("mean radiant temperature", "radiation"),
        ("temperature at 3 pm", "hour"),
        ("temperature 15:00", "15"),
        ("T 7 am", "hour"),
        ("temperature at noon", "hour"),
        ("night temperature", "hour"),
        ("temperature of Lowfield", "lowfield"),
        ("T1", "1"),
        ("temperature %", "%"),
    ] {
        refused.expect(&table(&format!("{heading};humidity"), "T;H"), 1, word);
        refused.expect(&table(&format!("Lowfield\nN;humidity;{heading}"), "N;H;T"), 2, word);
    }
    for (heading, word) in [
        ("RH at 3 pm", "hour"),
        ("RH 9 am", "hour"),
        ("relative humidity at 15 h", "hour"),
        ("max RH", "maximum"),
        ("RHmin", "minimum"),
        ("indoor RH", "inside"),
        ("RH_i", "inside"),
        ("φi", "inside"),
        ("absolute humidity", "absolute"),
        ("humidity in g/m³", "mass or volume"),
        ("humidity [g/kg]", "mass or volume"),
        ("specific humidity", "mass or volume"),
        ("humidity ratio", "mass or volume"),
        ("mixing ratio", "mass or volume"),
        ("vapour pressure", "without its unit"),
        ("Dampfdruck", "without its unit"),
        ("vapour pressure deficit (hPa)", "saturation"),
        ("saturation vapour pressure (hPa)", "saturation"),
        ("soil moisture (%)", "soil"),
        ("Bodenfeuchte", "soil"),
        ("RH standard deviation", "standard"),
        ("humidity at Lowfield", "lowfield"),
    ] {
        refused.expect(&table(&format!("temperature;{heading}"), "T;H"), 1, word);
    }
    refused.are_at_least(140);
}

#[test]
fn what_stands_around_the_columns_counts() {
    let mut refused = Refusals::new();
    for (text, line, word) in [
        (table("a,b", "T,H"), 1, "`month,temperature,humidity`"),
        (table("temperature,b", "T,H"), 1, "`month,temperature,humidity`"),
        (table("cloud cover %,temperature", "H,T"), 1, "`month,temperature,humidity`"),
        (table("-4.5,91", "T,H"), 1, "`month,temperature,humidity`"),
        (table("temperature,mean temperature,humidity", "T,T,H"), 1, "leave one"),
        (table("T,RH,T,RH", "T,H,T,H"), 1, "leave one"),
        (table("temperature,humidity\n°F,%", "T,H"), 1, "Fahrenheit"),
        (table("Temperature;Humidity\nmax;mean", "T;H"), 1, "maximum"),
        (table("Soil;Moisture\n°C;%", "T;H"), 1, "soil"),
        (table("humidity;T in\n%;°C", "H;T"), 1, "inside"),
        (table("Temperatures in °F\ntemperature,humidity", "T,H"), 1, "Fahrenheit"),
        (table("# unit: F\ntemperature,humidity", "T,H"), 1, "Fahrenheit"),
        (table("Indoor climate of flat 3\nmonth,temperature,humidity", "N,T,H"), 1, "inside"),
        (table("Inside;;Outside;\nT;RH;rain;wind", "T;H;1;2"), 1, "inside"),
        (table("Daily maximum\nmonth,temperature,humidity", "N,T,H"), 1, "maximum"),
        (table("temperature,humidity", "T,H") + "all in degrees F\n", 14, "Fahrenheit"),
        (table("Kitchen\nmonth;T;RH", "N;T;H"), 1, "inside"),
        (table("Wet bulb\nmonth;T;RH", "N;T;H"), 1, "wet bulb"),
        (table("Dew point temperature\nmonth;T;RH", "N;T;H"), 1, "dew point"),
        (table("Sea surface\nmonth;T;RH", "N;T;H"), 1, "water"),
        (table("Records\nmonth;T;RH", "N;T;H"), 1, "record"),
        (table("Values at 3 pm\nmonth;T;RH", "N;T;H"), 1, "hour"),
        (table("Temperature in 0.1 °C\nmonth;T;RH", "N;T;H"), 1, "tenths"),
        (table(";15:00;15:00\nmonth;T;RH", "N;T;H"), 1, "hour"),
        (table(";3 pm;3 pm\nmonth;T;RH", "N;T;H"), 1, "hour"),
        (table("Inside;Inside\nT;RH", "T;H"), 1, "inside"),
        (table("T;RH;statistic", "T;H;maximum"), 2, "maximum"),
        (table("Anomaly against 1961–1990\nmonth;T;RH", "N;T;H"), 1, "difference"),
        (table("Lowfield: anomalies, reference 1961–1990\nmonth;mean T;RH", "N;T;H"), 1, "difference"),
        (table("Abweichung vom Mittel 1961–1990\nMonat;Temperatur;Feuchte", "N;T;H"), 1, "difference"),
        (table("Max Lowfield\nmonth;T;RH", "N;T;H"), 1, "maximum"),
        (table("Max-Min Lowfield, Planck-Straße\nmonth;T;RH", "N;T;H"), 1, "maximum"),
        (table("# converted from °C to °F\nmonth;T;RH", "N;T;H"), 1, "Fahrenheit"),
        (table("Values from °F stations\nmonth;T;RH", "N;T;H"), 1, "Fahrenheit"),
        (table("month;T;unit;RH", "N;T;°F;H"), 2, "Fahrenheit"),
        (table("month;place;T;RH", "N;indoor;T;H"), 2, "inside"),
        (table("#,T,RH", "N,T,H"), 2, "is a remark"),
        (table("month,T,RH", "N,T,H") + &table("month,T,RH", "N,T,H"), 14, "one table"),
        (table("temperature humidity", "T H"), 1, "part the columns"),
        (
            "what,Jan,Feb,Mar,Apr,May,Jun,Jul,Aug,Sep,Oct,Nov,Dec\ntemperature,1,2,3,4,5,6,7,8,9,10,11,12\n"
                .to_owned(),
            1,
            "turn the table",
        ),
        (String::new(), 1, "`month,temperature,humidity`"),
        ("temperature,humidity\n".to_owned(), 1, "`month,temperature,humidity`"),
    ] {
        refused.expect(&text, line, word);
    }
    refused.are_at_least(20);
}

#[test]
fn lines_that_are_no_year_of_months_are_refused() {
    let mut refused = Refusals::new();
    let names = "lowfield,highfield,a,b,c,d,e,f,g,h,k,l".split(',');
    let stations: Vec<String> =
        names.zip(YEAR).map(|(name, (one, other))| format!("{name};{one};{other}\n")).collect();
    let stations = stations.concat();
    let month = |heading: &str, line: &str| {
        from(6, &format!("{heading};temperature;humidity"), &format!("{line};T;H"))
    };
    let plain = table("month,temperature,humidity", "MONTH,T,H");
    let twice = |count: usize| "temperature,humidity\n".to_owned() + &"5,80\n".repeat(count);
    for (text, line, word) in [
        (plain.replace("February", "March"), 4, "each month, January to December"),
        (plain.replace("February", "Febuary"), 3, "by name"),
        (plain.replace("February,0.6,85\n", ""), 1, "each month, January to December"),
        (plain.replace("February", ""), 3, "by name"),
        (table("temperature,humidity\n-4.5,91", "T,H"), 1, "mean of the year"),
        (twice(11), 1, "`month,temperature,humidity`"),
        (twice(24), 1, "one year"),
        (table("month,temperature,humidity", "N,T,H") + &table("", "N,T,H")[1..], 1, "one year"),
        (twice(365), 1, "days"),
        (twice(8760), 1, "hours"),
        (twice(4), 1, "seasons"),
        (month("day", "N"), 2, "days"),
        (month("hour", "N"), 2, "hours"),
        (month("hour", "NN:00"), 2, "hours"),
        (month("x", "NN:00"), 2, "hours"),
        (month("year", "20NN"), 2, "years"),
        (table("x;temperature;humidity", "20NN;T;H"), 2, "years"),
        (month("date", "2020-01-NN"), 3, "days"),
        (month("date", "NN.01.2020"), 3, "days"),
        (table("date;temperature;humidity", "01/NN/2020;T;H"), 2, "days"),
        (table("date;temperature;humidity", "438NN;T;H").replace("438", "43"), 2, "by name"),
        (format!("station;temperature;humidity\n{stations}"), 2, "each month"),
        (format!("name;temperature;humidity\n{stations}"), 2, "each month"),
        (month("", "N"), 2, "`month`"),
        (month("period", "N"), 2, "`month`"),
        (from(6, "month;date;temperature;humidity", "N;YYYY-01-NN;T;H"), 2, "each month"),
        (table("week;temperature;humidity", "N;T;H"), 2, "each month"),
        (format!("season;T;RH\n{}", "DJF;1;80\nMAM;9;75\nJJA;17;70\nSON;9;80\n".repeat(3)), 2, "each month"),
        (format!("x;T;RH\n{}", "mean;5;80\nmax;6;80\nmin;4;80\n".repeat(4)), 2, "each month"),
    ] {
        refused.expect(&text, line, word);
    }
    let serial: Vec<String> = (0..12).map(|at| format!("{},5,80\n", 43_831 + 30 * at)).collect();
    let serial = serial.concat();
    refused.expect(&format!("date,temperature,humidity\n{serial}"), 2, "by name");
    refused.expect(&format!("x,temperature,humidity\n{serial}"), 2, "by name");
    refused.are_at_least(25);
}

#[test]
fn numbers_that_are_no_means_of_months_are_refused() {
    let mut refused = Refusals::new();
    let plain = table("month,temperature,humidity", "N,T,H");
    for missing in ["", "NA", "N/A", "nan", "-", "–", "-99", "-99.9", "-999", "-999.0", "9999", "-9999"] {
        refused.expect(&plain.replace(",4.2,", &format!(",{missing},")), 4, "missing");
        refused.expect(&plain.replace(",80\n", &format!(",{missing}\n")), 4, "missing");
    }
    for (text, line, word) in [
        (plain.replace(",80\n", ",0\n"), 4, "missing value"),
        (plain.replace(",80\n", ",180\n"), 4, "between 2 and 100"),
        (plain.replace(",80\n", ",0.8\n"), 4, "88, not 0.88"),
        (converted("temperature,humidity", |t| t, |_, h| h / 100.0), 2, "88, not 0.88"),
        (converted("temperature,humidity", |t| t, |_, _| 1.0), 2, "88, not 0.88"),
        (converted("temperature,humidity (fraction)", |t| t, |_, h| h), 2, "in %"),
        (converted("temperature,humidity", |t| t, |_, h| h / 10.0), 1, "g/kg"),
        (
            converted("temperature,humidity", |t| t, |t, h| h / 1e4 * saturation_pressure(t)),
            1,
            "vapour pressure",
        ),
        (
            converted("temperature,vapour pressure in Pa", |t| t, |t, h| h / 1e4 * saturation_pressure(t)),
            2,
            "unit",
        ),
        (converted("temperature,humidity", |t| 1.8 * t + 32.0, |_, h| h), 5, "°F"),
        (converted("temperature,humidity", |t| 0.5 * t + 36.0, |_, h| h), 1, "°F"),
        (converted("temperature,humidity", |t| t + 273.15, |_, h| h), 2, "kelvin"),
        (converted("temperature,humidity", |t| 10.0 * t, |_, h| h), 5, "tenths"),
        (with_comma(&table("temperature,humidity", "T,H")), 2, "commas"),
        (with_comma(&table("temperature,humidity,", "T,H")), 2, "commas"),
        (table("temperature,,humidity", "T,H").replace('.', ",").replace(",85", ",6,85"), 2, "commas"),
        (plain.replace(",80\n", ",80 # so\n"), 4, "the number alone"),
        (plain.replace(",4.2,", ",(4.2),"), 4, "the number alone"),
        (plain.replace(",4.2,", ",39.6 °F,"), 4, "°C"),
        (plain.replace(",4.2,", ",inf,"), 4, "the number alone"),
    ] {
        refused.expect(&text, line, word);
    }
    refused.are_at_least(40);
}

/// In `[TEMPERATURE, HUMIDITY]` and of rooms too, 1 is a share: no air has 1 %.
#[test]
fn a_humidity_of_one_is_a_share_in_yaml_too() {
    let shipped = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/cases/climate.yaml")).unwrap();
    for share in ["1", "0.88", "1.0"] {
        let rejected =
            case::climate_from_text("test", &shipped.replace(", 88]", &format!(", {share}]"))).unwrap_err();
        assert!(told(&rejected).contains("in per cent: 50, not 0.5"), "{}", told(&rejected));
    }
}

/// A table belongs to `--climate`, which a file that names it as its climate is told.
#[test]
fn a_case_that_names_a_table_is_told_where_tables_go() {
    let rejected =
        case::climate_from_text("test", "coldseam: 1\ntitle: t\nclimate: station.csv\n").unwrap_err();
    assert!(told(&rejected).contains("--climate station.csv"), "{}", told(&rejected));
}

/// What was read is said where the climate is named, and no table does for build-ups: it has no air inside.
#[test]
fn commands_say_what_was_read_and_what_is_lacking() {
    let folder = Folder::new();
    let file = folder.with("station.csv", &from(6, "Monat;T mean °C;RH %", "N;T;H"));
    let run = |command: &str, case: &str, climate: &PathBuf| {
        let mut run = Command::cargo_bin("coldseam").unwrap();
        run.arg(command).arg(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("cases").join(case));
        run.arg("--climate").arg(climate).arg("--no-pictures").arg("--out").arg(folder.0.path().join("out"));
        let output = run.output().unwrap();
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (output.status.code(), text(&output.stdout), text(&output.stderr))
    };
    let expected = "station.csv: temperature `T mean °C`, humidity `RH %`, July to June by `Monat`";
    let (code, text, _) = run("condensation", "window-reveal.yaml", &file);
    assert!(code.is_some_and(|code| code < 2) && text.contains(expected), "{text}");
    let json = fs::read_to_string(folder.0.path().join("out/window-reveal/condensation.json")).unwrap();
    assert!(json.contains(expected));
    fs::remove_dir_all(folder.0.path().join("out")).unwrap();
    let (code, _, error) = run("uvalue", "build-ups.yaml", &file);
    assert_eq!(code, Some(2));
    assert!(error.contains("a table of months has no air inside"), "{error}");
    let wrong = folder.with("wrong.csv", &table("Tmax,RH", "T,H"));
    let (code, _, error) = run("condensation", "window-reveal.yaml", &wrong);
    assert!(code == Some(2) && error.contains("wrong.csv:1:"), "{error}");
    assert!(!folder.0.path().join("out").exists());
}

/// As programs for tables write it on Windows: one byte a sign.
#[test]
fn tables_in_windows_1252_are_read() {
    let folder = Folder::new();
    let bytes = |text: &str| -> Vec<u8> {
        let byte = |sign: char| match sign {
            '–' => 0x96,
            '„' => 0x84,
            '“' => 0x93,
            sign => u8::try_from(u32::from(sign)).unwrap(),
        };
        text.chars().map(byte).collect()
    };
    for text in [
        table("Lowfield „Höhe“ 1991–2020\nMonat;Außentemperatur °C;rel. Feuchte %", "MONTH;T;H")
            .replace('-', "–"),
        labelled(
            "mois;Température °C;Humidité %",
            "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
        ),
        with_comma(&table("Monat;Temperatur [°C];Feuchte", "N;T;H")),
    ] {
        let file = folder.0.path().join("station.csv");
        fs::write(&file, bytes(&text)).unwrap();
        let read = case::load_climate(&file).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"));
        let same = folder.read(&text).unwrap();
        assert_eq!(read, same);
    }
    // What makes a column something else does so in these letters too.
    let file = folder.0.path().join("station.csv");
    fs::write(&file, bytes(&table("Höchsttemperatur °C;Feuchte", "T;H"))).unwrap();
    assert!(told(&case::load_climate(&file).unwrap_err()).contains("maximum"));
    // Neither text in other encodings nor what is no text is taken for it.
    let utf_16: Vec<u8> =
        table("month;T;RH", "N;T;H").encode_utf16().flat_map(u16::to_le_bytes).chain([0xff]).collect();
    for wrong in [&utf_16[..], &[0x81, 0x8d, b'\n'], b"T;RH\n\xff\x01"] {
        fs::write(&file, wrong).unwrap();
        let said = case::load_climate(&file).unwrap_err().to_string();
        assert!(said.contains("not text in UTF-8"), "{said}");
    }
}

/// Words that make a temperature or a humidity something else.
const NOT_IT: [&str; 40] = [
    "°F",
    "F",
    "K",
    "kelvin",
    "tenths",
    "max",
    "maximum",
    "min",
    "highest",
    "record",
    "absolute",
    "difference",
    "anomaly",
    "range",
    "std",
    "deviation",
    "median",
    "sum",
    "design",
    "soil",
    "ground",
    "surface",
    "sea",
    "water",
    "sky",
    "indoor",
    "inside",
    "room",
    "Innen",
    "dew point",
    "wet bulb",
    "feels like",
    "radiant",
    "potential",
    "3 pm",
    "at 9 am",
    "noon",
    "hourly",
    "night",
    "snow",
];
const HARMLESS: [&str; 8] = ["mean", "monthly", "outdoor", "air", "average", "of the", "normal", "1991–2020"];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// With a column of months, neither the order of the columns nor that of the lines matters.
    #[test]
    fn order_does_not_matter_where_months_are_named(
        columns in Just(vec![0_usize, 1, 2, 3, 4]).prop_shuffle(),
        lines in Just((0_usize..12).collect::<Vec<_>>()).prop_shuffle(),
        label in 0_usize..5,
        delimiter in prop::sample::select(vec![',', ';', '\t', '|']),
    ) {
        let header = [["month", "Monat", "date", "", "month"][label], "T mean", "Tmax", "RH", "rain"];
        let row = |cells: [String; 5]| {
            columns.iter().map(|column| cells[*column].as_str()).collect::<Vec<_>>().join(&delimiter.to_string()) + "\n"
        };
        let mut text = row(header.map(str::to_owned));
        for month in &lines {
            let name = match label {
                0 => (month + 1).to_string(),
                1 => MONTHS[*month][..3].to_owned(),
                2 => format!("2020-{:02}-01", month + 1),
                3 => MONTHS[*month].to_owned(),
                _ => format!("01/{:02}/2020", month + 1),
            };
            let (temperature, humidity) = YEAR[*month];
            text += &row([name, temperature.to_string(), "30".to_owned(), humidity.to_string(), "70".to_owned()]);
        }
        let climate = Folder::new().read(&text).map_err(|rejected| TestCaseError::fail(told(&rejected)))?;
        agrees(&climate, &text);
    }

    /// A word against it is against it wherever it stands, and whatever stands beside it.
    #[test]
    fn other_quantities_are_refused_however_they_are_said(
        words in prop::collection::vec(prop::sample::select(&HARMLESS[..]), 0..4),
        against in prop::sample::select(&NOT_IT[..]),
        at in 0_usize..6,
        is_humidity in any::<bool>(),
        joint in prop::sample::select(vec![" ", ", ", " - ", "/"]),
    ) {
        let mut words = words;
        words.insert(at % (words.len() + 1), if is_humidity { "humidity" } else { "temperature" });
        words.insert(at % (words.len() + 1), against);
        let heading = words.join(joint);
        let headings = if is_humidity { ["temperature", heading.as_str()] } else { [heading.as_str(), "humidity"] };
        let text = table(&headings.map(|heading| format!("\"{heading}\"")).join(","), "T,H");
        let rejected = Folder::new().read(&text).expect_err(&text);
        prop_assert!(rejected.diagnostics[0].hint.is_some());
    }

    /// Whatever stands in a file, it is read or refused with a place and a hint, and what is read is twelve months.
    #[test]
    fn no_text_is_beyond_it(
        pieces in prop::collection::vec(prop::sample::select(&PIECES[..]), 0..120),
        body in any::<bool>(),
        odd in "\\PC{0,12}",
    ) {
        let text = pieces.concat() + &odd;
        let text = if body { table(&text, "N;T;H") } else { text };
        match Folder::new().read(&text) {
            Ok(climate) => prop_assert!(climate.months.iter().all(|month| (0.02..=1.0).contains(&month.humidity))),
            Err(rejected) => {
                let first = &rejected.diagnostics[0];
                prop_assert!(first.place.is_some() && first.hint.is_some(), "{}", told(&rejected));
            }
        }
    }
}

/// What tables are made of.
const PIECES: [&str; 36] = [
    "temperature",
    "humidity",
    "T",
    "RH",
    "month",
    "date",
    "°C",
    "%",
    "°F",
    "max",
    "mean",
    "_",
    "in",
    " ",
    ",",
    ";",
    "\t",
    "|",
    "\n",
    "\r\n",
    "\"",
    "#",
    "sep=;",
    "-0.4",
    "88",
    "0,88",
    "−",
    "January",
    "Mär",
    "2020-07-01",
    "07:00",
    "Year",
    "NA",
    "-99",
    "é",
    "\u{feff}",
];
