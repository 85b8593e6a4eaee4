//! Reading the garment sheet: what is taken, and how faults are told.

use girthwise::fit::{Blank, Level, MAX_SHEET_BYTES, read_garment};

const SMALL: &str = r#"
name = "Trial top"
unit = "in"
kind = "top"
sizes = ["8", 10]
waist_line = "shaped"
[body]
bust = ["31 1/2", 33]
[finished]
bust = [34.5, "36"]
[seams]
bust = 2
"#;

fn faults(text: &str) -> String {
    read_garment("trial.toml", text).unwrap_err().to_string()
}

#[test]
fn a_small_sheet_is_read_in_its_unit() {
    let garment = read_garment("trial.toml", SMALL).unwrap();
    assert_eq!(garment.sizes, ["8", "10"]);
    let chart = garment.chart_girth(Level::Bust, 0).unwrap();
    assert!((chart.inch() - 31.5).abs() < 1e-12);
    let finished = garment.finished_girth(Level::Bust, 1).unwrap();
    assert!((finished.mm() - 914.4).abs() < 1e-9);
    assert!(garment.finished_girth(Level::Bust, 2).is_none());
    assert!(!garment.is_sized_at(Level::Hip));
}

#[test]
fn every_fault_is_told_at_once_with_its_line() {
    let text = SMALL
        .replace("waist_line", "waistline")
        .replace("\"31 1/2\", 33", "\"31 x\", 33")
        .replace("34.5, \"36\"", "34.5, \"34\"");
    let told = faults(&text);
    assert!(told.starts_with("trial.toml: 4 faults"), "{told}");
    assert!(told.contains("line 6, waistline"), "{told}");
    assert!(told.contains("did you mean `waist_line`?"), "{told}");
    assert!(
        told.contains("line 8, body.bust: \"31 x\" has \"x\" where a unit should stand"),
        "{told}"
    );
    assert!(told.contains("line 10, finished.bust"), "{told}");
    assert!(
        told.contains("does not rise from value 1 to value 2"),
        "{told}"
    );
    assert!(told.contains("waist_line: is missing"), "{told}");
}

#[test]
fn a_table_may_fall_if_the_sheet_says_why() {
    let falls = SMALL.replace("34.5, \"36\"", "34.5, \"34\"");
    let text = format!("not_rising = \"size 10 is the petite cut\"{falls}");
    assert!(read_garment("trial.toml", &text).is_ok());
}

#[test]
fn a_length_to_the_hem_needs_the_allowance() {
    let told = faults(&format!("{SMALL}\n[lines]\nhip_to_hem = 24"));
    assert!(told.contains("hem.allowance"), "{told}");
}

#[test]
fn a_hem_has_one_target() {
    let told = faults(&format!(
        "{SMALL}\n[hem]\nallowance = 1\nabove_floor = 16\nbelow = \"hip\"\nby = 20"
    ));
    assert!(told.contains("names a second hem"), "{told}");
    let told = faults(&format!("{SMALL}\n[hem]\nallowance = 1\nbelow = \"hip\""));
    assert!(told.contains("hem.by"), "{told}");
}

#[test]
fn toml_slips_and_long_sheets_are_refused() {
    assert!(faults("name = \nunit = ").contains("cannot be read"));
    let long = "#".repeat(MAX_SHEET_BYTES + 1);
    assert!(read_garment("long.toml", &long).unwrap_err().is_limit());
}

#[test]
fn an_empty_sheet_says_what_to_write() {
    let told = faults("");
    for key in ["name", "unit", "sizes", "waist_line", "body"] {
        assert!(
            told.contains(&format!("trial.toml, {key}: is missing")),
            "{told}"
        );
    }
}

/// The sheet with every blank filled by its place, and marked lines taken in if asked.
fn filled(text: &str, all: bool) -> String {
    let mut lines = Vec::new();
    for (row, line) in text.lines().enumerate() {
        let marked = line.strip_prefix("# ");
        let is_line = |text: &str| {
            text.starts_with("[[")
                || text
                    .split_once(" = ")
                    .is_some_and(|(key, _)| key.chars().all(|c| c.is_ascii_lowercase() || c == '_'))
        };
        let line = match marked {
            Some(text) if all && is_line(text) => text,
            _ => line,
        };
        let number = 40 + row;
        let line = line.replace("[]", &format!("[{number}, {}]", number + 5));
        lines.push(line.replace("\"\"", &number.to_string()));
    }
    lines.join("\n")
}

#[test]
fn a_blank_sheet_names_its_blanks_and_is_read_once_filled() {
    for blank in Blank::ALL {
        let told = faults(blank.text());
        assert!(told.contains("body.hip") && told.contains("has 0 values for 2 sizes"));
        let garment = read_garment("blank.toml", &filled(blank.text(), false)).unwrap();
        assert!(garment.is_sized_at(Level::Hip) && garment.parts.is_empty());
        // With every marked line, all is known; only pieces and printed girths may not agree here.
        let all = filled(blank.text(), true);
        let (whole, pieces) = all.split_once("[[piece]]").unwrap();
        let garment = read_garment("blank.toml", whole).unwrap();
        assert!(garment.hem.unwrap().target.is_some(), "{blank:?}");
        let told = faults(&format!("{whole}[[piece]]{pieces}"));
        assert!(!told.contains("known key"), "{told}");
    }
}
