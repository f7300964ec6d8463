//! Findings about the input, with the line they point at.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use crate::case::Sources;
use crate::finding::{Diagnostic, Severity};

/// Renders findings one below the other. `colored` adds terminal colours.
pub fn render(diagnostics: &[Diagnostic], sources: &Sources, colored: bool) -> String {
    let renderer = if colored { Renderer::styled() } else { Renderer::plain() };
    let mut text = String::new();
    for diagnostic in diagnostics {
        let level = match diagnostic.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let message = printable(&diagnostic.message);
        let hint = diagnostic.hint.as_deref().map(printable);
        let source = diagnostic.place.map(|place| (place, sources.get(place.file)));
        // Control characters in the file itself must not reach the terminal; each is replaced by a blank of
        // the same length.
        let shown = source.map(|(_, source)| source.text.chars().map(harmless).collect::<String>());
        let title = level.primary_title(message);
        let mut group = match (source, &shown) {
            (Some((place, source)), Some(shown)) if shown.len() == source.text.len() => {
                let span = place.start.min(shown.len())..place.end.max(place.start).min(shown.len());
                let snippet = Snippet::source(shown.as_str()).path(source.name.as_str());
                title.element(snippet.annotation(AnnotationKind::Primary.span(span)))
            }
            (Some((place, source)), _) => {
                let (line, column) = sources.line_column(place);
                Group::with_title(title)
                    .element(Level::NOTE.message(format!("in {}, line {line}, column {column}", source.name)))
            }
            (None, _) => Group::with_title(title),
        };
        if let Some(hint) = hint {
            group = group.element(Level::HELP.message(hint));
        }
        text.push_str(&renderer.render(&[group]));
        text.push_str("\n\n");
    }
    text
}

/// The text without control characters, which could move a terminal's cursor or hide what was printed.
pub fn printable(text: &str) -> String {
    text.chars().filter(|character| !character.is_control()).collect()
}

fn harmless(character: char) -> char {
    match character {
        '\n' | '\t' => character,
        control if control.is_control() && control.len_utf8() == 1 => ' ',
        other => other,
    }
}
