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
mod tests;
