//! `tape-sheet`: a blank sheet for what a garment needs, or for the usual set.

use crate::input::read_garment_sheet;
use clap::{Args, ValueEnum};
use girthwise::Error;
use girthwise::fit::{FitRoutine, LevelFit, uses};
use girthwise::measure::MeasureId;
use girthwise::measure::catalogue::CATALOGUE;
use girthwise::side::Side;
use girthwise::tape::blank::{BlankFormat, blank};
use std::path::PathBuf;

#[derive(Args)]
pub(crate) struct TapeSheetArgs {
    /// Garment sheet (TOML) to measure for; without it, all that any step of the fit reads.
    #[arg(long = "for", value_name = "GARMENT")]
    garment: Option<PathBuf>,
    /// What to write it as: text to print, csv or toml to fill in and give to --tape.
    #[arg(long, value_enum, default_value = "text")]
    format: FormatArg,
}

#[derive(Clone, Copy, ValueEnum)]
enum FormatArg {
    Csv,
    Toml,
    Text,
}

/// The blank sheet asked for.
pub(crate) fn blank_sheet(args: &TapeSheetArgs) -> Result<String, Error> {
    let ids = match &args.garment {
        Some(path) => LevelFit::default().needs(&read_garment_sheet(path)?),
        None => usual(),
    };
    let format = match args.format {
        FormatArg::Csv => BlankFormat::Csv,
        FormatArg::Toml => BlankFormat::Toml,
        FormatArg::Text => BlankFormat::Text,
    };
    Ok(blank(&ids, format))
}

/// Every measure that a step of the fit reads, both sides of a pair.
fn usual() -> Vec<MeasureId> {
    CATALOGUE
        .iter()
        .filter(|row| !uses(row.key).is_empty())
        .flat_map(|row| {
            let sides = Side::of_pair(row.paired).iter();
            sides.map(|&side| MeasureId::new(row.key, side))
        })
        .collect()
}
