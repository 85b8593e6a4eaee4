//! What was decided about a file's frame, and why.

use super::Axis;
use crate::length::LengthUnit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One decision with the evidence it rests on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Decision<T> {
    /// What was decided.
    pub value: T,
    /// True if the caller gave it, false if it was found on the shape.
    pub given: bool,
    /// Plain sentences, strongest first.
    pub evidence: Vec<String>,
}

impl<T> Decision<T> {
    pub(super) fn found(value: T, evidence: Vec<String>) -> Self {
        Self {
            value,
            given: false,
            evidence,
        }
    }

    pub(super) fn given(value: T, text: String) -> Self {
        Self {
            value,
            given: true,
            evidence: vec![text],
        }
    }
}

/// Which way the body faces in its file.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Front {
    /// The file axis nearest to straight ahead.
    pub axis: Axis,
    /// From that axis to straight ahead, in degrees, counter-clockwise seen from above; −45 to 45, and up to 55 either
    /// way where no file axis is up.
    pub yaw_deg: f64,
    /// Straight ahead in the file's axes, length one.
    pub direction: [f64; 3],
}

/// Everything decided between the file's coordinates and the body frame.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FrameDecision {
    /// The file's unit.
    pub unit: Decision<LengthUnit>,
    /// The file axis that points up; of a body that stands along none of them, the nearest.
    pub up: Decision<Axis>,
    /// Which way the body faces.
    pub front: Decision<Front>,
    /// True if the caller said that the file is a mirror image; never found, as a shape does not tell.
    pub mirrored: bool,
    /// True if the faces looked inwards and were turned.
    pub faces_turned: bool,
    /// Standard uncertainty of x = 0, in mm: how far the mid-line of the trunk may lie from it.
    #[schemars(range(min = 0))]
    pub midline_sd_mm: f64,
    /// From file to body coordinates (mm): 4 × 4, by rows, acts on columns.
    pub matrix: [[f64; 4]; 4],
}
