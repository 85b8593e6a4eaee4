//! Reports: a profile, a plan or the catalogue in words and tables for people.
//!
//! Pure: from data to text, no files, no terminal.

pub mod change;
pub mod measures;
mod text;

pub(crate) use text::{CAUTION, give_or_take, graded, is_surface, show, source};
pub use text::{caution_text, crosscheck_text, plan_text, profile_text};
