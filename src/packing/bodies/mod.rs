//! Shapes at their turns and where they may lie: what every move looks things up in.
//!
//! - `body`: search outlines of a shape; `convex`: sums of convex polygons
//! - `cleaned`: regions from outside, made fit to compute with
//! - `zone`: where one shape would touch another (no-fit polygon); `zone_cache`: zones kept from search to search
//! - `inner_fit`: where a shape may lie on an empty bed (inner-fit polygon)
//! - `zone_table`: bodies at their turns, zones of every pair, inner fits, each worked out when first asked for
//! - `contacts`: free positions in contact with what lies there

pub(super) mod body;
pub(super) mod cleaned;
pub(super) mod contacts;
pub(super) mod convex;
pub(super) mod inner_fit;
pub(super) mod zone;
mod zone_cache;
pub(super) mod zone_table;

pub use zone_cache::ZoneCache;
