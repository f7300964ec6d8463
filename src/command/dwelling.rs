//! `coldseam dwelling`: adds up A·U and l·ψ of a dwelling.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;

use super::arguments::{Format, Printed, are_set_once, set};
use super::progress::Progress;
use super::{Exit, complain, failed, is_for, print, show};
use crate::bounds::Bracket;
use crate::case::diagnostic::has_errors;
use crate::case::{
    self, Case, CasePsi, Dwelling, Junction, Library, PsiSource, Purpose, Reduction, Rejected, Sources, Taken,
};
use crate::finding::Diagnostic;
use crate::model::Role;
use crate::report::document::dwelling::{
    Counterpart, Dwelling as Document, ElementLoss, FromDwelling, JunctionLoss,
};
use crate::report::document::{self, Bracketed};
use crate::report::dwelling_text;
use crate::result::counterpart::{Counterparts, counterparts};
use crate::result::dwelling::{self, Sum, sum};
use crate::result::pairs::{self, Pairs};
use crate::result::{self, Failure, Outcome};

/// What `dwelling` was asked for.
#[derive(Args)]
pub struct Settings {
    /// File with a `dwelling:` (YAML)
    file: PathBuf,
    /// Replace a parameter of the file; the value may be an expression
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = set)]
    sets: Vec<String>,
    #[command(flatten)]
    printed: Printed,
}

/// A case, of one junction or of several that ask the same of it.
struct OwnCase {
    case: Case,
    /// Their numbers.
    junctions: Vec<usize>,
    /// What took the place of its own values.
    taken: Vec<Taken>,
    /// Between which it states ψ.
    pairs: Pairs,
}

/// How the ψ of a junction came about.
#[derive(Default)]
struct Making {
    psi: Option<Bracket>,
    origin: String,
    /// What the dwelling gave to the case.
    taken: Vec<Taken>,
    /// What the junction keeps for itself.
    exceptions: Vec<String>,
    counterparts: Counterparts,
    /// Remarks on the case's result.
    notes: Vec<String>,
    /// Findings about the case, and the texts they point into.
    warnings: Vec<Diagnostic>,
    sources: Sources,
}

/// Reads the dwelling and all its cases, solves these in parallel, checks that they belong together, and adds
/// up.
pub fn run(settings: &Settings) -> Exit {
    if !are_set_once(&settings.sets) {
        return Exit::WrongInput;
    }
    let library = match case::load_library(&settings.file, &settings.sets) {
        Ok(library) => library,
        Err(rejected) => {
            is_for(&settings.file, Purpose::Dwelling, "dwelling");
            show(&rejected.diagnostics, &rejected.sources);
            return Exit::WrongInput;
        }
    };
    let Some(mut dwelling) = library.dwelling.clone() else {
        is_for(&settings.file, Purpose::Dwelling, "dwelling");
        complain(&format!(
            "error: {} has no `dwelling:`; `coldseam new dwelling` writes one as a starting file\n",
            settings.file.display()
        ));
        return Exit::WrongInput;
    };
    show(&library.warnings, &library.sources);
    let folder = settings.file.parent().unwrap_or(Path::new(""));
    let Some(cases) = cases(&dwelling, &library, folder) else { return Exit::WrongInput };
    if !resolve_reductions(&mut dwelling, &cases, &library, folder) {
        return Exit::WrongInput;
    }
    show(&not_taken(&dwelling, &cases), &library.sources);
    let name = settings.file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let makings = match makings(&dwelling, cases, &library, &name) {
        Ok(makings) => makings,
        Err(failure) => return failed(&failure),
    };
    show_once(&makings);
    let findings: Vec<Diagnostic> =
        makings.iter().flat_map(|making| making.counterparts.findings.iter().cloned()).collect();
    show(&findings, &library.sources);
    if has_errors(&findings) {
        return Exit::WrongInput;
    }
    let psi: Vec<(Bracket, String)> =
        makings.iter().filter_map(|making| Some((making.psi?, making.origin.clone()))).collect();
    let sum = match sum(&dwelling, psi) {
        Ok(sum) => sum,
        Err(error) => return failed(&error.into()),
    };
    let document = document(&library.title, &dwelling, &sum, &makings);
    print(&match settings.printed.format {
        Format::Text => dwelling_text::text(&document),
        Format::Json => document::text(&document),
    });
    Exit::Done
}

/// The cases of all junctions, read as part of the dwelling, each once; `None` after showing what is wrong.
fn cases(dwelling: &Dwelling, library: &Library, folder: &Path) -> Option<Vec<OwnCase>> {
    let mut cases: Vec<OwnCase> = Vec::new();
    // Junctions that ask the same of one file share its case; `None` for one that cannot be used.
    let mut known: HashMap<(&str, Vec<&str>, Option<&[Vec<String>; 2]>), Option<usize>> = HashMap::new();
    let mut is_complete = true;
    for (number, junction) in dwelling.junctions.iter().enumerate() {
        let PsiSource::Case(source) = &junction.psi else { continue };
        let sets = source.exceptions.iter().map(|exception| exception.set.as_str()).collect();
        let asked = (source.file.as_str(), sets, source.between.as_ref().map(|between| &between.sides));
        let own = known.entry(asked).or_insert_with(|| match own_case(junction, source, library, folder) {
            Ok(case) => {
                cases.push(case);
                Some(cases.len() - 1)
            }
            Err(rejected) => {
                reject(junction, source, &rejected, library);
                is_complete = false;
                None
            }
        });
        if let Some(own) = *own {
            cases[own].junctions.push(number);
        }
    }
    is_complete.then_some(cases)
}

/// The case of a junction, with the one pair of environments that the junction means.
fn own_case(
    junction: &Junction,
    source: &CasePsi,
    library: &Library,
    folder: &Path,
) -> Result<OwnCase, Rejected> {
    let sets: Vec<String> = source.exceptions.iter().map(|exception| exception.set.clone()).collect();
    let (mut case, taken) = case::load_for_dwelling(&folder.join(&source.file), &sets, library)?;
    let pairs = Pairs::of(&case);
    pairs::choose(&mut case, junction, source)
        .map_err(|finding| Rejected { diagnostics: vec![finding], sources: library.sources.clone() })?;
    Ok(OwnCase { case, junctions: Vec::new(), taken, pairs })
}

/// Warnings of what the cases state ψ for and the dwelling does not take.
fn not_taken(dwelling: &Dwelling, cases: &[OwnCase]) -> Vec<Diagnostic> {
    let mut computed: Vec<(usize, &Pairs)> =
        cases.iter().flat_map(|own| own.junctions.iter().map(|number| (*number, &own.pairs))).collect();
    computed.sort_by_key(|(number, _)| *number);
    let stated = computed.into_iter().filter_map(|(number, pairs)| {
        let junction = &dwelling.junctions[number];
        let PsiSource::Case(source) = &junction.psi else { return None };
        Some((junction, source, pairs))
    });
    pairs::not_taken(&stated.collect::<Vec<_>>())
}

/// Shows why the case of a junction cannot be used. What is wrong with an exception is shown where the
/// dwelling states it.
fn reject(junction: &Junction, source: &CasePsi, rejected: &Rejected, library: &Library) {
    let name_of = |set: &str| set.split('=').next().unwrap_or_default().trim().to_owned();
    let stated = |finding: &Diagnostic| {
        let text = finding
            .place
            .map(|place| rejected.sources.get(place.file))
            .filter(|text| text.name == "--set")?;
        source.exceptions.iter().find(|exception| name_of(&exception.set) == name_of(&text.text))
    };
    let with: Vec<&str> = source.exceptions.iter().map(|exception| exception.set.as_str()).collect();
    let with = if with.is_empty() { String::new() } else { format!(" with {}", with.join(", ")) };
    let message = format!("{} cannot be used for the junction `{}`{with}", source.file, junction.name);
    // What is wrong with the junction itself needs no heading.
    let name = |sources: &Sources| sources.all().first().map(|source| source.name.clone());
    if name(&rejected.sources) != name(&library.sources) {
        let finding = Diagnostic::error(junction.place, message).hint("what is wrong with it comes next");
        show(&[finding], &library.sources);
    }
    for finding in &rejected.diagnostics {
        match stated(finding) {
            Some(exception) => {
                let is_name = finding.place.is_some_and(|place| place.end <= name_of(&exception.set).len());
                let place = if is_name { exception.name_place } else { exception.place };
                let finding = Diagnostic { place: Some(place), ..finding.clone() };
                show(&[finding], &library.sources);
            }
            None => show(std::slice::from_ref(finding), &rejected.sources),
        }
    }
}

/// Shows what was found about the cases, each finding once although several cases may share it.
fn show_once(makings: &[Making]) {
    let mut shown: Vec<&Diagnostic> = Vec::new();
    for making in makings {
        for warning in &making.warnings {
            if !shown.iter().any(|known| known.message == warning.message && known.hint == warning.hint) {
                shown.push(warning);
                show(std::slice::from_ref(warning), &making.sources);
            }
        }
    }
}

/// Computes each b that is to come from the temperatures of a case; false after showing what is wrong.
fn resolve_reductions(dwelling: &mut Dwelling, cases: &[OwnCase], library: &Library, folder: &Path) -> bool {
    let mut is_complete = true;
    let mut resolve = |reduction: &mut Reduction, own: Option<&Case>| {
        let Reduction::Temperatures { file, space, place } = reduction else { return };
        let b = match (file, own) {
            (Some(file), _) => case::load_for_dwelling(&folder.join(&*file), &[], library)
                .map_err(|rejected| {
                    show(&rejected.diagnostics, &rejected.sources);
                    format!("{file} cannot be used")
                })
                .and_then(|(case, _)| dwelling::reduction(&case.model, space.as_deref())),
            (None, Some(case)) => dwelling::reduction(&case.model, space.as_deref()),
            (None, None) => Err("it names no case".to_owned()),
        };
        match b {
            Ok(b) => *reduction = Reduction::Known(b),
            Err(reason) => {
                let hint = "b = (θi − θu)/(θi − θe) takes one temperature inside, one outside, and that of the unheated space between; or state it";
                let message = format!("b cannot be taken from the temperatures: {reason}");
                show(&[Diagnostic::error(*place, message).hint(hint)], &library.sources);
                is_complete = false;
            }
        }
    };
    for element in &mut dwelling.elements {
        resolve(&mut element.reduction, None);
    }
    let mut own: Vec<Option<&Case>> = vec![None; dwelling.junctions.len()];
    for case in cases {
        case.junctions.iter().for_each(|number| own[*number] = Some(&case.case));
    }
    for (junction, case) in dwelling.junctions.iter_mut().zip(own) {
        resolve(&mut junction.reduction, case);
    }
    is_complete
}

/// ψ of every junction, each case solved once, in parallel.
fn makings(
    dwelling: &Dwelling,
    cases: Vec<OwnCase>,
    library: &Library,
    name: &str,
) -> Result<Vec<Making>, Failure> {
    let progress = Progress::new(cases.len(), "junctions");
    let of_case = |own: OwnCase| -> Result<Vec<(usize, Making)>, Failure> {
        let outcome = result::compute(own.case).inspect_err(|_| {
            if let Some(junction) = own.junctions.first().map(|number| &dwelling.junctions[*number])
                && let PsiSource::Case(source) = &junction.psi
            {
                let (file, name) = (&source.file, &junction.name);
                complain(&format!("error: {file} cannot be solved for the junction `{name}`\n"));
            }
        })?;
        progress.one_done();
        let of = |number: &usize| {
            let junction = &dwelling.junctions[*number];
            let PsiSource::Case(source) = &junction.psi else { return Ok((*number, Making::default())) };
            let making = making(dwelling, junction, source, &outcome, library, name)?;
            Ok((*number, Making { taken: own.taken.clone(), ..making }))
        };
        own.junctions.iter().map(of).collect()
    };
    let computed: Result<Vec<Vec<(usize, Making)>>, Failure> = cases.into_par_iter().map(of_case).collect();
    let stated = |junction: &Junction| match &junction.psi {
        PsiSource::Given(psi, source) => Ok(Making {
            psi: Some(Bracket::exact(*psi)?),
            origin: format!("stated: {source}"),
            ..Making::default()
        }),
        PsiSource::Case(_) => Ok(Making::default()),
    };
    let mut makings: Vec<Making> = dwelling.junctions.iter().map(stated).collect::<Result<_, Failure>>()?;
    for (number, making) in computed?.into_iter().flatten() {
        makings[number] = making;
    }
    Ok(makings)
}

/// ψ of a junction from the outcome of its case, and whether it belongs to the dwelling.
fn making(
    dwelling: &Dwelling,
    junction: &Junction,
    source: &CasePsi,
    outcome: &Outcome,
    library: &Library,
    name: &str,
) -> Result<Making, Failure> {
    let file = &source.file;
    let rejected = |message: String, hint: String| {
        let diagnostics = vec![Diagnostic::error(junction.place, message).hint(hint)];
        Err(Rejected { diagnostics, sources: library.sources.clone() }.into())
    };
    if let Some(wanted) = &source.between
        && !pairs::is_between(outcome, wanted)
    {
        let own = outcome.sides().map_or_else(|| "[]".to_owned(), |sides| pairs::text(&outcome.case, &sides));
        return rejected(
            format!("the ψ of {file} is not between {}", pairs::wanted(wanted)),
            format!("write `between: {own}`"),
        );
    }
    // H counts what heated rooms lose; what an unheated space loses is in its b.
    if let Some(sides) = outcome.sides()
        && !sides.iter().flatten().any(|index| outcome.case.model.environments[*index].role == Role::Internal)
    {
        let message = format!(
            "the ψ of {file} is between {}, of which none is heated",
            pairs::text(&outcome.case, &sides)
        );
        let hint = "leave the junction out: what an unheated space loses is in the reduction factor of the elements towards it";
        return rejected(message, hint.to_owned());
    }
    let Some(psi) =
        outcome.psi.iter().find(|psi| psi.convention == dwelling.convention).map(|psi| psi.bracket)
    else {
        let message = format!("{file} states no ψ by {} dimensions", dwelling.convention.label());
        return rejected(
            message,
            "give every flanking element of the case its length by this convention".to_owned(),
        );
    };
    let halved = outcome.case.model.psi.as_ref().filter(|psi| psi.planes_of_symmetry() > 0);
    let halved = halved.map(|psi| {
        let message = format!(
            "{file} is drawn up to a plane of symmetry: its ψ, and the loss of `{}`, are of the part drawn alone",
            junction.name
        );
        let hint = "draw the whole junction, or count its length as often as the part stands in it: twice for a half";
        Diagnostic::warning(psi.place, message).hint(hint)
    });
    let exceptions: Vec<String> = source.exceptions.iter().map(|exception| exception.set.clone()).collect();
    let with = if exceptions.is_empty() { String::new() } else { format!(" with {}", exceptions.join(", ")) };
    let between = source
        .between
        .as_ref()
        .map_or_else(String::new, |wanted| format!(" between {}", pairs::wanted(wanted)));
    Ok(Making {
        psi: Some(psi),
        origin: format!("computed: {file}{between}{with}"),
        exceptions,
        counterparts: counterparts(dwelling, junction, outcome, [file, name]),
        notes: outcome.notes.clone(),
        warnings: outcome.all_warnings().cloned().chain(halved).collect(),
        sources: outcome.case.sources.clone(),
        ..Making::default()
    })
}

fn document(title: &str, dwelling: &Dwelling, sum: &Sum, makings: &[Making]) -> Document {
    Document {
        coldseam: document::VERSION,
        title: title.to_owned(),
        convention: dwelling.convention.key(),
        elements: dwelling.elements.iter().map(ElementLoss::of).collect(),
        junctions: dwelling.junctions.iter().zip(&sum.junctions).zip(makings).map(junction_loss).collect(),
        elements_loss: sum.elements,
        junctions_loss: sum.bridges.into(),
        area: sum.area,
        junctions_per_area: sum.per_area().map(Bracketed::from),
        transmission: sum.total().into(),
    }
}

fn junction_loss(
    ((stated, junction), making): ((&Junction, &dwelling::JunctionLoss), &Making),
) -> JunctionLoss {
    let taken = |taken: &Taken| FromDwelling { name: taken.name.clone(), change: taken.change.clone() };
    let counterpart = |(flanking, element): &(String, Option<String>)| Counterpart {
        flanking: flanking.clone(),
        element: element.clone(),
    };
    let warnings = making.warnings.iter().chain(&making.counterparts.findings);
    JunctionLoss {
        junction: junction.name.clone(),
        length: junction.length,
        psi: junction.psi.into(),
        reduction: junction.reduction,
        loss: junction.loss.into(),
        origin: junction.origin.clone(),
        from_dwelling: making.taken.iter().map(taken).collect(),
        exceptions: making.exceptions.clone(),
        counterparts: making.counterparts.pairs.iter().map(counterpart).collect(),
        remarks: making.counterparts.remarks.clone(),
        notes: making.notes.clone(),
        warnings: warnings.map(|warning| warning.message.clone()).collect(),
        is_computed: matches!(stated.psi, PsiSource::Case(_)),
    }
}
