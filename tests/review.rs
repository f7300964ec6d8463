//! The review: an untouched submission passes, and each planted fault is named, and no other.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::collections::BTreeSet;
use std::fs;

use assert_cmd::Command;
use coldseam::result::{self, Outcome};
use coldseam::review::{self, Finding, Question, Seal, Verdict};
use coldseam::{case, shipped};

mod common;

fn reviewed(text: &str) -> Vec<Finding> {
    let case =
        case::from_text("submission", text, &[]).unwrap_or_else(|rejected| panic!("{rejected}\n{text}"));
    review::review(&result::compute(case).unwrap(), &Seal::None)
}

fn failing(findings: &[Finding]) -> BTreeSet<&'static str> {
    findings
        .iter()
        .filter(|finding| finding.verdict == Verdict::Fail)
        .map(|finding| finding.question.key())
        .collect()
}

/// A shipped case as a submission: with sources that name a document.
fn submission(name: &str) -> String {
    let text = shipped::find(name).unwrap().text;
    text.replace(
        "invented for this scenario; a supplier's declaration goes here",
        "declared by the supplier, document 12 on file",
    )
}

/// The same text with the results that it leads to stated, as whoever made it would.
fn with_claims(text: &str) -> String {
    let outcome = common::solve_text(text);
    let coldest = outcome.factors[0].coldest.as_ref();
    let factor = coldest.map_or_else(String::new, |coldest| format!(", f_rsi: {:.2}", coldest.factor));
    format!(
        "{text}\nclaims: {{ psi_internal: {:.3}, l2d: {:.3}{factor} }}\n",
        outcome.psi[0].value,
        outcome.l2d.unwrap().middle()
    )
}

#[test]
fn untouched_submissions_pass() {
    for shipped in shipped::CASES {
        let findings = reviewed(&with_claims(&submission(shipped.name)));
        assert_eq!(failing(&findings), BTreeSet::new(), "{}: {findings:#?}", shipped.name);
        let asked: BTreeSet<&str> = findings.iter().map(|finding| finding.question.key()).collect();
        assert_eq!(asked.len(), Question::ALL.len());
    }
}

/// Case, text to replace and its replacement, the question that must fail, and what its evidence must say.
/// Results are stated after the fault, as whoever planted it would.
const FAULTS: &[(&str, &str, &str, Question, &str)] = &[
    ("window-sill", "-1200", "-700", Question::CutOff, "the cut-off plane of wall"),
    ("plinth", "20000", "8000", Question::CutOff, "the ground reaches"),
    ("plinth", "half_width: 4000", "half_width: 6000", Question::CutOff, "2.5 times the width of the floor"),
    (
        "window-sill",
        "\npsi:",
        "  - { space: outside, x: [block + 20, block + 21], y: [-900, -800] }\n\npsi:",
        Question::Gaps,
        "a gap of 1.000 mm",
    ),
    (
        "window-sill",
        "\npsi:",
        "  - { space: room, x: [100, 140], y: [-900, -899.5] }\n\npsi:",
        Question::Gaps,
        "a gap of 0.500 mm",
    ),
    (
        "outer-corner",
        "\npsi:",
        "  - { space: outside, x: [block, block + 1.5], y: [-600, -500] }\n\npsi:",
        Question::Gaps,
        "a gap of 1.500 mm",
    ),
    (
        "window-sill",
        "\nplan:\n",
        "\nplan:\n  - { fill: mineral_wool, x: [block + 10, block + 20], y: [-800, -700] }\n",
        Question::Hidden,
        "hide this one completely",
    ),
    (
        "window-jamb",
        "\nplan:",
        "\nplan:\n  - { fill: steel, x: [20, 60], y: [-900, -800] }\n  #",
        Question::Hidden,
        "hide this one completely",
    ),
    (
        "window-sill",
        "x: [block, face], y: [-sub_sill, 0]",
        "x: [block, face], y: [-sub_sill + 30, 0]",
        Question::Holes,
        "an unpainted hole",
    ),
    (
        "window-sill",
        "{ fill: aircrete_block, x: [0, block]",
        "{ fill: aircrete_block, x: [0, block - 100]",
        Question::Holes,
        "a pocket of `",
    ),
    (
        "window-sill",
        "conductivity: 0.031",
        "conductivity: 0.020",
        Question::Conductivities,
        "usually 0.03 to 0.04; here 0.02",
    ),
    ("window-sill", "conductivity: 0.18", "conductivity: 0.05", Question::Conductivities, "aerated concrete"),
    (
        "outer-corner",
        "conductivity: 0.031",
        "conductivity: { x: 0.031, y: 0.015 }",
        Question::Conductivities,
        "expanded polystyrene",
    ),
    (
        "inner-corner",
        "conductivity: 0.18,",
        "conductivity: 0.04,",
        Question::Conductivities,
        "aerated concrete",
    ),
    ("window-head", "conductivity: 0.031", "conductivity: 0.025", Question::Conductivities, "here 0.025"),
    (
        "window-sill",
        "declared by the supplier, document 12 on file",
        "tbc",
        Question::Sources,
        "no source that can be checked",
    ),
    (
        "window-head",
        "declared by the supplier, document 12 on file",
        "assumed by the architect",
        Question::Sources,
        "assumed by the architect",
    ),
    (
        "outer-corner",
        "declared by the supplier, document 12 on file",
        "unknown",
        Question::Sources,
        "unknown",
    ),
    (
        "window-sill",
        "\ncondensation:",
        "\nsurfaces: [{ of: room, resistance: 0.25 }]\ncondensation:",
        Question::Surfaces,
        "it lowers the loss",
    ),
    (
        "window-sill",
        "\ncondensation:",
        "\nsurfaces: [{ of: outside, resistance: 0.3 }]\ncondensation:",
        Question::Surfaces,
        "the standard has 0.04",
    ),
    (
        "window-sill",
        "\ncondensation:",
        "\nsurfaces: [{ of: room, on: softwood, resistance: 1.0 }]\ncondensation:",
        Question::Surfaces,
        "the case sets 1 m²K/W",
    ),
    (
        "window-sill",
        "{ resistance: 0.25, exclude",
        "{ resistance: 0.13, exclude",
        Question::Surfaces,
        "ISO 13788 has 0.25",
    ),
    (
        "window-jamb",
        "exclude: [window_panel]",
        "exclude: [window_panel, plaster_gypsum]",
        Question::Surfaces,
        "no frame or glazing",
    ),
    (
        "window-sill",
        "internal: [-1200, 0], external: [-1200, 0]",
        "internal: [-1200, -33], external: [-1200, -33]",
        Question::Lengths,
        "the plan has no edge",
    ),
    (
        "window-sill",
        "internal: [0, 1000], external: [0, 1000]",
        "internal: [-board, 1000], external: [-board, 1000]",
        Question::Lengths,
        "overlap by 20 mm",
    ),
    (
        "window-sill",
        "internal: [-1200, 0], external: [-1200, 0]",
        "internal: [-1200, -board], external: [-1200, -board]",
        Question::Lengths,
        "belong to neither",
    ),
    (
        "outer-corner",
        "external: [-leg, wall]",
        "external: [-leg, plaster + block]",
        Question::Conventions,
        "as thick as the difference",
    ),
    (
        "inner-corner",
        "internal: [-leg, wall]",
        "internal: [-leg, wall - plaster - block]",
        Question::Conventions,
        "as thick as the difference",
    ),
];

#[test]
fn every_planted_fault_is_named_and_no_other() {
    let mut planted = 0;
    for (name, from, to, question, evidence) in FAULTS {
        let text = submission(name);
        assert!(text.contains(from), "{name} has no `{from}`");
        let text = text.replace(from, to);
        let findings = reviewed(&with_claims(&text));
        let own = findings.iter().filter(|finding| finding.verdict == Verdict::Fail);
        let own: Vec<&Finding> = own.collect();
        assert_eq!(failing(&findings), BTreeSet::from([question.key()]), "{name}, {from} → {to}: {own:#?}");
        let named = findings
            .iter()
            .any(|finding| finding.verdict == Verdict::Fail && finding.evidence.contains(evidence));
        assert!(named, "{name}, {from} → {to}: {findings:#?}");
        planted += 1;
    }
    assert!(planted >= 25, "{planted} faults");
}

/// Results that the case does not lead to.
#[test]
fn wrong_results_are_named() {
    let text = submission("window-sill");
    for (claims, question, evidence) in [
        ("psi_internal: 0.021", Question::Claims, "off by"),
        ("psi_internal: 0.01", Question::Claims, "off by"),
        ("psi_external: -0.02", Question::Claims, "psi_external"),
        ("f_rsi: 0.93", Question::Claims, "f_rsi = 0.93 is stated"),
        ("l2d: 1.05", Question::Claims, "l2d = 1.05"),
        ("psi_overall_internal: 0.013", Question::Claims, "does not lead to such a value"),
        ("u_values: { wall: 0.12 }", Question::UValues, "the case has 0.1602"),
        ("u_values: { roof: 0.12 }", Question::UValues, "no flanking element"),
    ] {
        let findings = reviewed(&format!("{text}\nclaims: {{ {claims} }}\n"));
        assert_eq!(failing(&findings), BTreeSet::from([question.key()]), "{claims}: {findings:#?}");
        let named = findings
            .iter()
            .any(|finding| finding.verdict == Verdict::Fail && finding.evidence.contains(evidence));
        assert!(named, "{claims}: {findings:#?}");
    }
    // Rounding as written is allowed for, but no more than the last digit that the trade prints.
    for claims in ["psi_internal: 0.013", "psi_internal: 0.0133, u_values: { wall: 0.16, window: 0.9 }"] {
        assert_eq!(
            failing(&reviewed(&format!("{text}\nclaims: {{ {claims} }}\n"))),
            BTreeSet::new(),
            "{claims}"
        );
    }
}

fn run(arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::cargo_bin("coldseam").unwrap().arg("review").args(arguments).output().unwrap();
    (
        output.status.code(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

#[test]
fn a_folder_of_submissions_gives_a_table() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().display().to_string();
    fs::write(folder.path().join("good.yaml"), with_claims(&submission("window-sill"))).unwrap();
    fs::write(
        folder.path().join("bad.yaml"),
        submission("window-head").replace("conductivity: 0.031", "conductivity: 0.020"),
    )
    .unwrap();
    let (code, text, errors) = run(&[&path]);
    assert_eq!(code, Some(1), "{errors}");
    assert!(text.contains("Summary"), "{text}");
    assert!(
        text.lines().any(|line| line.contains("FAIL")
            && line.contains("bad.yaml")
            && line.ends_with("conductivities")),
        "{text}"
    );
    let (code, text, _) = run(&[&path, "--format", "json"]);
    let documents: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!((code, documents.as_array().unwrap().len()), (Some(1), 2));
    assert_eq!(documents[0]["verdict"], "fail");
    fs::write(folder.path().join("broken.yaml"), "coldseam: 1\n").unwrap();
    assert_eq!(run(&[&path]).0, Some(2));
}

#[test]
fn includes_that_leave_the_folder_are_refused_unless_allowed() {
    let folder = tempfile::tempdir().unwrap();
    let inner = folder.path().join("submission");
    fs::create_dir(&inner).unwrap();
    fs::write(folder.path().join("secret.yaml"), "coldseam: 1\nparameters: { extra: 1 }\n").unwrap();
    let case = inner.join("sill.yaml");
    fs::write(
        &case,
        submission("window-sill").replace("coldseam: 1\n", "coldseam: 1\ninclude: [../secret.yaml]\n"),
    )
    .unwrap();
    let path = case.display().to_string();
    let (code, _, errors) = run(&[&path]);
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("leaves the folder of the case") && errors.contains("--allow-outside"),
        "{errors}"
    );
    assert_eq!(run(&[&path, "--allow-outside"]).0, Some(0));
    // A link that leads out is a way out too.
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(folder.path().join("secret.yaml"), inner.join("link.yaml")).unwrap();
        fs::write(
            &case,
            submission("window-sill").replace("coldseam: 1\n", "coldseam: 1\ninclude: [link.yaml]\n"),
        )
        .unwrap();
        assert!(run(&[&path]).2.contains("leaves the folder of the case"));
    }
    fs::write(inner.join("own.yaml"), "coldseam: 1\nparameters: { extra: 1 }\n").unwrap();
    fs::write(
        &case,
        submission("window-sill").replace("coldseam: 1\n", "coldseam: 1\ninclude: [own.yaml]\n"),
    )
    .unwrap();
    assert_eq!(run(&[&path]).0, Some(0));
}

/// What the program's own arithmetic could get wrong, planted in a finished outcome: the independent
/// solution, the balance and the subdivision notice.
#[test]
fn faults_of_the_computation_fail_too() {
    let sound = common::solve_text(&with_claims(&submission("window-sill")));
    let changed = |change: &dyn Fn(&mut Outcome)| {
        let mut outcome = common::solve_text(&submission("window-sill"));
        change(&mut outcome);
        failing(&review::review(&outcome, &Seal::None))
    };
    assert!(failing(&review::review(&sound, &Seal::None)).is_empty());
    let with_evidence = |heat_flow: [f64; 2], factors: [f64; 2]| {
        move |outcome: &mut Outcome| {
            let evidence = outcome.evidence.as_mut().unwrap();
            evidence.heat_flow = heat_flow;
            evidence.factors[0].values = factors;
        }
    };
    assert!(
        changed(&|outcome| outcome.l2d = Some(outcome.l2d.unwrap().times(1.05).unwrap()))
            .contains(Question::Independent.key())
    );
    // A surface colder by 1 K than it is, with all that is said about it.
    let colder = |outcome: &mut Outcome| {
        outcome.place_errors.iter_mut().for_each(|place| place.temperature -= 1.0);
    };
    assert!(changed(&colder).contains(Question::Independent.key()));
    assert!(changed(&|outcome| outcome.heat_balance = 2e-4).contains(Question::Balance.key()));
    assert!(changed(&|outcome| outcome.heat_balance = 5e-5).is_empty());
    assert!(changed(&with_evidence([1.0, 1.02], [0.9, 0.9])).contains(Question::Subdivision.key()));
    assert!(changed(&with_evidence([1.0, 1.005], [0.9, 0.904])).is_empty());
    assert!(changed(&with_evidence([1.0, 1.0], [0.9, 0.906])).contains(Question::Subdivision.key()));
}

/// What is said of materials that nothing paints: of the case's own that are in no build-up either, and of none
/// that come from a file which several cases share.
#[test]
fn only_materials_that_do_nothing_are_told_as_unpainted() {
    let folder = tempfile::tempdir().unwrap();
    let shared = "coldseam: 1\nmaterials:\n  shared_foam: { conductivity: 0.001, source: \"unknown\" }\n";
    fs::write(folder.path().join("shared.yaml"), shared).unwrap();
    let source = "source: \"declared by the supplier, document 7\"";
    let case = format!(
        "coldseam: 1
title: bridged wall
include: shared.yaml
materials:
  own_wool: {{ conductivity: 0.035, {source} }}
  own_timber: {{ conductivity: 0.13, {source} }}
  own_plaster: {{ conductivity: {{ x: 0.4, y: 0.5 }}, {source} }}
  idle_wool: {{ conductivity: 0.035, {source} }}
build_ups:
  stud: {{ layers: [[own_plaster, 13], {{ material: own_wool, thickness: 100, bridged_by: {{ material: own_timber, width: 45, spacing: 600 }} }}, [render, 10]] }}
environments:
  room: {{ role: internal, temperature: 20 }}
  outside: {{ role: external, temperature: 0 }}
extent: {{ x: [0, 500], y: [-423, 300] }}
plan:
  - {{ space: room, y: [0, 300] }}
  - {{ space: outside, y: [-423, -123] }}
  - {{ layers: {{ build_up: stud }}, along: -y, from: 0, x: [0, 500] }}
"
    );
    let file = folder.path().join("case.yaml");
    fs::write(&file, case).unwrap();
    let (_, text, errors) = run(&[&file.display().to_string()]);
    let told: Vec<&str> = text.lines().filter(|line| line.contains("defined but not painted")).collect();
    assert!(matches!(told.as_slice(), [one] if one.contains("idle wool")), "{told:?} {errors}");
    // Nor is anything else asked of what is shared and not used.
    assert!(!text.contains("shared foam"), "{text}");
}

/// A folder of results holds a folder for each case: the reports in them are reviewed.
#[test]
fn reports_in_folders_of_results_are_found() {
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("out");
    for name in ["outer-corner", "window-sill"] {
        fs::write(place.path().join(format!("{name}.yaml")), submission(name)).unwrap();
        let mut program = Command::cargo_bin("coldseam").unwrap();
        let file = place.path().join(format!("{name}.yaml"));
        program.arg("report").arg(file).arg("--out").arg(&out).assert().success();
    }
    fs::create_dir(out.join(".hidden")).unwrap();
    fs::write(out.join(".hidden/case.yaml"), "no case").unwrap();
    fs::create_dir(out.join("letters")).unwrap();
    let shown = out.display().to_string();
    let (code, text, errors) = run(&[&shown]);
    assert_eq!(code, Some(0), "{text}{errors}");
    for name in ["outer-corner", "window-sill"] {
        assert!(text.contains(&format!("{name}/report.html: ")), "{text}");
    }
    // What a link leads to is no submission of the folder.
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(place.path(), out.join("link")).unwrap();
        let (code, _, errors) = run(&[&shown]);
        assert_eq!(code, Some(2));
        assert!(errors.contains("link is not an ordinary file of its folder"), "{errors}");
        fs::remove_file(out.join("link")).unwrap();
    }
    // Files of the folder itself are the submissions where there are any: what lies deeper belongs to them.
    fs::write(out.join("own.yaml"), submission("inner-corner")).unwrap();
    let (_, text, _) = run(&[&shown]);
    assert!(text.contains("own.yaml: ") && !text.contains("report.html"), "{text}");
    // Nothing on either level.
    let (code, _, errors) = run(&[&out.join("letters").display().to_string()]);
    assert_eq!(code, Some(2));
    assert!(errors.contains("nor do the folders in it"), "{errors}");
}
