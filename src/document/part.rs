//! Parts: order lines.

use serde::{Deserialize, Serialize};

use super::{CleanUp, Footing, MaterialId, Mend, MeshId, PartId, Pose, RecipeId, Turns};

/// A part and how many good ones are wanted: an order line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// Its id in the job; its letter is given by its place among all parts ever added, see [`letter`].
    pub id: PartId,
    /// "E"; kept for the life of the part, so that a drawing on the wall stays true.
    pub letter: String,
    /// "frame spacer".
    pub name: String,
    /// Its mesh, one of [`super::Job::meshes`] (with its body, where the file was split).
    pub mesh: MeshId,
    /// The body of that mesh; `None` for all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub body: Option<u32>,
    /// What is put right in our copy of it, in this order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mends: Vec<Mend>,
    /// Which way up.
    pub pose: Pose,
    /// How many good ones are wanted.
    pub wanted: u32,
    /// By when, as written (ISO 8601 date or date and time).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<String>,
    /// Its material.
    pub material: MaterialId,
    /// Its colour, in the shop's words.
    pub colour: String,
    /// Its recipe.
    pub recipe: RecipeId,
    /// What holds it down.
    pub footing: Footing,
    /// Hand work on its footings, where it differs from the job's.
    #[serde(default, skip_serializing_if = "CleanUp::is_as_assumed")]
    pub clean_up: CleanUp,
    /// Which turns Pack and Top up may give it.
    pub turns: Turns,
    /// Its copies lie on one plate where they fit on one and that costs no plate.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub together: bool,
    /// The order line of its other hand, where left and right are ordered as a pair: a handed twin makes one of each.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_hand: Option<PartId>,
    /// The number the next copy gets.
    pub next_number: u32,
}

impl Part {
    /// The number of its hue: its place among all parts ever added, from 0, as its letter says (A is 0, AA is 26).
    pub fn hue(&self) -> usize {
        let digits = self.letter.bytes().filter(u8::is_ascii_uppercase).map(|b| usize::from(b - b'A') + 1);
        digits.fold(0_usize, |n, d| n.saturating_mul(26).saturating_add(d)).saturating_sub(1)
    }
}

/// The letter of the n-th part (from 0): A … Z, AA, AB …
pub fn letter(mut n: usize) -> String {
    let mut s = Vec::new();
    loop {
        s.push(b'A' + (n % 26) as u8);
        if n < 26 {
            break;
        }
        n = n / 26 - 1;
    }
    s.reverse();
    String::from_utf8(s).unwrap_or_default()
}
