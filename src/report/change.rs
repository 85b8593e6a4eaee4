//! What changed between two profiles, in words and a table.

use super::text::{align_right, give_or_take, heading, show, table, trimmed, wrap, wrap_hanging};
use crate::change::{Change, Changes, Lone, Sureness};
use crate::length::text::Shown;

/// What changed, surest first; what may have; how much did not; what only one of them holds.
#[must_use]
pub fn changes_text(changes: &Changes, shown: Shown) -> String {
    let mut blocks: Vec<String> = Vec::new();
    let findings = changes.findings.iter();
    let findings: Vec<String> = findings
        .map(|finding| wrap_hanging("LOOK  ", &finding.to_string()))
        .collect();
    if !findings.is_empty() {
        blocks.push(heading("Findings", &findings.join("\n")));
    }
    blocks.push(graded(changes, Sureness::Changed, "Changed", shown));
    blocks.push(graded(changes, Sureness::Perhaps, "Perhaps changed", shown));
    let within = changes.graded(Sureness::Within).count();
    let all = changes.measures.len();
    let chance =
        "Of measures that did not change, about one in twenty-five shows as perhaps changed.";
    let said = match (within, all) {
        (_, 0) => "The two profiles have no measure in common.".to_owned(),
        (1, 1) => "The one measure they share: no change beyond what can be measured.".to_owned(),
        _ => format!("{within} of {all}: no change beyond what can be measured. {chance}"),
    };
    blocks.push(heading("The rest", &wrap(&said)));
    blocks.push(lone("Only the first has", &changes.gone, shown));
    blocks.push(lone("Only the second has", &changes.new, shown));
    blocks.retain(|block| !block.is_empty());
    blocks.join("\n")
}

fn graded(changes: &Changes, sureness: Sureness, title: &str, shown: Shown) -> String {
    let mut table = table();
    table.set_header(["measure", "before", "after", "change", "give or take"]);
    let mut minds: Vec<String> = Vec::new();
    for change in changes.graded(sureness) {
        table.add_row([
            change.id.to_string(),
            show(change.unit, change.before, shown),
            show(change.unit, change.after, shown),
            by(change, shown),
            give_or_take(change.unit, change.sd, shown),
        ]);
        if let Some(left) = change.left {
            let size = show(change.unit, left.abs(), shown);
            let way = if left < 0.0 { "less" } else { "more" };
            let said = format!("{}: {size} {way} beyond what all heights share.", change.id);
            minds.push(wrap_hanging("  - ", &said));
        }
        if let Some(mind) = &change.mind {
            minds.push(wrap_hanging("  - ", &format!("{}: {mind}.", change.id)));
        }
    }
    if table.row_count() == 0 {
        return String::new();
    }
    align_right(&mut table, &[1, 2, 3, 4]);
    let notes = minds.join("\n");
    heading(title, &[trimmed(&table), notes].join("\n"))
}

/// `3.2 cm more`.
fn by(change: &Change, shown: Shown) -> String {
    let size = show(change.unit, change.difference.abs(), shown);
    let way = if change.difference < 0.0 {
        "less"
    } else {
        "more"
    };
    format!("{size} {way}")
}

fn lone(title: &str, only: &[Lone], shown: Shown) -> String {
    if only.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = only
        .iter()
        .map(|lone| {
            let why = lone
                .why
                .as_ref()
                .map_or_else(String::new, |why| format!("; the other: {why}"));
            let value = show(lone.unit, lone.value, shown);
            wrap_hanging("  ", &format!("{} {value}{why}", lone.id))
        })
        .collect();
    heading(title, &lines.join("\n"))
}
