//! OBJ: `v` and `f` lines; `o` (or `g`, where groups share no vertex) names objects. The rest is ignored.

use super::{
    found::Found,
    most::{MOST_TRIANGLES, too_many},
    polygon::{MOST_TRIES, triangulate, weld},
    read_error::{Place, Trouble, quoted},
};
use crate::mesh::{Fault, FaultKind};

/// Words that begin lines of an OBJ.
const KEYWORDS: [&[u8]; 14] =
    [b"v", b"vn", b"vt", b"vp", b"f", b"o", b"g", b"s", b"l", b"p", b"mtllib", b"usemtl", b"usemap", b"cstype"];

/// True when the first line that is neither empty nor a comment begins like one of an OBJ.
pub(super) fn looks_like(text: &[u8]) -> bool {
    text.split(|&b| b == b'\n')
        .filter_map(|l| l.split(u8::is_ascii_whitespace).find(|w| !w.is_empty()))
        .find(|w| !w.starts_with(b"#"))
        .is_some_and(|w| KEYWORDS.contains(&w))
}

/// Faces under one `o` and `g` (a patch).
struct Group {
    object: Option<String>,
    patch: Option<String>,
    triangles: Vec<[u32; 3]>,
    /// Faces that cross themselves.
    crossing: usize,
}

impl Group {
    fn named(object: Option<String>, patch: Option<String>) -> Self {
        Self { object, patch, triangles: Vec::new(), crossing: 0 }
    }
}

/// Reads an OBJ.
pub(super) fn read(text: &[u8]) -> Result<Vec<Found>, Trouble> {
    let mut vertices: Vec<[f64; 3]> = Vec::new();
    let mut groups = vec![Group::named(None, None)];
    let mut total = 0;
    let mut tries = MOST_TRIES;
    let mut polygon: Vec<u32> = Vec::new();
    let mut joined: Vec<u8> = Vec::new();
    for (i, raw) in text.split(|&b| b == b'\n').enumerate() {
        let place = Place::Line(i + 1);
        let raw = raw.strip_suffix(b"\r").unwrap_or(raw);
        // A backslash at the end joins lines.
        if let Some(part) = raw.strip_suffix(b"\\") {
            joined.extend_from_slice(part);
            joined.push(b' ');
            continue;
        }
        let line: &[u8] = if joined.is_empty() {
            raw
        } else {
            joined.extend_from_slice(raw);
            &joined
        };
        let mut words = line.split(u8::is_ascii_whitespace).filter(|w| !w.is_empty());
        let number = |w: Option<&[u8]>| -> Result<f64, Trouble> {
            let word = w.ok_or_else(|| Trouble::at("a vertex has fewer than three coordinates", place))?;
            std::str::from_utf8(word)
                .ok()
                .and_then(|w| w.parse().ok())
                .ok_or_else(|| Trouble::at(format!("expected a number, found {}", quoted(word)), place))
        };
        match words.next() {
            Some(b"v") => vertices.push([number(words.next())?, number(words.next())?, number(words.next())?]),
            Some(b"f") => {
                polygon.clear();
                for word in words.take_while(|w| !w.starts_with(b"#")) {
                    polygon.push(index(word, vertices.len(), place)?);
                }
                if polygon.len() < 3 {
                    return Err(Trouble::at(format!("a face has only {} corners", polygon.len()), place));
                }
                let Some(group) = groups.last_mut() else { continue };
                let before = group.triangles.len();
                if !triangulate(&vertices, &polygon, &mut tries, &mut group.triangles) {
                    group.crossing += 1;
                }
                total += group.triangles.len() - before;
                if total > MOST_TRIANGLES {
                    return Err(too_many(MOST_TRIANGLES, "triangles"));
                }
            }
            Some(word @ (b"o" | b"g")) => {
                let rest: Vec<_> = words.map(|w| String::from_utf8_lossy(w)).collect();
                let name = Some(rest.join(" ")).filter(|n| !n.is_empty());
                let object = groups.last().and_then(|g| g.object.clone());
                groups.push(if word == b"o" {
                    Group::named(Some(name.unwrap_or_default()), None)
                } else {
                    Group::named(object, name)
                });
            }
            _ => {}
        }
        joined.clear();
    }
    groups.retain(|g| !g.triangles.is_empty());
    if groups.is_empty() {
        return Err(Trouble::new("it has no faces", super::read_error::EXPORT_AGAIN));
    }
    Ok(objects(&vertices, groups))
}

/// Groups put together: by `o` where there is one; else by `g`, unless groups share vertices (then they are patches of
/// one surface).
fn objects(vertices: &[[f64; 3]], groups: Vec<Group>) -> Vec<Found> {
    let by_object = groups.iter().any(|g| g.object.is_some());
    let by_group = !by_object && groups.iter().any(|g| g.patch.is_some()) && apart(vertices.len(), &groups);
    let mut objects: Vec<(Option<String>, Vec<[u32; 3]>, usize)> = Vec::new();
    // Objects that are named in turns are put together again.
    let mut known: std::collections::BTreeMap<Option<String>, usize> = std::collections::BTreeMap::new();
    for g in groups {
        let name = if by_object {
            g.object
        } else if by_group {
            g.patch
        } else {
            None
        };
        let at = *known.entry(name.clone()).or_insert(objects.len());
        match objects.get_mut(at) {
            Some(o) => {
                o.1.extend(g.triangles);
                o.2 += g.crossing;
            }
            None => objects.push((name, g.triangles, g.crossing)),
        }
    }
    objects
        .into_iter()
        .map(|(name, triangles, crossing)| {
            let (mesh, mut faults) = weld(vertices, &triangles);
            faults.extend(Fault::counted(
                FaultKind::CrossingFace,
                crossing,
                "1 face crosses itself: what it covers is ambiguous. Export the mesh with triangles only.",
                "faces cross themselves: what they cover is ambiguous. Export the mesh with triangles only.",
            ));
            Found { name, mesh, faults }
        })
        .collect()
}

/// No vertex is used under two group names?
fn apart(vertex_count: usize, groups: &[Group]) -> bool {
    let mut names: Vec<&Option<String>> = Vec::new();
    let mut owner = vec![u32::MAX; vertex_count];
    let mut number_of: std::collections::BTreeMap<&Option<String>, u32> = std::collections::BTreeMap::new();
    for g in groups {
        let id = *number_of.entry(&g.patch).or_insert_with(|| {
            names.push(&g.patch);
            names.len() as u32 - 1
        });
        for &v in g.triangles.iter().flatten() {
            let o = &mut owner[v as usize];
            if *o != u32::MAX && *o != id {
                return false;
            }
            *o = id;
        }
    }
    true
}

/// `7`, `7/1`, `7//3` or `-2/…` as an index from 0.
fn index(word: &[u8], vertex_count: usize, place: Place) -> Result<u32, Trouble> {
    let first = word.split(|&b| b == b'/').next().unwrap_or_default();
    let n: i64 = std::str::from_utf8(first)
        .ok()
        .and_then(|w| w.parse().ok())
        .ok_or_else(|| Trouble::at(format!("expected a vertex number, found {}", quoted(word)), place))?;
    let from_zero = if n < 0 { vertex_count.cast_signed() as i64 + n } else { n - 1 };
    u32::try_from(from_zero).ok().filter(|&i| (i as usize) < vertex_count).ok_or_else(|| {
        Trouble::at(format!("a face uses vertex {n}, but only {vertex_count} vertices come before it"), place)
    })
}
