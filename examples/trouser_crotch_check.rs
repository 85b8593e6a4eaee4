//! Will a pair of trousers I own go through the crotch? A fit rule of two seams and two measures.
//!
//! `cargo run --example trouser_crotch_check`; it takes the demo scan.
#![expect(clippy::print_stdout, reason = "an example talks to its reader")]

use girthwise::fit::{FitRoutine, Phrase, Sum};
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::measure::{Key, MeasureId};
use girthwise::profile::Profile;
use girthwise::scan::measure_scan;
use girthwise::tape::TapeSet;
use girthwise::{Error, ErrorKind, Length};

/// Measured along the seam of the trousers, from the top edge in front through to the one behind.
struct Trousers {
    crotch_seam: Length,
    top_below_waist: Length,
}

struct CrotchCheck;

impl FitRoutine for CrotchCheck {
    type Garment = Trousers;
    /// What the seam leaves to spare, or why that is not known.
    type Plan = Result<Sum, Phrase>;

    fn needs(&self, _trousers: &Trousers) -> Vec<MeasureId> {
        vec![Key::CrotchLength.into()]
    }

    fn plan(&self, profile: &Profile, trousers: &Trousers) -> girthwise::Result<Self::Plan> {
        if trousers.crotch_seam <= Length::ZERO {
            let what = "the crotch seam has no length; measure it from edge to edge".to_owned();
            return Err(Error::from(ErrorKind::Options { what }));
        }
        let Some(body) = profile.get(Key::CrotchLength) else {
            let text = "the profile has no crotch length; take it by tape";
            return Ok(Err(Phrase::from_iter([text.into()])));
        };
        // The top edge sits lower in front and behind.
        let sum = Sum::of("crotch seam", trousers.crotch_seam)
            .against("body crotch length", Length::from_mm(body.value))
            .plus("top below the waist, twice", trousers.top_below_waist * 2.0);
        let way = if sum.total() < Length::ZERO {
            "short"
        } else {
            "to spare"
        };
        Ok(Ok(sum.leaves(way)))
    }
}

fn main() -> girthwise::Result<()> {
    let raw = read_scan("data/demo/scan.ply".as_ref(), &Limits::default())?;
    let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
    let profile = Profile::of(&scan, &TapeSet::default());
    let trousers = Trousers {
        crotch_seam: Length::from_inch(27.0),
        top_below_waist: Length::from_inch(1.5),
    };
    match CrotchCheck.plan(&profile, &trousers)? {
        Ok(sum) => println!("{}", sum.say(Shown::InchEighths)),
        Err(reason) => println!("Withheld: {}", reason.say(Shown::InchEighths)),
    }
    Ok(())
}
