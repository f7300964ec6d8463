//! `coldseam condensation`: where mould and condensation begin, in which months, and what would help.

use std::error::Error;
use std::path::{Path, PathBuf};

use clap::Args;

use super::arguments::{Cases, Format, Results, are_set_once};
use super::places::{are_free, is_place_for_results};
use super::progress::Progress;
use super::{
    Exit, complain, failed, print, print_documents, read_cases, read_climate, show, show_warnings, unwritten,
    write_all, written_to,
};
use crate::case::{self, Case};
use crate::climate::Climate;
use crate::draw::{self, months_picture, profile_picture};
use crate::finding::Diagnostic;
use crate::model::Condensation;
use crate::report::condensation_text;
use crate::report::document::what_helps::{AgainstFile, ChangedParameter};
use crate::report::document::{self, condensation::Condensation as Document};
use crate::result::condensation::{Assessment, are_safe, assess};
use crate::result::what_helps::{self, Effect};
use crate::result::{self, Failure};
use crate::standard::CONDENSATION_ON_OPAQUE;

/// What `condensation` was asked for.
#[derive(Args)]
pub struct Settings {
    #[command(flatten)]
    input: Cases,
    /// Go through the months of this climate (YAML, or a table of months as CSV)
    #[arg(long, value_name = "FILE")]
    climate: Option<PathBuf>,
    /// Solve variants with one thing changed, and list what raises f_Rsi most
    #[arg(long)]
    what_helps: bool,
    #[command(flatten)]
    results: Results,
}

/// What one case gives.
struct Page {
    text: String,
    document: Document,
    contents: Vec<(&'static str, Vec<u8>)>,
    is_safe: bool,
}

/// Reads and computes all cases first, so that a fault in any of them leaves everything unwritten. The answer is "no" if
/// anything fails.
pub fn run(settings: &Settings) -> Exit {
    if !are_set_once(&settings.input.sets) || !is_place_for_results(&settings.results.out) {
        return unwritten(Exit::WrongInput);
    }
    let Some((cases, climate)) = read(settings) else { return unwritten(Exit::WrongInput) };
    let mut pages = Vec::new();
    for (path, case) in cases {
        let (name, folder) = (case.name.clone(), settings.results.out.join(&case.name));
        match page(settings, path, case, climate.as_ref()) {
            Ok(page) => pages.push((folder, page)),
            Err(error) => {
                if let Some(failure) = error.downcast_ref() {
                    return unwritten(failed(failure));
                }
                complain(&format!("error: {name}: {error}\n"));
                return Exit::Failed;
            }
        }
    }
    let mut documents = Vec::new();
    let mut is_safe = true;
    for (folder, page) in pages {
        is_safe &= page.is_safe;
        if !write_all(&folder, &page.contents, &PICTURES) {
            return Exit::Failed;
        }
        if settings.results.printed.format == Format::Text {
            print(&(page.text + &written_to(&folder, &page.contents)));
        }
        documents.push(page.document);
    }
    if settings.results.printed.format == Format::Json {
        print_documents(&documents);
    }
    if is_safe { Exit::Done } else { Exit::No }
}

/// The files of numbers and the pictures that it writes.
const FILES: [&str; 2] = ["condensation.json", "condensation.txt"];
const PICTURES: [&str; 3] = ["condensation-factor", "surface-profile", "months"];

/// True for the name of a file that it may write.
fn is_result(name: &str) -> bool {
    FILES.contains(&name) || name.strip_suffix(".png").is_some_and(|name| PICTURES.contains(&name))
}

/// A case whose surfaces have the resistances for condensation, whether or not it says so.
fn load(path: &Path, sets: &[String]) -> Result<Case, case::Rejected> {
    let mut case = case::load(path, sets)?;
    case.model.condensation.get_or_insert(Condensation {
        resistance: CONDENSATION_ON_OPAQUE,
        exclude: Vec::new(),
        critical: None,
    });
    Ok(case)
}

fn read(settings: &Settings) -> Option<(Vec<(&Path, Case)>, Option<Climate>)> {
    let load = |path: &Path| load(path, &settings.input.sets);
    let cases = read_cases(&settings.input.cases, &settings.results.out, is_result, load);
    let climate = settings.climate.as_ref().map(|path| read_climate(path));
    let (cases, climate) = (cases?, climate.map_or(Some(None), |climate| climate.map(Some))?);
    let folders: Vec<PathBuf> = cases.iter().map(|(_, case)| settings.results.out.join(&case.name)).collect();
    let mut is_complete = are_free(&folders, is_result, settings.climate.as_slice());
    if let Some(climate) = climate.as_ref().filter(|climate| climate.indoor.is_none()) {
        for (path, case) in &cases {
            if case.model.environments.iter().all(|environment| environment.humidity.is_none()) {
                let (path, name) = (path.display(), &climate.name);
                complain(&format!(
                    "error: neither {path} nor the climate {name} tells the humidity inside; give an environment a `humidity`\n"
                ));
                is_complete = false;
            }
        }
    }
    is_complete.then_some((cases, climate))
}

fn page(
    settings: &Settings,
    path: &Path,
    case: Case,
    climate: Option<&Climate>,
) -> Result<Page, Box<dyn Error>> {
    let climate = climate.cloned().or_else(|| case.climate.clone());
    let climate = climate.as_ref();
    let outcome = result::compute(case)?;
    show_warnings(&outcome);
    let assessments = assess(&outcome, climate);
    let own = what_helps::standing(&outcome, climate);
    let against_file = match own {
        Some(own) if !settings.input.sets.is_empty() => against_file(settings, path, &outcome, climate, own)?,
        _ => None,
    };
    let effects = match own {
        Some(_) if settings.what_helps => effects(settings, path, &outcome, climate),
        _ => Vec::new(),
    };
    let document = Document { against_file, ..Document::of(&outcome, climate, &assessments, &effects) };
    let text = condensation_text::text(&document, settings.what_helps);
    let mut contents =
        vec![(FILES[0], document::text(&document).into_bytes()), (FILES[1], text.clone().into_bytes())];
    if !settings.results.no_pictures {
        contents.extend(pictures(&outcome, climate, &assessments)?);
    }
    show(&not_judged(&outcome, &assessments), &outcome.case.sources);
    let is_safe = are_safe(&assessments);
    Ok(Page { text, document, contents, is_safe })
}

/// Warnings of what nothing was asked of.
fn not_judged(outcome: &result::Outcome, assessments: &[Assessment]) -> Vec<Diagnostic> {
    if assessments.is_empty() {
        let message = "nothing was judged: no environment of the role `internal` that touches a solid is warmer than outside";
        return vec![Diagnostic::warning(None, message)];
    }
    let is_open = |assessment: &&Assessment| !assessment.is_judged();
    let warning = |assessment: &Assessment| {
        let room = &outcome.case.model.environments[assessment.environment];
        let message = format!("`{}` was not judged, since its humidity is not known", room.name);
        let hint = "give it a `humidity`, or the case a climate with the air inside, or `condensation` a `critical` factor";
        Diagnostic::warning(room.place, message).hint(hint)
    };
    assessments.iter().filter(is_open).map(warning).collect()
}

/// What the `--set` values changed.
fn against_file(
    settings: &Settings,
    path: &Path,
    outcome: &result::Outcome,
    climate: Option<&Climate>,
    own: what_helps::Standing,
) -> Result<Option<AgainstFile>, Box<dyn Error>> {
    let file = result::compute(load(path, &[]).map_err(Failure::from)?)?;
    let value = |case: &Case, name: &str| {
        case.parameters.iter().find(|(known, _)| known == name).map(|(_, value)| *value)
    };
    let named = settings.input.sets.iter().filter_map(|set| set.split_once('=')).map(|(name, _)| name.trim());
    let changed: Vec<ChangedParameter> = named
        .filter_map(|name| {
            let (from, to) = (value(&file.case, name)?, value(&outcome.case, name)?);
            Some(ChangedParameter { parameter: name.to_owned(), from, to })
        })
        .filter(|parameter| parameter.from != parameter.to)
        .collect();
    let standing = what_helps::standing(&file, climate).filter(|_| !changed.is_empty());
    Ok(standing.map(|file| AgainstFile { changed, file: file.into(), variant: own.into() }))
}

fn effects(
    settings: &Settings,
    path: &Path,
    outcome: &result::Outcome,
    climate: Option<&Climate>,
) -> Vec<Effect> {
    let progress = Progress::new(what_helps::changes(outcome).len(), "variants");
    let with = |set: &str| {
        let sets: Vec<String> = settings.input.sets.iter().cloned().chain([set.to_owned()]).collect();
        load(path, &sets).ok()
    };
    what_helps::effects(outcome, climate, &with, &|| progress.one_done())
}

fn pictures(
    outcome: &result::Outcome,
    climate: Option<&Climate>,
    assessments: &[Assessment],
) -> Result<Vec<(&'static str, Vec<u8>)>, Box<dyn Error>> {
    let mut pictures = Vec::new();
    let fields = draw::fine_fields(outcome);
    let strictest = assessments.iter().filter_map(Assessment::needed).reduce(f64::max);
    let limit = strictest.map(|needed| (needed, format!("{needed:.2} needed")));
    if let Some(canvas) = draw::field_picture::temperature_factor(outcome, &fields, draw::FULL_WIDTH, limit) {
        pictures.push(("condensation-factor.png", canvas.to_png()?));
    }
    pictures.push((
        "surface-profile.png",
        profile_picture::draw(outcome, &draw::fine_profiles(outcome, &fields), assessments)?,
    ));
    let coldest = assessments.iter().min_by(|a, b| a.coldest.factor.total_cmp(&b.coldest.factor));
    let yearly = coldest.and_then(|assessment| Some((assessment, assessment.year.as_ref()?)));
    if let (Some(climate), Some((assessment, year))) = (climate, yearly) {
        pictures.push(("months.png", months_picture::draw(outcome, climate, assessment, year)?));
    }
    Ok(pictures)
}
