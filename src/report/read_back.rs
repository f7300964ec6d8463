//! A case read back out of a report.
//!
//! A report shows every text that the case was read from in an element `<pre … class="source"
//! data-name="…">`, and states one checksum of all of them. What is shown is what is read: there is no
//! second, hidden copy.

use std::path::Path;

use sha2::{Digest, Sha256};

use crate::case::{self, Case, Rejected, Source, Sources};
use crate::finding::Diagnostic;
use crate::review::Seal;

/// A report is a few MB; a file beyond this size is something else.
const LARGEST_REPORT: u64 = 32 << 20;

/// SHA-256 over names and texts, in hexadecimal.
pub fn checksum(sources: &[Source]) -> String {
    let mut hash = Sha256::new();
    for source in sources {
        // Lengths keep a text from flowing into the next name.
        for part in [&source.name, &source.text] {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part.as_bytes());
        }
    }
    format!("{:x}", hash.finalize())
}

/// The texts under names that do not tell where they lay: files relative to the folder of the first.
pub fn portable(sources: &[Source]) -> Vec<Source> {
    let folder = sources.first().and_then(|main| Path::new(&main.name).parent()).unwrap_or(Path::new(""));
    let relative = |name: &str| {
        Path::new(name)
            .strip_prefix(folder)
            .map_or_else(|_| name.to_owned(), |rest| rest.display().to_string())
    };
    sources.iter().map(|source| Source { name: relative(&source.name), text: source.text.clone() }).collect()
}

/// Text as it stands between tags.
pub fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            other => escaped.push(other),
        }
    }
    escaped
}

fn unescaped(text: &str) -> String {
    text.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&")
}

/// What stands between `before` and `after`, and what follows.
fn between<'t>(text: &'t str, before: &str, after: &str) -> Option<(&'t str, &'t str)> {
    let rest = &text[text.find(before)? + before.len()..];
    let end = rest.find(after)?;
    Some((&rest[..end], &rest[end + after.len()..]))
}

/// The case inside a report, with the results that the report states as claims, and its checksum.
///
/// # Errors
/// [`Rejected`] if there is no case in the file, or if it cannot be read.
pub fn submission(path: &Path) -> Result<(Case, Seal), Rejected> {
    let reject = |message: String| Rejected {
        diagnostics: vec![Diagnostic::error(None, message)],
        sources: Sources::default(),
    };
    let text = case::read_text(path, LARGEST_REPORT).map_err(|problem| reject(problem.of(path)))?;
    let mut sources = Vec::new();
    let mut rest = text.as_str();
    while let Some((name, after)) = between(rest, "class=\"source\" data-name=\"", "\">") {
        let Some(end) = after.find("</pre>") else { break };
        sources.push(Source { name: unescaped(name), text: unescaped(&after[..end]) });
        rest = &after[end..];
    }
    let stated = between(&text, "data-checksum=\"", "\"").map(|(stated, _)| stated.to_owned());
    let (Some(stated), false) = (stated, sources.is_empty()) else {
        return Err(reject(format!(
            "{} is no report of this program: there is no case in it",
            path.display()
        )));
    };
    let seal = Seal::Stated { stated, computed: checksum(&sources) };
    let mut case = case::from_sources(&sources)?;
    case.claims.extend(stated_results(&text));
    Ok((case, seal))
}

/// Results as the report shows them: `<… data-result="psi_internal">0.0133</…>`.
fn stated_results(text: &str) -> Vec<case::Claim> {
    let mut claims = Vec::new();
    let mut rest = text;
    while let Some((key, after)) = between(rest, "data-result=\"", "\">") {
        rest = after;
        let shown = after.split('<').next().unwrap_or_default().trim().replace('−', "-");
        if let Ok(value) = shown.parse::<f64>() {
            let decimals = shown.split_once('.').map_or(0, |(_, decimals)| decimals.len().min(12));
            let rounding = 0.5 * 10_f64.powi(-(decimals as i32));
            claims.push(case::Claim { key: unescaped(key), element: None, value, rounding });
        }
    }
    claims
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escaping_can_be_undone_and_leaves_no_tag() {
        let text = "a < b && \"c\" > 'd' &lt; <script>alert(1)</script>";
        assert_eq!(unescaped(&escaped(text)), text);
        assert!(!escaped(text).contains('<'));
    }
}
