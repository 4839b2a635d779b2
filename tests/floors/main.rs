//! The floors of the house: a module imports only from lower floors, and modules of one floor are strangers.
//!
//! Every file in `src` is parsed. Every path that starts at the crate's root, whether in a `use`, an expression, a type,
//! a macro's tokens or an attribute's text, must lead from a module to one on a lower floor, or stay inside it.

mod circles;

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

use proc_macro2::{TokenStream, TokenTree};
use syn::{
    Item, UseTree,
    visit::{self, Visit},
};

/// The floors, lowest first. Modules of one floor are strangers to one another.
const FLOORS: &[&[&str]] = &[
    &["geom", "rng", "watch", "words"],
    &["mesh", "packing", "document"],
    &["finding", "edit"],
    &["plate"],
    &["stability", "estimate"],
    &["batch"],
    &["studies"],
    &["drawing"],
    &["formats"],
    &["work"],
    &["session"],
    &["cli", "gui"],
];

/// Libraries that only the named modules may name ("main" is the binary's own file).
const KEPT: &[(&str, &[&str])] = &[
    ("egui", &["gui", "main"]),
    ("eframe", &["gui", "main"]),
    ("egui_plot", &["gui"]),
    ("egui_kittest", &["gui"]),
    ("i_overlay", &["geom"]),
    ("parry2d", &["geom"]),
    ("spade", &["geom"]),
];

/// Words that begin a path and are no library.
const OWN: &[&str] = &["crate", "super", "self", "Self", "stonehand"];

fn floor(module: &str) -> Option<usize> {
    FLOORS.iter().position(|modules| modules.contains(&module))
}

/// What a file's paths lead to, and what is wrong with them.
#[derive(Default)]
struct Findings {
    /// Paths from one top-level module to another: from where, to where.
    roads: BTreeSet<(String, String)>,
    faults: Vec<String>,
}

/// Walks one file.
struct Walk<'a> {
    /// Module path of the code at hand, from the crate's root.
    place: Vec<String>,
    file: &'a str,
    found: &'a mut Findings,
}

impl Walk<'_> {
    fn fault(&mut self, text: &str) {
        let line = format!("{}: {text}", self.file);
        if !self.found.faults.contains(&line) {
            self.found.faults.push(line);
        }
    }
    fn home(&self) -> String {
        self.place.first().cloned().unwrap_or_else(|| "main".into())
    }
    /// Judges a path by its words; `*` stands for a glob.
    fn path(&mut self, words: &[String]) {
        let Some(first) = words.first() else { return };
        if let Some((_, keepers)) = KEPT.iter().find(|(library, _)| library == first) {
            let home = self.home();
            if !keepers.contains(&home.as_str()) {
                self.fault(&format!("{home} names {first}, which only {} may", keepers.join(" and ")));
            }
        }
        if !OWN.contains(&first.as_str()) || first == "Self" {
            return;
        }
        let mut at = self.place.clone();
        for (i, word) in words.iter().enumerate() {
            match word.as_str() {
                "crate" | "stonehand" if i == 0 => at.clear(),
                "self" => {}
                "super" => {
                    if at.pop().is_none() {
                        self.fault("a path climbs out of the crate");
                        return;
                    }
                }
                _ => at.push(word.clone()),
            }
        }
        // A name directly at the root that is no module: a glob, a rename of the root, a misspelling.
        let Some(target) = at.first().cloned() else {
            self.fault(&format!("'{}' names the crate's root itself", words.join("::")));
            return;
        };
        let home = self.home();
        if target == home {
            return;
        }
        self.found.roads.insert((home.clone(), target.clone()));
        let Some(up) = floor(&target) else {
            self.fault(&format!("'{}': no floor is known for '{target}'", words.join("::")));
            return;
        };
        if home == "main" {
            return;
        }
        match floor(&home) {
            None => self.fault(&format!("no floor is known for '{home}'")),
            Some(down) if up > down => self.fault(&format!("{home} reaches up to {target}")),
            Some(down) if up == down => self.fault(&format!("{home} and {target} are strangers on one floor")),
            Some(_) => {}
        }
    }
    fn use_tree(&mut self, prefix: &[String], tree: &UseTree) {
        let with = |word: String| prefix.iter().cloned().chain([word]).collect::<Vec<_>>();
        match tree {
            UseTree::Path(p) => self.use_tree(&with(p.ident.to_string()), &p.tree),
            UseTree::Name(n) => self.path(&with(n.ident.to_string())),
            UseTree::Rename(r) => self.path(&with(r.ident.to_string())),
            UseTree::Glob(_) => self.path(&with("*".into())),
            UseTree::Group(g) => g.items.iter().for_each(|t| self.use_tree(prefix, t)),
        }
    }
    /// Finds paths in tokens that are not parsed: macros' bodies and arguments.
    fn tokens(&mut self, tokens: TokenStream) {
        let trees: Vec<TokenTree> = tokens.into_iter().collect();
        let colons = |i: usize| {
            matches!((trees.get(i), trees.get(i + 1)), (Some(TokenTree::Punct(a)), Some(TokenTree::Punct(b)))
                if a.as_char() == ':' && b.as_char() == ':')
        };
        let mut i = 0;
        while i < trees.len() {
            match &trees[i] {
                TokenTree::Ident(first) => {
                    // The word goes on a path only where no '::' stands before it.
                    let starts = i < 2 || !colons(i - 2);
                    let mut words = vec![first.to_string()];
                    while colons(i + 1) {
                        match trees.get(i + 3) {
                            Some(TokenTree::Ident(next)) => words.push(next.to_string()),
                            Some(TokenTree::Group(group)) if starts => {
                                self.branches(&words, group.stream());
                                words.clear();
                                break;
                            }
                            Some(TokenTree::Punct(p)) if p.as_char() == '*' => words.push("*".into()),
                            _ => break,
                        }
                        i += 3;
                    }
                    let rooted = OWN.contains(&words.first().map_or("", String::as_str));
                    if starts && (words.len() > 1 || !rooted) {
                        self.path(&words);
                    }
                }
                TokenTree::Group(group) => self.tokens(group.stream()),
                TokenTree::Literal(text) => self.text(&text.to_string()),
                TokenTree::Punct(_) => {}
            }
            i += 1;
        }
    }
    /// The branches of a `use` inside a macro: `crate::{a, b::c}`.
    fn branches(&mut self, prefix: &[String], tokens: TokenStream) {
        let mut words = prefix.to_vec();
        for tree in tokens {
            match tree {
                TokenTree::Ident(word) => words.push(word.to_string()),
                TokenTree::Punct(p) if p.as_char() == ',' => {
                    self.path(&words);
                    words = prefix.to_vec();
                }
                TokenTree::Punct(p) if p.as_char() == '*' => words.push("*".into()),
                TokenTree::Group(group) => {
                    self.branches(&words, group.stream());
                    words = prefix.to_vec();
                }
                _ => {}
            }
        }
        if words.len() > prefix.len() {
            self.path(&words);
        }
    }
    /// A path written as text, as serde's attributes do: `with = "crate::a::b"`.
    fn text(&mut self, literal: &str) {
        let text = literal.trim_matches('"');
        let path = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
        if text.contains("::") && !text.is_empty() && text.chars().all(path) {
            self.path(&text.split("::").map(str::to_owned).collect::<Vec<_>>());
        }
    }
}

impl<'ast> Visit<'ast> for Walk<'_> {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if item.attrs.iter().any(|a| a.path().is_ident("path")) {
            self.fault("a #[path] hides where a module lives");
        }
        self.place.push(item.ident.to_string());
        visit::visit_item_mod(self, item);
        self.place.pop();
    }
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.use_tree(&[], &item.tree);
        visit::visit_item_use(self, item);
    }
    fn visit_item_extern_crate(&mut self, item: &'ast syn::ItemExternCrate) {
        self.fault("an extern crate hides what is named");
        visit::visit_item_extern_crate(self, item);
    }
    fn visit_path(&mut self, path: &'ast syn::Path) {
        let words: Vec<String> = path.segments.iter().map(|s| s.ident.to_string()).collect();
        if words.len() > 1 {
            self.path(&words);
        }
        visit::visit_path(self, path);
    }
    fn visit_macro(&mut self, mac: &'ast syn::Macro) {
        if mac.path.is_ident("include") {
            self.fault("an include! hides code");
        }
        self.tokens(mac.tokens.clone());
        visit::visit_macro(self, mac);
    }
    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        match &attribute.meta {
            syn::Meta::List(list) => self.tokens(list.tokens.clone()),
            // Documentation may name anything.
            syn::Meta::NameValue(_) | syn::Meta::Path(_) => {}
        }
    }
    fn visit_vis_restricted(&mut self, vis: &'ast syn::VisRestricted) {
        // pub(crate), pub(super): no road. pub(in …) is judged as any path.
        if vis.in_token.is_some() {
            visit::visit_vis_restricted(self, vis);
        }
    }
}

/// Judges one file's text; `place` is the module path that it is.
fn judge(place: &[&str], file: &str, source: &str, found: &mut Findings) -> syn::Result<()> {
    let parsed = syn::parse_file(source)?;
    let mut walk = Walk { place: place.iter().map(|&s| s.to_owned()).collect(), file, found };
    walk.visit_file(&parsed);
    Ok(())
}

fn source_files(folder: &Path, into: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            source_files(&path, into)?;
        } else if path.extension().is_some_and(|e| e == "rs") {
            into.push(path);
        }
    }
    Ok(())
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

#[test]
fn every_module_imports_only_from_lower_floors() -> Result<(), Box<dyn std::error::Error>> {
    let mut files = Vec::new();
    source_files(&src(), &mut files)?;
    files.sort();
    let mut found = Findings::default();
    for path in &files {
        let name = path.strip_prefix(src())?;
        let mut place: Vec<&str> = name.iter().filter_map(|s| s.to_str()).collect();
        let last = place.pop().unwrap_or_default().trim_end_matches(".rs");
        if !matches!(last, "mod" | "lib" | "main") {
            place.push(last);
        }
        if place.first().is_some_and(|module| floor(module).is_none()) {
            found.faults.push(format!("{}: a module without a floor", name.display()));
        }
        judge(&place, &name.display().to_string(), &fs::read_to_string(path)?, &mut found)?;
    }
    assert!(found.faults.is_empty(), "\n{}", found.faults.join("\n"));
    // Else the walk has not seen what there is: whatever stands above the ground stands on something, and whatever is
    // below the roofs carries something.
    let is_there =
        |m: &str| files.iter().any(|f| f.starts_with(src().join(m)) || *f == src().join(m).with_extension("rs"));
    for (level, modules) in FLOORS.iter().enumerate() {
        for module in modules.iter().filter(|m| is_there(m)) {
            let (from, to) = (|r: &(String, String)| r.0 == *module, |r: &(String, String)| r.1 == *module);
            assert!(level == 0 || found.roads.iter().any(from), "nothing that {module} imports was seen");
            assert!(level + 1 == FLOORS.len() || found.roads.iter().any(to), "nothing that imports {module} was seen");
        }
    }
    Ok(())
}

#[test]
fn the_library_root_holds_no_code_and_the_binary_is_short() -> Result<(), Box<dyn std::error::Error>> {
    let lib = syn::parse_file(&fs::read_to_string(src().join("lib.rs"))?)?;
    for item in &lib.items {
        assert!(matches!(item, Item::Mod(m) if m.content.is_none()), "lib.rs is a table of contents and no more");
    }
    let main = fs::read_to_string(src().join("main.rs"))?;
    assert!(main.lines().count() < 80, "main.rs has {} lines", main.lines().count());
    for item in &syn::parse_file(&main)?.items {
        assert!(!matches!(item, Item::Mod(_)), "main.rs has no modules of its own");
    }
    Ok(())
}

/// The faults of a source planted at a place.
fn planted(place: &[&str], source: &str) -> Vec<String> {
    let mut found = Findings::default();
    judge(place, "planted.rs", source, &mut found).expect("planted sources parse");
    found.faults
}

#[test]
fn a_planted_fault_is_found() {
    let faulty: &[(&[&str], &str)] = &[
        (&["geom"], "use crate::gui::App;"),
        (&["geom", "hull"], "use super::super::document::Job;"),
        (&["geom"], "use super::document::Job;"),
        (&["geom", "hull"], "use self::super::super::mesh;"),
        (&["mesh"], "use crate::{geom::Point, document::{Job, Part}};"),
        (&["mesh"], "fn f() { crate::session::disk::save(); }"),
        (&["mesh"], "fn f() -> crate::session::Session { todo() }"),
        (&["mesh"], "fn f() { println!(\"{}\", crate::session::NAME); }"),
        (&["mesh"], "macro_rules! m { () => { use $crate::{geom::Point, cli::args}; } }"),
        (&["mesh"], "macro_rules! m { () => { use crate::{geom::{Point, Region}, cli::{args, run}}; } }"),
        (&["mesh"], "fn f() { vec![super::plate::rings()]; }"),
        (&["mesh"], "mod inner { mod deeper { use super::super::super::plate; } }"),
        (&["mesh"], "#[cfg(test)] mod tests { use crate::formats::read; }"),
        (&["document"], "#[derive(Serialize)] struct S { #[serde(with = \"crate::formats::mm\")] a: f64 }"),
        (&["document"], "impl crate::edit::Apply for Job {}"),
        (&["cli"], "use crate::gui::theme;"),
        (&["edit"], "use crate::plate::Rings;"),
        (&["edit"], "use crate::finding::Level;"),
        (&["estimate"], "use crate::stability::margin;"),
        (&["plate"], "pub(in crate::session) fn f() {}"),
        (&["plate"], "use crate::*;"),
        (&["plate"], "use crate as root; use root::gui;"),
        (&["plate"], "use super::*;"),
        (&["plate"], "extern crate stonehand as s;"),
        (&["plate"], "use stonehand::gui::App;"),
        (&["plate"], "use crate::plates::Ring;"),
        (&["plates"], "use crate::geom::Point;"),
        (&["plate"], "use super::super::x;"),
        (&["plate"], "#[path = \"../gui/mod.rs\"] mod g;"),
        (&["plate"], "include!(\"../gui/app.rs\");"),
        (&["session"], "use egui::Context;"),
        (&["session"], "fn f(c: &eframe::Frame) {}"),
        (&["session"], "fn f() { assert!(egui::Pos2::ZERO.x == 0.0); }"),
        (&["plate"], "use parry2d::math::Point;"),
        (&["packing"], "use i_overlay::core::overlay::Overlay;"),
        (&[], "use crate::rooms::Room;"),
    ];
    for (place, source) in faulty {
        assert!(!planted(place, source).is_empty(), "not found in {place:?}: {source}");
    }
}

#[test]
fn an_honest_file_passes() {
    let honest: &[(&[&str], &str)] = &[
        (&["plate", "rings"], "use crate::{document::{Footing, Job}, geom::{Point, offset}, packing};"),
        (&["plate", "rings"], "use super::{Ring, super::geom::Point, conflicts::*};"),
        (&["plate", "rings"], "#[cfg(test)] mod tests { use super::*; use super::super::Ring; }"),
        (&["plate"], "mod inner { use super::super::watch::Watch; pub(super) fn f() {} pub(crate) fn g() {} }"),
        (
            &["plate"],
            "#[doc = \"crate::gui::App\"] fn f() { crate::geom::hull::of(&[]); assert!(crate::geom::X > 0); }",
        ),
        (
            &["plate"],
            "macro_rules! m { ($t:ty) => { impl $t { fn f() { $crate::geom::f(self::g(), Self::h()); } } }; }",
        ),
        (&["gui", "sheet"], "use eframe::egui; use crate::session::Session; fn f(p: egui::Pos2) {}"),
        (&["geom", "depth"], "use parry2d::math::Point; use i_overlay::core::overlay::Overlay;"),
        (&["cli"], "fn f(s: &str) -> bool { s.contains(\"see crate::gui for more\") }"),
        (&[], "use stonehand::{cli, gui}; fn main() { eframe::run(); }"),
    ];
    for (place, source) in honest {
        assert_eq!(planted(place, source), Vec::<String>::new(), "in {place:?}: {source}");
    }
}
