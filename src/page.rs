//! One page to look at: drawings, numbers and plan in a single HTML file.
//!
//! The file needs nothing beside it and asks nothing of any network. Without its script it shows
//! all of it but the moving line.

use crate::crosscheck::Verdict;
use crate::figure::{Figure, Seen, Tag, Units, all, in_units};
use crate::finding::Weight;
use crate::fit::{CuttingPlan, Garment, LevelFit};
use crate::length::text::Shown;
use crate::measure::Unit;
use crate::profile::Profile;
use crate::report::{CAUTION, give_or_take, graded, is_surface, show, source};
use crate::scan::Scan;
use maud::{DOCTYPE, Markup, PreEscaped, html};

mod live;

/// What a page is made from.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    /// Name of the scan, as the reader knows it; any text.
    pub name: &'a str,
    /// The scan.
    pub scan: &'a Scan,
    /// Its profile, with the tape's readings if there are any.
    pub profile: &'a Profile,
    /// A garment and the plan for it.
    pub plan: Option<(&'a Garment, &'a CuttingPlan)>,
    /// The routine that made the plan.
    pub fit: &'a LevelFit,
    /// The unit it opens in.
    pub shown: Shown,
}

/// Nothing is loaded from anywhere: only what the file itself holds is shown and run.
const ALLOWED: &str =
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'";

impl Page<'_> {
    /// The page as HTML. Every text that came from a file or a person is escaped.
    #[must_use]
    pub fn html(&self) -> String {
        let figures = all(self.scan, self.profile, self.plan, Units::Both);
        let named = |name: &'static str| figures.iter().filter(move |figure| figure.name == name);
        let is_view = |figure: &&Figure| Seen::ALL.iter().any(|seen| seen.name() == figure.name);
        let views = figures.iter().filter(is_view);
        let cuts = figures.iter().filter(|f| f.name.starts_with("cut-"));
        let title = format!("Measures of {}", self.name);
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta http-equiv="Content-Security-Policy" content=(ALLOWED);
                    title { (title) }
                    style {
                        (PreEscaped(crate::figure::STYLE))
                        (PreEscaped(include_str!("page/page.css")))
                    }
                }
                body {
                    header { h1 { (title) } (self.switch()) }
                    main {
                        (section("body", "The body", html! {
                            p { "A band shows how far a level may lie higher or lower. Full lines and filled points show clearly on the scan, broken and hollow ones roughly; thick lines and square points were put by hand. Left and right are the wearer's own." }
                            (drawn("row", views))
                        }))
                        @if let Some((_, plan)) = self.plan { (self.plan(plan, named("plan"))) }
                        (self.checks())
                        (section("curve", "Girth by height", html! {
                            div.beside {
                                (drawn("row", named("girth-curve")))
                                (live::control(self.profile))
                            }
                        }))
                        (section("cuts", "Cuts at the levels", drawn("row small", cuts)))
                        (self.sides(named("left-and-right")))
                        (self.measures())
                        (self.withheld())
                        (self.findings())
                        (section("mind", "Mind", html! {
                            p { (CAUTION) }
                            p { "This file shows a body. Whoever has it can see it." }
                        }))
                    }
                    script type="application/json" id="data" { (PreEscaped(live::data(self))) }
                    script { (PreEscaped(include_str!("page/page.js"))) }
                }
            }
        }
        .into_string()
    }

    fn switch(&self) -> Markup {
        html! {
            fieldset class="units" {
                legend { "Lengths in" }
                @for (id, name, shown) in [
                    ("show-cm", "centimetres", Shown::Centimetres),
                    ("show-in", "inches", Shown::InchEighths),
                ] {
                    input type="radio" name="unit" id=(id) checked[self.shown == shown];
                    label for=(id) { (name) }
                }
            }
        }
    }

    fn plan<'f>(&self, plan: &CuttingPlan, figure: impl Iterator<Item = &'f Figure>) -> Markup {
        let lines = [Shown::Centimetres, Shown::InchEighths].map(|shown| plan.say(shown));
        section(
            "plan-words",
            &format!("What to cut differently: {}", plan.garment),
            html! {
                (drawn("row", figure))
                @for (class, said) in ["cm", "in"].into_iter().zip(&lines) {
                    div class=(class) {
                        @for line in said.lines().skip(1).filter(|line| !line.is_empty()) {
                            @if line.starts_with(' ') { p class="step" { (line.trim()) } }
                            @else if line.ends_with(':') { h3 { (line) } }
                            @else { p { (line) } }
                        }
                    }
                }
            },
        )
    }

    fn checks(&self) -> Markup {
        let mut checks: Vec<_> = self.profile.checks.iter().collect();
        checks.sort_by(|a, b| {
            b.verdict
                .cmp(&a.verdict)
                .then(b.z.abs().total_cmp(&a.z.abs()))
        });
        if checks.is_empty() {
            return html! {};
        }
        section(
            "check",
            "Scan against tape",
            html! {
                ul {
                    @for check in checks {
                        li {
                            @if check.verdict != Verdict::Agrees { strong { "Mind: " } }
                            (said(|shown| check.say(shown)))
                            @if !check.reasons.is_empty() {
                                ul { @for reason in &check.reasons { li { (said(|shown| reason.say(shown))) } } }
                            }
                        }
                    }
                }
                @if let Some(common) = &self.profile.common { p { (said(|shown| common.say(shown))) } }
            },
        )
    }

    fn sides<'f>(&self, figure: impl Iterator<Item = &'f Figure>) -> Markup {
        let rows = self
            .profile
            .asymmetry
            .iter()
            .filter(|side| !is_surface(side.key));
        section(
            "sides",
            "Left against right",
            html! {
                p { "Some difference is normal; nobody's two sides are alike." }
                (drawn("row", figure))
                (table("left against right", &["measure", "left", "right", "difference"], html! {
                    @for side in rows {
                        @let unit = side.key.definition().unit();
                        @let limit = crate::measure::asymmetry::usual(side.key)
                            .and_then(|usual| usual.limit_of(side.left, side.right));
                        tr {
                            th scope="row" { (side.key.definition().name) }
                            td.n { (said(|shown| show(unit, side.left, shown))) }
                            td.n { (said(|shown| show(unit, side.right, shown))) }
                            td { (graded(side, limit)) }
                        }
                    }
                }))
            },
        )
    }

    fn measures(&self) -> Markup {
        section(
            "measures",
            "Measures",
            html! {
                p { "Give or take: 95 of 100 true values lie within. Open a name for what is measured." }
                (table("all measures", &["measure", "value", "give or take", "taken at", "from"], html! {
                    @for entry in &self.profile.measures {
                        @let measure = &entry.measure;
                        @let definition = measure.id.key.definition();
                        tr {
                            th scope="row" {
                                details {
                                    summary { (measure.id) }
                                    p { (definition.definition) " (" (definition.mode.name()) ")" }
                                    @if !definition.tape.is_empty() { p { "By tape: " (definition.tape) } }
                                }
                            }
                            td.n { (said(|shown| show(measure.unit, measure.value, shown))) }
                            td.n { (said(|shown| give_or_take(measure.unit, measure.spread.sd, shown))) }
                            td.n { @if let Some(level) = measure.level_mm { (said(|shown| show(Unit::Mm, level.mm(), shown))) } }
                            td { (source(entry)) }
                        }
                    }
                }))
            },
        )
    }

    fn withheld(&self) -> Markup {
        if self.profile.withheld.is_empty() {
            return html! {};
        }
        section(
            "withheld",
            "Withheld, and why",
            html! {
                ul { @for gap in &self.profile.withheld { li { strong { (gap.id) } ": " (gap.reason) } } }
            },
        )
    }

    fn findings(&self) -> Markup {
        let mut findings: Vec<_> = self.profile.findings.iter().collect();
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.weight));
        let notes = findings.partition_point(|finding| finding.weight > Weight::Note);
        let notes = findings.split_off(notes);
        section(
            "findings",
            "What was noticed on the scan",
            html! {
                @if !findings.is_empty() {
                    ul {
                        @for finding in findings {
                            li {
                                strong { (if finding.weight == Weight::Act { "Before you cut: " } else { "Look at it: " }) }
                                (finding)
                            }
                        }
                    }
                }
                @if !notes.is_empty() {
                    details {
                        summary { "How the scan was read" }
                        ul { @for note in notes { li { (note) } } }
                    }
                }
            },
        )
    }
}

fn section(id: &str, title: &str, content: Markup) -> Markup {
    html! { section id={ "part-" (id) } { h2 { (title) } (content) } }
}

fn drawn<'f>(class: &str, figures: impl Iterator<Item = &'f Figure>) -> Markup {
    html! { div class=(class) { @for figure in figures { (PreEscaped(figure.inline())) } } }
}

/// A table that can be scrolled sideways by itself, under a name that no other has.
fn table(name: &str, head: &[&str], rows: Markup) -> Markup {
    html! {
        div class="wide" tabindex="0" role="region" aria-label=(name) {
            table {
                thead { tr { @for column in head { th scope="col" { (column) } } } }
                tbody { (rows) }
            }
        }
    }
}

/// A text in both units; the page shows one.
fn said(say: impl Fn(Shown) -> String) -> Markup {
    in_units(Units::Both, Tag::Span, say)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{FitRoutine, read_garment};
    use crate::frame::FrameOptions;
    use crate::ingest::{Limits, read_scan};
    use crate::scan::measure_scan;
    use crate::tape::TapeSet;

    const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/scan.ply");

    /// Names are a person's own; a page must hold them as words, load nothing and stay small, and
    /// show each length as the profile has it in either unit.
    #[test]
    fn a_page_is_whole_small_and_safe() {
        let raw = read_scan(DEMO.as_ref(), &Limits::default()).unwrap();
        let scan = measure_scan(raw, &FrameOptions::default(), |_| ()).unwrap();
        let profile = Profile::of(&scan, &TapeSet::default());
        let sheet = include_str!("../data/demo/garment.toml")
            .replace("Day dress with a waist seam", "<script>alert(1)</script>");
        let garment = read_garment("garment.toml", &sheet).unwrap();
        let fit = LevelFit::default();
        let plan = fit.plan(&profile, &garment).unwrap();
        let page = Page {
            name: "</title><b>&.ply",
            scan: &scan,
            profile: &profile,
            plan: Some((&garment, &plan)),
            fit: &fit,
            shown: Shown::Centimetres,
        };
        let text = page.html();
        assert!(text.contains("&lt;script&gt;alert(1)") && !text.contains("<script>alert"));
        assert!(text.contains("&lt;/title&gt;&lt;b&gt;&amp;.ply"));
        assert!(text.len() < 1_000_000, "{}", text.len());
        assert!(!text.contains("http://") && !text.contains("https://"));
        assert_eq!(text.matches("<svg").count(), text.matches("<desc").count());
        for entry in profile
            .measures
            .iter()
            .filter(|entry| entry.measure.unit == Unit::Mm)
        {
            for shown in [Shown::Centimetres, Shown::InchEighths] {
                assert!(
                    text.contains(&shown.show(entry.measure.length())),
                    "{}",
                    entry.measure.id
                );
            }
        }
        assert_eq!(page.html(), text);
    }
}
