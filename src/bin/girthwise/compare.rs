//! What changed between two profiles.

use crate::input::read_profile;
use crate::{ShowArgs, json};
use clap::Args;
use girthwise::Error;
use girthwise::change::Changes;
use girthwise::report::change::changes_text;
use std::path::PathBuf;

#[derive(Args)]
pub(crate) struct CompareArgs {
    /// The first profile: what measure --json or crosscheck --json printed, or all --out wrote.
    before: PathBuf,
    /// The second profile.
    after: PathBuf,
    #[command(flatten)]
    show: ShowArgs,
}

pub(crate) fn run(args: &CompareArgs) -> Result<String, Error> {
    let changes = Changes::between(&read_profile(&args.before)?, &read_profile(&args.after)?);
    if args.show.json {
        json(&changes)
    } else {
        Ok(changes_text(&changes, args.show.show.into()))
    }
}
