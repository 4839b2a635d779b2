//! One look.

use serde::Serialize;

/// What a look is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LookKind {
    /// The contact is small beside the largest section above it.
    ThinStart,
    /// A thin section carries much above it.
    ThinNeck,
    /// Tall on a narrow base.
    Slender,
    /// Bends under the nozzle by more than a layer.
    Wobble,
    /// Little contact for its mass.
    SmallContact,
    /// Long and flat: its corners may lift.
    Warp,
    /// A region with nothing under it.
    MidAir,
}

/// Something about a part's shape that is worth a look. Its threshold is common practice without a source, unless the rule names one.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Look {
    /// What it is about.
    pub kind: LookKind,
    /// At which height of the part, mm.
    pub height_mm: f64,
    /// The number that is compared.
    pub value: f64,
    /// What it is compared with.
    pub threshold: f64,
    /// What, where, how much: a clause without its subject ("starts thin: …"), for "A 1 …".
    pub text: String,
    /// Why it matters: one sentence.
    pub why: String,
}
