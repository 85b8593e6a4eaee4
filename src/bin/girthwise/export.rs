//! A profile in other forms, for other programs.

use crate::input::read_profile;
use clap::{Args, ValueEnum};
use girthwise::Error;
use girthwise::export::{hanim_json, measures_csv};
use std::path::PathBuf;

#[derive(Args)]
pub(crate) struct ExportArgs {
    /// What to print.
    #[arg(value_enum)]
    form: FormArg,
    /// Profile: what measure --json or crosscheck --json printed, or all --out wrote.
    profile: PathBuf,
}

#[derive(Clone, Copy, ValueEnum)]
enum FormArg {
    /// A table, one row a measure; withheld ones with their reason.
    Csv,
    /// Landmarks by their names in ISO/IEC 19774 (HAnim), as JSON in metres.
    Hanim,
    /// The profile without what leads back to a person.
    Unnamed,
}

pub(crate) fn run(args: &ExportArgs) -> Result<String, Error> {
    let profile = read_profile(&args.profile)?;
    match args.form {
        FormArg::Csv => measures_csv(&profile),
        FormArg::Hanim => hanim_json(&profile),
        FormArg::Unnamed => profile.unnamed().to_json(),
    }
}
