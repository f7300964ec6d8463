//! Condensate inside elements: the year that repeats itself, against an independent simulation in small
//! steps.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use assert_cmd::Command;
use coldseam::case;
use coldseam::climate::{Climate, DAYS, Indoor, Moisture, Month};
use coldseam::element::build_up::BuildUp;
use coldseam::element::condensate::{Ending, Wet, Wetting, Year};
use coldseam::element::vapour::{self, Course};

/// Random numbers with a fixed seed (SplitMix64, S. Vigna, public domain).
struct Random(u64);

impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        bits ^= bits >> 31;
        low + (high - low) * ((bits >> 11) as f64 / (1u64 << 53) as f64)
    }

    fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }
}

/// Layers by R in m²K/W and s_d in m.
fn element(layers: &[(f64, f64)]) -> BuildUp {
    let row = |(resistance, vapour): &(f64, f64)| {
        format!("      - {{ resistance: {resistance:e}, vapour_thickness: {vapour:e} }}\n")
    };
    let rows = layers.iter().map(row).collect::<Vec<_>>().concat();
    build_up(&format!("    layers:\n{rows}"))
}

/// A build-up from its lines.
fn build_up(lines: &str) -> BuildUp {
    let text = format!("coldseam: 1\nbuild_ups:\n  one:\n{lines}");
    let library = case::library_from_text("test", &text, &[]);
    library.unwrap_or_else(|rejected| panic!("{rejected}\n{text}")).build_ups.remove(0)
}

fn climate(months: [(f64, f64); 12], moisture: Moisture) -> (Climate, Indoor) {
    let indoor = Indoor { temperature: 20.0, moisture };
    let months = months.map(|(temperature, percent)| Month { temperature, humidity: percent / 100.0 });
    (Climate { name: "test".to_owned(), source: "test".to_owned(), months, indoor: Some(indoor) }, indoor)
}

/// An ordinary winter, but for a mild dry February.
const SPLIT_WINTER: [(f64, f64); 12] = [
    (-1.0, 85.0),
    (9.0, 60.0),
    (-1.0, 85.0),
    (8.0, 80.0),
    (13.0, 70.0),
    (16.0, 70.0),
    (18.0, 70.0),
    (17.0, 70.0),
    (14.0, 75.0),
    (9.0, 80.0),
    (4.0, 85.0),
    (0.0, 85.0),
];
/// Plasterboard, wool, oriented strand board.
const TIMBER_WALL: [(f64, f64); 3] = [(0.0595, 0.05), (2.857, 0.1), (0.1385, 0.9)];

// ---- an independent simulation
// --------------------------------------------------------------------------------------------------

/// Saturation pressure by the standard's formulas.
fn saturation(celsius: f64) -> f64 {
    if celsius >= 0.0 {
        610.5 * f64::exp(17.269 * celsius / (237.3 + celsius))
    } else {
        610.5 * f64::exp(21.875 * celsius / (265.5 + celsius))
    }
}

/// Pressure inside by the standard's rules (ISO 13788:2012, from memory).
fn inside_pressure(moisture: Moisture, month: &Month) -> f64 {
    let outside = month.humidity * saturation(month.temperature);
    let pressure = match moisture {
        Moisture::Humidity(humidity) => (humidity + 0.05) * saturation(20.0),
        Moisture::Class(class) => {
            outside + 1.1 * 270.0 * f64::from(class) * ((20.0 - month.temperature) / 20.0).clamp(0.0, 1.0)
        }
        Moisture::Production { rate, ventilation } => outside + 1.1 * rate / ventilation * 462.0 * 293.15,
    };
    pressure.min(saturation(20.0))
}

/// A chain of nodes between room and outdoor air: thermal resistance and s_d from the room, layers above 0.25
/// m²K/W in parts.
struct Chain {
    nodes: Vec<(f64, f64)>,
    resistance: f64,
    vapour: f64,
}

impl Chain {
    fn of(layers: &[(f64, f64)]) -> Self {
        let mut nodes = Vec::new();
        let (mut heat, mut vapour) = (0.13, 0.0);
        for (resistance, thickness) in layers {
            let parts = f64::max(1.0, (resistance / 0.25).ceil());
            for _ in 0..parts as usize {
                heat += resistance / parts;
                vapour += thickness / parts;
                nodes.push((heat, vapour));
            }
        }
        nodes.pop();
        Self { nodes, resistance: heat + 0.04, vapour }
    }

    /// Rates of condensation, kg/(m²·s). Pressures solve the balance of flows with what is `fixed` at
    /// saturation; a node above saturation becomes fixed, one that would take from condensate it has not got
    /// becomes free, until nothing changes.
    fn rates(&self, limits: &[f64], [inside, outside]: [f64; 2], wet: &[bool]) -> Vec<f64> {
        let count = self.nodes.len();
        let step = |index: usize| {
            let from = if index == 0 { 0.0 } else { self.nodes[index - 1].1 };
            let to = if index == count { self.vapour } else { self.nodes[index].1 };
            2e-10 / f64::max(to - from, 1e-12)
        };
        let conductances: Vec<f64> = (0..=count).map(step).collect();
        let mut fixed = wet.to_vec();
        loop {
            // Elimination along the chain: p = a·p_next + b.
            let (mut a, mut b) = (vec![0.0; count], vec![0.0; count]);
            for index in 0..count {
                if fixed[index] {
                    b[index] = limits[index];
                    continue;
                }
                let (before, after) = (conductances[index], conductances[index + 1]);
                let (of_next, constant) =
                    if index == 0 { (0.0, inside) } else { (a[index - 1], b[index - 1]) };
                let diagonal = before * (1.0 - of_next) + after;
                a[index] = after / diagonal;
                b[index] = before * constant / diagonal;
            }
            let mut pressures = vec![0.0; count + 2];
            pressures[0] = inside;
            pressures[count + 1] = outside;
            for index in (0..count).rev() {
                pressures[index + 1] = a[index] * pressures[index + 2] + b[index];
            }
            let rate = |index: usize| {
                conductances[index] * (pressures[index] - pressures[index + 1])
                    - conductances[index + 1] * (pressures[index + 1] - pressures[index + 2])
            };
            let rates: Vec<f64> =
                (0..count).map(|index| if fixed[index] { rate(index) } else { 0.0 }).collect();
            let mut changed = false;
            for index in 0..count {
                if !fixed[index] && pressures[index + 1] > limits[index] * (1.0 + 1e-12) {
                    fixed[index] = true;
                    changed = true;
                } else if fixed[index] && !wet[index] && rates[index] < -1e-17 {
                    fixed[index] = false;
                    changed = true;
                }
            }
            if !changed {
                return rates;
            }
        }
    }
}

struct Simulated {
    /// Largest amount at each node in the last year, and in sum.
    most: Vec<f64>,
    most_together: f64,
    /// Change of each node over the last year.
    gains: Vec<f64>,
    /// A bound of what the steps may have missed, kg/m².
    slack: f64,
}

/// Many years in steps of an hour, starting dry on the first of January.
fn simulate(layers: &[(f64, f64)], climate: &Climate, moisture: Moisture, years: usize) -> Simulated {
    const STEP: f64 = 3600.0;
    let chain = Chain::of(layers);
    let count = chain.nodes.len();
    let mut held = vec![0.0_f64; count];
    let mut simulated = Simulated { most: Vec::new(), most_together: 0.0, gains: Vec::new(), slack: 0.0 };
    for _ in 0..years {
        let before = held.clone();
        simulated.most.clone_from(&held);
        simulated.most_together = held.iter().sum();
        for (month, days) in climate.months.iter().zip(DAYS) {
            let limits: Vec<f64> = chain
                .nodes
                .iter()
                .map(|(heat, _)| saturation(20.0 - (20.0 - month.temperature) * heat / chain.resistance))
                .collect();
            let air = [inside_pressure(moisture, month), month.humidity * saturation(month.temperature)];
            let mut known: Option<(Vec<bool>, Vec<f64>)> = None;
            for _ in 0..(days * 24.0) as usize {
                let wet: Vec<bool> = held.iter().map(|held| *held > 1e-10).collect();
                let rates = match &known {
                    Some((same, rates)) if *same == wet => rates,
                    _ => &known.insert((wet.clone(), chain.rates(&limits, air, &wet))).1,
                };
                for (held, rate) in held.iter_mut().zip(rates) {
                    *held = (*held + rate * STEP).max(0.0);
                    simulated.slack = simulated.slack.max(rate.abs() * STEP);
                }
                simulated.most_together = simulated.most_together.max(held.iter().sum());
                for (most, held) in simulated.most.iter_mut().zip(&held) {
                    *most = most.max(*held);
                }
            }
        }
        simulated.gains = held.iter().zip(&before).map(|(after, before)| after - before).collect();
    }
    // Each node may fall dry an hour early or late, and its neighbours follow.
    simulated.slack = simulated.slack * (2.0 + count as f64) + 1e-6;
    simulated
}

/// A random element and climate: dry ones, wet ones, and ones that never dry.
fn random(random: &mut Random) -> (Vec<(f64, f64)>, Climate, Indoor) {
    let count = random.between(2.0, 6.0) as usize;
    let layers = (0..count)
        .map(|_| {
            let membrane = random.chance(0.2);
            let resistance = if membrane { 0.0 } else { 10_f64.powf(random.between(-1.7, 0.5)) };
            let tightest = if membrane { 3.5 } else { 1.3 };
            (resistance, 10_f64.powf(random.between(-1.7, tightest)))
        })
        .collect();
    let (mean, swing) = (random.between(0.0, 11.0), random.between(3.0, 15.0));
    let months = std::array::from_fn(|month| {
        let season = f64::cos(std::f64::consts::TAU * month as f64 / 12.0);
        (mean - swing * season + random.between(-6.0, 6.0), random.between(55.0, 95.0))
    });
    let moisture = match random.between(0.0, 3.0) as u8 {
        0 => Moisture::Humidity(random.between(0.35, 0.65)),
        1 => Moisture::Class(random.between(1.0, 5.0) as u8),
        _ => {
            Moisture::Production { rate: random.between(0.1, 0.6), ventilation: random.between(60.0, 200.0) }
        }
    };
    let (climate, indoor) = climate(months, moisture);
    (layers, climate, indoor)
}

fn of(layers: &[(f64, f64)]) -> Course {
    vapour::course(&element(layers)).unwrap()
}

// ---- tests
// ----------------------------------------------------------------------------------------------------------------------

#[test]
fn random_years_match_a_simulation_in_small_steps() {
    let mut source = Random(13);
    let (mut seen, mut slow) = ([0; 4], 0);
    for number in 0..600 {
        let (layers, climate, indoor) = random(&mut source);
        let year = of(&layers).year(&climate, &indoor);
        seen[year.ending as usize] += 1;
        if year.years > 25 {
            slow += 1;
            continue;
        }
        let simulated = simulate(&layers, &climate, indoor.moisture, year.years + 3);
        let tell = |what: &str, own: f64, other: f64| {
            assert!(
                (own - other).abs() <= simulated.slack,
                "{number}, {what}: {own} and {other} ± {}",
                simulated.slack
            );
        };
        let gain =
            |index: usize| year.gains.iter().find(|(at, _)| *at == index).map_or(0.0, |(_, gain)| *gain);
        for (index, simulated) in simulated.gains.iter().enumerate() {
            tell("gain", gain(index), *simulated);
        }
        tell("gain of all", year.left, simulated.gains.iter().sum());
        if year.ending != Ending::Grows {
            tell("most of all", year.peak, simulated.most_together);
            for (index, most) in simulated.most.iter().enumerate() {
                tell(
                    "most",
                    year.peaks.iter().find(|peak| peak.interface == index).map_or(0.0, |peak| peak.amount),
                    *most,
                );
            }
        }
        // Months add up, and each begins with what the last one left.
        let changes: f64 = year.months.iter().flat_map(|(_, wet)| wet).map(|wet| wet.change).sum();
        assert!((changes - year.left).abs() < 1e-7, "{number}");
        let after = |wet: &[Wet]| wet.iter().map(|wet| wet.held).sum::<f64>();
        for pair in year.months.windows(2) {
            let change: f64 = pair[1].1.iter().map(|wet| wet.change).sum();
            assert!((after(&pair[0].1) + change - after(&pair[1].1)).abs() < 1e-7, "{number}");
        }
    }
    assert!(
        seen[Ending::Dry as usize] > 10
            && seen[Ending::Repeats as usize] > 30
            && seen[Ending::Grows as usize] > 10,
        "{seen:?}"
    );
    // Water that goes to and fro between two tight layers may take more years than are gone through; the
    // result says so.
    assert!(seen[Ending::Open as usize] <= 2, "{seen:?}");
    assert!(slow < 20, "{slow}");
}

fn same(a: &Year, b: &Year, tolerance: f64) -> Result<(), String> {
    let close = |a: f64, b: f64| (a - b).abs() <= tolerance;
    let what = if (a.ending, a.first, a.peaks.len(), a.gains.len())
        != (b.ending, b.first, b.peaks.len(), b.gains.len())
    {
        "kind"
    } else if !close(a.peak, b.peak) || !close(a.left, b.left) {
        "sum"
    } else if !a
        .peaks
        .iter()
        .zip(&b.peaks)
        .all(|(a, b)| a.interface == b.interface && close(a.amount, b.amount))
    {
        "places"
    } else if !a.gains.iter().zip(&b.gains).all(|(a, b)| a.0 == b.0 && close(a.1, b.1)) {
        "gains"
    } else {
        return Ok(());
    };
    Err(format!("{what}: {a:?}\n{b:?}"))
}

/// Whatever month the first year starts with, the element comes to the same year.
#[test]
fn the_month_of_the_start_does_not_matter() {
    let mut source = Random(4);
    for number in 0..300 {
        let (layers, climate, indoor) = random(&mut source);
        let course = of(&layers);
        let year = course.year(&climate, &indoor);
        for start in 1..12 {
            let other = course.year_from(&climate, &indoor, start);
            same(&year, &other, 1e-6).unwrap_or_else(|what| panic!("{number} from {start}: {what}"));
        }
    }
}

/// A layer written as two halves of itself is the same layer. (Halves whose parts are those of the whole:
/// others have an interface more.)
#[test]
fn halving_a_layer_changes_nothing() {
    let mut source = Random(21);
    for number in 0..200 {
        let (mut layers, climate, indoor) = random(&mut source);
        for (resistance, _) in &mut layers {
            *resistance = (*resistance * 2.0).ceil() / 2.0;
        }
        let cut = source.between(0.0, layers.len() as f64) as usize;
        let (resistance, vapour) = layers[cut];
        let mut halves = layers.clone();
        halves[cut] = (resistance / 2.0, vapour / 2.0);
        halves.insert(cut, halves[cut]);
        if resistance == 0.0 {
            continue;
        }
        let [whole, halves] = [layers, halves].map(|layers| of(&layers).year(&climate, &indoor));
        same(&whole, &halves, 1e-6).unwrap_or_else(|what| panic!("{number}: {what}"));
    }
}

/// A mild dry February splits the winter. What the second half leaves until summer dries all the same; the
/// most is held in spring.
#[test]
fn a_dry_month_in_winter_does_not_make_it_grow() {
    let (climate, indoor) = climate(SPLIT_WINTER, Moisture::Humidity(0.45));
    let year = of(&TIMBER_WALL).year(&climate, &indoor);
    assert_eq!((year.ending, year.left, year.first), (Ending::Repeats, 0.0, Some(10)));
    let february = year.months.iter().find(|(month, _)| *month == 1).unwrap();
    assert!(
        february.1[0].change < 0.0 && february.1[0].held > 1.0,
        "the split that the count is not to start after"
    );
    let simulated = simulate(&TIMBER_WALL, &climate, indoor.moisture, 3);
    assert!(
        (year.peak - simulated.most_together).abs() <= simulated.slack,
        "{} and {}",
        year.peak,
        simulated.most_together
    );
    assert_eq!(year.peaks[0].month, 3);
}

/// Between vapour-tight metal outside and a room, condensate stays for good, and the gain of a year is
/// exactly what enters: through 0.15 m of s_d towards saturation behind the metal, month by month while it is
/// wet, which is always.
#[test]
fn behind_metal_it_grows_by_what_enters() {
    let build_up = build_up(
        "    layers:
      - [plasterboard, 12.5]
      - { resistance: 0.2, vapour_thickness: 0.1 }
      - [steel, 1]
",
    );
    let (climate, indoor) = climate(SPLIT_WINTER, Moisture::Class(4));
    let course = vapour::course(&build_up).unwrap();
    assert_eq!(course.origins[2], vapour::Origin::Tight(3e7));
    let year = course.year(&climate, &indoor);
    assert_eq!((year.ending, year.largest()), (Ending::Grows, None));
    let heat = [0.13 + 0.0125 / 0.21 + 0.2, 0.001 / 50.0 + 0.04];
    let entering: f64 = climate
        .months
        .iter()
        .zip(DAYS)
        .map(|(month, days)| {
            let behind = 20.0 - (20.0 - month.temperature) * heat[0] / (heat[0] + heat[1]);
            let flow = (inside_pressure(indoor.moisture, month) - saturation(behind)) / (4.0 * 0.0125 + 0.1);
            let out = (saturation(behind) - month.humidity * saturation(month.temperature)) / (3e7 * 0.001);
            2e-10 * days * 86_400.0 * (flow - out)
        })
        .sum();
    assert!((year.left - entering).abs() < 1e-6, "{} and {entering}", year.left);
}

/// The foils of ISO 10456:2007, Table 4 (from memory): aluminium 0.05 mm has s_d 1500 m. Declared values stay
/// as they are, however high.
#[test]
fn foils_have_the_tables_vapour_resistance() {
    let course =
        vapour::course(&build_up("    layers: [[aluminium, 0.05], [plasterboard, 12.5], [bitumen, 2]]\n"))
            .unwrap();
    assert!((course.of_layers[0] - 1500.0).abs() < 1e-9);
    assert!((course.of_layers[1] - 0.125).abs() < 1e-9);
    assert!((course.of_layers[2] - 100.0).abs() < 1e-9);
    let text = "coldseam: 1
materials: { foil: { conductivity: 160, vapour_resistance: 1.2e7, source: \"declared, on file\" } }
build_ups: { one: { layers: [[foil, 0.05], [plasterboard, 12.5]] } }
";
    let library = case::library_from_text("test", text, &[]).unwrap();
    let course = vapour::course(&library.build_ups[0]).unwrap();
    assert!((course.of_layers[0] - 600.0).abs() < 1e-9 && course.origins[0] == vapour::Origin::Only(1.2e7));
}

/// Of the two readings of a slightly ventilated layer the worse one counts, and both stand in the result.
#[test]
fn a_slightly_ventilated_layer_is_read_both_ways() {
    let wall = |air: &str, inner: f64, sheathing: f64, cladding: f64| {
        build_up(&format!(
            "    layers:
      - {{ resistance: 0.06, vapour_thickness: {inner} }}
      - {{ resistance: 2.857, vapour_thickness: 0.1 }}
      - {{ resistance: 0.1, vapour_thickness: {sheathing} }}
      - {{ air: 40{air} }}
      - {{ resistance: 0.01, vapour_thickness: {cladding} }}
"
        ))
    };
    let (climate, indoor) = climate(SPLIT_WINTER, Moisture::Class(3));
    let mut taken = Vec::new();
    for (inner, sheathing, cladding) in
        [(0.05, 0.05, 0.02), (0.5, 0.05, 20.0), (0.05, 0.9, 0.02), (0.05, 0.9, 0.1)]
    {
        let [unventilated, open] = ["", ", openings: 5000"]
            .map(|air| vapour::course(&wall(air, inner, sheathing, cladding)).unwrap());
        assert_eq!(open.of_layers.len(), 3);
        let slight = wall(", openings: 900", inner, sheathing, cladding);
        let (closed, opened) =
            (vapour::course(&slight).unwrap(), vapour::open_course(&slight).unwrap().unwrap());
        let wetting = Wetting::of(&closed, Some(&opened), &climate, indoor);
        let [unventilated, open] = [unventilated, open].map(|course| course.year(&climate, &indoor));
        let is_open = wetting.slight.as_ref().unwrap().is_open;
        taken.push(is_open);
        let (worse, other) = if is_open { (&open, &unventilated) } else { (&unventilated, &open) };
        same(&wetting.year, worse, 1e-12).unwrap();
        same(&wetting.slight.as_ref().unwrap().other, other, 1e-12).unwrap();
        assert!((worse.left, worse.peak) >= (other.left, other.peak));
    }
    assert!(taken.contains(&true) && taken.contains(&false), "{taken:?}");
    assert!(
        vapour::open_course(&wall("", 0.1, 0.1, 1.0)).is_none()
            && vapour::open_course(&wall(", openings: 5000", 0.1, 0.1, 1.0)).is_none()
    );
}

/// The text tells μ and s_d of each layer, the margin, the reading of the ventilated layer and how the years
/// end; the JSON the same.
#[test]
fn the_output_says_what_was_taken() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("walls.yaml");
    let months: Vec<String> =
        SPLIT_WINTER.iter().map(|(temperature, humidity)| format!("[{temperature}, {humidity}]")).collect();
    let text = format!(
        "coldseam: 1
build_ups:
  wall:
    layers:
      - [plasterboard, 12.5]
      - {{ resistance: 2.857, vapour_thickness: 0.1, label: wool }}
      - [osb, 18]
      - {{ air: 40, openings: 900 }}
      - [aluminium, 0.05]
  sheet:
    layers:
      - [plasterboard, 12.5]
      - {{ resistance: 0.2, vapour_thickness: 0.1, label: felt }}
      - [steel, 1]
climate: {{ name: test, source: test, months: [{}], indoor: {{ temperature: 20, humidity: 85 }} }}
",
        months.join(", ")
    );
    std::fs::write(&file, text).unwrap();
    let run = |format: &str| {
        let mut command = Command::cargo_bin("coldseam").unwrap();
        let output = command
            .arg("uvalue")
            .arg(&file)
            .args(["--format", format, "--out"])
            .arg(folder.path())
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0));
        String::from_utf8(output.stdout).unwrap()
    };
    let text = run("text");
    for part in [
        "90 % with the standard's margin of 5 %",
        "vapour-tight",
        "1500",
        "stated as s_d",
        "slightly ventilated air layer: the standard has no rule for it; taken as unventilated",
        "are added every year without end",
        "(as outside air: ",
    ] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
    let document: serde_json::Value = serde_json::from_str(&run("json")).unwrap();
    let condensation = &document["build_ups"][0]["condensation"];
    assert_eq!(condensation["vapour_resistance"][4], 3e7);
    assert_eq!(condensation["slightly_ventilated"]["taken_as"], "unventilated");
    let sheet = &document["build_ups"][1]["condensation"];
    assert!(
        sheet["ending"] == "grows"
            && sheet["largest"].is_null()
            && sheet["left_after_a_year"].as_f64().unwrap() > 0.1
    );
}

/// Behind a well-ventilated layer the air is still: R_se is R_si there (ISO 6946:2017, 6.9.4). R 1 between 20
/// and 0 °C: 20·0.13/1.26; a roof, 20·0.10/1.20.
#[test]
fn the_face_towards_a_ventilated_layer_is_sheltered() {
    for (heat_flow, expected) in [("horizontal", 20.0 * 0.13 / 1.26), ("up", 20.0 * 0.10 / 1.20)] {
        let layers = "[{ resistance: 1, vapour_thickness: 1 }, { air: 40, openings: 5000 }, { resistance: 0.01, vapour_thickness: 1 }]";
        let course =
            vapour::course(&build_up(&format!("    heat_flow: {heat_flow}\n    layers: {layers}\n")))
                .unwrap();
        let last = *course.temperatures([20.0, 0.0]).last().unwrap();
        assert!((last - expected).abs() < 1e-9, "{heat_flow}: {last} for {expected}");
    }
}

/// s_d of an air layer is 0.01 m, whatever its thickness (ISO 13788, from memory).
#[test]
fn air_layers_have_their_own_vapour_thickness() {
    let course = vapour::course(&build_up(
        "    layers: [{ resistance: 1, vapour_thickness: 1 }, { air: 40 }, { resistance: 1, vapour_thickness: 1 }]\n",
    ));
    assert!((course.unwrap().of_layers[1] - 0.01).abs() < 1e-15);
}

/// A year has these days.
#[test]
fn months_have_their_days() {
    assert_eq!(DAYS.map(|days| days as u32), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]);
}
