//! `coldseam uvalue`: thermal transmittance of plane elements, condensation inside them, and the thickness
//! that reaches a target.

use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;

use super::arguments::{Format, Results, are_set_once, set, u_value};
use super::places::{are_free, files_of, have_folders, is_place_for_results};
use super::target::{answer, value_of};
use super::{Exit, complain, print, print_documents, read_climate, show, unwritten, write_all, written_to};
use crate::case::{self, Library, NamedFloor};
use crate::climate::Climate;
use crate::draw::course_picture;
use crate::element::build_up::BuildUp;
use crate::element::condensate::Wetting;
use crate::element::{correction, ground, resistance, vapour};
use crate::report::diagnostics::printable;
use crate::report::document::build_up::BuildUp as BuildUpDocument;
use crate::report::document::condensate::{Condensate, CondensateYear};
use crate::report::document::elements::{FloorOnGround, Window};
use crate::report::document::target::Target;
use crate::report::document::{self, uvalue::UValues};
use crate::report::{element_text, target_text};
use crate::result::pattern;

/// What `uvalue` was asked for.
#[derive(Args)]
pub struct Settings {
    /// Build-up files, or cases with build-ups (YAML)
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Replace a parameter of the file; the value may be an expression
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = set)]
    sets: Vec<String>,
    /// Check condensation inside, month by month, with the climate of this file (YAML with the air inside under
    /// `indoor`, which a table of months cannot have)
    #[arg(long, value_name = "FILE")]
    climate: Option<PathBuf>,
    #[command(flatten)]
    results: Results,
    /// The U-value wanted
    #[arg(long, value_name = "W/(m²K)", value_parser = u_value, allow_negative_numbers = true, requires = "vary")]
    target: Option<f64>,
    /// The parameter that may change to reach the target
    #[arg(long, value_name = "PARAMETER", requires = "target")]
    vary: Option<String>,
}

/// What one file gives.
struct Page {
    text: String,
    document: UValues,
    pictures: Vec<(String, Vec<u8>)>,
    is_short_of_target: bool,
}

/// What one build-up gives.
struct Part {
    element: BuildUpDocument,
    picture: Option<(String, Vec<u8>)>,
}

type Error = Box<dyn std::error::Error + Send + Sync>;

/// Reads all files, prints every element, and searches for the target if there is one: the answer is "no" if
/// any element that depends on the parameter cannot reach it.
pub fn run(settings: &Settings) -> Exit {
    if !are_set_once(&settings.sets) || !is_place_for_results(&settings.results.out) {
        return unwritten(Exit::WrongInput);
    }
    let Some((libraries, climate)) = read(settings) else { return unwritten(Exit::WrongInput) };
    let mut pages = Vec::new();
    for (path, library) in &libraries {
        show(&library.warnings, &library.sources);
        let climate = climate.as_ref().or(library.climate.as_ref());
        match page(settings, path, library, climate) {
            Ok(page) => pages.push((folder_of(settings, path), page)),
            Err(error) => {
                complain(&format!("error: {error}\n"));
                return Exit::Failed;
            }
        }
    }
    let mut documents = Vec::new();
    let mut all_reached = true;
    for (folder, page) in pages {
        all_reached &= !page.is_short_of_target;
        let mut contents = vec![
            (FILES[0].to_owned(), document::text(&page.document).into_bytes()),
            (FILES[1].to_owned(), page.text.clone().into_bytes()),
        ];
        contents.extend(page.pictures);
        if !write_all(&folder, &contents, &[]) {
            return Exit::Failed;
        }
        documents.push(page.document);
        if settings.results.printed.format == Format::Text {
            print(&(page.text + &written_to(&folder, &contents)));
        }
    }
    if settings.results.printed.format == Format::Json {
        print_documents(&documents);
    }
    if all_reached { Exit::Done } else { Exit::No }
}

/// The files of numbers that it writes; each picture has the name of its build-up.
const FILES: [&str; 2] = ["u-values.json", "u-values.txt"];

/// True for the name of a file that it may write.
fn is_result(name: &str) -> bool {
    FILES.contains(&name) || Path::new(name).extension().is_some_and(|ending| ending == "png")
}

/// Where the results of a file go.
fn folder_of(settings: &Settings, file: &Path) -> PathBuf {
    settings.results.out.join(file.file_stem().unwrap_or_default())
}

/// All files and the climate; `None` after showing what is wrong.
fn read(settings: &Settings) -> Option<(Vec<(&Path, Library)>, Option<Climate>)> {
    let mut libraries: Vec<(&Path, Library)> = Vec::new();
    let mut is_complete = have_folders(&settings.files);
    for path in &settings.files {
        match case::load_library(path, &settings.sets) {
            Ok(library) => libraries.push((path.as_path(), library)),
            Err(rejected) => {
                show(&rejected.diagnostics, &rejected.sources);
                is_complete = false;
            }
        }
    }
    let folders: Vec<PathBuf> = settings.files.iter().map(|path| folder_of(settings, path)).collect();
    let read: Vec<PathBuf> = libraries.iter().flat_map(|(_, library)| files_of(&library.sources)).collect();
    let read: Vec<PathBuf> = read.into_iter().chain(settings.climate.clone()).collect();
    is_complete &= are_free(&folders, is_result, &read);
    let climate = settings.climate.as_ref().and_then(|path| read_climate(path));
    is_complete &= climate.is_some() == settings.climate.is_some();
    if let Some((path_of_climate, _)) =
        settings.climate.as_ref().zip(climate.as_ref()).filter(|(_, climate)| climate.indoor.is_none())
    {
        let path = path_of_climate.display();
        let what = if case::is_table(path_of_climate) {
            "is a table of months, and a table of months has no air inside; write its months into a climate file, which `coldseam new climate` begins, with the air inside under `indoor`"
        } else {
            "does not describe the air inside; put it under `indoor`, as in what `coldseam new climate` writes"
        };
        complain(&format!("error: {path} {what}\n"));
        is_complete = false;
    }
    if let Some(vary) = &settings.vary
        && let Some((path, library)) = libraries.iter().find(|(_, library)| value_of(library, vary).is_none())
    {
        let names = library.parameters.iter().map(|(name, _)| name.as_str());
        let hint = case::did_you_mean(vary, names)
            .unwrap_or_else(|| "--vary names one of the file's parameters".to_owned());
        complain(&format!(
            "error: {} has no parameter named `{}`; {hint}\n",
            path.display(),
            printable(vary)
        ));
        is_complete = false;
    }
    is_complete.then_some((libraries, climate))
}

fn page(
    settings: &Settings,
    path: &Path,
    library: &Library,
    climate: Option<&Climate>,
) -> Result<Page, Error> {
    let mut page = Page {
        text: String::new(),
        document: UValues::new(&library.title),
        pictures: Vec::new(),
        is_short_of_target: false,
    };
    if !library.title.is_empty() {
        page.text = format!("{}\n\n", printable(&library.title));
    }
    let parts: Result<Vec<Part>, Error> = library
        .build_ups
        .par_iter()
        .map(|build_up| self::build_up(settings, library, build_up, climate))
        .collect();
    for (build_up, part) in library.build_ups.iter().zip(parts?) {
        let Part { mut element, picture } = part;
        page.text.push_str(&element_text::build_up(&element));
        page.pictures.extend(picture);
        element.target = target(settings, &mut page, (path, library), &|library| {
            let build_up = library.build_ups.iter().find(|other| other.name == build_up.name)?;
            Some(correction::corrected(build_up, &resistance::total(build_up)).u_value)
        });
        page.document.build_ups.push(element);
        page.text.push('\n');
    }
    for floor in &library.floors {
        let mut element = FloorOnGround::of(floor);
        page.text.push_str(&element_text::floor(&element));
        element.target = target(settings, &mut page, (path, library), &|library| {
            let same = |other: &&NamedFloor| other.name == floor.name;
            Some(ground::u_value(&library.floors.iter().find(same)?.floor).u_value)
        });
        page.document.floors.push(element);
        page.text.push('\n');
    }
    for window in &library.windows {
        let mut element = Window::of(window);
        page.text.push_str(&element_text::window(&element));
        element.target = target(settings, &mut page, (path, library), &|library| {
            Some(library.windows.iter().find(|other| other.name == window.name)?.window.u_value())
        });
        page.document.windows.push(element);
        page.text.push('\n');
    }
    page.text.push_str(element_text::CAUTION);
    page.text.push('\n');
    Ok(page)
}

fn build_up(
    settings: &Settings,
    library: &Library,
    build_up: &BuildUp,
    climate: Option<&Climate>,
) -> Result<Part, Error> {
    let pattern = pattern::solve(build_up)?;
    let mut element = BuildUpDocument::of(build_up, &pattern);
    // What lies on the ground has no outdoor air beside it.
    let on_ground = library.floors.iter().any(|floor| floor.build_up.as_ref() == Some(&build_up.name));
    let course = vapour::course(build_up);
    let open = vapour::open_course(build_up).and_then(Result::ok);
    let air = climate.filter(|_| !on_ground).and_then(|climate| Some((climate, climate.indoor?)));
    let wetting = match (&course, air) {
        (Ok(closed), Some((climate, indoor))) => Some(Wetting::of(closed, open.as_ref(), climate, indoor)),
        (Err(layer), Some(_)) => {
            let label = &build_up.layers[*layer].label;
            element.condensation = Some(Condensate::Unknown { vapour_resistance_unknown: label.clone() });
            None
        }
        (_, None) => None,
    };
    if let Some(wetting) = &wetting {
        element.condensation = Some(Condensate::Known(Box::new(CondensateYear::of(build_up, wetting))));
    }
    let picture = if settings.results.no_pictures {
        None
    } else {
        let picture = course_picture::draw(build_up, wetting.as_ref()).map_err(|error| error.to_string())?;
        Some((format!("{}.png", file_stem(&build_up.name)), picture))
    };
    Ok(Part { element, picture })
}

/// A name from a file as a file name: letters, digits, `-` and `_` stay.
fn file_stem(name: &str) -> String {
    name.chars()
        .map(|character| if character.is_alphanumeric() || character == '-' { character } else { '_' })
        .collect()
}

fn target(
    settings: &Settings,
    page: &mut Page,
    (path, library): (&Path, &Library),
    u_value: &dyn Fn(&Library) -> Option<f64>,
) -> Option<Target> {
    let (target, vary) = settings.target.zip(settings.vary.as_ref())?;
    let document = answer(path, &settings.sets, library, u_value, (target, vary));
    page.is_short_of_target |= !document.reached;
    page.text.push_str(&target_text::text(&document));
    Some(document)
}
