//! The report: self-contained, escaped, and read back by the review.

#![allow(clippy::unwrap_used)] // a failed unwrap is a failed test

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use coldseam::report::html;
use coldseam::review::{self, Seal};
use coldseam::{case, result, shipped};

mod common;

fn coldseam(arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::cargo_bin("coldseam").unwrap().args(arguments).output().unwrap();
    (
        output.status.code(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

/// A report on a shipped case, written to a folder.
fn reported(folder: &Path, name: &str, arguments: &[&str]) -> PathBuf {
    let case = common::root(&format!("cases/{name}.yaml")).display().to_string();
    let out = folder.display().to_string();
    let (code, _, errors) = coldseam(&[&["report", &case, "--out", &out], arguments].concat());
    assert_eq!(code, Some(0), "{errors}");
    folder.join(name).join("report.html")
}

/// Question keys that fail for a file.
fn failing(path: &Path) -> Vec<String> {
    let (_, text, errors) = coldseam(&["review", "--format", "json", &path.display().to_string()]);
    let document: serde_json::Value = serde_json::from_str(&text).unwrap_or_else(|_| panic!("{errors}"));
    let findings = document["findings"].as_array().unwrap();
    let mut keys: Vec<String> = findings
        .iter()
        .filter(|finding| finding["verdict"] == "fail")
        .map(|finding| finding["question"].as_str().unwrap().to_owned())
        .collect();
    keys.dedup();
    keys
}

#[test]
fn reports_are_self_contained_and_small() {
    for shipped in shipped::CASES {
        let outcome = common::solve_shipped(shipped.name, &[]);
        let page = html::page(&outcome, &review::review(&outcome, &Seal::None)).unwrap();
        assert!(page.len() < 3_000_000, "{}: {} bytes", shipped.name, page.len());
        // The only address is the name of the SVG language, which is never fetched. In pictures the letters may
        // stand by chance.
        let mut parts = page.split("base64,");
        let first = parts.next().unwrap().to_owned();
        let page = parts.fold(first, |text, part| text + part.split_once('"').unwrap().1);
        assert_eq!(
            page.matches("http").count() - page.matches("http-equiv").count(),
            page.matches("http://www.w3.org/2000/svg").count()
        );
        assert!(page.contains("default-src 'none'") && !page.contains("<link") && !page.contains("@import"));
        for part in [
            "= ψ",
            "SHA-256",
            "data-checksum=",
            "data-result=\"l2d\"",
            "licensed practice decide",
            "Is the heat balance closed?",
        ] {
            assert!(page.contains(part), "{}: `{part}`", shipped.name);
        }
    }
}

#[test]
fn an_untouched_report_passes_and_a_changed_one_is_caught() {
    let folder = tempfile::tempdir().unwrap();
    let path = reported(folder.path(), "window-sill", &["--set", "insulation=160"]);
    assert_eq!(failing(&path), Vec::<String>::new());
    let page = fs::read_to_string(&path).unwrap();
    assert!(
        page.contains("data-name=\"window-sill.yaml\"") && !page.contains(env!("CARGO_MANIFEST_DIR")),
        "no path of the machine"
    );
    let changed = |from: &str, to: &str| {
        assert!(page.contains(from), "{from}");
        fs::write(&path, page.replacen(from, to, 1)).unwrap();
        failing(&path)
    };
    // The inputs: an insulant becomes better, or a set is changed. The results shown no longer follow either.
    assert_eq!(
        changed("graphite_eps: { conductivity: 0.031", "graphite_eps: { conductivity: 0.035"),
        ["checksum", "claims"]
    );
    assert_eq!(changed("insulation=160", "insulation=140"), ["checksum", "claims"]);
    // The results shown.
    let psi = page.split("data-result=\"psi_internal\">").nth(1).unwrap().split('<').next().unwrap();
    assert_eq!(
        changed(&format!("data-result=\"psi_internal\">{psi}"), "data-result=\"psi_internal\">0.0010"),
        ["claims"]
    );
    let factor = page.split("data-result=\"f_rsi\">").nth(1).unwrap().split('<').next().unwrap();
    assert_eq!(
        changed(&format!("data-result=\"f_rsi\">{factor}"), "data-result=\"f_rsi\">0.950"),
        ["claims"]
    );
    // The checksum alone.
    let stated = page.split("data-checksum=\"").nth(1).unwrap().split('"').next().unwrap();
    assert_eq!(changed(&format!("data-checksum=\"{stated}\""), "data-checksum=\"00ff\""), ["checksum"]);
}

/// Files that a case includes go into the report, and are read from there.
#[test]
fn includes_travel_with_the_report() {
    let folder = tempfile::tempdir().unwrap();
    let inner = folder.path().join("case");
    fs::create_dir(&inner).unwrap();
    fs::write(folder.path().join("shared.yaml"), "coldseam: 1\nparameters: { extra: 7 }\n").unwrap();
    let text = shipped::find("outer-corner")
        .unwrap()
        .text
        .replace("coldseam: 1\n", "coldseam: 1\ninclude: [../shared.yaml]\n");
    fs::write(inner.join("corner.yaml"), text.replace("leg: 1200", "leg: 1193 + extra")).unwrap();
    let out = folder.path().join("out");
    let (code, _, errors) = coldseam(&[
        "report",
        &inner.join("corner.yaml").display().to_string(),
        "--out",
        &out.display().to_string(),
    ]);
    assert_eq!(code, Some(0), "{errors}");
    fs::remove_file(folder.path().join("shared.yaml")).unwrap();
    assert_eq!(failing(&out.join("corner/report.html")), Vec::<String>::new());
}

/// Text of the case never becomes markup, and what looks like the report's own markup does not fool reading
/// it back.
#[test]
fn hostile_text_stays_text() {
    let hostile = "<script>alert(1)</script></pre><pre class='source' data-name='x'> & \\\"quoted\\\"";
    let text =
        shipped::find("outer-corner").unwrap().text.replace("title: ", &format!("title: \"{hostile}\" #"));
    let text = text
        .replace("aircrete_block:", "\"<img src=x onerror=alert(2)>\":")
        .replace("fill: aircrete_block", "fill: \"<img src=x onerror=alert(2)>\"");
    let case = case::from_text("hostile", &text, &[]).unwrap_or_else(|rejected| panic!("{rejected}"));
    let outcome = result::compute(case).unwrap();
    let page = html::page(&outcome, &review::review(&outcome, &Seal::None)).unwrap();
    assert!(!page.contains("<script>alert") && !page.contains("<img src=x"), "markup from the case");
    assert_eq!(page.matches("</pre>").count(), 1);
    assert_eq!(page.matches("<script").count(), 2);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("hostile.html");
    fs::write(&path, page).unwrap();
    assert_eq!(failing(&path), Vec::<String>::new());
}

#[test]
fn what_is_no_report_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("page.html");
    for text in
        ["", "<html></html>", "<pre class=\"source\" data-name=\"a\">coldseam: 1</pre>", "data-checksum=\"\""]
    {
        fs::write(&path, text).unwrap();
        let (code, _, errors) = coldseam(&["review", &path.display().to_string()]);
        assert_eq!(code, Some(2));
        assert!(errors.contains("is no report of this program"), "{errors}");
    }
    fs::write(&path, [0xff, 0xfe, 0x00]).unwrap();
    assert_eq!(coldseam(&["review", &path.display().to_string()]).0, Some(2));
}

#[test]
fn two_cases_of_one_name_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("window-sill.yaml");
    fs::copy(common::root("cases/window-sill.yaml"), &copy).unwrap();
    let original = common::root("cases/window-sill.yaml").display().to_string();
    let out = folder.path().join("out").display().to_string();
    for command in ["report", "condensation"] {
        let (code, _, errors) = coldseam(&[command, &original, &copy.display().to_string(), "--out", &out]);
        assert_eq!(code, Some(2), "{command}");
        assert!(
            errors.contains("would write to the same folder") && !Path::new(&out).exists(),
            "{command}: {errors}"
        );
    }
}

/// With a climate a report shows the months, with the numbers and verdicts of `condensation`, and is read back as
/// before.
#[test]
fn months_of_a_climate_are_shown() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out").display().to_string();
    let [case, climate] = ["cases/window-reveal.yaml", "cases/climate.yaml"]
        .map(|path| common::root(path).display().to_string());
    let with = |command: &str, more: &[&str]| {
        coldseam(
            &[&[command, &case, "--climate", &climate, "--out", &out, "--set", "reveal=0"], more].concat(),
        )
    };
    let (code, _, errors) = with("report", &[]);
    assert_eq!(code, Some(0), "{errors}");
    let (_, text, _) = with("condensation", &["--no-pictures", "--format", "json"]);
    let document: serde_json::Value = serde_json::from_str(&text).unwrap();
    let page = fs::read_to_string(folder.path().join("out/window-reveal/report.html")).unwrap();
    let row = |month: &serde_json::Value| {
        let number = |key: &str| month[key].as_f64().unwrap();
        let needed =
            month["needed_f_rsi"].as_f64().map_or_else(|| "–".to_owned(), |needed| format!("{needed:.3}"));
        let cells = [
            month["month"].as_str().unwrap().to_owned(),
            format!("{:.1}", number("outdoor_temperature")),
            format!("{:.0}", number("outdoor_pressure")),
            format!("{:.0}", number("indoor_pressure")),
            needed,
            format!("{:.2}", number("surface_temperature")),
            format!("{:.0} %", number("surface_humidity") * 100.0),
        ];
        cells.map(|cell| format!(">{cell}</td>"))
    };
    let mut rows = 0;
    let mut fails = 0;
    for room in document["environments"].as_array().unwrap() {
        let apart = &room["excluded"]["year"]["months"];
        let own = room["year"]["months"].as_array().unwrap();
        for month in own.iter().chain(apart.as_array().into_iter().flatten()) {
            let cells = row(month);
            let is_shown = |line: &&str| {
                let mut rest = *line;
                cells.iter().all(|cell| match rest.split_once(cell.as_str()) {
                    Some((_, after)) => {
                        rest = after;
                        true
                    }
                    None => false,
                })
            };
            let line = page.lines().find(is_shown).unwrap_or_else(|| panic!("{cells:?}"));
            let is_failing = month["verdict"] == "fails";
            assert_eq!(line.contains("verdict fail"), is_failing, "{line}");
            fails += usize::from(is_failing);
            rows += 1;
        }
    }
    assert!(rows >= 12 && fails > 0 && fails < rows, "{rows} {fails}");
    // Without one there are none, and the review of either finds the same.
    let report = |name: &str| folder.path().join(name).join("window-reveal/report.html");
    let plain = folder.path().join("plain").display().to_string();
    let (code, _, errors) = coldseam(&["report", &case, "--out", &plain, "--set", "reveal=0"]);
    assert!(
        code == Some(0) && !fs::read_to_string(report("plain")).unwrap().contains("Month by month"),
        "{errors}"
    );
    assert_eq!(failing(&report("out")), failing(&report("plain")));
}

#[test]
fn months_that_cannot_be_judged_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let climate = common::root("cases/climate.yaml").display().to_string();
    let text = shipped::find("outer-corner").unwrap().text;
    let block = text.lines().find(|line| line.starts_with("condensation:")).unwrap();
    let without = text.replace(block, "");
    let case = folder.path().join("case.yaml");
    let table = folder.path().join("station.csv");
    fs::write(
        &table,
        format!(
            "month;temperature;humidity\n{}",
            (1..13).fold(String::new(), |text, month| format!("{text}{month};5;80\n"))
        ),
    )
    .unwrap();
    let table = table.display().to_string();
    let [missing, wrong] = ["nowhere.yaml", "cases/outer-corner.yaml"];
    let wrong_file = common::root(wrong).display().to_string();
    for (text, climate, expected) in [
        (without.as_str(), &climate, "needs `condensation: {}`"),
        (&text.replace(", humidity: 50", ""), &table, "needs an environment with a `humidity`"),
        (text, &missing.to_owned(), "there is no such file"),
        (text, &wrong_file, "there is no `climate:` in this file"),
    ] {
        fs::write(&case, text).unwrap();
        let arguments = [
            "report",
            &case.display().to_string(),
            "--climate",
            climate,
            "--out",
            &out.display().to_string(),
        ];
        let (code, _, errors) = coldseam(&arguments);
        assert_eq!(code, Some(2), "{errors}");
        assert!(errors.contains(expected) && errors.ends_with("nothing was written\n"), "{errors}");
        assert!(!out.exists());
    }
}
