//! Pages as PDF: fonts embedded, text that can be selected, tagged for those who have it read to them.

use std::num::NonZeroU16;

use krilla::{
    Document, SerializeSettings,
    destination::XyzDestination,
    geom::Point,
    metadata::Metadata,
    outline::{Outline, OutlineNode},
    page::PageSettings,
    surface::Surface,
    tagging::{
        Artifact, ArtifactType, ContentTag, Identifier, ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagTree,
    },
};

use super::{
    WriteError,
    pdf_marks::{PT_OF_MM, Sheet, draw},
    pdf_text::Fonts,
};
use crate::drawing::{
    Mark, Palette,
    run_sheet::{Pages, Piece, Role},
};

/// The language of all texts (RFC 3066).
const LANGUAGE: &str = "en";

/// The pages as a PDF 1.7. The same pages give the same bytes: no time of making is written. Characters that Inter does not have are drawn as
/// boxes and kept as text.
///
/// # Errors
/// A fault of the fonts, and more objects than a PDF can hold; a document without pages.
pub fn pdf(pages: &Pages, palette: &Palette) -> Result<Vec<u8>, WriteError> {
    made(pages, palette, SerializeSettings { enable_tagging: true, ..SerializeSettings::default() })
}

fn made(pages: &Pages, palette: &Palette, settings: SerializeSettings) -> Result<Vec<u8>, WriteError> {
    let fault = |why: &dyn std::fmt::Display| WriteError::Pdf(why.to_string());
    if pages.pages.is_empty() {
        return Err(fault(&"it has no pages"));
    }
    let fonts = Fonts::new().ok_or_else(|| fault(&"the bundled fonts cannot be read"))?;
    let mut document = Document::new_with(settings);
    let mut tags = TagTree::new().with_lang(Some(LANGUAGE.to_owned()));
    let mut outline = Outline::new();
    for (number, page) in pages.pages.iter().enumerate() {
        let (width, height) = (page.size_mm.0 * PT_OF_MM, page.size_mm.1 * PT_OF_MM);
        let settings = PageSettings::from_wh(width as f32, height as f32);
        let settings = settings.ok_or_else(|| fault(&"a page has no size"))?;
        let mut on_paper = document.start_page_with(settings);
        let mut surface = on_paper.surface();
        let sheet = Sheet { palette, fonts: &fonts, height_mm: page.size_mm.1 };
        for node in nodes(&page.pieces, &mut surface, &sheet) {
            tags.push(node);
        }
        surface.finish();
        on_paper.finish();
        if let Some(name) = &page.bookmark {
            let top = XyzDestination::new(number, Point::from_xy(0.0, 0.0));
            outline.push_child(OutlineNode::new(name.clone(), top));
        }
    }
    document.set_outline(outline);
    document.set_tag_tree(tags);
    document.set_metadata(
        Metadata::new().title(pages.title.clone()).creator("Stonehand".to_owned()).language(LANGUAGE.to_owned()),
    );
    document.finish().map_err(|why| WriteError::Pdf(format!("{why:?}")))
}

/// A list or a table that is being put together.
enum Open {
    List(TagGroup),
    /// Its rows before this one, this row's number, this row.
    Table(TagGroup, usize, TagGroup),
}

/// Draws the pieces of a page; what they are, in reading order.
fn nodes(pieces: &[Piece], surface: &mut Surface<'_>, sheet: &Sheet<'_>) -> Vec<Node> {
    let mut nodes = Vec::new();
    let mut open: Option<Open> = None;
    let close = |open: Option<Open>, nodes: &mut Vec<Node>| match open {
        Some(Open::List(list)) => nodes.push(list.into()),
        Some(Open::Table(mut table, _, row)) => {
            table.push(row);
            nodes.push(table.into());
        }
        None => {}
    };
    for piece in pieces {
        if piece.role == Role::Layout {
            tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)), piece, surface, sheet);
            continue;
        }
        let id = tagged(ContentTag::Other, piece, surface, sheet);
        match &piece.role {
            Role::Item => {
                let mut item = TagGroup::new(Tag::LI);
                item.push(TagGroup::with_children(Tag::LBody, vec![id.into()]));
                let mut list = match open.take() {
                    Some(Open::List(list)) => list,
                    other => {
                        close(other, &mut nodes);
                        TagGroup::new(Tag::L(ListNumbering::None))
                    }
                };
                list.push(item);
                open = Some(Open::List(list));
            }
            Role::Cell { row, heads } => {
                let cell = if *heads {
                    TagGroup::with_children(Tag::TH(TableHeaderScope::Column), vec![id.into()])
                } else {
                    TagGroup::with_children(Tag::TD, vec![id.into()])
                };
                open = Some(match open.take() {
                    Some(Open::Table(table, at, mut cells)) if at == *row => {
                        cells.push(cell);
                        Open::Table(table, at, cells)
                    }
                    Some(Open::Table(mut table, _, cells)) => {
                        table.push(cells);
                        Open::Table(table, *row, TagGroup::with_children(Tag::TR, vec![cell.into()]))
                    }
                    other => {
                        close(other, &mut nodes);
                        let table = TagGroup::new(Tag::Table);
                        Open::Table(table, *row, TagGroup::with_children(Tag::TR, vec![cell.into()]))
                    }
                });
            }
            role => {
                close(open.take(), &mut nodes);
                nodes.push(alone(role, id, &piece.marks));
            }
        }
    }
    close(open, &mut nodes);
    nodes
}

/// A piece that is neither an item nor a cell.
fn alone(role: &Role, id: Identifier, marks: &[Mark]) -> Node {
    match role {
        Role::Heading(level) => {
            let level = NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN);
            let words =
                marks.iter().filter_map(|m| if let Mark::Text { text, .. } = m { Some(text.as_str()) } else { None });
            let title = words.collect::<Vec<_>>().join(" ");
            TagGroup::with_children(Tag::Hn(level, Some(title)), vec![id.into()]).into()
        }
        Role::Figure(words) => TagGroup::with_children(Tag::Figure(Some(words.clone())), vec![id.into()]).into(),
        _ => TagGroup::with_children(Tag::P, vec![id.into()]).into(),
    }
}

fn tagged(tag: ContentTag<'_>, piece: &Piece, surface: &mut Surface<'_>, sheet: &Sheet<'_>) -> Identifier {
    let id = surface.start_tagged(tag);
    for mark in &piece.marks {
        draw(mark, surface, sheet);
    }
    surface.end_tagged();
    id
}

#[cfg(test)]
mod tests {
    use krilla::configure::{Accessibility, ConfigurationBuilder};

    use super::*;
    use crate::{
        drawing::{Anchor, Ink, run_sheet::Page},
        geom,
    };

    fn pages() -> Pages {
        let text = |words: &str, y: f64| Mark::Text {
            at: geom::Point::new(20.0, y),
            anchor: Anchor::Start,
            text: words.to_owned(),
            size_pt: 14.0,
            bold: false,
            ink: Ink::Ink,
        };
        let cell = |row, words: &str| Piece::new(Role::Cell { row, heads: row == 0 }, vec![text(words, 90.0)]);
        let pieces = vec![
            Piece::new(Role::Heading(1), vec![text("Plate 1", 280.0)]),
            Piece::new(Role::Item, vec![text("one", 250.0)]),
            Piece::new(Role::Item, Vec::new()),
            cell(0, "Good"),
            cell(1, ""),
            Piece::new(Role::Figure("a bed".into()), vec![text("A 1 数 \u{1F41D}", 200.0)]),
            Piece::new(Role::Layout, vec![text("foot", 12.0)]),
        ];
        let page = Page { size_mm: (210.0, 297.0), bookmark: Some("Plate 1".into()), pieces };
        Pages { title: "Run sheet (\"spring\")".into(), pages: vec![page.clone(), page] }
    }

    #[test]
    fn the_same_pages_give_the_same_bytes() {
        let bytes = pdf(&pages(), &Palette::print()).expect("a document");
        assert!(bytes.starts_with(b"%PDF-1.7") && bytes.ends_with(b"%%EOF"));
        assert_eq!(bytes, pdf(&pages(), &Palette::print()).expect("a document"));
        let has = |what: &str| bytes.windows(what.len()).any(|w| w == what.as_bytes());
        assert!(has("/StructTreeRoot") && has("/MarkInfo") && has("/Lang"), "tagged, with its language");
        assert!(!has("/CreationDate") && !has("/ModDate"), "no time of making");
    }

    /// ISO 14289-1 (PDF/UA-1), as far as a program can check it: the library's own validator.
    #[test]
    fn the_structure_is_that_of_accessible_documents() {
        let configuration =
            ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish().expect("a version");
        let settings = || SerializeSettings { configuration, ..SerializeSettings::default() };
        let mut pages = pages();
        let figure = |p: &&mut Piece| matches!(p.role, Role::Figure(_));
        // What the fonts do not have is no accessible text.
        for page in &mut pages.pages {
            page.pieces.iter_mut().filter(figure).for_each(|p| p.marks.truncate(0));
        }
        made(&pages, &Palette::print(), settings()).expect("it passes");
        pages.title.clear();
        assert!(made(&pages, &Palette::print(), settings()).is_err(), "without a title it does not");
    }

    #[test]
    fn no_pages_and_pages_of_no_size_are_refused() {
        assert!(pdf(&Pages::default(), &Palette::print()).is_err());
        let flat = Page { size_mm: (0.0, f64::NAN), bookmark: None, pieces: Vec::new() };
        assert!(pdf(&Pages { title: String::new(), pages: vec![flat] }, &Palette::print()).is_err());
    }
}
