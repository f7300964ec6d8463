//! Arithmetic in the place of any number: `+ - * / ( ) min max sqrt sin cos tan`, names and numbers; angles in
//! degrees.
//!
//! Grammar, by recursive descent:
//!
//! ```text
//! sum     = product { ("+" | "-") product }
//! product = factor { ("*" | "/") factor }
//! factor  = "-" factor | "+" factor | number | name | ("min" | "max") "(" sum { "," sum } ")" | "(" sum ")"
//!         | ("sqrt" | "sin" | "cos" | "tan") "(" sum ")"
//! ```
//!
//! Every intermediate value must be finite, not only the last: `max(150, 0/0)` is no number, and neither is
//! `1/(1/0)`. The fault names the part where the first value that is not finite arises.
//!
//! The general-purpose expression crate tried first evaluated `8 / 4 * 2` as 1 with `*` and `/` of one rank
//! and rejected names that begin with `min`; a grammar this small is safer written down.

/// Longer text than this is not a length anybody typed.
const LONGEST: usize = 1_000;
/// Parentheses deeper than this are not arithmetic anybody typed.
const DEEPEST: usize = 50;

/// A fault in an expression: bytes `start..end` of its text, and what is wrong there.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// First byte of the offending text.
    pub start: usize,
    /// One past its last byte.
    pub end: usize,
    /// What is wrong.
    pub kind: FaultKind,
}

/// What is wrong with an expression.
#[derive(Clone, Debug, PartialEq)]
pub enum FaultKind {
    /// A name that `value_of` does not know.
    UnknownName(String),
    /// Something else than what the grammar wants next.
    Expected(&'static str),
    /// A division by zero or an overflow.
    NotFinite,
    /// Text or nesting beyond all reason.
    TooLong,
}

/// The value of `text`, names looked up with `value_of`.
///
/// # Errors
/// The first [`Fault`], with its place in `text`.
pub fn evaluate(text: &str, value_of: &dyn Fn(&str) -> Option<f64>) -> Result<f64, Fault> {
    if text.len() > LONGEST {
        return Err(Fault { start: 0, end: text.len(), kind: FaultKind::TooLong });
    }
    let mut parser = Parser { text, at: 0, depth: 0, value_of };
    let value = parser.sum()?;
    parser.skip_space();
    if parser.at < text.len() {
        return Err(parser.expected("an operator or the end"));
    }
    Ok(value)
}

/// The names that occur in `text`, functions left out.
pub fn names(text: &str) -> Vec<&str> {
    let mut names = Vec::new();
    let mut rest = text;
    while let Some(start) = rest.find(is_name_character) {
        rest = &rest[start..];
        let end = rest.find(|character| !is_name_character(character)).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        let is_function = matches!(word, "min" | "max")
            || (function(word).is_some() && after.trim_start().starts_with('('));
        if word.starts_with(|first: char| first.is_alphabetic() || first == '_') && !is_function {
            names.push(word);
        }
        rest = after;
    }
    names
}

/// A function of one number, before its parenthesis; a parameter may have such a name too.
fn function(name: &str) -> Option<fn(f64) -> f64> {
    match name {
        "sqrt" => Some(f64::sqrt),
        "sin" => Some(|degrees: f64| libm::sin(degrees.to_radians())),
        "cos" => Some(|degrees: f64| libm::cos(degrees.to_radians())),
        "tan" => Some(|degrees: f64| libm::tan(degrees.to_radians())),
        _ => None,
    }
}

/// True if `text` can name a parameter.
pub fn is_name(text: &str) -> bool {
    text.starts_with(|first: char| first.is_alphabetic() || first == '_')
        && text.chars().all(is_name_character)
        && !matches!(text, "min" | "max")
}

fn is_name_character(character: char) -> bool {
    character.is_alphanumeric() || character == '_'
}

struct Parser<'a> {
    text: &'a str,
    at: usize,
    depth: usize,
    value_of: &'a dyn Fn(&str) -> Option<f64>,
}

impl Parser<'_> {
    fn sum(&mut self) -> Result<f64, Fault> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(Fault { start: self.at, end: self.text.len(), kind: FaultKind::TooLong });
        }
        let start = self.start();
        let mut value = self.product()?;
        loop {
            value = match self.peek() {
                Some('+') => value + self.after_operator(Self::product)?,
                Some('-') => value - self.after_operator(Self::product)?,
                _ => break,
            };
            self.check(value, start)?;
        }
        self.depth -= 1;
        Ok(value)
    }

    fn product(&mut self) -> Result<f64, Fault> {
        let start = self.start();
        let mut value = self.factor()?;
        loop {
            value = match self.peek() {
                Some('*') => value * self.after_operator(Self::factor)?,
                Some('/') => value / self.after_operator(Self::factor)?,
                _ => return Ok(value),
            };
            self.check(value, start)?;
        }
    }

    fn factor(&mut self) -> Result<f64, Fault> {
        let mut sign = 1.0;
        while let Some(operator @ ('-' | '+')) = self.peek() {
            sign = if operator == '-' { -sign } else { sign };
            self.at += 1;
        }
        let value = match self.peek() {
            Some('(') => {
                self.at += 1;
                let value = self.sum()?;
                self.close()?;
                value
            }
            Some(first) if first.is_ascii_digit() || first == '.' => self.number()?,
            Some(first) if first.is_alphabetic() || first == '_' => self.name()?,
            _ => return Err(self.expected("a number, a parameter or `(`")),
        };
        Ok(sign * value)
    }

    fn number(&mut self) -> Result<f64, Fault> {
        let start = self.at;
        let bytes = self.text.as_bytes();
        let digits = |mut at: usize| {
            while bytes.get(at).is_some_and(|byte| byte.is_ascii_digit() || *byte == b'.') {
                at += 1;
            }
            at
        };
        self.at = digits(self.at);
        if matches!(bytes.get(self.at), Some(b'e' | b'E')) {
            let sign = usize::from(matches!(bytes.get(self.at + 1), Some(b'+' | b'-')));
            if bytes.get(self.at + 1 + sign).is_some_and(u8::is_ascii_digit) {
                self.at = digits(self.at + 1 + sign);
            }
        }
        let number = self.text[start..self.at].parse();
        let value =
            number.map_err(|_| Fault { start, end: self.at, kind: FaultKind::Expected("a number") })?;
        self.check(value, start)?;
        Ok(value)
    }

    fn name(&mut self) -> Result<f64, Fault> {
        let start = self.at;
        let rest = &self.text[start..];
        self.at += rest.find(|character| !is_name_character(character)).unwrap_or(rest.len());
        let name = &self.text[start..self.at];
        let choose = match name {
            "min" => f64::min,
            "max" => f64::max,
            _ => {
                if let Some(function) = function(name)
                    && self.peek() == Some('(')
                {
                    self.at += 1;
                    let value = function(self.sum()?);
                    self.close()?;
                    self.check(value, start)?;
                    return Ok(value);
                }
                self.at = start + name.len();
                let fault = Fault { start, end: self.at, kind: FaultKind::UnknownName(name.to_owned()) };
                let value = (self.value_of)(name).ok_or(fault)?;
                self.check(value, start)?;
                return Ok(value);
            }
        };
        if self.peek() != Some('(') {
            return Err(self.expected("`(`"));
        }
        self.at += 1;
        let mut value = self.sum()?;
        while self.peek() == Some(',') {
            self.at += 1;
            value = choose(value, self.sum()?);
        }
        self.close()?;
        Ok(value)
    }

    /// The part of the text from `start` to here has the value `value`, which must be a number.
    fn check(&self, value: f64, start: usize) -> Result<(), Fault> {
        if value.is_finite() {
            Ok(())
        } else {
            Err(Fault { start, end: self.at, kind: FaultKind::NotFinite })
        }
    }

    /// Where the next part begins.
    fn start(&mut self) -> usize {
        self.skip_space();
        self.at
    }

    fn after_operator(&mut self, operand: fn(&mut Self) -> Result<f64, Fault>) -> Result<f64, Fault> {
        self.at += 1;
        operand(self)
    }

    fn close(&mut self) -> Result<(), Fault> {
        if self.peek() != Some(')') {
            return Err(self.expected("`)`"));
        }
        self.at += 1;
        Ok(())
    }

    fn skip_space(&mut self) {
        let rest = &self.text[self.at..];
        self.at += rest.len() - rest.trim_start().len();
    }

    fn peek(&mut self) -> Option<char> {
        self.skip_space();
        self.text[self.at..].chars().next()
    }

    fn expected(&mut self, what: &'static str) -> Fault {
        self.skip_space();
        let length = self.text[self.at..].chars().next().map_or(0, char::len_utf8);
        Fault { start: self.at, end: self.at + length, kind: FaultKind::Expected(what) }
    }
}

#[cfg(test)]
mod tests {
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
                    Self::Two(
                        operator,
                        Box::new((Self::random(dice, depth - 1), Self::random(dice, depth - 1))),
                    )
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
                    assert_eq!(
                        alone.map_err(|fault| fault.kind),
                        Err(FaultKind::NotFinite),
                        "{text}: {fault:?}"
                    );
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
}
