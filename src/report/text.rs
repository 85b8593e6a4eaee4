//! Plain text for the terminal.

use crate::crosscheck::repeats::{TRAINED_PERCENT, percent_together};
use crate::crosscheck::{Check, Repeats, Verdict};
use crate::finding::{Finding, Weight};
use crate::fit::CuttingPlan;
use crate::length::Length;
use crate::length::text::Shown;
use crate::measure::asymmetry::{Grade, SideDifference, usual};
use crate::measure::{Key, Measure, MeasureId, Source, Unit, Withheld};
use crate::profile::{Entry, Profile};
use comfy_table::{CellAlignment, Table, presets};

/// What everyone who reads a profile should know.
#[must_use]
pub fn caution_text() -> String {
    heading("Mind", CAUTION)
}

pub(crate) const CAUTION: &str = "\
Not a medical device. Nobody's two sides are alike: a difference between left and right is normal.
A body scan is private data; nothing leaves this machine. Measure the garment, and read the
pattern's own instructions, before you cut.";

/// The whole profile: findings, measures, left against right, what is withheld.
#[must_use]
pub fn profile_text(profile: &Profile, shown: Shown) -> String {
    let blocks = [
        findings_block(&profile.findings),
        measures_block(&profile.measures, shown),
        sides_block(&profile.asymmetry, shown),
        withheld_block(&profile.withheld),
    ];
    join(blocks)
}

/// Scan against tape: worst first, each with its likeliest reasons.
#[must_use]
pub fn crosscheck_text(profile: &Profile, shown: Shown) -> String {
    if profile.checks.is_empty() {
        return heading(
            "Scan against tape",
            "No measure has both a scan and a tape value.",
        );
    }
    let mut checks: Vec<_> = profile.checks.iter().collect();
    checks.sort_by(|a, b| {
        b.verdict
            .cmp(&a.verdict)
            .then(b.z.abs().total_cmp(&a.z.abs()))
    });
    let mut body = String::new();
    for check in checks.iter().filter(|c| c.verdict != Verdict::Agrees) {
        body.push_str(&wrap(&check.say(shown)));
        body.push('\n');
        for reason in check.reasons.iter().take(REASONS_SHOWN) {
            body.push_str(&wrap_hanging("  - ", &reason.say(shown)));
            body.push('\n');
        }
    }
    let agree: Vec<String> = checks
        .iter()
        .filter(|c| c.verdict == Verdict::Agrees)
        .map(|c| {
            format!(
                "{} (tape {}, scan {})",
                c.id,
                shown.show(c.tape_mm),
                shown.show(c.scan_mm)
            )
        })
        .collect();
    if !agree.is_empty() {
        body.push_str(&wrap(&format!("Agree: {}.", agree.join("; "))));
    }
    if let Some(common) = &profile.common {
        body.push('\n');
        body.push_str(&wrap(&common.say(shown)));
    }
    if !profile.again.is_empty() {
        body.push_str("\nMeasure again, in this order:\n");
        for (index, again) in profile.again.iter().enumerate() {
            let mark = format!("  {}. ", index + 1);
            body.push_str(&wrap_hanging(&mark, &again.say()));
            body.push('\n');
        }
    }
    join([
        heading("Scan against tape", &body),
        repeats_block(&profile.checks, shown),
    ])
}

/// What the repeats of the sheet tell of the hand, measure by measure.
fn repeats_block(checks: &[Check], shown: Shown) -> String {
    let repeated: Vec<(&Check, &Repeats)> = checks
        .iter()
        .filter_map(|check| Some((check, check.repeats.as_ref()?)))
        .collect();
    if repeated.is_empty() {
        return String::new();
    }
    let mut table = table();
    table.set_header(["measure", "readings", "TEM", "%TEM", "reliability"]);
    for (check, repeats) in &repeated {
        table.add_row([
            check.id.to_string(),
            repeats.readings.to_string(),
            shown.show_some(repeats.tem_mm),
            format!("{:.2}", repeats.percent),
            repeats
                .reliability
                .map_or_else(String::new, |r| format!("{r:.3}")),
        ]);
    }
    align_right(&mut table, &[1, 2, 3, 4]);
    let girths = repeated
        .iter()
        .filter(|(check, _)| check.id.key.definition().is_girth())
        .map(|(_, repeats)| *repeats);
    let together = percent_together(girths).map_or_else(String::new, |percent| {
        format!(
            "All girths together: {percent:.2} %; a trained hand is allowed {TRAINED_PERCENT:.1} % (accreditation limit, from memory)."
        )
    });
    let lines = [trimmed(&table), wrap(&together), wrap(REPEATS_SAID)];
    heading("Repeats", &join(lines))
}

/// The three figures in words.
const REPEATS_SAID: &str = "TEM, the technical error of measurement, is what one reading usually errs by: two readings by one hand differ by less than 2.8 TEM in 95 of 100 pairs. %TEM is its share of the mean. Reliability is the share of the differences between people that is not reading error, held against a survey's spread of women or men, the smaller of the two. A few repeats tell these roughly, and not at all what a hand does alike each time.";

/// The cutting plan, its long lines folded.
#[must_use]
pub fn plan_text(plan: &CuttingPlan, shown: Shown) -> String {
    let said = plan.say(shown);
    let mut lines = said.lines();
    let title = lines.next().unwrap_or_default();
    let folded: Vec<String> = lines
        .map(|line| {
            let (mark, text) = line.split_at(mark_of(line));
            wrap_hanging(mark, text)
        })
        .collect();
    heading(title, &folded.join("\n"))
}

/// Length of what stands before a line's words: its indent, and its number in a list.
fn mark_of(line: &str) -> usize {
    let words = line.trim_start();
    let number = words.trim_start_matches(|c: char| c.is_ascii_digit());
    let text = match number.strip_prefix(". ") {
        Some(text) if number.len() < words.len() => text,
        _ => words,
    };
    line.len() - text.len()
}

/// Reasons shown for each disagreement: more would not be read.
const REASONS_SHOWN: usize = 3;

fn join(blocks: impl IntoIterator<Item = String>) -> String {
    let blocks: Vec<String> = blocks.into_iter().filter(|b| !b.is_empty()).collect();
    blocks.join("\n")
}

pub(super) fn heading(title: &str, body: &str) -> String {
    format!(
        "{title}\n{}\n{}\n",
        "-".repeat(title.len()),
        body.trim_end()
    )
}

fn findings_block(findings: &[Finding]) -> String {
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.weight));
    let lines: Vec<String> = sorted
        .iter()
        .map(|finding| {
            let mark = match finding.weight {
                Weight::Act => "ACT   ",
                Weight::Look => "LOOK  ",
                Weight::Note => "note  ",
            };
            wrap_hanging(mark, &finding.to_string())
        })
        .collect();
    if lines.is_empty() {
        return String::new();
    }
    heading("Findings", &lines.join("\n"))
}

pub(super) fn table() -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table
}

fn measures_block(entries: &[Entry], shown: Shown) -> String {
    let mut table = table();
    table.set_header([
        "measure",
        "value",
        "give or take",
        "along the skin",
        "taken at",
        "from",
    ]);
    for entry in entries.iter().filter(|e| !is_surface(e.measure.id.key)) {
        let measure = &entry.measure;
        let skin = measure.id.key.along_skin().and_then(|key| {
            let id = MeasureId::new(key, measure.id.side);
            let mut all = entries.iter().map(|other| &other.measure);
            all.find(|other| other.id == id)
        });
        table.add_row([
            measure.id.to_string(),
            show(measure.unit, measure.value, shown),
            give_or_take(measure.unit, measure.spread.sd, shown),
            skin.map_or_else(String::new, |skin| show(skin.unit, skin.value, shown)),
            level(measure, shown),
            source(entry).to_owned(),
        ]);
    }
    align_right(&mut table, &[1, 2, 3, 4]);
    heading("Measures", &trimmed(&table))
}

pub(super) fn align_right(table: &mut Table, columns: &[usize]) {
    for &column in columns {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
}

/// The table without blanks at the ends of its lines.
pub(super) fn trimmed(table: &Table) -> String {
    let text = table.to_string();
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    lines.join("\n")
}

/// Two standard uncertainties, within which 95 of 100 true values lie, rounded up to what is shown.
pub(crate) fn give_or_take(unit: Unit, sd: f64, shown: Shown) -> String {
    let twice = 2.0 * sd;
    match unit {
        Unit::Mm => shown.show_up(Length::from_mm(twice)),
        Unit::Degree | Unit::Millilitre => format!("{:.0} {}", twice.ceil(), unit.sign()),
    }
}

pub(crate) fn show(unit: Unit, value: f64, shown: Shown) -> String {
    match unit {
        Unit::Mm => shown.show(Length::from_mm(value)),
        Unit::Degree => format!("{value:.1} {}", unit.sign()),
        Unit::Millilitre => format!("{value:.0} {}", unit.sign()),
    }
}

fn difference(unit: Unit, value: f64, shown: Shown) -> String {
    match unit {
        Unit::Mm => shown.show_some(Length::from_mm(value.abs())),
        Unit::Degree | Unit::Millilitre => show(unit, value.abs(), shown),
    }
}

fn level(measure: &Measure, shown: Shown) -> String {
    let is_height = measure.id.key.definition().mode == crate::measure::Mode::Height;
    match measure.level_mm {
        Some(height) if !is_height => format!("{} up", shown.show(height)),
        _ => String::new(),
    }
}

pub(crate) fn source(entry: &Entry) -> &'static str {
    let scans = [entry.scan, entry.second];
    let pinned = scans.into_iter().flatten().any(|scan| scan.pinned);
    let two = scans.iter().all(Option::is_some);
    match entry.measure.source {
        _ if entry.undecided && pinned => "pinned, UNDECIDED",
        _ if entry.undecided && two => "two scans, UNDECIDED",
        _ if entry.undecided => "scan, UNDECIDED",
        Source::Scan if two => "two scans",
        Source::Scan => "scan",
        Source::Tape => "tape",
        Source::Merged if pinned => "pinned + tape",
        Source::Merged if two => "two scans + tape",
        Source::Merged => "scan + tape",
        Source::Pinned => "pinned",
    }
}

fn sides_block(sides: &[SideDifference], shown: Shown) -> String {
    // Along the skin says the same as taut.
    let told: Vec<&SideDifference> = sides.iter().filter(|side| !is_surface(side.key)).collect();
    if told.is_empty() {
        return String::new();
    }
    let mut table = table();
    table.set_header(["measure", "left", "right", "difference", "usual up to", ""]);
    for side in told {
        let definition = side.key.definition();
        let unit = definition.unit();
        let limit = usual(side.key).and_then(|usual| usual.limit_of(side.left, side.right));
        table.add_row([
            definition.name.to_owned(),
            show(unit, side.left, shown),
            show(unit, side.right, shown),
            difference(unit, side.difference, shown),
            limit.map_or_else(String::new, |limit| show(unit, limit, shown)),
            graded(side, limit),
        ]);
    }
    align_right(&mut table, &[1, 2, 3, 4]);
    let body = format!("{}\n\n{}", trimmed(&table), wrap(USUAL));
    heading("Left against right (the wearer's own)", &body)
}

const USUAL: &str = "Some difference is normal. \"Usual up to\" is what about 95 of 100 healthy people stay within, where a survey is known.";

pub(crate) fn graded(side: &SideDifference, limit: Option<f64>) -> String {
    let larger = format!("{} {}", side.larger(), side.more());
    match side.grade {
        Grade::Within => Grade::Within.name().to_owned(),
        Grade::Usual if limit.is_some_and(|limit| side.difference.abs() > limit) => {
            format!("{larger}, not surely by more than usual")
        }
        Grade::Usual => format!("{larger}, as is usual"),
        Grade::Unsurveyed => larger,
        Grade::Larger => format!("{larger}, by more than usual"),
    }
}

pub(crate) fn is_surface(key: Key) -> bool {
    key.definition().mode == crate::measure::Mode::Surface
}

fn withheld_block(withheld: &[Withheld]) -> String {
    let lines: Vec<String> = withheld
        .iter()
        .filter(|w| !is_surface(w.id.key))
        .map(|w| wrap_hanging("  ", &format!("{}: {}", w.id, w.reason)))
        .collect();
    if lines.is_empty() {
        return String::new();
    }
    heading("Withheld", &lines.join("\n"))
}

/// Width of a line of running text.
const WIDTH: usize = 92;

pub(super) fn wrap(text: &str) -> String {
    wrap_hanging("", text)
}

pub(super) fn wrap_hanging(mark: &str, text: &str) -> String {
    let indent = " ".repeat(mark.len());
    let options = textwrap::Options::new(WIDTH)
        .initial_indent(mark)
        .subsequent_indent(&indent);
    textwrap::fill(&keep_lengths_whole(text), options).replace(NO_BREAK, " ")
}

/// A blank at which no line is folded.
const NO_BREAK: char = '\u{a0}';

/// Ties whole, fraction and unit of a length together: `38 5/8 in` stays on one line.
fn keep_lengths_whole(text: &str) -> String {
    let mut tied = String::with_capacity(text.len());
    for word in text.split_inclusive(' ') {
        let unit = word.trim_end_matches([' ', '.', ',', ';', ':', ')']);
        let of_length = matches!(unit, "in" | "cm" | "mm") || unit.contains('/');
        if of_length && tied.trim_end().ends_with(|c: char| c.is_ascii_digit()) {
            tied.truncate(tied.trim_end().len());
            tied.push(NO_BREAK);
        }
        tied.push_str(word);
    }
    tied
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbered_lines_hang_from_their_number() {
        assert_eq!(mark_of("  10. Cut"), 6);
        assert_eq!(mark_of("  size: 4"), 2);
        assert_eq!(mark_of("8 in. of it"), 0);
        assert_eq!(mark_of(". "), 0);
    }

    #[test]
    fn no_length_is_folded_apart() {
        for lead in 0..2 * WIDTH {
            let text = format!("{}taken at 38 5/8 in, 98.1 cm (2 in) up", "x ".repeat(lead));
            let folded = wrap(&text);
            for whole in ["38 5/8 in,", "98.1 cm", "(2 in)"] {
                assert!(folded.contains(whole), "{folded}");
            }
            assert!(folded.lines().all(|line| line.chars().count() <= WIDTH));
            assert_eq!(folded.replace('\n', " "), text);
        }
    }
}
