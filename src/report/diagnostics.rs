//! Findings about the input, with the line they point at.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use crate::case::Sources;
use crate::finding::{Diagnostic, Severity};
use crate::text::Place;

/// A span longer than this, in bytes, is shown by its first line.
const LONGEST_SPAN: usize = 2_000;

/// Renders findings one below the other. `colored` adds terminal colours.
pub fn render(diagnostics: &[Diagnostic], sources: &Sources, colored: bool) -> String {
    let renderer = if colored { Renderer::styled() } else { Renderer::plain() };
    diagnostics.iter().map(|diagnostic| rendered(diagnostic, sources, &renderer)).collect()
}

fn rendered(diagnostic: &Diagnostic, sources: &Sources, renderer: &Renderer) -> String {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level.primary_title(printable(&diagnostic.message));
    let excerpt = diagnostic.place.map(|place| Excerpt::of(&sources.get(place.file).text, place));
    let name = diagnostic.place.map(|place| printable(&sources.get(place.file).name));
    let mut group = match (&excerpt, &name) {
        (Some(excerpt), Some(name)) => {
            let snippet = Snippet::source(excerpt.text.as_str()).path(name.as_str()).line_start(excerpt.line);
            title.element(snippet.annotation(AnnotationKind::Primary.span(excerpt.span.clone())))
        }
        _ => Group::with_title(title),
    };
    if let Some(hint) = diagnostic.hint.as_deref().map(printable) {
        group = group.element(Level::HELP.message(hint));
    }
    renderer.render(&[group]) + "\n\n"
}

/// The lines of a place.
struct Excerpt {
    text: String,
    /// Of its first line, counted from 1.
    line: usize,
    /// The place in it.
    span: Range<usize>,
}

impl Excerpt {
    fn of(text: &str, place: Place) -> Self {
        let start = text.floor_char_boundary(place.start.min(text.len()));
        let end = text.floor_char_boundary(place.end.clamp(start, text.len()));
        let line_end = |from: usize| text[from..].find('\n').map_or(text.len(), |length| from + length);
        let end = if end - start > LONGEST_SPAN { line_end(start) } else { end };
        let line_start = text[..start].rfind('\n').map_or(0, |newline| newline + 1);
        // Control characters in the file itself must not reach the terminal; each is replaced by a blank of
        // the same length, so that the span stays.
        let shown = text[line_start..line_end(end)].chars().flat_map(harmless).collect();
        let line = text[..line_start].matches('\n').count() + 1;
        Self { text: shown, line, span: start - line_start..end - line_start }
    }
}

/// The text without control characters, which could move a terminal's cursor or hide what was printed.
pub fn printable(text: &str) -> String {
    printable_but(text, &[])
}

/// The same, but for those that lay the text out.
pub fn printable_but(text: &str, kept: &[char]) -> String {
    text.chars().filter(|character| !character.is_control() || kept.contains(character)).collect()
}

/// The character, or as many blanks as a control character has bytes.
fn harmless(character: char) -> impl Iterator<Item = char> {
    let is_control = character.is_control() && !matches!(character, '\n' | '\t');
    let (shown, count) = if is_control { (' ', character.len_utf8()) } else { (character, 1) };
    std::iter::repeat_n(shown, count)
}
