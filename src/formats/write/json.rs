//! `placements.json`: where every copy lies, for other programs.

use std::{cell::RefCell, collections::BTreeMap, io::Write};

use serde::{Serialize, Serializer, ser::SerializeStruct};
use serde_json::ser::Formatter;

use super::{WriteError, assembly::mesh_ref, file_to_bed, matrix::file_to_twin};
use crate::{
    document::{Copy, FileUnit, Footing, Job, Mend, PartId, Plate, PlateId, Twin},
    estimate::{Items, PlateEstimate},
    geom::{Point, Region, offset},
    packing::Bound,
    plate::{PlateTwin, Shapes, made},
};

/// The whole file. Millimetres and degrees; the origin is the bed's front left corner.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placements {
    /// Version of this form: 1.
    pub version: u32,
    /// "mm".
    pub unit: &'static str,
    /// "front-left".
    pub origin: &'static str,
    /// Clearances that held.
    pub margins: MarginsRecord,
    /// No fewer plates than this can hold the order; none where it was not worked out.
    pub plates_bound: Option<Bound>,
    /// What is wanted and on no plate.
    pub unplaced: Vec<UnplacedRecord>,
    /// The plates.
    pub plates: Vec<PlateRecord>,
}

/// Clearances, mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MarginsRecord {
    /// Least distance between two shadows.
    pub gap_mm: f64,
    /// Least distance from the bed's edge, of the job (a machine may ask for more).
    pub edge_mm: f64,
    /// Least distance between two footings.
    pub footing_gap_mm: f64,
    /// Footings may run into each other.
    pub footings_may_merge: bool,
    /// How far outlines may exceed the true ones.
    pub tolerance_mm: f64,
}

/// Copies that lie on no plate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct UnplacedRecord {
    /// The part's name.
    pub part: String,
    /// How many.
    pub count: usize,
    /// In words.
    pub why: String,
}

/// A plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlateRecord {
    /// Its number, from 1.
    pub plate: usize,
    /// The machine's name.
    pub machine: String,
    /// The machine's bed.
    pub bed: BedRecord,
    /// Σ shadow area ÷ area of the bed's outline.
    pub density: f64,
    /// No more copies than this fit; none where it was not worked out.
    pub bound: Option<PlateBound>,
    /// Its time, s: the sum of `items`; none where it was not estimated.
    pub time_s: Option<f64>,
    /// Its filament, g; none where it was not estimated.
    pub mass_g: Option<f64>,
    /// Where the time goes; none where it was not estimated.
    pub items: Option<ItemsRecord>,
    /// How it is printed twice at once, where it is: its copies are those of one half.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub twin: Option<PlateTwinRecord>,
    /// What lies on it.
    pub copies: Vec<CopyRecord>,
}

/// How two carriages print a plate twice at once.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PlateTwinRecord {
    /// "shifted" or "handed".
    pub kind: Twin,
    /// Width of the strip between the halves in which nothing lies.
    pub strip_mm: f64,
}

/// The twin of a copy.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TwinRecord {
    /// "shifted" or "handed".
    pub kind: Twin,
    /// A mirror image of the file.
    pub mirrored: bool,
    /// Where the pose's origin lands.
    pub x_mm: f64,
    /// Where the pose's origin lands.
    pub y_mm: f64,
    /// Turn about Z, counter-clockwise from above; of a handed one, of the pose's mirror image (x → −x).
    pub rotation_deg: f64,
    /// From the file's own coordinates to bed millimetres; none where the mesh is missing.
    pub matrix: Option<[f64; 12]>,
}

/// Where a plate's seconds go. They add up to its time.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct ItemsRecord {
    /// Heating up, and purging before the first layer.
    pub heat_up_s: f64,
    /// Wall loops.
    pub walls_s: f64,
    /// Solid layers.
    pub solid_s: f64,
    /// Sparse infill.
    pub infill_s: f64,
    /// Supports.
    pub support_s: f64,
    /// Skirt, brims, rafts.
    pub footing_s: f64,
    /// Moves without a bead.
    pub travel_s: f64,
    /// Drawing back and priming.
    pub retraction_s: f64,
    /// Layer changes.
    pub layer_change_s: f64,
    /// Beads laid slower so that layers cool.
    pub slowing_s: f64,
    /// Waiting for layers to cool.
    pub waiting_s: f64,
    /// From the last layer to the end.
    pub end_s: f64,
}

impl From<Items> for ItemsRecord {
    fn from(i: Items) -> Self {
        Self {
            heat_up_s: i.heat_up_s,
            walls_s: i.walls_s,
            solid_s: i.solid_s,
            infill_s: i.infill_s,
            support_s: i.support_s,
            footing_s: i.footing_s,
            travel_s: i.travel_s,
            retraction_s: i.retraction_s,
            layer_change_s: i.layer_change_s,
            slowing_s: i.slowing_s,
            waiting_s: i.waiting_s,
            end_s: i.end_s,
        }
    }
}

/// A plate's estimate, as far as it is handed over.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PlateTime {
    /// Time, s: the sum of `items`.
    pub time_s: f64,
    /// Filament, g.
    pub mass_g: f64,
    /// Where the seconds go.
    pub items: Items,
}

impl From<&PlateEstimate> for PlateTime {
    fn from(e: &PlateEstimate) -> Self {
        Self { time_s: e.time_s, mass_g: e.filament.mass_g, items: e.items }
    }
}

impl Placements {
    /// With the estimates of its plates, which `of` knows by their number, from 1.
    #[must_use]
    pub fn with_times(mut self, of: impl Fn(usize) -> Option<PlateTime>) -> Self {
        self.plates = self.plates.into_iter().map(|p| (of(p.plate), p)).map(|(time, p)| p.with_time(time)).collect();
        self
    }
}

impl PlateRecord {
    /// With its estimate.
    fn with_time(self, time: Option<PlateTime>) -> Self {
        let items = time.map(|t| t.items.into());
        Self { time_s: time.map(|t| t.time_s), mass_g: time.map(|t| t.mass_g), items, ..self }
    }
}

/// A bed.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct BedRecord {
    /// Extent along x.
    pub width_mm: f64,
    /// Extent along y.
    pub depth_mm: f64,
    /// Usable height.
    pub height_mm: f64,
    /// Its outline.
    pub outline: Vec<Point>,
    /// Keep-outs.
    pub keep_outs: Vec<Vec<Point>>,
}

/// A footing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FootingRecord {
    /// "bare", "brim" or "raft".
    pub kind: &'static str,
    /// How far it reaches beyond the contact.
    pub width_mm: f64,
}

/// A polygon with holes, both always written.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PolygonRecord {
    /// Outer loop, counter-clockwise.
    pub outer: Vec<Point>,
    /// Holes, clockwise.
    pub holes: Vec<Vec<Point>>,
}

/// A copy.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CopyRecord {
    /// "E 14".
    pub copy: String,
    /// The part's name.
    pub part: String,
    /// Its mesh's file, relative to the job.
    pub file: String,
    /// The same file, relative to the folder that this is written into; none where it is written into no folder.
    pub file_from_here: Option<String>,
    /// The object's name in the file.
    pub object: String,
    /// The body of that object, where it was split.
    pub body: Option<u32>,
    /// What is put right in the mesh before it is placed; the file itself is as it was.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub mends: Vec<Mend>,
    /// SHA-256 of the file's bytes.
    pub sha256: String,
    /// Unit of the file's coordinates.
    pub file_unit: FileUnit,
    /// Where the pose's origin lands.
    pub x_mm: f64,
    /// Where the pose's origin lands.
    pub y_mm: f64,
    /// Turn about Z, counter-clockwise from above.
    pub rotation_deg: f64,
    /// A mirror image of the file.
    pub mirrored: bool,
    /// Size against the file's.
    pub scale: f64,
    /// The pose's rotation, row by row, for row vectors.
    pub pose: [f64; 9],
    /// Stays where it is.
    pub locked: bool,
    /// What holds it down.
    pub footing: FootingRecord,
    /// Its outline from above in bed millimetres.
    pub shadow: Vec<PolygonRecord>,
    /// Its contact with its footing in bed millimetres.
    pub footing_outline: Vec<PolygonRecord>,
    /// From the file's own coordinates to bed millimetres; none where the mesh is missing.
    pub matrix: Option<[f64; 12]>,
    /// Its twin, on a plate that is printed twice at once.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub twin: Option<TwinRecord>,
}

/// No more copies than this fit on a plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlateBound {
    /// Which argument gave it, and the copies.
    #[serde(flatten)]
    pub bound: Bound,
    /// Name of the part that is counted; none where all copies are.
    pub part: Option<String>,
}

/// What else the file says and a job does not know.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlacementsBounds {
    /// No fewer plates than this can hold the order.
    pub plates: Option<Bound>,
    /// No more copies than this fit on a plate: of one part, or of all.
    pub by_plate: BTreeMap<PlateId, (Option<PartId>, Bound)>,
    /// Why copies of a part are on no plate, in words.
    pub why_unplaced: BTreeMap<PartId, String>,
    /// Mesh files as the job writes them, and as they are seen from the folder that is written into.
    pub files_from_here: BTreeMap<String, String>,
}

/// Where every copy of a job lies, or those of one plate. Outlines are empty and the matrix is none where a part's shape
/// is missing from `shapes`. Times are none: [`Placements::with_times`] adds them.
pub fn placements(job: &Job, shapes: &Shapes, only_plate: Option<PlateId>, bounds: &PlacementsBounds) -> Placements {
    let plates = plate_records(job, shapes, bounds, |id| only_plate.is_none_or(|only| id == only)).collect();
    Placements { plates, ..head(job, shapes, bounds) }
}

/// All but the plates.
fn head(job: &Job, shapes: &Shapes, bounds: &PlacementsBounds) -> Placements {
    let m = &job.margins;
    let unplaced = job
        .parts
        .iter()
        .filter_map(|p| {
            let count = (p.wanted as usize).checked_sub(made(job, p.id, shapes)).filter(|n| *n > 0)?;
            let why = bounds.why_unplaced.get(&p.id).cloned().unwrap_or_else(|| "not placed on any plate".to_owned());
            Some(UnplacedRecord { part: p.name.clone(), count, why })
        })
        .collect();
    Placements {
        version: 1,
        unit: "mm",
        origin: "front-left",
        margins: MarginsRecord {
            gap_mm: m.gap_mm,
            edge_mm: m.edge_mm,
            footing_gap_mm: m.footing_gap_mm,
            footings_may_merge: m.footings_may_merge,
            tolerance_mm: m.tolerance_mm,
        },
        plates_bound: bounds.plates,
        unplaced,
        plates: Vec::new(),
    }
}

/// The plates that are wanted, each made when its turn comes.
pub(super) fn plate_records<'a>(
    job: &'a Job,
    shapes: &'a Shapes,
    bounds: &'a PlacementsBounds,
    wanted: impl Fn(PlateId) -> bool + 'a,
) -> impl Iterator<Item = PlateRecord> + 'a {
    let mut rings = Rings { job, shapes, files_from_here: &bounds.files_from_here, grown: BTreeMap::new() };
    let plates = job.plates.iter().enumerate().filter(move |(_, p)| wanted(p.id));
    plates.map(move |(i, p)| plate_record(&mut rings, i + 1, p, bounds.by_plate.get(&p.id)))
}

/// The file of a whole job, written plate by plate: no more than one of them is in memory. `time_of` knows the plates'
/// estimates.
pub fn write_placements_json(
    job: &Job,
    shapes: &Shapes,
    bounds: &PlacementsBounds,
    time_of: &dyn Fn(PlateId) -> Option<PlateTime>,
    out: &mut dyn Write,
) -> Result<(), WriteError> {
    let ids = job.plates.iter().map(|p| time_of(p.id));
    let plates = plate_records(job, shapes, bounds, |_| true).zip(ids).map(|(plate, time)| plate.with_time(time));
    let all = Streamed { head: head(job, shapes, bounds), plates: RefCell::new(plates) };
    all.serialize(&mut serde_json::Serializer::with_formatter(&mut *out, Lines::default()))?;
    out.write_all(b"\n")?;
    Ok(())
}

/// [`Placements`] whose plates are made while they are written.
struct Streamed<I> {
    head: Placements,
    plates: RefCell<I>,
}

impl<I: Iterator<Item = PlateRecord>> Serialize for Streamed<I> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let Placements { version, unit, origin, margins, plates_bound, unplaced, plates: _ } = &self.head;
        let mut all = to.serialize_struct("Placements", 7)?;
        all.serialize_field("version", version)?;
        all.serialize_field("unit", unit)?;
        all.serialize_field("origin", origin)?;
        all.serialize_field("margins", margins)?;
        all.serialize_field("plates_bound", plates_bound)?;
        all.serialize_field("unplaced", unplaced)?;
        all.serialize_field("plates", &Plates(&self.plates))?;
        all.end()
    }
}

/// The plates of [`Streamed`].
struct Plates<'a, I>(&'a RefCell<I>);

impl<I: Iterator<Item = PlateRecord>> Serialize for Plates<'_, I> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(&mut *self.0.borrow_mut())
    }
}

/// As JSON, a line for every key, lists of numbers on one line, ending in a new line.
pub fn placements_json(placements: &Placements) -> Result<Vec<u8>, WriteError> {
    let mut out = Vec::new();
    placements.serialize(&mut serde_json::Serializer::with_formatter(&mut out, Lines::default()))?;
    out.push(b'\n');
    Ok(out)
}

/// Objects over lines, indented by two; lists run on.
#[derive(Default)]
struct Lines {
    depth: usize,
}

impl Lines {
    fn line<W: ?Sized + Write>(&self, out: &mut W) -> std::io::Result<()> {
        out.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| out.write_all(b"  "))
    }
}

impl Formatter for Lines {
    fn begin_array_value<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> std::io::Result<()> {
        if first { Ok(()) } else { out.write_all(b", ") }
    }
    fn begin_object<W: ?Sized + Write>(&mut self, out: &mut W) -> std::io::Result<()> {
        self.depth += 1;
        out.write_all(b"{")
    }
    fn end_object<W: ?Sized + Write>(&mut self, out: &mut W) -> std::io::Result<()> {
        self.depth -= 1;
        self.line(out)?;
        out.write_all(b"}")
    }
    fn begin_object_key<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> std::io::Result<()> {
        if !first {
            out.write_all(b",")?;
        }
        self.line(out)
    }
    fn begin_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> std::io::Result<()> {
        out.write_all(b": ")
    }
}

/// Footing outlines, grown once a part and width.
struct Rings<'a> {
    job: &'a Job,
    shapes: &'a Shapes,
    files_from_here: &'a BTreeMap<String, String>,
    grown: BTreeMap<(PartId, u64), Region>,
}

impl Rings<'_> {
    fn footing(&mut self, part: PartId, footing: Footing) -> Region {
        let Some(shape) = self.shapes.get(&part) else { return Region::EMPTY };
        let (contact, width_mm) = (shape.contact.region(), footing.width_mm());
        let tolerance_mm = self.job.margins.tolerance_mm.max(1e-4);
        self.grown
            .entry((part, width_mm.to_bits()))
            .or_insert_with(|| offset::grow(contact, width_mm, tolerance_mm))
            .clone()
    }
}

fn plate_record(
    rings: &mut Rings<'_>,
    number: usize,
    plate: &Plate,
    bound: Option<&(Option<PartId>, Bound)>,
) -> PlateRecord {
    let (job, shapes) = (rings.job, rings.shapes);
    let name = |id: PartId| job.part(id).map(|p| p.name.clone());
    let machine = job.machine(plate.machine);
    let twin = PlateTwin::of(job, plate);
    let bed = machine.map_or_else(BedRecord::default, |m| {
        let (width_mm, depth_mm) = m.bed.size_mm();
        BedRecord {
            width_mm,
            depth_mm,
            height_mm: m.height_mm,
            outline: m.bed.outline(job.margins.tolerance_mm.max(1e-3)).outer,
            keep_outs: m.keep_outs.iter().map(|k| k.outline.clone()).collect(),
        }
    });
    let bed_area = Region::from(crate::geom::Polygon::simple(bed.outline.clone())).area();
    let covered: f64 = plate.copies.iter().filter_map(|c| shapes.get(&c.part)).map(|s| s.shadow.region().area()).sum();
    PlateRecord {
        plate: number,
        machine: machine.map(|m| m.name.clone()).unwrap_or_default(),
        bed,
        density: if bed_area > 0.0 { covered / bed_area } else { 0.0 },
        bound: bound.map(|&(part, bound)| PlateBound { bound, part: part.and_then(name) }),
        time_s: None,
        mass_g: None,
        items: None,
        twin: twin.map(|t| PlateTwinRecord { kind: t.kind(), strip_mm: t.strip_mm() }),
        copies: plate.copies.iter().map(|c| copy_record(rings, c, twin.as_ref())).collect(),
    }
}

fn copy_record(rings: &mut Rings<'_>, copy: &Copy, twin: Option<&PlateTwin>) -> CopyRecord {
    let job = rings.job;
    let footing = job.footing(copy);
    let footing_outline = polygons(&rings.footing(copy.part, footing).placed(copy.placement()));
    let part = job.part(copy.part);
    let mesh = part.and_then(|p| mesh_ref(job, p));
    let shape = rings.shapes.get(&copy.part);
    let pose = part.map(|p| p.pose).unwrap_or_default();
    let unit = mesh.map(|m| m.unit).unwrap_or_default();
    CopyRecord {
        copy: job.copy_name(copy),
        part: part.map(|p| p.name.clone()).unwrap_or_default(),
        file: mesh.map(|m| m.file.clone()).unwrap_or_default(),
        file_from_here: mesh.and_then(|m| rings.files_from_here.get(&m.file).cloned()),
        object: mesh.map(|m| m.object.clone()).unwrap_or_default(),
        body: part.and_then(|p| p.body),
        mends: part.map(|p| p.mends.clone()).unwrap_or_default(),
        sha256: part.map(|p| p.mesh.sha256().to_owned()).unwrap_or_default(),
        file_unit: unit,
        x_mm: copy.x_mm + 0.0,
        y_mm: copy.y_mm + 0.0,
        rotation_deg: copy.turn_deg + 0.0,
        mirrored: pose.mirrored,
        scale: pose.scale_percent / 100.0,
        pose: std::array::from_fn(|i| pose.rotation[i / 3][i % 3] + 0.0),
        locked: copy.locked,
        footing: FootingRecord { kind: footing.kind(), width_mm: footing.width_mm() },
        shadow: shape.map(|s| polygons(&s.shadow.region().placed(copy.placement()))).unwrap_or_default(),
        footing_outline,
        matrix: shape.map(|s| file_to_bed(&pose, unit, s.shift_mm, copy).numbers()),
        twin: twin.map(|t| {
            let at = t.placement(copy.placement());
            TwinRecord {
                kind: t.kind(),
                mirrored: pose.mirrored != t.is_handed(),
                x_mm: at.x + 0.0,
                y_mm: at.y + 0.0,
                rotation_deg: if t.is_handed() { (360.0 - copy.turn_deg) % 360.0 } else { copy.turn_deg + 0.0 },
                matrix: shape.map(|s| file_to_twin(&pose, unit, s.shift_mm, copy, t).numbers()),
            }
        }),
    }
}

fn polygons(region: &Region) -> Vec<PolygonRecord> {
    region.polygons.iter().map(|p| PolygonRecord { outer: p.outer.clone(), holes: p.holes.clone() }).collect()
}
