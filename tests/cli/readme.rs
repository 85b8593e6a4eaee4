//! What the README shows is what the program prints.

use crate::run::girthwise;
use std::path::Path;

const MARK: &str = "<!-- demo-output: ";

/// A block after a line `<!-- demo-output: ARGUMENTS -->` shows what the program prints for them.
///
/// A line of `...` stands for any lines left out. To renew a block, copy from the failure's text.
#[test]
fn demo_output_is_what_the_program_prints() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(path).unwrap();
    let blocks = blocks(&readme);
    assert!(
        !blocks.is_empty(),
        "README.md has no line \"{MARK}ARGUMENTS -->\""
    );
    for (arguments, shown) in blocks {
        let printed = girthwise(arguments.split_whitespace()).well();
        assert!(
            shown.iter().any(|line| *line != "..."),
            "the block of {arguments} is empty; it prints\n{printed}"
        );
        let printed_lines: Vec<&str> = printed.lines().collect();
        if let Err(line) = matches(&shown, &printed_lines) {
            panic!(
                "README.md, block of \"{arguments}\": no such line in its place:\n{line}\n\nThe program prints:\n{printed}"
            );
        }
    }
}

/// Arguments and lines of each marked block.
fn blocks(text: &str) -> Vec<(&str, Vec<&str>)> {
    let mut lines = text.lines();
    let mut blocks = Vec::new();
    while let Some(line) = lines.next() {
        if let Some(rest) = line.strip_prefix(MARK) {
            let arguments = rest.strip_suffix("-->").unwrap().trim();
            let fence = lines.find(|line| line.starts_with("```"));
            assert!(fence.is_some(), "no block follows \"{line}\"");
            let block = lines.by_ref().take_while(|line| *line != "```").collect();
            blocks.push((arguments, block));
        }
    }
    blocks
}

/// Whether `shown` is `printed` with runs of lines left out at `...`; else the first line that is not.
///
/// Taking the first place a run of lines fits is enough: a later one leaves no more to what follows.
fn matches<'a>(shown: &[&'a str], printed: &[&'a str]) -> Result<(), &'a str> {
    let mut rest = printed;
    let mut runs = shown.split(|line| *line == "...").peekable();
    let mut is_first = true;
    while let Some(run) = runs.next() {
        let is_last = runs.peek().is_none();
        let room = rest.len().checked_sub(run.len());
        let starts = match (is_first, is_last, room) {
            (_, _, None) => 0..0,
            (true, true, Some(room)) if room > 0 => 0..0,
            (true, _, Some(_)) => 0..1,
            (false, true, Some(room)) => room..room + 1,
            (false, false, Some(room)) => 0..room + 1,
        };
        let Some(at) = starts.into_iter().find(|&at| rest[at..].starts_with(run)) else {
            let missing = run.iter().find(|line| !rest.contains(line));
            return Err(missing.or(run.first()).copied().unwrap_or("..."));
        };
        rest = &rest[at + run.len()..];
        is_first = false;
    }
    Ok(())
}

#[test]
fn left_out_lines_are_allowed_and_others_not() {
    let printed = ["a", "b", "c", "b", "d"];
    for good in [
        &["a", "b", "c", "b", "d"][..],
        &["a", "...", "d"],
        &["...", "b", "d"],
        &["a", "..."],
        &["...", "c", "..."],
        &["a", "...", "c", "...", "d"],
    ] {
        assert_eq!(matches(good, &printed), Ok(()), "{good:?}");
    }
    for bad in [
        &["a", "b"][..],
        &["b", "..."],
        &["...", "c"],
        &["...", "d", "...", "a", "..."],
        &["a", "...", "x", "...", "d"],
        &["a", "b", "c", "b", "d", "e"],
        &[],
    ] {
        assert!(matches(bad, &printed).is_err(), "{bad:?}");
    }
}
