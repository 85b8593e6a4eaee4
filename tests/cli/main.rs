//! The built program, run as a person runs it.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod batch;
mod commands;
mod compare;
mod export;
mod measures;
mod pins;
mod readme;
mod refusals;
mod report;
mod run;
mod shapes;
