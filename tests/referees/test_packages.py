"""What `export` writes, read by lib3mf, trimesh and csv, against placements.json and the meshes themselves."""

import csv
import json
import re
import zipfile

import lib3mf
import numpy as np
import pytest
import trimesh
from lxml import etree
from scipy.spatial import cKDTree

import program
import shapes
from conftest import JOBS
from plates import every, mesh_of
from shapes import transform

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
MM = 1e-6


def packages_of(files):
    """The packages that hold each copy as an item of its own, by plate."""
    return [f for f in files if f.suffix == ".3mf" and "body" not in f.stem]


def strict(path):
    """lib3mf, strict: any warning is an error."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0, [reader.GetWarning(i) for i in range(reader.GetWarningCount())]
    return model


def matrix_of(transform):
    """lib3mf's twelve numbers (four rows of three, the move last) as a 4 × 4 matrix for column vectors."""
    m = np.eye(4)
    m[:3, :] = np.array([list(row) for row in transform.Fields]).T
    return m


def items_of(model):
    """(part number, [(mesh object, 4 × 4 matrix to the bed)]) of each build item, components followed."""
    out = []
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        m = matrix_of(item.GetObjectTransform()) if item.HasObjectTransform() else np.eye(4)
        out.append((item.GetPartNumber(), list(pieces(item.GetObjectResource(), m, model))))
    return out


def pieces(thing, m, model):
    if thing.IsMeshObject():
        yield model.GetMeshObjectByID(thing.GetResourceID()), m
        return
    group = model.GetComponentsObjectByID(thing.GetResourceID())
    for i in range(group.GetComponentCount()):
        part = group.GetComponent(i)
        inner = matrix_of(part.GetTransform()) if part.HasTransform() else np.eye(4)
        yield from pieces(part.GetObjectResource(), m @ inner, model)


def vertices_of(mesh):
    """A mesh object's vertices and triangles; lib3mf keeps 32-bit numbers."""
    vertices = np.array([list(v.Coordinates) for v in mesh.GetVertices()], float)
    triangles = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
    return vertices, triangles


def xml_items(path):
    """The model's own numbers, 64-bit: objects' vertices and triangles, and the build."""
    with zipfile.ZipFile(path) as package:
        names = package.namelist()
        assert package.testzip() is None and len(set(names)) == len(names)
        assert names[0] == "[Content_Types].xml" or "[Content_Types].xml" in names
        relations = etree.fromstring(package.read("_rels/.rels"))
        [target] = [r.get("Target") for r in relations if r.get("Type").endswith("/2013/01/3dmodel")]
        assert target.startswith("/"), "a strict reader wants the leading slash"
        types = package.read("[Content_Types].xml").decode()
        assert "application/vnd.ms-package.3dmanufacturing-3dmodel+xml" in types
        assert "application/vnd.openxmlformats-package.relationships+xml" in types
        raw = package.read(target[1:])
    assert b"<!DOCTYPE" not in raw
    model = etree.fromstring(raw)
    assert model.tag == CORE + "model" and model.get("unit") == "millimeter"
    objects = {}
    for thing in model.iter(CORE + "object"):
        assert thing.get("id") not in objects, "ids are given once"
        v = np.array([[float(v.get(k)) for k in "xyz"] for v in thing.iter(CORE + "vertex")])
        t = np.array([[int(t.get(k)) for k in ("v1", "v2", "v3")] for t in thing.iter(CORE + "triangle")])
        components = [(c.get("objectid"), twelve(c)) for c in thing.iter(CORE + "component")]
        assert bool(len(v)) != bool(components)
        assert all(c in objects for c, _ in components), "defined before it is named"
        for inner, m in components:
            v, t = objects[inner]
            v = at(v, m)
            assert len(components) == 1, "a copy is one mesh"
        objects[thing.get("id")] = v, t
    build = [(i.get("objectid"), i.get("partnumber"), twelve(i)) for i in model.iter(CORE + "item")]
    return objects, build


def twelve(element):
    """Its transform as a 4 × 4 matrix for column vectors."""
    numbers = [float(w) for w in element.get("transform", "1 0 0 0 1 0 0 0 1 0 0 0").split()]
    assert len(numbers) == 12
    return transform(numbers)


def at(vertices, matrix):
    return vertices @ matrix[:3, :3].T + matrix[:3, 3]


def same_points(mine, truth, tolerance):
    """Every corner of one has a corner of the other within the tolerance, both ways."""
    assert cKDTree(truth).query(mine)[0].max() <= tolerance
    assert cKDTree(mine).query(truth)[0].max() <= tolerance


def packages(results, name, move):
    placements, files, job = results[name, move]
    plates = [p for p in placements["plates"] if p["copies"]]
    found = packages_of(files)
    by_plate = []
    for plate in plates:
        names = {c["copy"] for c in plate["copies"]}
        match = [f for f in found if {n for _, n, _ in xml_items(f)[1]} == names]
        assert len(match) == 1, f"plate {plate['plate']}: {[f.name for f in match]} of {[f.name for f in found]}"
        by_plate.append((plate, match[0]))
    assert len(found) == len(plates)
    return by_plate, job


@pytest.mark.parametrize("name", JOBS)
def test_lib3mf_reads_the_packages(results, name):
    """lib3mf, strict: item count, names, part numbers, transforms, each mesh once, manifold and oriented."""
    by_plate, job = packages(results, name, "top-up")
    for plate, path in by_plate:
        model = strict(path)
        items = items_of(model)
        copies = {c["copy"]: c for c in plate["copies"]}
        assert sorted(number for number, _ in items) == sorted(copies)
        assert all(len(found) == 1 for _, found in items)
        meshes = {found[0][0].GetResourceID() for _, found in items}
        assert len(meshes) == len({(c["part"], c["sha256"], c["object"]) for c in copies.values()}), "each mesh once"
        for number, [(mesh, matrix)] in items:
            assert np.linalg.det(matrix[:3, :3]) > 0
            vertices, triangles = vertices_of(mesh)
            truth = mesh_of(copies[number], job)
            if truth.is_watertight:
                assert mesh.IsManifoldAndOriented(), number
            world = at(vertices, matrix)
            assert world.min() >= -1e-3, "the positive octant"
            # lib3mf's numbers have 24 bits: 2e-5 mm at 250 mm.
            same_points(world, at(truth.vertices, transform(copies[number]["matrix"])), 5e-5)
            assert len(triangles) == len(truth.faces)


@pytest.mark.parametrize("name", JOBS)
def test_packages_agree_with_the_placements(results, name):
    """numpy and lxml, 64-bit: each corner of each copy lands where placements.json says, to 1e-6 mm; volumes are positive."""
    by_plate, job = packages(results, name, "pack")
    for plate, path in by_plate:
        objects, build = xml_items(path)
        copies = {c["copy"]: c for c in plate["copies"]}
        assert len(build) == len(copies)
        for object_id, number, matrix in build:
            vertices, triangles = objects[object_id]
            world = at(vertices, matrix)
            truth = mesh_of(copies[number], job)
            same_points(world, at(truth.vertices, transform(copies[number]["matrix"])), 2 * MM)
            placed = trimesh.Trimesh(world, triangles, process=False)
            assert placed.volume > 0
            scale = abs(np.linalg.det(np.array(copies[number]["matrix"][:9]).reshape(3, 3)))
            assert placed.volume == pytest.approx(abs(truth.volume) * scale, rel=1e-6)


@pytest.mark.parametrize("name", JOBS)
def test_trimesh_reads_the_packages(results, name):
    """trimesh: as many nodes as copies, and the bounds of the whole plate."""
    by_plate, job = packages(results, name, "pack")
    for plate, path in by_plate:
        scene = trimesh.load_scene(path)
        assert len(scene.graph.nodes_geometry) == len(plate["copies"])
        corners = [at(mesh_of(c, job).vertices, transform(c["matrix"])) for c in plate["copies"]]
        truth = np.array([np.min([c.min(axis=0) for c in corners], axis=0), np.max([c.max(axis=0) for c in corners], axis=0)])
        assert np.abs(scene.bounds - truth).max() <= 1e-5


@pytest.mark.parametrize("name", JOBS)
def test_stl_of_a_plate(results, name):
    """trimesh: volume and bounds of all copies together, and every corner to the nearest 32-bit number."""
    placements, files, job = results[name, "pack"]
    plates = [p for p in placements["plates"] if p["copies"]]
    stls = [f for f in files if f.suffix == ".stl"]
    assert len(stls) == len(plates)
    left = list(plates)
    for path in stls:
        assert path.stat().st_size == 84 + 50 * int.from_bytes(path.read_bytes()[80:84], "little")
        mesh = trimesh.load_mesh(path, process=False)
        match = []
        for plate in left:
            corners = np.vstack([at(mesh_of(c, job).triangles.reshape(-1, 3), transform(c["matrix"])) for c in plate["copies"]])
            if len(corners) == 3 * len(mesh.faces):
                bounds = np.array([corners.min(axis=0), corners.max(axis=0)])
                if np.abs(bounds - mesh.bounds).max() <= 2e-5:
                    match.append((plate, corners))
        assert len(match) == 1, path.name
        plate, corners = match[0]
        left.remove(plate)
        # Half a unit in the last place of 24 bits, and what placements.json rounds.
        same_points(mesh.triangles.reshape(-1, 3), corners, 1.6e-5)
        volume = sum(abs(mesh_of(c, job).volume) * c["scale"] ** 3 for c in plate["copies"])
        assert mesh.volume == pytest.approx(volume, rel=1e-5)


@pytest.mark.parametrize("name", JOBS)
def test_csv_says_the_same(results, name):
    """Python's csv: a line a copy, the same places to 1e-6 mm, with a decimal point."""
    placements, files, _ = results[name, "pack"]
    tables = [f for f in files if f.name == "placements.csv"]
    rows = []
    for table in tables:
        with table.open(newline="", encoding="utf-8") as text:
            rows += list(csv.DictReader(text))
    copies = {(str(p["plate"]), c["copy"]): c for p in placements["plates"] for c in p["copies"]}
    assert len(rows) == len(copies)
    for row in rows:
        copy = copies[row["plate"], row["copy"]]
        for field in ("x_mm", "y_mm", "rotation_deg"):
            assert re.fullmatch(r"-?\d+(\.\d+)?", row[field]), row[field]
            assert abs(float(row[field]) - copy[field]) <= MM


def place(job, kept, places):
    """Writes a job again with its copies at given places (x, y, turn in degrees), in their order."""
    text = json.loads(job.read_text(encoding="utf-8"))
    copies = list(every(text))
    assert len(copies) == len(places)
    for copy, (x, y, turn) in zip(copies, places):
        copy.update(x_mm=x, y_mm=y, turn_deg=turn)
    kept.write_text(json.dumps(text), encoding="utf-8")


def test_the_worked_case(generated, tmp_path):
    """A box 20 × 10 × 5 as items "0 1 0 -1 0 0 0 0 1 110 95 0" and "1 0 0 0 1 0 0 0 1 5 5 0". Reference values, found with
    lib3mf 2.5.0 (2 items, 8 vertices, 12 triangles, manifold) and trimesh 5.2.0 (volume 1000, bounds (5,5,0)-(110,115,5))."""
    first, job = tmp_path / "first.stonehand", tmp_path / "worked.stonehand"
    program.run("new", "-o", first, "--bed", "240x200x190", "--footing", "bare", "--part", f"{generated['box']}:2")
    # The pose's origin is the middle of the box.
    place(first, job, [(105.0, 105.0, 90.0), (15.0, 10.0, 0.0)])
    placements, files = program.export(job, tmp_path / "out")
    matrices = [c["matrix"] for c in placements["plates"][0]["copies"]]
    assert matrices == [[0, 1, 0, -1, 0, 0, 0, 0, 1, 110, 95, 0], [1, 0, 0, 0, 1, 0, 0, 0, 1, 5, 5, 0]]
    [path] = packages_of(files)
    model = strict(path)
    items = items_of(model)
    assert len(items) == 2
    mesh = items[0][1][0][0]
    vertices, triangles = vertices_of(mesh)
    assert (len(vertices), len(triangles)) == (8, 12) and mesh.IsManifoldAndOriented()
    scene = trimesh.load_scene(path)
    assert len(scene.geometry) == 1
    assert next(iter(scene.geometry.values())).volume == pytest.approx(1000, rel=1e-9)
    assert np.abs(scene.bounds - [[5, 5, 0], [110, 115, 5]]).max() <= 1e-9


def test_mirrored_and_scaled_copies(generated, tmp_path):
    """numpy: a left-hand part at 100.5 percent. The matrix mirrors, the package's triangles still face outward."""
    first, job = tmp_path / "first.stonehand", tmp_path / "mirrored.stonehand"
    program.run("new", "-o", first, "--bed", "240x200x190", "--footing", "bare", "--part", f"{generated['l_prism']}:1")
    text = json.loads(first.read_text(encoding="utf-8"))
    poses = list(poses_in(text))
    assert len(poses) == 1
    poses[0].update(mirrored=True, scale_percent=100.5)
    job.write_text(json.dumps(text), encoding="utf-8")
    placements, files = program.export(job, tmp_path / "out", status=(0, 1))
    [copy] = placements["plates"][0]["copies"]
    assert copy["mirrored"]
    linear = np.array(copy["matrix"][:9]).reshape(3, 3)
    assert np.linalg.det(linear) == pytest.approx(-(1.005**3), rel=1e-9)
    [path] = packages_of(files)
    [(_, [(_, matrix)])] = items_of(strict(path))
    assert np.linalg.det(matrix[:3, :3]) > 0
    objects, build = xml_items(path)
    vertices, triangles = objects[build[0][0]]
    placed = trimesh.Trimesh(at(vertices, build[0][2]), triangles, process=False)
    [there] = shapes.read(generated["l_prism"])
    assert placed.volume == pytest.approx(3000 * 1.005**3, rel=1e-6)
    same_points(placed.vertices, at(there.mesh.vertices, transform(copy["matrix"])), 2 * MM)


def poses_in(value):
    """All poses in a job's JSON."""
    if isinstance(value, dict):
        if {"rotation", "mirrored", "scale_percent"} <= value.keys():
            yield value
        for inner in value.values():
            yield from poses_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from poses_in(inner)
