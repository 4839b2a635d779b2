//! What the pages say.

pub(super) mod keys;
pub(super) mod safety;
pub(super) mod sheet;
pub(super) mod shifts;
pub(super) mod studies;
pub(super) mod way;
