//! Simulated films laid over each other as they come from hospitals: turned, enlarged, mirrored, cropped, round.

mod ap;
mod lateral;
mod simulated;
