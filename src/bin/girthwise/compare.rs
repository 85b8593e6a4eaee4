//! What changed between two profiles.

use crate::{ShowArgs, file_name, json, read_text};
use clap::Args;
use girthwise::Error;
use girthwise::change::Changes;
use girthwise::profile::Profile;
use girthwise::report::change::changes_text;
use std::path::{Path, PathBuf};

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
    let read = |path: &Path| Profile::from_json(&file_name(path), &read_text(path)?);
    let changes = Changes::between(&read(&args.before)?, &read(&args.after)?);
    if args.show.json {
        json(&changes)
    } else {
        Ok(changes_text(&changes, args.show.show.into()))
    }
}
