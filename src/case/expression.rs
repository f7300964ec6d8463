//! Arithmetic in the place of any number: `+ - * / ( ) min max`, names and numbers.
//!
//! Grammar, by recursive descent:
//!
//! ```text
//! sum     = product { ("+" | "-") product }
//! product = factor { ("*" | "/") factor }
//! factor  = "-" factor | "+" factor | number | name | ("min" | "max") "(" sum { "," sum } ")" | "(" sum ")"
//! ```
//!
//! The general-purpose expression crate tried first evaluated `8 / 4 * 2` as 1 with `*` and `/` of one rank and rejected
//! names that begin with `min`; a grammar this small is safer written down.

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
    if value.is_finite() { Ok(value) } else { Err(Fault { start: 0, end: text.len(), kind: FaultKind::NotFinite }) }
}

/// The names that occur in `text`, `min` and `max` left out.
pub fn names(text: &str) -> Vec<&str> {
    text.split(|character: char| !is_name_character(character))
        .filter(|word| word.starts_with(|first: char| first.is_alphabetic() || first == '_'))
        .filter(|word| !matches!(*word, "min" | "max"))
        .collect()
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
        let mut value = self.product()?;
        loop {
            match self.peek() {
                Some('+') => value += self.after_operator(Self::product)?,
                Some('-') => value -= self.after_operator(Self::product)?,
                _ => break,
            }
        }
        self.depth -= 1;
        Ok(value)
    }

    fn product(&mut self) -> Result<f64, Fault> {
        let mut value = self.factor()?;
        loop {
            match self.peek() {
                Some('*') => value *= self.after_operator(Self::factor)?,
                Some('/') => value /= self.after_operator(Self::factor)?,
                _ => return Ok(value),
            }
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
        self.text[start..self.at].parse().map_err(|_| Fault { start, end: self.at, kind: FaultKind::Expected("a number") })
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
                return (self.value_of)(name).ok_or_else(|| Fault {
                    start,
                    end: self.at,
                    kind: FaultKind::UnknownName(name.to_owned()),
                });
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
        ] {
            let fault = value(text).unwrap_err();
            assert_eq!((fault.start, fault.kind), (start, kind), "{text}");
        }
        assert_eq!(value(&"(".repeat(200)).unwrap_err().kind, FaultKind::TooLong);
        assert_eq!(value(&"1+".repeat(2_000)).unwrap_err().kind, FaultKind::TooLong);
    }

    #[test]
    fn lists_names() {
        assert_eq!(names("min(block, 2*x_1) + 1e5"), ["block", "x_1"]);
    }
}
