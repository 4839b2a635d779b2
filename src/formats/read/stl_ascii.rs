//! ASCII STL: `solid NAME`, facets, `endsolid`. Any white space, any case; several solids are several objects.

use super::{
    found::Found,
    read_error::{Place, Trouble, quoted},
};
use crate::mesh::TriMesh;

/// Words with the line they stand on.
struct Words<'a> {
    rest: &'a [u8],
    line: usize,
}

impl<'a> Words<'a> {
    fn next(&mut self) -> Option<&'a [u8]> {
        loop {
            match self.rest.first()? {
                b'\n' => {
                    self.line += 1;
                    self.rest = &self.rest[1..];
                }
                b if b.is_ascii_whitespace() => self.rest = &self.rest[1..],
                _ => break,
            }
        }
        let end = self.rest.iter().position(u8::is_ascii_whitespace).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        Some(word)
    }
    /// What is left of the line.
    fn line(&mut self) -> &'a [u8] {
        let end = self.rest.iter().position(|&b| b == b'\n').unwrap_or(self.rest.len());
        let (line, rest) = self.rest.split_at(end);
        self.rest = rest;
        line
    }
    fn expect(&mut self, wanted: &str) -> Result<(), Trouble> {
        match self.next() {
            Some(w) if w.eq_ignore_ascii_case(wanted.as_bytes()) => Ok(()),
            Some(w) => Err(self.wrong(w, &format!("“{wanted}”"))),
            None => Err(self.cut()),
        }
    }
    fn number(&mut self) -> Result<f64, Trouble> {
        let word = self.next().ok_or_else(|| self.cut())?;
        std::str::from_utf8(word).ok().and_then(|w| w.parse().ok()).ok_or_else(|| self.wrong(word, "a number"))
    }
    fn wrong(&self, found: &[u8], wanted: &str) -> Trouble {
        Trouble::at(format!("expected {wanted}, found {}", quoted(found)), Place::Line(self.line))
    }
    fn cut(&self) -> Trouble {
        Trouble::at("it is cut short: “endsolid” is missing", Place::Line(self.line))
    }
}

/// Reads an ASCII STL that begins with `solid`.
pub(super) fn read(bytes: &[u8]) -> Result<Vec<Found>, Trouble> {
    let mut words = Words { rest: bytes, line: 1 };
    let mut found = Vec::new();
    while let Some(word) = words.next() {
        if !word.eq_ignore_ascii_case(b"solid") {
            return Err(words.wrong(word, "“solid”"));
        }
        let name = String::from_utf8_lossy(words.line()).trim().to_owned();
        let soup = facets(&mut words)?;
        words.line();
        let (mesh, faults) = TriMesh::weld(&soup);
        found.push(Found { name: Some(name), mesh, faults });
    }
    Ok(found)
}

fn facets(words: &mut Words<'_>) -> Result<Vec<[[f64; 3]; 3]>, Trouble> {
    let mut soup = Vec::new();
    loop {
        match words.next() {
            None => return Err(words.cut()),
            Some(w) if w.eq_ignore_ascii_case(b"endsolid") => return Ok(soup),
            Some(w) if w.eq_ignore_ascii_case(b"facet") => {}
            Some(w) => return Err(words.wrong(w, "“facet” or “endsolid”")),
        }
        words.expect("normal")?;
        for _ in 0..3 {
            words.number()?;
        }
        words.expect("outer")?;
        words.expect("loop")?;
        let mut triangle = [[0.0; 3]; 3];
        for corner in &mut triangle {
            words.expect("vertex")?;
            for c in corner {
                *c = words.number()?;
            }
        }
        words.expect("endloop")?;
        words.expect("endfacet")?;
        soup.push(triangle);
    }
}
