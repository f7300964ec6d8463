//! The command line: parses and calls.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use coldseam::case::ranges;
use coldseam::command::{self, Outcome, compare, condensation, dwelling, report, review, solve, uvalue};
use coldseam::result::Demand;

/// Computes what a building junction loses (ψ) and how cold its inside corners get (f_Rsi).
#[derive(Parser)]
#[command(version, max_term_width = 110)]
struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    /// Solve junctions: ψ, f_Rsi, pictures, JSON
    Solve {
        /// Case files (YAML)
        #[arg(required = true, value_name = "CASE")]
        cases: Vec<PathBuf>,
        /// Replace a parameter of the case; the value may be an expression
        #[arg(long = "set", value_name = "NAME=VALUE")]
        sets: Vec<String>,
        /// Where results go: DIR/<case name>/
        #[arg(long, value_name = "DIR", default_value = "out")]
        out: PathBuf,
        /// What to print on standard output
        #[arg(long, value_enum, default_value = "text")]
        format: solve::Format,
        /// Leave the pictures out
        #[arg(long)]
        no_pictures: bool,
        /// Write the equations (Matrix Market) to FILE.mtx and their right-hand side to FILE.rhs.mtx
        #[arg(long, value_name = "FILE.mtx")]
        matrix: Option<PathBuf>,
        /// Half-width wanted of the bracket of ψ
        #[arg(long, value_name = "W/(m·K)", default_value = "0.0005", value_parser = positive)]
        accuracy: f64,
        /// Largest number of unknowns; where it is reached first, the bracket reached is stated with a warning
        #[arg(long, value_name = "N", default_value = "2000000", value_parser = unknowns)]
        unknowns: usize,
        /// Exit with code 3 if the accuracy wanted is not reached
        #[arg(long)]
        strict: bool,
        /// Threads to compute with (all cores if not given); the results do not depend on it
        #[arg(long, value_name = "N", value_parser = threads)]
        threads: Option<usize>,
    },
    /// Mould and condensation: verdicts, months, pictures; with --what-helps, what each change is worth
    Condensation {
        /// Case files (YAML)
        #[arg(required = true, value_name = "CASE")]
        cases: Vec<PathBuf>,
        /// Replace a parameter of the case; the value may be an expression
        #[arg(long = "set", value_name = "NAME=VALUE")]
        sets: Vec<String>,
        /// Go through the months of this climate (YAML, or CSV of temperature and humidity)
        #[arg(long, value_name = "FILE")]
        climate: Option<PathBuf>,
        /// Solve variants with one thing changed, and list what raises f_Rsi most
        #[arg(long)]
        what_helps: bool,
        /// Where results go: DIR/<case name>/
        #[arg(long, value_name = "DIR", default_value = "out")]
        out: PathBuf,
        /// What to print on standard output
        #[arg(long, value_enum, default_value = "text")]
        format: solve::Format,
        /// Leave the pictures out
        #[arg(long)]
        no_pictures: bool,
    },
    /// U-values of build-ups, layer by layer; with --target, the thickness that reaches one
    Uvalue {
        /// Build-up files, or cases with build-ups (YAML)
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
        /// Replace a parameter of the file; the value may be an expression
        #[arg(long = "set", value_name = "NAME=VALUE")]
        sets: Vec<String>,
        /// Check condensation inside, month by month, with the climate of this file
        #[arg(long, value_name = "FILE")]
        climate: Option<PathBuf>,
        /// Where results go: DIR/<file name>/
        #[arg(long, value_name = "DIR", default_value = "out")]
        out: PathBuf,
        /// Leave the pictures out
        #[arg(long)]
        no_pictures: bool,
        /// The U-value wanted
        #[arg(long, value_name = "W/(m²K)", value_parser = positive, requires = "vary")]
        target: Option<f64>,
        /// The parameter that may change to reach the target
        #[arg(long, value_name = "PARAMETER", requires = "target")]
        vary: Option<String>,
        /// What to print on standard output
        #[arg(long, value_enum, default_value = "text")]
        format: solve::Format,
    },
    /// Add up A·U and l·ψ of a dwelling
    Dwelling {
        /// File with a `dwelling:` (YAML)
        file: PathBuf,
        /// Replace a parameter of the file; the value may be an expression
        #[arg(long = "set", value_name = "NAME=VALUE")]
        sets: Vec<String>,
        /// What to print on standard output
        #[arg(long, value_enum, default_value = "text")]
        format: solve::Format,
    },
    /// Two cases side by side: what differs in what was put in, and in what came out
    Compare {
        /// The first case (YAML)
        first: PathBuf,
        /// The second case; the first again with --set for a variant
        second: PathBuf,
        /// Replace a parameter of the second case
        #[arg(long = "set", value_name = "NAME=VALUE")]
        sets: Vec<String>,
        /// Where the picture goes: DIR/<first>-<second>/
        #[arg(long, value_name = "DIR", default_value = "out")]
        out: PathBuf,
        /// What to print on standard output
        #[arg(long, value_enum, default_value = "text")]
        format: solve::Format,
        /// Leave the picture out
        #[arg(long)]
        no_pictures: bool,
    },
    /// One HTML file a case with everything a reviewer needs
    Report {
        /// Case files (YAML)
        #[arg(required = true, value_name = "CASE")]
        cases: Vec<PathBuf>,
        /// Replace a parameter of the case; the value may be an expression
        #[arg(long = "set", value_name = "NAME=VALUE")]
        sets: Vec<String>,
        /// Where reports go: DIR/<case name>/report.html
        #[arg(long, value_name = "DIR", default_value = "out")]
        out: PathBuf,
        /// Half-width wanted of the bracket of ψ
        #[arg(long, value_name = "W/(m·K)", default_value = "0.0005", value_parser = positive)]
        accuracy: f64,
    },
    /// Try to find fault with submissions: cases, reports, or folders of them
    Review {
        /// Case files (YAML), reports (HTML) or folders
        #[arg(required = true, value_name = "PATH")]
        paths: Vec<PathBuf>,
        /// What to print on standard output
        #[arg(long, value_enum, default_value = "text")]
        format: solve::Format,
        /// Let includes leave the folder of the case
        #[arg(long)]
        allow_outside: bool,
    },
    /// List the ready-made cases, or write one as a starting file
    New {
        /// Which one
        name: Option<String>,
    },
    /// List or search the generic materials
    Materials {
        /// Words to look for in name, description, group and source
        words: Vec<String>,
    },
    /// Print the JSON Schema of case, build-up and climate files, for editors
    Schema,
    /// Solve the reference cases and compare with published and exact values
    Validate,
}

const FIRST_STEPS: &str = "\
coldseam computes what a building junction loses (ψ) and how cold its inside corners get (f_Rsi).

Start with a ready-made junction:

  coldseam new                          list them
  coldseam new window-sill              write window-sill.yaml, to be edited
  coldseam solve window-sill.yaml       ψ, f_Rsi, pictures and tables in out/window-sill/
  coldseam solve window-sill.yaml --set set_out=100      a variant

Then:

  coldseam condensation CASE            will it grow mould, and what would change it
  coldseam report CASE                  one HTML file for the reviewer; coldseam review tries to find fault with it
  coldseam uvalue FILE                  U-values of build-ups, floors and windows; the thickness that reaches a target
  coldseam dwelling FILE                areas and lengths of a house, added up
  coldseam materials [WORD], coldseam compare, coldseam schema, coldseam validate, coldseam help
";

fn positive(text: &str) -> Result<f64, String> {
    let (least, most) = ranges::ASKED;
    match text.parse::<f64>() {
        Ok(value) if (least..=most).contains(&value) => Ok(value),
        _ => Err(format!("a number from {least:e} to {most:e} is wanted, such as 0.0005")),
    }
}

fn unknowns(text: &str) -> Result<usize, String> {
    whole(text, 1, ranges::MOST_UNKNOWNS)
}

fn threads(text: &str) -> Result<usize, String> {
    whole(text, 0, ranges::MOST_THREADS)
}

fn whole(text: &str, least: usize, most: usize) -> Result<usize, String> {
    match text.parse() {
        Ok(value) if (least..=most).contains(&value) => Ok(value),
        _ => Err(format!("a whole number from {least} to {most} is wanted")),
    }
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let outcome = match arguments.command {
        None => {
            command::print(FIRST_STEPS);
            Outcome::Done
        }
        Some(Command::Solve { cases, sets, out, format, no_pictures, matrix, accuracy, unknowns, strict, threads }) => {
            if let Some(threads) = threads.filter(|threads| *threads > 0) {
                // Fails only if a pool exists already, which is not so at this point.
                let _ = rayon::ThreadPoolBuilder::new().num_threads(threads).build_global();
            }
            let demand = Demand { half_width: accuracy, most_unknowns: unknowns, ..Demand::default() };
            solve::run(&solve::Settings { cases, sets, out, format, pictures: !no_pictures, matrix, demand, strict })
        }
        Some(Command::Condensation { cases, sets, climate, what_helps, out, format, no_pictures }) => {
            let pictures = !no_pictures;
            condensation::run(&condensation::Settings { cases, sets, out, format, pictures, climate, what_helps })
        }
        Some(Command::Dwelling { file, sets, format }) => dwelling::run(&dwelling::Settings { file, sets, format }),
        Some(Command::Compare { first, second, sets, out, format, no_pictures }) => {
            compare::run(&compare::Settings { cases: [first, second], sets, out, format, pictures: !no_pictures })
        }
        Some(Command::Report { cases, sets, out, accuracy }) => {
            let demand = Demand { half_width: accuracy, ..Demand::default() };
            report::run(&report::Settings { cases, sets, out, demand })
        }
        Some(Command::Review { paths, format, allow_outside }) => review::run(&review::Settings { paths, format, allow_outside }),
        Some(Command::Uvalue { files, sets, climate, out, no_pictures, target, vary, format }) => {
            let (pictures, target) = (!no_pictures, target.zip(vary));
            uvalue::run(&uvalue::Settings { files, sets, out, format, pictures, climate, target })
        }
        Some(Command::New { name }) => command::new::run(name.as_deref()),
        Some(Command::Schema) => {
            command::print(&format!("{:#}\n", coldseam::case::schema::schema()));
            Outcome::Done
        }
        Some(Command::Validate) => command::validate::run(),
        Some(Command::Materials { words }) => command::materials::run(&words),
    };
    outcome.into()
}
