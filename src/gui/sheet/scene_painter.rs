//! Puts a drawing on the screen.

use std::{collections::HashMap, sync::Arc};

use egui::{Align2, Color32, FontId, Galley, Mesh, Painter, Pos2, Rect, Shape, Vec2, epaint::Vertex};

use super::{
    Camera,
    pen::{Pen, thin_out},
};
use crate::{
    drawing::{Anchor, Mark},
    geom::{Point, Polygon, Region, triangulate},
    gui::theme::{self, Theme, size},
};

/// Draws scenes. Keeps the triangles of regions it has seen, whatever their place, and the ink of groups that did not
/// change: a copy that lies still costs its vertices moved along with the sheet, no more.
#[derive(Default)]
pub(crate) struct ScenePainter {
    /// By the region's fingerprint and the power of two of the scale.
    triangles: HashMap<(u64, i32), Kept>,
    groups: HashMap<u64, Group>,
    /// Ink of groups together, by what they are and where on the screen.
    sheaves: HashMap<SheafKey, (Arc<Mesh>, Rect, u64)>,
    /// What the ink of groups depends on besides themselves: scale, theme, pixels.
    look: (u64, bool, u32),
    frame: u64,
}

/// Stamps and places of the groups in a sheaf.
type SheafKey = Vec<(u64, u32, u32)>;

/// A region in triangles, its first vertex at the origin.
struct Flat {
    points: Vec<Point>,
    indices: Vec<u32>,
}

struct Kept {
    flat: Arc<Flat>,
    last_used: u64,
}

/// A group's ink, its anchor at the origin of the screen.
struct Group {
    mesh: Mesh,
    /// Laid out anew every frame (the toolkit remembers them): glyphs may move in its atlas.
    texts: Vec<(Vec2, String, FontId, Color32)>,
    last_used: u64,
}

/// Triangles and ink not used for so many frames are forgotten.
const FORGET_AFTER: u64 = 120;
/// Groups whose ink is put together: what moves makes only its own sheaf anew.
const SHEAF: usize = 32;

impl ScenePainter {
    /// Call once a frame, before painting.
    pub(crate) fn begin_frame(&mut self, camera: &Camera, theme: &Theme, pixels_per_point: f32) {
        self.frame += 1;
        let frame = self.frame;
        let look = (camera.points_per_mm().to_bits(), theme.dark, pixels_per_point.to_bits());
        if look != self.look {
            self.look = look;
            self.groups.clear();
            self.sheaves.clear();
        }
        // Those of the last frame: a drag makes a new one every frame.
        self.sheaves.retain(|_, (.., last_used)| *last_used + 1 >= frame);
        if frame.is_multiple_of(FORGET_AFTER) {
            self.triangles.retain(|_, kept| kept.last_used + FORGET_AFTER > frame);
            self.groups.retain(|_, group| group.last_used + FORGET_AFTER > frame);
        }
    }
    /// Draws `marks` as `camera` sees them: fills, lines and patterns back to front, all text on top.
    pub(crate) fn paint(&mut self, painter: &Painter, marks: &[Mark], camera: &Camera, theme: &Theme) {
        let clip = painter.clip_rect();
        let mut pen = Pen::new(clip, painter.pixels_per_point());
        self.ink(&mut pen, marks, camera, theme);
        painter.add(Shape::mesh(pen.finish()));
        for text in marks {
            if let Some(t) = text_of(painter, text, camera, theme)
                && clip.intersects(Rect::from_min_size(t.at, t.galley.size()))
            {
                painter.galley(t.at, t.galley, t.colour);
            }
        }
    }
    /// Draws groups of marks: a stamp that changes with the group's looks, its anchor on the bed, and what `marks`
    /// makes of it when the stamp is new.
    pub(crate) fn paint_kept<'a, T: 'a>(
        &mut self,
        painter: &Painter,
        groups: impl Iterator<Item = (u64, Point, &'a T)>,
        marks: impl Fn(&T) -> Vec<Mark>,
        camera: &Camera,
        theme: &Theme,
    ) {
        let frame = self.frame;
        let mut here: Vec<(u64, Vec2)> = Vec::new();
        for (stamp, anchor, thing) in groups {
            let at = camera.to_screen(anchor).to_vec2();
            if !self.groups.contains_key(&stamp) {
                let mut pen = Pen::new(Rect::EVERYTHING, painter.pixels_per_point());
                let marks = marks(thing);
                self.ink(&mut pen, &marks, camera, theme);
                let mut mesh = pen.finish();
                mesh.translate(-at);
                let texts = marks
                    .iter()
                    .filter_map(|m| text_of(painter, m, camera, theme))
                    .map(|t| (t.at.to_vec2() - at, t.text, t.font, t.colour))
                    .collect();
                self.groups.insert(stamp, Group { mesh, texts, last_used: frame });
            }
            if let Some(group) = self.groups.get_mut(&stamp) {
                group.last_used = frame;
                here.push((stamp, at));
            }
        }
        for some in here.chunks(SHEAF) {
            let (mesh, bounds) = self.sheaf(some);
            // A clip of its own keeps the toolkit from gathering all sheaves in one mesh that grows and grows.
            painter.with_clip_rect(bounds.intersect(painter.clip_rect())).add(Shape::Mesh(mesh));
        }
        for (stamp, at) in here {
            let Some(group) = self.groups.get(&stamp) else { continue };
            for (p, text, font, colour) in &group.texts {
                let galley = painter.layout_no_wrap(text.clone(), font.clone(), *colour);
                painter.galley((at + *p).to_pos2(), galley, *colour);
            }
        }
    }
    /// The ink of some groups in one mesh, the same as long as none of them changes or moves, and its bounds.
    fn sheaf(&mut self, some: &[(u64, Vec2)]) -> (Arc<Mesh>, Rect) {
        let frame = self.frame;
        let key: SheafKey = some.iter().map(|(s, at)| (*s, at.x.to_bits(), at.y.to_bits())).collect();
        if let Some((mesh, bounds, last_used)) = self.sheaves.get_mut(&key) {
            *last_used = frame;
            return (mesh.clone(), *bounds);
        }
        let groups: Vec<(&Mesh, Vec2)> =
            some.iter().filter_map(|(stamp, at)| Some((&self.groups.get(stamp)?.mesh, *at))).collect();
        let mut all = Mesh::default();
        all.vertices.reserve(groups.iter().map(|(m, _)| m.vertices.len()).sum());
        all.indices.reserve(groups.iter().map(|(m, _)| m.indices.len()).sum());
        for (mesh, at) in groups {
            let base = all.vertices.len() as u32;
            all.vertices.extend(mesh.vertices.iter().map(|v| Vertex { pos: v.pos + at, ..*v }));
            all.indices.extend(mesh.indices.iter().map(|i| i + base));
        }
        let bounds = all.calc_bounds();
        let all = Arc::new(all);
        self.sheaves.insert(key, (all.clone(), bounds, frame));
        (all, bounds)
    }
    fn ink(&mut self, pen: &mut Pen, marks: &[Mark], camera: &Camera, theme: &Theme) {
        let origin = camera.to_screen(Point::default());
        let mut points: Vec<Pos2> = Vec::new();
        for mark in marks {
            match mark {
                Mark::Fill { region, ink, opacity } => {
                    if pen.sees(camera.rect(region.bounds())) {
                        let Some((flat, at)) = self.triangles_of(region, camera) else { continue };
                        let colour = theme.ink(*ink).gamma_multiply(*opacity);
                        pen.triangles(flat.points.iter().map(|&p| camera.to_screen(p + at)), &flat.indices, colour);
                    }
                }
                Mark::Outline { region, ink, width_pt, dash } => {
                    if pen.sees(camera.rect(region.bounds()).expand(*width_pt)) {
                        for ring in region.loops() {
                            points.clear();
                            points.extend(ring.iter().map(|&p| camera.to_screen(p)));
                            pen.line(&points, true, *width_pt, theme.ink(*ink), *dash);
                        }
                    }
                }
                Mark::Stroke { points: line, closed, ink, width_pt, dash } => {
                    points.clear();
                    points.extend(line.iter().map(|&p| camera.to_screen(p)));
                    pen.line(&points, *closed, *width_pt, theme.ink(*ink), *dash);
                }
                Mark::Pattern { region, hatch, ink } => {
                    let loops: Vec<Vec<Pos2>> =
                        region.loops().map(|l| l.iter().map(|&p| camera.to_screen(p)).collect()).collect();
                    pen.hatch(&loops, *hatch, origin, size::HATCH, theme.ink(*ink));
                }
                Mark::Text { .. } => {}
            }
        }
    }
    /// The region's triangles, as finely as the camera can tell, and where their origin lies.
    fn triangles_of(&mut self, region: &Region, camera: &Camera) -> Option<(Arc<Flat>, Point)> {
        let at = region.vertices().next()?;
        let frame = self.frame;
        // Doubling scales share theirs.
        let level = camera.points_per_mm().log2().ceil();
        let kept = self.triangles.entry((fingerprint(region), level as i32)).or_insert_with(|| {
            let t = triangulate(&thinned(region, at, level.exp2()));
            Kept {
                flat: Arc::new(Flat { points: t.points, indices: t.triangles.into_iter().flatten().collect() }),
                last_used: frame,
            }
        });
        kept.last_used = frame;
        Some((kept.flat.clone(), at))
    }
}

/// The region less `at`, without corners that nobody can see at `points_per_mm`.
fn thinned(region: &Region, at: Point, points_per_mm: f64) -> Region {
    let mut kept = Vec::new();
    let mut ring = |ring: &[Point]| {
        let on_screen: Vec<Pos2> =
            ring.iter().map(|&p| (p - at) * points_per_mm).map(|p| Pos2::new(p.x as f32, p.y as f32)).collect();
        thin_out(&on_screen, true, &mut kept);
        kept.iter().map(|p| Point::new(f64::from(p.x), f64::from(p.y)) * (1.0 / points_per_mm)).collect::<Vec<_>>()
    };
    let polygons = region
        .polygons
        .iter()
        .map(|p| Polygon { outer: ring(&p.outer), holes: p.holes.iter().map(|h| ring(h)).collect() });
    Region { polygons: polygons.collect() }
}

/// A text laid out.
struct LaidOut {
    /// Its upper left corner.
    at: Pos2,
    galley: Arc<Galley>,
    text: String,
    font: FontId,
    colour: Color32,
}

/// A text mark laid out where the camera sees it.
fn text_of(painter: &Painter, mark: &Mark, camera: &Camera, theme: &Theme) -> Option<LaidOut> {
    /// Height of capitals as a share of the size. Source: Inter's own metrics (2048 of 2816 units).
    const CAPS: f32 = 0.727;
    let Mark::Text { at, anchor, text, size_pt, bold, ink } = mark else { return None };
    let colour = theme.ink(*ink);
    let font = if *bold { theme::bold(*size_pt) } else { theme::regular(*size_pt) };
    let galley = painter.layout_no_wrap(text.clone(), font.clone(), colour);
    let align = match anchor {
        Anchor::Start => Align2::LEFT_CENTER,
        Anchor::Middle | Anchor::Centre => Align2::CENTER_CENTER,
        Anchor::End => Align2::RIGHT_CENTER,
    };
    // A line of text is centred on the middle of its capitals to within a fraction of a point.
    let lift = if *anchor == Anchor::Centre { 0.0 } else { -size_pt * CAPS / 2.0 };
    let rect = align.anchor_size(camera.to_screen(*at) + Vec2::new(0.0, lift), galley.size());
    Some(LaidOut { at: rect.min, galley, text: text.clone(), font, colour })
}

/// A hash of a region's shape that does not depend on where it lies.
fn fingerprint(region: &Region) -> u64 {
    let Some(origin) = region.vertices().next() else { return 0 };
    let mut h: u64 = 0xcbf2_9ce4_8422_2325;
    let mut mix = |v: u64| {
        h = (h ^ v).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        h ^= h >> 29;
    };
    for ring in region.loops() {
        mix(ring.len() as u64 ^ 0x5bd1_e995);
        for p in ring {
            let d = *p - origin;
            // To a quarter of a micrometre, so that a move's rounding does not count.
            mix((d.x * 4096.0).round() as i64 as u64);
            mix((d.y * 4096.0).round() as i64 as u64);
        }
    }
    h
}
