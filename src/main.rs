//! The command line: parses and calls.

use std::process::ExitCode;

use clap::{Parser, Subcommand};
use coldseam::case;
use coldseam::command::{self, Exit, compare, condensation, dwelling, report, review, solve, uvalue};
use coldseam::report::document;

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
    Solve(solve::Settings),
    /// Mould and condensation: verdicts, months, pictures; with --what-helps, what each change is worth
    Condensation(condensation::Settings),
    /// U-values of build-ups, layer by layer; with --target, the thickness that reaches one
    Uvalue(uvalue::Settings),
    /// Add up A·U and l·ψ of a dwelling
    Dwelling(dwelling::Settings),
    /// Two cases side by side: what differs in what was put in, and in what came out
    Compare(compare::Settings),
    /// One HTML file a case with everything a reviewer needs
    Report(report::Settings),
    /// Try to find fault with submissions: cases, reports, or folders of them
    Review(review::Settings),
    /// List the ready-made cases, or write some as starting files
    New {
        /// Which ones
        #[arg(value_name = "NAME")]
        names: Vec<String>,
    },
    /// List or search the generic materials
    Materials {
        /// Words to look for in name, description, group and source
        words: Vec<String>,
    },
    /// What a file may say: every key with unit, range, default and an example
    Keys {
        /// A block (psi), a way (psi.flanking) or a key (section); an overview without
        r#where: Option<String>,
    },
    /// Print the JSON Schema of case, build-up and climate files, for editors; with --results, of what
    /// --format json prints
    Schema {
        /// Of the documents of results
        #[arg(long)]
        results: bool,
    },
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
  coldseam keys [WHERE]                 what a file may say: every key with unit, default and example
  coldseam materials [WORD], coldseam compare, coldseam schema, coldseam validate, coldseam help
";

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        // Help and version were asked for; they are lost as results are, where nobody can take them.
        Err(help) if !help.use_stderr() => {
            command::print(&help.render().to_string());
            return command::end(Exit::Done).into();
        }
        Err(error) => error.exit(),
    };
    let outcome = match arguments.command {
        None => {
            command::print(FIRST_STEPS);
            Exit::Done
        }
        Some(Command::Solve(settings)) => solve::run(&settings),
        Some(Command::Condensation(settings)) => condensation::run(&settings),
        Some(Command::Uvalue(settings)) => uvalue::run(&settings),
        Some(Command::Dwelling(settings)) => dwelling::run(&settings),
        Some(Command::Compare(settings)) => compare::run(&settings),
        Some(Command::Report(settings)) => report::run(&settings),
        Some(Command::Review(settings)) => review::run(&settings),
        Some(Command::New { names }) => command::new::run(&names),
        Some(Command::Schema { results }) => {
            let schema = if results { document::schema::schema() } else { case::schema::schema() };
            command::print(&format!("{schema:#}\n"));
            Exit::Done
        }
        Some(Command::Validate) => command::validate::run(),
        Some(Command::Keys { r#where }) => command::keys::run(r#where.as_deref()),
        Some(Command::Materials { words }) => command::materials::run(&words),
    };
    command::end(outcome).into()
}
