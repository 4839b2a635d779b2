//! 3MF Core: a zip package with an XML model: objects (meshes, or components with transforms) and build items.
//!
//! Source: 3MF Core Specification 1.4.0 (public repository). Elements and attributes of extensions are passed over, but
//! for the `path` of an object in another model part, which is followed. Limits: see `package`; nothing in the XML is ever
//! expanded, and a document type declaration is refused.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    found::Found,
    most::{MOST_OBJECTS, MOST_TRIANGLES, too_many},
    package::{Metered, Package},
    polygon::weld,
    read_error::{EXPORT_AGAIN, Place, Trouble, quoted},
};
use crate::{
    document::FileUnit,
    mesh::{Fault, TriMesh},
};
use quick_xml::{
    Reader, XmlVersion,
    events::{BytesStart, Event},
    name::Prefix,
};

/// The number of a model part (see [`Parts`]) and an object's id in it.
type Key = (u32, u32);

/// A row-vector transform: three rows of a linear map, then the move.
type Transform = [[f64; 3]; 4];

const IDENTITY: Transform = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, 0.0]];
/// Coordinates beyond this are out of all bounds, as when meshes are welded.
const MOST_COORDINATE: f64 = 1e30;
/// Deepest nesting of components.
const MOST_DEPTH: usize = 64;
/// Most placed components, and most triangles after placing them all.
const MOST_INSTANCES: u64 = 1_000_000;
const MOST_PLACED: u64 = 50_000_000;
/// Most model parts.
const MOST_PARTS: usize = 10_000;

struct Object {
    name: Option<String>,
    body: Body,
    place: Place,
}

enum Body {
    Mesh { vertices: Vec<[f64; 3]>, triangles: Vec<[u32; 3]> },
    Components(Vec<(Key, Transform)>),
}

#[derive(Default)]
struct Model {
    unit: FileUnit,
    objects: BTreeMap<Key, Object>,
    /// The first item of each different object.
    items: Vec<(Key, Transform)>,
    /// Objects that have an item.
    built: BTreeSet<Key>,
    components: usize,
    vertices: usize,
    triangles: usize,
}

/// Model parts, numbered in the order in which their names are met.
#[derive(Default)]
struct Parts {
    numbers: BTreeMap<String, u32>,
    names: Vec<String>,
    /// For each, the number of the name under which it is stored, where that is written differently.
    stored_as: Vec<u32>,
}

impl Parts {
    fn number(&mut self, name: &str) -> u32 {
        if let Some(&n) = self.numbers.get(name) {
            return n;
        }
        let n = self.names.len() as u32;
        self.numbers.insert(name.to_owned(), n);
        self.names.push(name.to_owned());
        self.stored_as.push(n);
        n
    }
    fn stored(&self, key: Key) -> Key {
        (self.stored_as[key.0 as usize], key.1)
    }
}

/// Reads a 3MF package: the unit and one object for each different object that is a build item, in the order of the
/// items, with the first item's transform applied.
pub(super) fn read(bytes: &[u8]) -> Result<(FileUnit, Vec<Found>), Trouble> {
    let mut package = Package::open(bytes)?;
    let root = root_part(&mut package)?;
    let mut model = Model::default();
    let mut parts = Parts::default();
    let root = parts.number(&root);
    let mut parsed: BTreeSet<u32> = BTreeSet::new();
    let mut waiting = vec![root];
    while let Some(part) = waiting.pop() {
        if !parsed.insert(part) {
            continue;
        }
        if parsed.len() > MOST_PARTS {
            return Err(Trouble::new(format!("the package has more than {MOST_PARTS} model parts"), EXPORT_AGAIN));
        }
        let known = parts.names.len();
        let name = parts.names[part as usize].clone();
        package.with(&name, |stream| parse(stream, part, part == root, &mut model, &mut parts))?;
        for named in known..parts.names.len() {
            let path = parts.names[named].clone();
            let stored = package.find(&path).ok_or_else(|| {
                Trouble::new(format!("its model refers to part {path}, which is not in the package"), EXPORT_AGAIN)
            })?;
            let number = parts.number(&stored);
            parts.stored_as[named] = number;
            waiting.push(number);
        }
    }
    if model.items.is_empty() {
        return Err(Trouble::new("its build is empty: it has nothing to print", EXPORT_AGAIN));
    }
    model.name_parts_as_stored(&parts);
    let mut tally = Tally { model: &model, known: BTreeMap::new(), open: Vec::new() };
    let (mut triangles, mut instances) = (0_u64, 0_u64);
    for item in &model.items {
        let (t, n) = tally.count(item.0)?;
        triangles = triangles.saturating_add(t);
        instances = instances.saturating_add(n);
    }
    if triangles > MOST_PLACED || instances > MOST_INSTANCES {
        return Err(Trouble::new(
            format!("its components add up to {triangles} triangles in {instances} pieces, more than can be read"),
            "simplify it",
        ));
    }
    let mut welded: BTreeMap<Key, (TriMesh, Vec<Fault>)> = BTreeMap::new();
    model
        .items
        .iter()
        .map(|&(key, transform)| {
            let mut found = Found {
                name: model.objects.get(&key).and_then(|o| o.name.clone()),
                mesh: TriMesh::default(),
                faults: Vec::new(),
            };
            let mut counted = BTreeSet::new();
            place(&model, key, &transform, &mut welded, &mut counted, &mut found);
            if found.mesh.vertices.iter().flatten().any(|c| c.is_nan() || c.abs() > MOST_COORDINATE) {
                return Err(Trouble::new(
                    format!("a transform moves object {} beyond all bounds", key.1),
                    EXPORT_AGAIN,
                ));
            }
            Ok(found)
        })
        .collect::<Result<Vec<Found>, Trouble>>()
        .map(|found| (model.unit, found))
}

impl Model {
    /// Different spellings of a part's name come to one.
    fn name_parts_as_stored(&mut self, parts: &Parts) {
        for o in self.objects.values_mut() {
            if let Body::Components(list) = &mut o.body {
                for c in list {
                    c.0 = parts.stored(c.0);
                }
            }
        }
        let mut built = BTreeSet::new();
        self.items.retain_mut(|item| {
            item.0 = parts.stored(item.0);
            built.insert(item.0)
        });
    }
}

/// The model part that the package's relationships name, or the one there is.
fn root_part(package: &mut Package<'_>) -> Result<String, Trouble> {
    if let Some(rels) = package.find("_rels/.rels") {
        let target = package.with(&rels, |stream| {
            let mut target = None;
            events(stream, |event, _| {
                if let Event::Start(e) | Event::Empty(e) = event
                    && e.local_name().into_inner() == "Relationship"
                    && text(e, "Type")?.is_some_and(|t| t.ends_with("/3dmodel"))
                {
                    target = text(e, "Target")?;
                }
                Ok(())
            })?;
            Ok(target)
        })?;
        if let Some(stored) = target.and_then(|t| package.find(&t)) {
            return Ok(stored);
        }
    }
    package
        .find("3D/3dmodel.model")
        .or_else(|| package.ending_in(".model").into_iter().next())
        .ok_or_else(|| Trouble::new("the zip package has no 3D model in it", "use a 3MF, STL or OBJ"))
}

/// Runs over the XML of a part; refuses document types.
fn events(
    stream: &mut Metered<'_>,
    mut f: impl FnMut(&Event<'_>, Place) -> Result<(), Trouble>,
) -> Result<(), Trouble> {
    let mut reader = Reader::from_reader(stream);
    let mut buffer = Vec::new();
    loop {
        let place = Place::ModelByte(reader.buffer_position());
        let event = reader
            .read_event_into(&mut buffer)
            .map_err(|e| Trouble::at(format!("its XML cannot be read ({e})"), place))?;
        match &event {
            Event::Eof => return Ok(()),
            Event::DocType(_) => {
                return Err(Trouble::at("its XML declares a document type, which 3MF forbids", place));
            }
            _ => f(&event, place)?,
        }
        buffer.clear();
        reader.get_mut().event_done();
    }
}

/// An attribute's text, by the name after its prefix.
fn text(e: &BytesStart<'_>, name: &str) -> Result<Option<String>, Trouble> {
    for a in e.attributes().with_checks(false) {
        let a = a.map_err(|e| Trouble::new(format!("its XML has a damaged attribute ({e})"), EXPORT_AGAIN))?;
        if a.key.local_name().into_inner() == name {
            let value = a
                .normalized_value(XmlVersion::Implicit1_0)
                .map_err(|e| Trouble::new(format!("attribute {name} cannot be read ({e})"), EXPORT_AGAIN))?;
            return Ok(Some(value.into_owned()));
        }
    }
    Ok(None)
}

/// The values of three attributes, in order.
fn triple<T: std::str::FromStr>(e: &BytesStart<'_>, names: [&str; 3], place: Place) -> Result<[T; 3], Trouble> {
    let mut values = [None, None, None];
    for a in e.attributes().with_checks(false) {
        let a = a.map_err(|e| Trouble::at(format!("its XML has a damaged attribute ({e})"), place))?;
        if let Some(k) = names.iter().position(|n| *n == a.key.into_inner()) {
            let v = a.value.trim();
            let number = v.parse().map_err(|_| {
                Trouble::at(format!("{} should be a number, not {}", names[k], quoted(v.as_bytes())), place)
            })?;
            values[k] = Some(number);
        }
    }
    let [Some(a), Some(b), Some(c)] = values else {
        return Err(Trouble::at(format!("one of {} is missing", names.join(", ")), place));
    };
    Ok([a, b, c])
}

fn transform(e: &BytesStart<'_>, place: Place) -> Result<Transform, Trouble> {
    let Some(value) = text(e, "transform")? else { return Ok(IDENTITY) };
    let numbers: Option<Vec<f64>> =
        value.split_ascii_whitespace().map(|w| w.parse().ok().filter(|v: &f64| v.is_finite())).collect();
    let Some([a, b, c, d, e, f, g, h, i, j, k, l]) = numbers.as_deref() else {
        return Err(Trouble::at(format!("a transform has 12 numbers, not {}", quoted(value.as_bytes())), place));
    };
    let t = [[*a, *b, *c], [*d, *e, *f], [*g, *h, *i], [*j, *k, *l]];
    if determinant(&t) == 0.0 {
        return Err(Trouble::at("a transform flattens the object", place));
    }
    Ok(t)
}

fn determinant(t: &Transform) -> f64 {
    t[0][0] * (t[1][1] * t[2][2] - t[1][2] * t[2][1]) - t[0][1] * (t[1][0] * t[2][2] - t[1][2] * t[2][0])
        + t[0][2] * (t[1][0] * t[2][1] - t[1][1] * t[2][0])
}

fn apply(p: [f64; 3], t: &Transform) -> [f64; 3] {
    [0, 1, 2].map(|k: usize| p[0] * t[0][k] + p[1] * t[1][k] + p[2] * t[2][k] + t[3][k])
}

/// First `a`, then `b`.
fn then(a: &Transform, b: &Transform) -> Transform {
    let turn = |p: [f64; 3]| [0, 1, 2].map(|k: usize| p[0] * b[0][k] + p[1] * b[1][k] + p[2] * b[2][k]);
    [turn(a[0]), turn(a[1]), turn(a[2]), apply(a[3], b)]
}

/// Reads one model part into the model; the other parts that it names get their numbers.
fn parse(
    stream: &mut Metered<'_>,
    part: u32,
    is_root: bool,
    model: &mut Model,
    parts: &mut Parts,
) -> Result<(), Trouble> {
    /// The object being read.
    struct Open {
        id: u32,
        object: Object,
    }
    // Elements of the core namespace carry the prefix that <model> itself has.
    let mut prefix: Option<Option<String>> = None;
    let mut open: Option<Open> = None;
    let mut complete = false;
    let mut reference = |e: &BytesStart<'_>, place: Place| -> Result<Key, Trouble> {
        let id = text(e, "objectid")?.and_then(|v| v.trim().parse().ok());
        let id = id.ok_or_else(|| Trouble::at("an object id is missing or is not a number", place))?;
        Ok((text(e, "path")?.map_or(part, |path| parts.number(&path)), id))
    };
    events(stream, |event, place| {
        let (e, ended) = match event {
            Event::Start(e) => (e, false),
            Event::Empty(e) => (e, true),
            Event::End(e) => {
                let is_core =
                    prefix.as_ref().is_some_and(|p| p.as_deref() == e.name().prefix().map(Prefix::into_inner));
                match e.local_name().into_inner() {
                    "object" if is_core => {
                        if let Some(o) = open.take() {
                            model.objects.insert((part, o.id), o.object);
                        }
                    }
                    "model" if is_core => complete = true,
                    _ => {}
                }
                return Ok(());
            }
            _ => return Ok(()),
        };
        let own = e.name().prefix().map(|p| p.into_inner().to_owned());
        let local = e.local_name();
        let local = local.into_inner();
        if prefix.is_none() {
            if local != "model" {
                return Err(Trouble::at(format!("the XML begins with {local}, not with a model"), place));
            }
            prefix = Some(own);
            complete |= ended;
            if is_root && let Some(word) = text(e, "unit")? {
                model.unit = FileUnit::ALL.into_iter().find(|u| u.word() == word.trim()).ok_or_else(|| {
                    Trouble::at(format!("unit {} is not a unit of 3MF", quoted(word.as_bytes())), place)
                })?;
            }
            return Ok(());
        }
        if prefix.as_ref() != Some(&own) {
            return Ok(());
        }
        match local {
            "object" => {
                let id: u32 = text(e, "id")?
                    .and_then(|v| v.trim().parse().ok())
                    .ok_or_else(|| Trouble::at("an object has no id, or its id is not a number", place))?;
                if model.objects.contains_key(&(part, id)) {
                    return Err(Trouble::at(format!("object id {id} is used twice"), place));
                }
                if model.objects.len() >= MOST_OBJECTS {
                    return Err(too_many(MOST_OBJECTS, "objects"));
                }
                let body = Body::Mesh { vertices: Vec::new(), triangles: Vec::new() };
                let object = Object { name: text(e, "name")?, body, place };
                if ended {
                    model.objects.insert((part, id), object);
                } else {
                    open = Some(Open { id, object });
                }
            }
            "vertex" => {
                if let Some(Open { object: Object { body: Body::Mesh { vertices, .. }, .. }, .. }) = &mut open {
                    model.vertices += 1;
                    if model.vertices > MOST_TRIANGLES {
                        return Err(too_many(MOST_TRIANGLES, "vertices"));
                    }
                    vertices.push(triple(e, ["x", "y", "z"], place)?);
                }
            }
            "triangle" => {
                if let Some(Open { id, object: Object { body: Body::Mesh { vertices, triangles }, .. } }) = &mut open {
                    let t: [u32; 3] = triple(e, ["v1", "v2", "v3"], place)?;
                    if let Some(v) = t.iter().find(|&&v| v as usize >= vertices.len()) {
                        let what = format!(
                            "a triangle of object {id} uses vertex {v}, but the object has {} vertices",
                            vertices.len()
                        );
                        return Err(Trouble::at(what, place));
                    }
                    model.triangles += 1;
                    if model.triangles > MOST_TRIANGLES {
                        return Err(too_many(MOST_TRIANGLES, "triangles"));
                    }
                    triangles.push(t);
                }
            }
            "components" => {
                if let Some(o) = &mut open {
                    o.object.body = Body::Components(Vec::new());
                }
            }
            "component" => {
                let (key, t) = (reference(e, place)?, transform(e, place)?);
                if let Some(Open { object: Object { body: Body::Components(list), .. }, .. }) = &mut open {
                    model.components += 1;
                    if model.components as u64 > MOST_INSTANCES {
                        return Err(too_many(MOST_INSTANCES as usize, "components"));
                    }
                    list.push((key, t));
                }
            }
            "item" if is_root => {
                let (key, t) = (reference(e, place)?, transform(e, place)?);
                // Where else the same object stands is of no use here, and may be said a million times.
                if model.built.insert(key) {
                    model.items.push((key, t));
                }
            }
            _ => {}
        }
        Ok(())
    })?;
    if complete {
        return Ok(());
    }
    Err(Trouble::new("its XML is cut short: the model element does not end", EXPORT_AGAIN))
}

/// Counts what placing an object would come to, before anything is placed; finds cycles and missing objects.
struct Tally<'a> {
    model: &'a Model,
    known: BTreeMap<Key, (u64, u64)>,
    open: Vec<Key>,
}

impl Tally<'_> {
    /// Triangles and instances of an object.
    fn count(&mut self, key: Key) -> Result<(u64, u64), Trouble> {
        let Some(object) = self.model.objects.get(&key) else {
            return Err(Trouble::new(format!("object {} is used but not defined", key.1), EXPORT_AGAIN));
        };
        if let Some(&known) = self.known.get(&key) {
            return Ok(known);
        }
        if self.open.contains(&key) {
            return Err(Trouble::at(format!("object {} contains itself", key.1), object.place));
        }
        if self.open.len() >= MOST_DEPTH {
            let what = format!("components are nested more than {MOST_DEPTH} deep");
            return Err(Trouble::at(what, object.place));
        }
        let mut sum = (0_u64, 1_u64);
        match &object.body {
            Body::Mesh { triangles, .. } => sum.0 = triangles.len() as u64,
            Body::Components(list) => {
                self.open.push(key);
                for &(child, _) in list {
                    let (t, n) = self.count(child)?;
                    sum = (sum.0.saturating_add(t), sum.1.saturating_add(n));
                }
                self.open.pop();
            }
        }
        self.known.insert(key, sum);
        Ok(sum)
    }
}

/// Adds an object, transformed, to what was found. Cycles and depth were checked by the tally.
fn place(
    model: &Model,
    key: Key,
    by: &Transform,
    welded: &mut BTreeMap<Key, (TriMesh, Vec<Fault>)>,
    counted: &mut BTreeSet<Key>,
    found: &mut Found,
) {
    let Some(object) = model.objects.get(&key) else { return };
    match &object.body {
        Body::Mesh { vertices, triangles } => {
            let (mesh, faults) = welded.entry(key).or_insert_with(|| weld(vertices, triangles));
            let base = found.mesh.vertices.len() as u32;
            let inside_out = determinant(by) < 0.0;
            found.mesh.vertices.extend(mesh.vertices.iter().map(|&p| apply(p, by)));
            found.mesh.triangles.extend(mesh.triangles.iter().map(|t| {
                let [a, b, c] = t.map(|v| v + base);
                if inside_out { [a, c, b] } else { [a, b, c] }
            }));
            if counted.insert(key) {
                found.faults.extend_from_slice(faults);
            }
        }
        Body::Components(list) => {
            for &(child, ref t) in list {
                place(model, child, &then(t, by), welded, counted, found);
            }
        }
    }
}
