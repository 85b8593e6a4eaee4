//! How do I bring a fit rule of my own? Here: a gathered skirt on a straight waistband.
//!
//! `cargo run --example own_fit_routine`; it takes the demo scan.
#![expect(clippy::print_stdout, reason = "an example talks to its reader")]

use girthwise::fit::{FitRoutine, Phrase, Sum};
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::measure::{Key, Measure, MeasureId, MeasureSet};
use girthwise::profile::Profile;
use girthwise::scan::measure_scan;
use girthwise::tape::TapeSet;
use girthwise::{Error, ErrorKind, Length};

/// What the sewist wants; seam allowances are hers to add.
struct GatheredSkirt {
    waist_ease: Length,
    /// Skirt width over hip girth: 1.5 is softly gathered, 2 full (common practice, no source).
    fullness: f64,
    hem_above_floor: Length,
}

/// A cut length with its sum, or why there is none.
type Answer = Result<Sum, Phrase>;

struct SkirtPlan {
    waistband: Answer,
    width: Answer,
    length: Answer,
}

struct SkirtRule;

impl FitRoutine for SkirtRule {
    type Garment = GatheredSkirt;
    type Plan = SkirtPlan;

    fn needs(&self, _garment: &GatheredSkirt) -> Vec<MeasureId> {
        let keys = [
            Key::WaistNarrowestHeight,
            Key::WaistNarrowestGirth,
            Key::HipGirth,
        ];
        keys.map(MeasureId::from).to_vec()
    }

    fn plan(&self, profile: &Profile, skirt: &GatheredSkirt) -> girthwise::Result<SkirtPlan> {
        // An option that makes no sense stops the plan; a missing measure only withholds its part.
        if !(1.0..=5.0).contains(&skirt.fullness) {
            let what = format!("fullness {} lies outside 1 to 5; try 1.5", skirt.fullness);
            return Err(Error::from(ErrorKind::Options { what }));
        }
        let waistband = body(profile, Key::WaistNarrowestGirth).map(|waist| {
            Sum::of("waist", waist.length())
                .plus("ease", skirt.waist_ease)
                .makes("waistband")
        });
        let width = body(profile, Key::HipGirth).map(|hip| {
            let gathers = hip.length() * (skirt.fullness - 1.0);
            Sum::of("hip", hip.length())
                .plus("for the gathers", gathers)
                .makes("of cloth around")
        });
        let length = body(profile, Key::WaistNarrowestHeight).map(|height| {
            Sum::of("waist height", height.length())
                .minus("hem above the floor", skirt.hem_above_floor)
                .makes("from waist to hem")
        });
        Ok(SkirtPlan {
            waistband,
            width,
            length,
        })
    }
}

/// A measure of the body, or the reason the profile gives for having none.
fn body(profile: &Profile, key: Key) -> Result<&Measure, Phrase> {
    profile.get(key).ok_or_else(|| {
        let told = profile.withheld.iter().find(|row| row.id == key.into());
        let name = key.definition().name;
        let text = match told {
            Some(row) => format!("no {name}: {}; take it by tape", row.reason),
            None => format!("no {name}; take it by tape"),
        };
        Phrase::from_iter([text.into()])
    })
}

fn tell(title: &str, profile: &Profile, skirt: &GatheredSkirt) -> girthwise::Result<()> {
    println!("{title}");
    for need in SkirtRule.needs(skirt) {
        if profile.get(need).is_none() {
            println!("  still to be measured: {need}");
        }
    }
    let plan = SkirtRule.plan(profile, skirt)?;
    let parts = [
        ("waistband", plan.waistband),
        ("width", plan.width),
        ("length", plan.length),
    ];
    for (part, answer) in parts {
        match answer {
            Ok(sum) => println!("  {part}: {}", sum.say(Shown::InchEighths)),
            Err(reason) => println!("  {part}: withheld, {}", reason.say(Shown::InchEighths)),
        }
    }
    Ok(())
}

fn main() -> girthwise::Result<()> {
    let skirt = GatheredSkirt {
        waist_ease: Length::from_inch(0.75),
        fullness: 1.75,
        hem_above_floor: Length::from_inch(17.0),
    };
    let raw = read_scan("data/demo/scan.ply".as_ref(), &Limits::default())?;
    let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
    tell(
        "Cut for the scan",
        &Profile::of(&scan, &TapeSet::default()),
        &skirt,
    )?;
    let nothing = Profile::assemble(&MeasureSet::default(), &TapeSet::default());
    tell("Cut for a body nobody has measured", &nothing, &skirt)
}
