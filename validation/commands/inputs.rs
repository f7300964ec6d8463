//! What the program is given: a mutated document of one of four kinds, the files it takes from, and the
//! command that it is given to.

use coldseam::{shipped, validation};

use crate::documents::{self, Dice, NUMBERS};
use crate::lines;
use crate::mutations::mutate;
use crate::tree::Tree;

/// The document, where it is not one that other files name.
pub const MUTATED: &str = "mutated.yaml";
/// One command in this many is one that the document is not meant for.
const STRANGE: usize = 12;

/// Files that differ from the shipped ones, and what is run on them.
#[derive(Clone, Debug)]
pub struct Input {
    /// Name and text.
    pub files: Vec<(String, String)>,
    /// Arguments.
    pub command: Vec<String>,
}

impl Input {
    /// Bytes of all files and arguments.
    pub fn size(&self) -> usize {
        self.files.iter().map(|(_, text)| text.len()).sum::<usize>()
            + self.command.iter().map(String::len).sum::<usize>()
    }
}

/// The documents that mutations begin with.
pub struct Stock {
    /// Names and texts of all files of the folder that the program works in.
    pub files: Vec<(String, &'static str)>,
    junctions: Vec<&'static str>,
    elements: Vec<&'static str>,
}

/// Twelve months as a table.
const CSV: &str = "temperature,humidity\n-0.4,88\n0.6,85\n4.2,80\n8.3,74\n13.1,71\n16.2,72\n18.0,72\n17.6,74\n13.9,79\n9.2,84\n4.1,87\n1.0,89\n";

impl Stock {
    pub fn new() -> Self {
        let is_junction = |text: &&str| text.contains("\nplan:");
        let shipped: Vec<(&str, &'static str)> = shipped::all().map(|file| (file.name, file.text)).collect();
        let more = [
            ("painted", include_str!("../../tests/keys/junction.yaml")),
            ("rows", include_str!("../../tests/keys/slopes.yaml")),
            ("on-ground", include_str!("../../tests/keys/floor.yaml")),
            ("pairs", include_str!("../../tests/results/pairs.yaml")),
            ("sloped", include_str!("../../tests/results/sloped.yaml")),
            ("elements", include_str!("../../tests/results/elements.yaml")),
        ];
        let all: Vec<(&str, &'static str)> =
            shipped.into_iter().chain(validation::CASES.iter().copied()).chain(more).collect();
        Self {
            junctions: all.iter().map(|(_, text)| *text).filter(is_junction).collect(),
            elements: all
                .iter()
                .map(|(_, text)| *text)
                .filter(|text| text.contains("\nbuild_ups:"))
                .collect(),
            files: all
                .iter()
                .map(|(name, text)| (format!("{name}.yaml"), *text))
                .chain([("climate.csv".to_owned(), CSV)])
                .collect(),
        }
    }

    fn text(&self, name: &str) -> &'static str {
        self.files.iter().find(|(file, _)| file == name).map_or("", |(_, text)| text)
    }

    /// The input of a number: always the same.
    pub fn input(&self, number: usize, dice: &mut Dice) -> Input {
        let turn = number / 8;
        // Dwellings solve all their cases and take the most time.
        let mut input = match number % 8 {
            0..5 => self.junction(turn, dice),
            5 => self.build_ups(dice),
            6 => self.dwelling(dice),
            _ => self.climate(turn, dice),
        };
        if dice.roll(STRANGE) == 0 {
            let command = ["solve", "uvalue", "condensation", "dwelling", "review"][turn % 5];
            let file = input.command[1].clone();
            input.command = with_options(&[command, &file], &[]);
        }
        input
    }

    fn junction(&self, turn: usize, dice: &mut Dice) -> Input {
        let text = if dice.roll(8) == 0 {
            documents::random(dice)
        } else {
            mutated(&self.junctions, &self.junctions, dice)
        };
        let command = ["solve", "condensation", "review"][turn % 3];
        let mut more = sets(&text, dice);
        if command == "condensation" && dice.roll(2) == 0 {
            more.extend(["--climate".to_owned(), "climate.yaml".to_owned()]);
        }
        let more: Vec<&str> = more.iter().map(String::as_str).collect();
        let command = with_options(&[command, MUTATED], if command == "review" { &[] } else { &more });
        Input { files: vec![(MUTATED.to_owned(), text)], command }
    }

    fn build_ups(&self, dice: &mut Dice) -> Input {
        let text = mutated(&self.elements, &self.elements, dice);
        let mut more = sets(&text, dice);
        if dice.roll(2) == 0 {
            more.extend(["--climate".to_owned(), "climate.yaml".to_owned()]);
        }
        if dice.roll(4) == 0 {
            let target = ["0.15", "1e-6", "1000"][dice.roll(3)];
            more.extend(["--target", target, "--vary", "insulation"].map(str::to_owned));
        }
        let more: Vec<&str> = more.iter().map(String::as_str).collect();
        Input { files: vec![(MUTATED.to_owned(), text)], command: with_options(&["uvalue", MUTATED], &more) }
    }

    /// The dwelling itself, or a file that it takes from.
    fn dwelling(&self, dice: &mut Dice) -> Input {
        let name = ["dwelling.yaml", "dwelling.yaml", "build-ups.yaml", "plinth.yaml", "window-jamb.yaml"]
            [dice.roll(5)];
        let text =
            mutated(&[self.text(name)], &self.files.iter().map(|(_, text)| *text).collect::<Vec<_>>(), dice);
        let more = if name == "dwelling.yaml" { sets(&text, dice) } else { Vec::new() };
        let more: Vec<&str> = more.iter().map(String::as_str).collect();
        Input {
            files: vec![(name.to_owned(), text)],
            command: with_options(&["dwelling", "dwelling.yaml"], &more),
        }
    }

    fn climate(&self, turn: usize, dice: &mut Dice) -> Input {
        let (name, text) = if dice.roll(3) > 0 {
            let changed = lines::mutated(&[CSV], &mut |sides| dice.roll(sides));
            ("mutated.csv", if dice.roll(2) == 0 { documents::mutated(CSV, dice) } else { changed })
        } else {
            let climate = self.text("climate.yaml");
            ("mutated-climate.yaml", mutated(&[climate], &[climate], dice))
        };
        let command = if turn.is_multiple_of(2) {
            ["condensation", "window-reveal.yaml"]
        } else {
            ["uvalue", "elements.yaml"]
        };
        Input { files: vec![(name.to_owned(), text)], command: with_options(&command, &["--climate", name]) }
    }
}

/// One of the texts, mutated as a tree, as lines, or in its numbers.
fn mutated(texts: &[&str], others: &[&str], dice: &mut Dice) -> String {
    let text = texts[dice.roll(texts.len())];
    match dice.roll(6) {
        0 => lines::mutated(texts, &mut |sides| dice.roll(sides)),
        1 => documents::mutated(text, dice),
        _ => {
            let other = others[dice.roll(others.len())];
            let (Some(mut tree), Some(mut other)) = (Tree::of(text), Tree::of(other)) else {
                return documents::mutated(text, dice);
            };
            mutate(&mut tree, &mut other, dice);
            tree.text()
        }
    }
}

/// Now and then a value for a parameter.
fn sets(text: &str, dice: &mut Dice) -> Vec<String> {
    if dice.roll(8) > 0 {
        return Vec::new();
    }
    let names = ["insulation", "block", "set_out", "nothing", "", "a b", "plaster"];
    let own = Tree::of(text).and_then(|mut tree| match tree.get("parameters") {
        Some(Tree::Table(entries)) if !entries.is_empty() => {
            Some(entries[dice.roll(entries.len())].0.clone())
        }
        _ => None,
    });
    // An argument cannot hold a zero.
    let name = own.unwrap_or_else(|| dice.of(&names).to_owned()).replace('\0', "");
    let value = match dice.roll(3) {
        0 => dice.of(&NUMBERS).to_owned(),
        1 => format!("{}", dice.roll(400)),
        _ => dice.of(&["block * 2", "(", "1 +", "max(1, 2)", "é", "1e3 = 4", ""]).to_owned(),
    };
    vec!["--set".to_owned(), format!("{name}={value}")]
}

/// A command with the options that it has, and more.
pub fn with_options(command: &[&str], more: &[&str]) -> Vec<String> {
    let options: &[&str] = match command[0] {
        "solve" | "condensation" | "uvalue" => &["--format", "json", "--no-pictures"],
        _ => &["--format", "json"],
    };
    command.iter().chain(options).chain(more).map(|word| (*word).to_owned()).collect()
}
