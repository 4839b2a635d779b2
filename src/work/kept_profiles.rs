//! Profiles kept between runs, as bytes.

use serde::{Serialize, de::DeserializeOwned};
use sha2::{Digest, Sha256};

use crate::{
    estimate::Profile,
    geom::{Outline, Point, Polygon, Region},
    plate::PartShape,
};

/// Where profiles are kept between runs. A comfort: what cannot be read or written is computed again.
pub trait KeptProfiles: std::fmt::Debug + Send + Sync {
    /// The bytes kept under a key.
    fn get(&self, key: &ProfileHash) -> Option<Vec<u8>>;
    /// Keeps bytes under a key.
    fn put(&self, key: &ProfileHash, bytes: &[u8]);
}

/// SHA-256 of all that a profile depends on.
pub type ProfileHash = [u8; 32];

/// A file begins with one of these; other bytes are another program's.
const MARK: [u8; 8] = *b"SHprofil";
const OUTLINE_MARK: [u8; 8] = *b"SHoutlin";

/// A profile as it is kept: mark, key, profile, SHA-256 of all before.
pub fn profile_bytes(key: &ProfileHash, profile: &Profile) -> Option<Vec<u8>> {
    sealed(MARK, key, profile)
}

/// The profile in kept bytes; `None` unless they are whole and of this very key.
pub fn kept_profile(key: &ProfileHash, bytes: &[u8]) -> Option<Profile> {
    opened(MARK, key, bytes)
}

/// A part's outlines as they are kept.
pub fn outline_bytes(key: &ProfileHash, shape: &PartShape) -> Option<Vec<u8>> {
    let PartShape { shadow, contact, height_mm, shift_mm, own_mirror } = shape;
    sealed(OUTLINE_MARK, key, &(loops(shadow.region()), loops(contact.region()), height_mm, shift_mm, own_mirror))
}

/// The outlines in kept bytes; `None` unless they are whole and of this very key.
pub fn kept_outline(key: &ProfileHash, bytes: &[u8]) -> Option<PartShape> {
    type Kept = (Loops, Loops, f64, [f64; 3], bool);
    let (shadow, contact, height_mm, shift_mm, own_mirror): Kept = opened(OUTLINE_MARK, key, bytes)?;
    let outline = |loops: Loops| {
        let polygons = loops.into_iter().map(|(outer, holes)| Polygon { outer, holes }).collect();
        Outline::new(Region { polygons })
    };
    Some(PartShape { shadow: outline(shadow), contact: outline(contact), height_mm, shift_mm, own_mirror })
}

/// Outer loop and holes of each polygon. A region's own form leaves out empty holes, which bytes without names cannot tell.
type Loops = Vec<(Vec<Point>, Vec<Vec<Point>>)>;

fn loops(region: &Region) -> Loops {
    region.polygons.iter().map(|p| (p.outer.clone(), p.holes.clone())).collect()
}

fn sealed(mark: [u8; 8], key: &ProfileHash, value: &impl Serialize) -> Option<Vec<u8>> {
    let mut bytes = [mark.as_slice(), key].concat();
    bytes = postcard::to_extend(value, bytes).ok()?;
    let sum = Sha256::digest(&bytes);
    bytes.extend_from_slice(&sum);
    Some(bytes)
}

fn opened<T: DeserializeOwned>(mark: [u8; 8], key: &ProfileHash, bytes: &[u8]) -> Option<T> {
    let (body, sum) = bytes.split_at_checked(bytes.len().checked_sub(size_of::<ProfileHash>())?)?;
    let rest = body.strip_prefix(&mark)?.strip_prefix(key)?;
    if *Sha256::digest(body) != *sum {
        return None;
    }
    // No bytes may be left over.
    let (value, left) = postcard::take_from_bytes(rest).ok()?;
    left.is_empty().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::LayerWork;

    const KEY: ProfileHash = [7; 32];

    fn profile() -> Profile {
        let layer = |i: u32| LayerWork { travel_s: f64::from(i) / 3.0, retractions: i, ..LayerWork::default() };
        Profile::from((0..50).map(layer).collect::<Vec<_>>())
    }

    #[test]
    fn what_was_kept_comes_back_to_the_last_bit() {
        let bytes = profile_bytes(&KEY, &profile()).expect("it can be written");
        assert_eq!(kept_profile(&KEY, &bytes), Some(profile()));
        assert_eq!(kept_profile(&[8; 32], &bytes), None, "another key");
        let none = Profile::from(Vec::new());
        let bytes = profile_bytes(&KEY, &none).expect("it can be written");
        // Mark, key, a count of one byte, checksum.
        assert_eq!((bytes.len(), kept_profile(&KEY, &bytes)), (8 + 32 + 1 + 32, Some(none)));
    }

    #[test]
    fn outlines_come_back_and_are_told_from_profiles() {
        let square =
            Polygon::simple([(0.0, 0.0), (3.0, 0.0), (3.0, 1.0 / 3.0)].map(|(x, y)| Point::new(x, y)).to_vec());
        let shape = PartShape {
            shadow: Outline::new(Region::from(square)),
            contact: Outline::new(Region::EMPTY),
            height_mm: 7.5,
            shift_mm: [1.0, 2.0, 3.0],
            own_mirror: true,
        };
        let bytes = outline_bytes(&KEY, &shape).expect("it can be written");
        let back = kept_outline(&KEY, &bytes).expect("it is whole");
        assert_eq!((back.shadow.region(), back.contact.region()), (shape.shadow.region(), shape.contact.region()));
        assert_eq!((back.height_mm, back.shift_mm, back.own_mirror), (7.5, [1.0, 2.0, 3.0], true));
        assert!(kept_outline(&[8; 32], &bytes).is_none() && kept_profile(&KEY, &bytes).is_none());
    }

    #[test]
    fn no_garbled_byte_and_no_length_gets_through() {
        let bytes = profile_bytes(&KEY, &profile()).expect("it can be written");
        for n in 0..bytes.len() {
            assert_eq!(kept_profile(&KEY, &bytes[..n]), None, "{n} bytes of it");
        }
        for at in (0..bytes.len()).step_by(37).chain([bytes.len() - 1]) {
            let mut bad = bytes.clone();
            bad[at] ^= 0x10;
            assert_eq!(kept_profile(&KEY, &bad), None, "byte {at}");
        }
        let mut long = bytes;
        long.push(0);
        assert_eq!(kept_profile(&KEY, &long), None);
    }

    /// Two to the sixtieth layers announced, none there, and the checksum right: nothing is allocated for them.
    #[test]
    fn a_count_that_the_bytes_cannot_hold_is_refused() {
        let mut bytes = [MARK.as_slice(), &KEY].concat();
        bytes.extend([0x80; 8]);
        bytes.push(0x10);
        let sum = Sha256::digest(&bytes);
        bytes.extend_from_slice(&sum);
        assert_eq!(kept_profile(&KEY, &bytes), None);
    }
}
