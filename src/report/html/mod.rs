//! The report: one HTML file with everything a reviewer needs, complete without scripts, and read back by
//! `coldseam review`.
//!
//! The page stands in `page.html`; every text that comes from the case is escaped by the template engine.
//! Nothing is loaded from outside: a content security policy in the page forbids it. Tables and sentences
//! come from the documents of results; pictures and what the probe reads are drawn from the outcome.

mod pictures;
mod probe;
mod tables;

use std::error::Error;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use minijinja::{Environment, Value, context};

use super::document::condensation::Condensation;
use super::document::review::Review;
use super::document::solve::Solve;
use super::factor_text::condensation_resistance;
use super::read_back::{checksum, escaped, portable};
use super::summary::CAUTION;
use crate::draw::{self, profile_picture};
use crate::result::Outcome;
use crate::result::condensation::assess;
use crate::review::Finding;

/// Width of the pictures in the report, pixels.
const WIDTH: u32 = 1100;

/// The whole page; with the months of the case's climate, where it has one and a condensation pass.
///
/// # Errors
/// Those of drawing and of the template.
pub fn page(outcome: &Outcome, findings: &[Finding]) -> Result<String, Box<dyn Error>> {
    let solve = &Solve::of(outcome);
    // Months are judged with the surface resistances for condensation.
    let climate = outcome.case.climate.as_ref().filter(|_| outcome.computed.has_condensation());
    let assessments = assess(outcome, climate);
    let condensation = &Condensation::of(outcome, climate, &assessments, &[]);
    let fields = draw::fine_fields(outcome);
    let profiles = draw::fine_profiles(outcome, &fields);
    let mut environment = Environment::new();
    environment.add_template("page.html", include_str!("page.html"))?;
    let sources = &portable(outcome.case.sources.all());
    let shown_sources: Vec<Value> = sources
        .iter()
        .map(|source| {
            // Escaped by our own rules, which reading back undoes.
            let [name, text] =
                [&source.name, &source.text].map(|text| Value::from_safe_string(escaped(text)));
            context! { name => source.name, escaped_name => name, text }
        })
        .collect();
    let data = probe::data(outcome, &fields, &profiles).to_string().replace('<', "\\u003c");
    let page = environment.get_template("page.html")?.render(context! {
        version => env!("CARGO_PKG_VERSION"),
        title => solve.title,
        description => solve.description,
        checksum => checksum(sources),
        l2d => solve.l2d.known().map(tables::bracket),
        psi => tables::psi(solve),
        frame_u => solve.frame_u_value.map(|u| u.to_string()),
        points => tables::points(solve),
        environments_judged => tables::judged(condensation),
        resistances => match &solve.condensation {
            Some(pass) => format!("With {} for condensation.", condensation_resistance(pass)),
            None => "With the surface resistances for heat loss.".to_owned(),
        },
        pictures => pictures::pictures(outcome, &fields)?,
        profile => STANDARD.encode(profile_picture::draw(outcome, &profiles, &assessments)?),
        slider => tables::slider(solve),
        materials => tables::materials(solve),
        environments => tables::environments(solve),
        elements => tables::elements(solve),
        extent => tables::extent(solve),
        cavities => tables::cavities(solve),
        parameters => tables::parameters(solve),
        method => tables::method(solve),
        findings => tables::findings(&Review::of(&outcome.case.name, &solve.title, findings)),
        sources => shown_sources,
        cautions => CAUTION.replace('\n', " "),
        data => Value::from_safe_string(data),
    })?;
    Ok(page)
}
