//! Files form no circle: inside a module too, what two files share stands in a third below both.
//!
//! Every name is followed through re-exports to the file that defines it. A `pub use` is a signpost and no import; code for tests alone
//! does not count.

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::Path,
};

use syn::{
    Item, UseTree, Visibility,
    visit::{self, Visit},
};

type Words = Vec<String>;

/// One module that has a file of its own.
#[derive(Default)]
struct Module {
    file: String,
    /// Names that a `use` brings in: name → path from the crate's root.
    signposts: BTreeMap<String, Words>,
    /// Paths from the crate's root that the code names.
    named: BTreeSet<Words>,
}

/// Modules by their path from the crate's root.
#[derive(Default)]
struct House(BTreeMap<Words, Module>);

fn for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| {
        let syn::Meta::List(list) = &a.meta else { return false };
        list.path.is_ident("cfg") && list.tokens.to_string() == "test"
    })
}

/// `words` as seen from `place`, from the crate's root; `None` for a path that leads out of the crate.
fn rooted(place: &[String], words: &[String], children: &BTreeSet<String>) -> Option<Words> {
    let mut at: Words = match words.first()?.as_str() {
        "crate" | "stonehand" => Words::new(),
        "self" | "super" => place.to_vec(),
        child if children.contains(child) => place.to_vec(),
        _ => return None,
    };
    for (i, word) in words.iter().enumerate() {
        match word.as_str() {
            "crate" | "stonehand" if i == 0 => {}
            "self" => {}
            "super" => {
                at.pop()?;
            }
            _ => at.push(word.clone()),
        }
    }
    Some(at)
}

fn branches(prefix: &[String], tree: &UseTree, into: &mut Vec<(String, Words)>) {
    let with = |w: &syn::Ident| prefix.iter().cloned().chain([w.to_string()]).collect::<Words>();
    match tree {
        UseTree::Path(p) => branches(&with(&p.ident), &p.tree, into),
        UseTree::Name(n) if n.ident == "self" => {
            into.push((prefix.last().cloned().unwrap_or_default(), prefix.to_vec()));
        }
        UseTree::Name(n) => into.push((n.ident.to_string(), with(&n.ident))),
        UseTree::Rename(r) => into.push((r.rename.to_string(), with(&r.ident))),
        UseTree::Glob(_) => into.push(("*".into(), prefix.to_vec())),
        UseTree::Group(g) => g.items.iter().for_each(|t| branches(prefix, t, into)),
    }
}

/// Walks the code of one file.
struct Walk<'a> {
    /// The module at hand; deeper than the file's own inside a `mod { … }`.
    place: Words,
    children: BTreeSet<String>,
    module: &'a mut Module,
}

impl Walk<'_> {
    fn name(&mut self, words: &[String]) {
        if let Some(path) = rooted(&self.place, words, &self.children) {
            self.module.named.insert(path);
        } else if let Some(first) = words.first().and_then(|w| self.module.signposts.get(w)) {
            // A module that a `use` brought in: what is named in it counts, not the module.
            let path = first.iter().chain(&words[1..]).cloned().collect();
            self.module.named.insert(path);
        }
    }
}

impl<'ast> Visit<'ast> for Walk<'_> {
    fn visit_item(&mut self, item: &'ast Item) {
        let attributes = match item {
            Item::Fn(i) => &i.attrs,
            Item::Mod(i) => &i.attrs,
            Item::Impl(i) => &i.attrs,
            Item::Use(i) => &i.attrs,
            _ => &Vec::new(),
        };
        if !for_tests(attributes) {
            visit::visit_item(self, item);
        }
    }
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        self.place.push(item.ident.to_string());
        visit::visit_item_mod(self, item);
        self.place.pop();
    }
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        let mut all = Vec::new();
        branches(&[], &item.tree, &mut all);
        for (name, words) in all {
            let Some(path) = rooted(&self.place, &words, &self.children) else { continue };
            if matches!(item.vis, Visibility::Inherited) {
                self.module.named.insert(path.clone());
            }
            self.module.signposts.insert(name, path);
        }
    }
    fn visit_path(&mut self, path: &'ast syn::Path) {
        let words: Words = path.segments.iter().map(|s| s.ident.to_string()).collect();
        if words.len() > 1 {
            self.name(&words);
        }
        visit::visit_path(self, path);
    }
    fn visit_vis_restricted(&mut self, _: &'ast syn::VisRestricted) {}
}

impl House {
    fn read(sources: &[(Words, String, String)]) -> syn::Result<Self> {
        let mut house = Self::default();
        let mut for_tests_alone = BTreeSet::new();
        for (place, file, source) in sources {
            let parsed = syn::parse_file(source)?;
            let children = parsed.items.iter().filter_map(|i| match i {
                Item::Mod(m) => Some(m.ident.to_string()),
                _ => None,
            });
            for item in &parsed.items {
                if let Item::Mod(m) = item
                    && m.content.is_none()
                    && for_tests(&m.attrs)
                {
                    for_tests_alone.insert(place.iter().cloned().chain([m.ident.to_string()]).collect::<Words>());
                }
            }
            let mut module = Module { file: file.clone(), ..Module::default() };
            let children = children.collect();
            Walk { place: place.clone(), children, module: &mut module }.visit_file(&parsed);
            house.0.insert(place.clone(), module);
        }
        house.0.retain(|place, _| !for_tests_alone.iter().any(|t| place.starts_with(t)));
        Ok(house)
    }
    /// The module whose file defines what a path names.
    fn defines(&self, path: &[String], depth: usize) -> Option<&Words> {
        let (place, module) = (0..=path.len()).rev().find_map(|n| self.0.get_key_value(&path[..n]))?;
        let Some(next) = path.get(place.len()) else { return Some(place) };
        match module.signposts.get(next) {
            Some(to) if depth < 20 => {
                let on: Words = to.iter().chain(&path[place.len() + 1..]).cloned().collect();
                self.defines(&on, depth + 1)
            }
            _ => Some(place),
        }
    }
    /// The files that reach one another, knot by knot.
    fn knots(&self) -> Vec<Vec<&str>> {
        let mut roads: BTreeMap<&Words, BTreeSet<&Words>> = BTreeMap::new();
        for (place, module) in &self.0 {
            for path in &module.named {
                let Some(to) = self.defines(path, 0) else { continue };
                // A room as a whole, brought in only to name what is in it, is no road.
                if to != place && !(to == path && self.is_signpost(to)) {
                    roads.entry(place).or_default().insert(to);
                }
            }
        }
        let reach: BTreeMap<&Words, BTreeSet<&Words>> = self.0.keys().map(|p| (p, reached(p, &roads))).collect();
        let mut out: Vec<Vec<&str>> = Vec::new();
        let mut told = BTreeSet::new();
        for (place, reached) in &reach {
            let knot: Vec<&&Words> = reached.iter().filter(|r| reach[**r].contains(*place)).collect();
            if knot.len() > 1 && !told.contains(place) {
                told.extend(knot.iter().map(|w| **w));
                out.push(knot.into_iter().map(|w| self.0[*w].file.as_str()).collect());
            }
        }
        out
    }
    /// Does anything lie below it?
    fn is_signpost(&self, place: &Words) -> bool {
        self.0.keys().any(|other| other.len() > place.len() && other.starts_with(place))
    }
}

/// All that can be reached from a module.
fn reached<'a>(from: &'a Words, roads: &BTreeMap<&'a Words, BTreeSet<&'a Words>>) -> BTreeSet<&'a Words> {
    let mut all = BTreeSet::new();
    let mut next = vec![from];
    while let Some(at) = next.pop() {
        for to in roads.get(at).into_iter().flatten() {
            if all.insert(*to) {
                next.push(to);
            }
        }
    }
    all
}

fn words(path: &str) -> Words {
    path.split("::").filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

fn planted(files: &[(&str, &str)]) -> Option<Vec<String>> {
    let sources: Vec<_> =
        files.iter().map(|(place, text)| (words(place), (*place).to_owned(), (*text).to_owned())).collect();
    let house = House::read(&sources).expect("planted sources parse");
    let knot = house.knots().into_iter().next();
    knot.map(|c| c.into_iter().map(str::to_owned).collect())
}

#[test]
fn files_form_no_circle() -> Result<(), Box<dyn std::error::Error>> {
    let mut files = Vec::new();
    super::source_files(&super::src(), &mut files)?;
    files.sort();
    let mut sources = Vec::new();
    for path in &files {
        let name = path.strip_prefix(super::src())?;
        if name == Path::new("main.rs") {
            continue;
        }
        let mut place: Words = name.iter().filter_map(|s| s.to_str()).map(str::to_owned).collect();
        let last = place.pop().unwrap_or_default().trim_end_matches(".rs").to_owned();
        if !matches!(last.as_str(), "mod" | "lib") {
            place.push(last);
        }
        sources.push((place, name.display().to_string(), fs::read_to_string(path)?));
    }
    let house = House::read(&sources)?;
    // Else nothing was seen.
    assert!(house.0.len() > 200 && house.0.values().map(|m| m.named.len()).sum::<usize>() > 1000);
    let knots: Vec<String> = house.knots().iter().map(|k| k.join(", ")).collect();
    assert!(knots.is_empty(), "files that need one another:\n{}", knots.join("\n"));
    Ok(())
}

#[test]
fn a_planted_circle_is_found() {
    let two = [
        ("plate", "mod a; mod b; pub use a::A; pub use b::B;"),
        ("plate::a", "use super::B; pub struct A(B);"),
        ("plate::b", "use super::A; pub struct B(Box<A>);"),
    ];
    assert_eq!(planted(&two).map(|c| c.len()), Some(2));
    let by_path = [
        ("plate", "mod a; mod b;"),
        ("plate::a", "pub fn f() { crate::plate::b::g() }"),
        ("plate::b", "pub fn g() { super::a::f() }"),
    ];
    assert_eq!(planted(&by_path).map(|c| c.len()), Some(2));
    let with_parent =
        [("plate", "mod a; use a::f; pub fn g() { f() }"), ("plate::a", "use super::g; pub fn f() { g() }")];
    assert_eq!(planted(&with_parent).map(|c| c.len()), Some(2));
    let three = [
        ("plate", "mod a; mod b; pub mod c;"),
        ("plate::a", "use super::b; fn f() { b::g() }"),
        ("plate::b", "use super::c::h; pub fn g() { h() }"),
        ("plate::c", "pub fn h() { super::a::f() }"),
    ];
    assert_eq!(planted(&three).map(|c| c.len()), Some(3));
}

#[test]
fn honest_files_form_none() {
    let honest = [
        ("plate", "mod a; mod b; pub use a::A; pub use b::B; #[cfg(test)] mod t;"),
        ("plate::a", "pub struct A; #[cfg(test)] mod tests { use super::super::B; }"),
        ("plate::b", "use super::A; pub struct B(A);"),
        ("plate::t", "use super::{A, B};"),
    ];
    assert_eq!(planted(&honest), None);
}
