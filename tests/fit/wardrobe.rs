//! Twelve players and the six garments of their store: every plan made, and held against sums that
//! share no code with the planner.
//!
//! The players are invented: each is the mean of two people of ANSUR II (public 2012 survey,
//! NATICK/TR-15/007) rounded to 5 mm, and what the survey does not measure is made up to go with it.
//! The garments are invented as well. The sheets are read a second time here, as bare TOML.

use crate::bare::{Bare, Player};
#[cfg(feature = "pictures")]
use crate::drawn::Drawn;
use crate::laws::undone;
use crate::trial::{body, plan};
use girthwise::Side;
#[cfg(feature = "pictures")]
use girthwise::figure::{Units, plan_lines};
use girthwise::fit::{
    Action, Confidence, CuttingPlan, Garment, Level, LevelFit, Share, Site, Stage, read_garment,
};
use girthwise::fit::{Basis, FitRoutine};
use girthwise::length::text::Shown;
use girthwise::measure::Key;
use girthwise::measure::asymmetry::side_differences;
use girthwise::measure::catalogue::CATALOGUE;
use girthwise::profile::Profile;
use serde_json::Value;
use std::fmt::Write;

const PLAYERS: &str = include_str!("../../data/wardrobe/players.csv");
const PLANS: &str = include_str!("../../data/wardrobe/plans.csv");

const SHEETS: [(&str, &str); 6] = [
    ("gown", include_str!("../../data/wardrobe/gown.toml")),
    ("coat", include_str!("../../data/wardrobe/coat.toml")),
    ("skirt", include_str!("../../data/wardrobe/skirt.toml")),
    (
        "breeches",
        include_str!("../../data/wardrobe/breeches.toml"),
    ),
    ("knit", include_str!("../../data/wardrobe/knit.toml")),
    ("smock", include_str!("../../data/wardrobe/smock.toml")),
];

/// Standard deviation of every measure of a player.
const SD_MM: f64 = 3.0;

/// Least change at a seam edge that the planner makes (`Tolerances::least_per_edge`).
const LEAST_AT_EDGE_MM: f64 = 3.0;

fn players() -> Vec<(&'static str, Player)> {
    let mut lines = PLAYERS.lines().map(|line| line.split(','));
    let names: Vec<&str> = lines.next().unwrap().skip(1).collect();
    let mut all: Vec<(&str, Player)> = names
        .into_iter()
        .map(|name| (name, Player::new()))
        .collect();
    for mut cells in lines {
        let measure = cells.next().unwrap();
        for ((_, player), cell) in all.iter_mut().zip(cells) {
            player.insert(measure, cell.parse().unwrap());
        }
    }
    all
}

/// The player's profile; `right_more` is how much higher the right shoulder stands.
fn profile(player: &Player) -> Profile {
    let measures: Vec<(Key, f64)> = CATALOGUE
        .iter()
        .filter_map(|row| match row.key {
            Key::ShoulderSlope => Some((row.key, player["slope"])),
            _ => player.get(row.text).map(|&value| (row.key, value)),
        })
        .collect();
    let mut profile = body(SD_MM, &measures);
    for entry in &mut profile.measures {
        if entry.measure.id.key == Key::ShoulderHeight && entry.measure.id.side == Some(Side::Right)
        {
            entry.measure.value += player["right_more"];
        }
        if entry.measure.id.key == Key::ShoulderSlope {
            entry.measure.spread.sd = 1.0;
        }
    }
    profile.asymmetry = side_differences(profile.measures.iter().map(|entry| &entry.measure));
    profile
}

/// Calls with every player, sheet, garment and plan: 72 times.
fn each(mut tell: impl FnMut(&str, &Player, &str, &Bare, &Garment, &CuttingPlan)) {
    let players = players();
    assert_eq!(players.len(), 12);
    for (sheet, text) in SHEETS {
        let garment = read_garment(sheet, text).unwrap();
        let bare = Bare::read(text);
        for (name, player) in &players {
            let plan = plan(&profile(player), &garment);
            tell(name, player, sheet, &bare, &garment, &plan);
        }
    }
}

/// Body and ease, added here, are what the finished garment measures after the plan: exactly where a
/// width step is made, within what is too little to cut where none is.
#[test]
fn the_finished_garment_is_body_and_ease() {
    let (mut changed, mut kept) = (0, 0);
    each(|name, player, sheet, bare, garment, plan| {
        for level in Level::ALL {
            let Some(needs) = bare.needs(player, level) else {
                assert!(plan.after.levels.iter().all(|row| row.level != level));
                continue;
            };
            let choice = plan
                .sizes
                .iter()
                .find(|choice| choice.level == level)
                .unwrap();
            let at = format!("{name}, {sheet}, {level}");
            assert_eq!(choice.size, garment.sizes[needs.size], "{at}");
            assert_eq!(
                choice.basis == Basis::UpperChest,
                needs.by_upper_chest,
                "{at}"
            );
            let row = plan
                .after
                .levels
                .iter()
                .find(|row| row.level == level)
                .unwrap();
            let (after, ease) = (row.garment.mm(), row.ease.unwrap().mm());
            assert!((ease - (after - row.body.mm())).abs() < 1e-9, "{at}");
            assert!((row.wanted.unwrap().mm() - needs.ease).abs() < 1e-9, "{at}");
            let step = plan
                .steps
                .iter()
                .find(|step| step.stage == Stage::Width && step.at == Site::Level(level));
            let edges = garment.edges(level);
            match step {
                Some(step) => {
                    changed += 1;
                    assert!(
                        (after - needs.girth).abs() < 1e-6,
                        "{at}: {after} for {}",
                        needs.girth
                    );
                    let have = bare.finished(level).unwrap()[needs.size];
                    let amount = step.amount.unwrap().mm();
                    assert!((amount - (needs.girth - have).abs()).abs() < 1e-6, "{at}");
                    assert_eq!(step.action == Action::Add, needs.girth > have, "{at}");
                    let Some(Share::Edges {
                        edges: told, each, ..
                    }) = step.share
                    else {
                        panic!("{at}: {step:?}");
                    };
                    assert_eq!(told, edges);
                    assert!((each.mm() * f64::from(edges) - amount).abs() < 1e-6, "{at}");
                }
                None => {
                    kept += 1;
                    let most = LEAST_AT_EDGE_MM * f64::from(edges);
                    assert!(
                        (after - needs.girth).abs() < most,
                        "{at}: {after} for {}",
                        needs.girth
                    );
                }
            }
        }
    });
    // Both ways of the check were taken.
    assert!(changed > 60 && kept > 20, "{changed} {kept}");
}

/// In every drawing of a plan the words stay within it, clear of each other and of the pieces, in either
/// unit; a trouser sheet has no line to draw but waist and hip, so that some plans have none.
#[cfg(feature = "pictures")]
#[test]
fn the_words_of_a_drawn_plan_are_clear() {
    /// Colour of a piece in the drawings' style.
    const PIECE: &str = "f1f4f0";
    let mut count = 0;
    let mut look = |name: &str, garment: &Garment, plan: &CuttingPlan| {
        for shown in [Shown::Centimetres, Shown::InchEighths] {
            let Some(figure) = plan_lines(garment, plan, Units::One(shown)) else {
                continue;
            };
            count += 1;
            let at = format!("{name}, {}, {shown:?}", garment.name);
            let drawn = Drawn::of(&figure);
            drawn.check(&at);
            let pieces: Vec<_> = drawn
                .surfaces
                .iter()
                .filter(|ink| ink.what == PIECE)
                .collect();
            assert_eq!(pieces.len(), 2, "{at}");
            for word in &drawn.words {
                assert!(
                    !pieces.iter().any(|piece| word.overlaps(piece)),
                    "{at}: {word:?}"
                );
            }
        }
    };
    each(|name, _, _, _, garment, plan| look(name, garment, plan));
    let demo = read_garment("demo", include_str!("../../data/demo/garment.toml")).unwrap();
    for (name, player) in players() {
        look(name, &demo, &plan(&profile(&player), &demo));
    }
    assert!(count > 100, "{count}");
}

/// Every number is one, every step has its sum and its words, nothing is done and undone at one place,
/// and what is withheld says why.
#[test]
fn every_plan_is_whole() {
    each(|name, _, sheet, _, garment, plan| {
        let at = format!("{name}, {sheet}");
        assert_eq!(plan.garment, garment.name);
        assert_eq!(undone(plan), None, "{at}");
        assert!(!plan.steps.is_empty(), "{at}");
        no_blanks(&serde_json::to_value(plan).unwrap(), &at);
        for (place, step) in plan.steps.iter().enumerate() {
            assert_eq!(step.order, place + 1, "{at}");
            assert!(step.sum.terms().len() >= 2, "{at}: {step:?}");
            assert!(step.sd.mm() >= 0.0, "{at}: {step:?}");
            let is_size = matches!(step.action, Action::UseSize(_));
            assert_eq!(step.amount.is_none(), is_size, "{at}: {step:?}");
            let total = step.sum.total().mm();
            let amount = step.amount.map_or(total.abs(), girthwise::Length::mm);
            assert!((total.abs() - amount).abs() < 1e-6, "{at}: {step:?}");
            let unsure = amount <= 1.96 * step.sd.mm();
            if unsure && !is_size && step.stage != Stage::Grade {
                assert_eq!(step.confidence, Confidence::CheckFirst, "{at}: {step:?}");
            }
        }
        for gap in &plan.withheld {
            assert!(!gap.reason.is_empty(), "{at}: {gap:?}");
        }
        let stages: Vec<Stage> = plan.steps.iter().map(|step| step.stage).collect();
        assert!(stages.is_sorted(), "{at}: {stages:?}");
        for shown in [Shown::InchEighths, Shown::Centimetres] {
            let said = plan.say(shown);
            assert!(
                !said.contains("NaN") && !said.contains("inf "),
                "{at}: {said}"
            );
        }
    });
}

/// A number that is none is written as null.
fn no_blanks(value: &Value, at: &str) {
    match value {
        Value::Object(fields) => {
            for (key, value) in fields {
                assert!(!(key.ends_with("_mm") && value.is_null()), "{at}: {key}");
                no_blanks(value, at);
            }
        }
        Value::Array(values) => values.iter().for_each(|value| {
            assert!(!value.is_null(), "{at}");
            no_blanks(value, at);
        }),
        _ => {}
    }
}

/// What a part measures after the plan is what is drawn and every step on it; where an ease was asked
/// for, it is met within the tolerance of a part (6.35 mm).
#[test]
fn parts_come_to_body_and_ease() {
    let mut met = 0;
    each(|name, player, sheet, bare, _, plan| {
        for (ease, part, measure) in [
            ("biceps", "upper sleeve", "upper_arm_girth"),
            ("thigh", "trouser leg at the thigh", "thigh_girth"),
            (
                "across_back",
                "back from armhole to armhole",
                "across_back_width",
            ),
        ] {
            let Some(ease) = bare.ease(ease) else {
                continue;
            };
            let row = plan
                .after
                .parts
                .iter()
                .find(|row| row.part == part)
                .unwrap();
            let off = row.then.mm() - player[measure] - ease;
            assert!(off.abs() <= 6.35 + 1e-6, "{name}, {sheet}, {part}: {off}");
            met += 1;
        }
    });
    assert_eq!(met, 12 * 4);
}

/// The same players and garments give the same plans: sizes at bust, waist and hip, how many steps and
/// how many of them to check first, what is withheld, and what must be acted on. What the sizes
/// follow from is checked above; `data/wardrobe/README.md` tells how to read the table.
#[test]
fn the_plans_are_those_of_the_table() {
    let mut found = "player,garment,bust,waist,hip,steps,check first,withheld,act\n".to_owned();
    each(|name, _, sheet, _, _, plan| {
        let size = |level: Level| {
            let choice = plan.sizes.iter().find(|choice| choice.level == level);
            choice.map_or("", |choice| choice.size.as_str())
        };
        let [bust, waist, hip] = Level::ALL.map(size);
        let unsure = plan
            .steps
            .iter()
            .filter(|step| step.confidence == Confidence::CheckFirst);
        let act = plan
            .findings
            .iter()
            .filter(|remark| remark.weight == girthwise::Weight::Act);
        writeln!(
            found,
            "{name},{sheet},{bust},{waist},{hip},{},{},{},{}",
            plan.steps.len(),
            unsure.count(),
            plan.withheld.len(),
            act.count()
        )
        .unwrap();
    });
    assert!(found == PLANS, "the plans are now:\n{found}");
}

/// A plan needs nothing that the players lack.
#[test]
fn the_players_have_all_that_is_asked_for() {
    let (name, player) = &players()[0];
    let profile = profile(player);
    for (sheet, text) in SHEETS {
        let garment = read_garment(sheet, text).unwrap();
        for need in LevelFit::default().needs(&garment) {
            assert!(
                profile.get(need).is_some(),
                "{name} lacks {need} for the {sheet}"
            );
        }
    }
}
