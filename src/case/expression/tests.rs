use super::*;

fn value(text: &str) -> Result<f64, Fault> {
    evaluate(text, &|name| match name {
        "block" => Some(215.0),
        "minimum" => Some(7.0),
        _ => None,
    })
}

#[test]
fn follows_the_rules_of_arithmetic() {
    for (text, expected) in [
        ("8/4*2", 4.0),
        ("10-2-3*min(1,2)", 5.0),
        ("2--1", 3.0),
        ("-block + 200", -15.0),
        ("minimum + 1", 8.0),
        ("max(1, block / 2, 3)", 107.5),
        ("1.5e1*2", 30.0),
        ("2 * (3 + -(4 - 1))", 0.0),
        (" .5 ", 0.5),
    ] {
        assert_eq!(value(text), Ok(expected), "{text}");
    }
}

#[test]
fn points_at_the_fault() {
    for (text, start, kind) in [
        ("1 + blok", 4, FaultKind::UnknownName("blok".into())),
        ("1 +", 3, FaultKind::Expected("a number, a parameter or `(`")),
        ("(1", 2, FaultKind::Expected("`)`")),
        ("2 3", 2, FaultKind::Expected("an operator or the end")),
        ("1..2", 0, FaultKind::Expected("a number")),
        ("min", 3, FaultKind::Expected("`(`")),
        ("", 0, FaultKind::Expected("a number, a parameter or `(`")),
        ("1/0", 0, FaultKind::NotFinite),
        ("0/0", 0, FaultKind::NotFinite),
        ("max(150, 0/0)", 9, FaultKind::NotFinite),
        ("1/(1/0)", 3, FaultKind::NotFinite),
        ("min(1, 2) + 1e999", 12, FaultKind::NotFinite),
        ("2 * (1e300 * 1e300) / 1e300", 5, FaultKind::NotFinite),
        ("1e308 + 1e308 - 1e308", 0, FaultKind::NotFinite),
    ] {
        let fault = value(text).unwrap_err();
        assert_eq!((fault.start, fault.kind), (start, kind), "{text}");
    }
    assert_eq!(value(&"(".repeat(200)).unwrap_err().kind, FaultKind::TooLong);
    assert_eq!(value(&"1+".repeat(2_000)).unwrap_err().kind, FaultKind::TooLong);
}

/// An expression in all its parts: with the value of each told apart from what the parser does with it.
#[derive(Debug)]
enum Part {
    Number(f64),
    Two(char, Box<(Part, Part)>),
    Extreme(bool, Vec<Part>),
    Minus(Box<Part>),
}

impl Part {
    fn random(dice: &mut u64, depth: usize) -> Self {
        *dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let roll = (*dice >> 33) as usize;
        if depth == 0 || roll.is_multiple_of(5) {
            return Self::Number([0.0, 1.0, 150.0, 0.3, 1e308, 1e-308, 5e-324, 2.5][roll / 5 % 8]);
        }
        match roll / 5 % 4 {
            0 | 1 => {
                let operator = ['+', '-', '*', '/'][roll / 20 % 4];
                Self::Two(operator, Box::new((Self::random(dice, depth - 1), Self::random(dice, depth - 1))))
            }
            2 => Self::Extreme(
                (roll / 20).is_multiple_of(2),
                (0..=roll / 40 % 3).map(|_| Self::random(dice, depth - 1)).collect(),
            ),
            _ => Self::Minus(Box::new(Self::random(dice, depth - 1))),
        }
    }

    fn text(&self) -> String {
        match self {
            Self::Number(value) => format!("{value:e}"),
            Self::Two(operator, parts) => format!("({} {operator} {})", parts.0.text(), parts.1.text()),
            Self::Extreme(least, parts) => {
                let parts: Vec<String> = parts.iter().map(Self::text).collect();
                format!("{}({})", if *least { "min" } else { "max" }, parts.join(", "))
            }
            Self::Minus(part) => format!("-({})", part.text()),
        }
    }

    /// The value, or nothing where any part of it has none.
    fn value(&self) -> Option<f64> {
        let value = match self {
            Self::Number(value) => *value,
            Self::Two(operator, parts) => {
                let (a, b) = (parts.0.value()?, parts.1.value()?);
                match operator {
                    '+' => a + b,
                    '-' => a - b,
                    '*' => a * b,
                    _ => a / b,
                }
            }
            Self::Extreme(least, parts) => {
                let mut values = parts.iter().map(Self::value).collect::<Option<Vec<f64>>>()?;
                values.sort_by(|a, b| a.partial_cmp(b).unwrap());
                if *least { values[0] } else { *values.last().unwrap() }
            }
            Self::Minus(part) => -part.value()?,
        };
        value.is_finite().then_some(value)
    }
}

/// Of 20 000 random expressions, those have a value in which every part has one; the others are refused
/// at a part that has none.
#[test]
fn every_part_must_be_finite() {
    let (mut dice, mut finite) = (7_u64, 0);
    for _ in 0..20_000 {
        let part = Part::random(&mut dice, 5);
        let text = part.text();
        if text.len() > LONGEST {
            continue;
        }
        match (part.value(), evaluate(&text, &|_| None)) {
            (Some(expected), Ok(found)) => {
                finite += 1;
                assert!(expected == found, "{text}: {found} for {expected}");
            }
            (None, Err(fault)) => {
                assert_eq!(fault.kind, FaultKind::NotFinite, "{text}");
                // Alone, the part named has no value either.
                let alone = evaluate(&text[fault.start..fault.end], &|_| None);
                assert_eq!(alone.map_err(|fault| fault.kind), Err(FaultKind::NotFinite), "{text}: {fault:?}");
            }
            (expected, found) => panic!("{text}: {found:?} for {expected:?}"),
        }
    }
    assert!((5_000..15_000).contains(&finite), "{finite} have a value");
}

#[test]
fn lists_names() {
    assert_eq!(names("min(block, 2*x_1) + 1e5"), ["block", "x_1"]);
    // A parameter may have the name of a function.
    assert_eq!(names("sin (pitch) * sin + cos(30)/tan"), ["pitch", "sin", "tan"]);
}

#[test]
fn knows_angles_in_degrees() {
    let value_of = |name: &str| (name == "sin").then_some(3.0);
    for (text, expected) in [
        ("sin(30)", 0.5),
        ("cos( 60 ) * 2", 1.0),
        ("tan(45) + sqrt(16)", 5.0),
        ("sin * sin(90)", 3.0),
        ("100 * cos(35)", 81.915_204_428_899_18),
    ] {
        let found = evaluate(text, &value_of).unwrap();
        assert!((found - expected).abs() < 1e-12, "{text}: {found}");
    }
    let fault = evaluate("sqrt(1 - 2)", &value_of).unwrap_err();
    assert_eq!((fault.start, fault.kind), (0, FaultKind::NotFinite));
    assert!(matches!(evaluate("cos(1, 2)", &value_of).unwrap_err().kind, FaultKind::Expected("`)`")));
}
