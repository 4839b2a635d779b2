"""Reports of meshes against trimesh, numpy and manifold3d."""

import collections

import manifold3d
import numpy as np
import pytest
import trimesh

import program
import shapes
from conftest import FAULTY, SAMPLE_MESHES

ALL = SAMPLE_MESHES + sorted(shapes.GENERATED)
LAYER = 0.17  # mm; the middles of such layers meet few vertices


@pytest.fixture(scope="module")
def reports(files):
    """name → [(trimesh's object, the program's report)]."""
    out = {}
    for name, path in files.items():
        told = program.inspect(path, layer_height=LAYER, status=(0, 1))
        objects = shapes.read(path)
        assert len(told) == len(objects), name
        out[name] = list(zip(objects, told))
    return out


def test_there_is_something_to_judge():
    assert (len(SAMPLE_MESHES), len(shapes.GENERATED)) == (9, 9)


@pytest.mark.parametrize("name", ALL)
def test_file_and_object(reports, name):
    """hashlib: the file's hash. trimesh: its objects and their names."""
    for there, told in reports[name]:
        assert told["sha256"] == shapes.sha256(there.path)
        if there.path.suffix == ".3mf":
            assert told["object"] == there.name
        assert there.path.name in told["file"]


@pytest.mark.parametrize("name", ALL)
def test_triangles_and_shells(reports, name):
    """trimesh: faces and bodies."""
    for there, told in reports[name]:
        assert told["triangles"] == len(there.mesh.faces)
        assert told["shells"] == there.mesh.body_count


@pytest.mark.parametrize("name", ALL)
def test_edges(reports, name):
    """numpy: an edge that one triangle has is open. trimesh: watertight."""
    for there, told in reports[name]:
        uses = collections.Counter(map(tuple, np.sort(there.mesh.edges, axis=1)))
        assert told["open_edges"] == sum(1 for n in uses.values() if n == 1)
        assert told["watertight"] == there.mesh.is_watertight
        assert told["watertight"] == (name != FAULTY)


@pytest.mark.parametrize("name", ALL)
def test_volume(reports, name):
    """trimesh: the signed volume (of a mesh with holes, about its own origin, it has no meaning)."""
    for there, told in reports[name]:
        if there.mesh.is_watertight:
            assert told["volume_mm3"] == pytest.approx(there.mesh.volume, rel=1e-9)


@pytest.mark.parametrize("name", ALL)
def test_bounds(reports, name):
    """trimesh: the box round it."""
    for there, told in reports[name]:
        assert np.abs(np.array(told["bounds_mm"]) - there.mesh.bounds).max() <= 1e-9


@pytest.mark.parametrize("name", ALL)
def test_sections_at_ten_heights(reports, name):
    """trimesh cuts, shapely unites: area and perimeter, holes included."""
    for there, told in reports[name]:
        mesh = there.mesh
        if name == FAULTY:
            mesh = closed(mesh)
        height = mesh.bounds[1, 2] - mesh.bounds[0, 2]
        assert abs(len(told["layers"]) * LAYER - height) <= LAYER
        heights = shapes.clear_heights(mesh, LAYER, 10)
        assert len(heights) == 10
        for layer, z in heights:
            mine = told["layers"][layer]
            assert mine["z_mm"] == pytest.approx(z, abs=1e-9)
            cut = shapes.section(mesh, mesh.bounds[0, 2] + z)
            # Corners may move by 1e-6 mm.
            assert mine["area_mm2"] == pytest.approx(cut.area, abs=1e-6 * cut.length + 1e-9), (layer, z)
            assert mine["perimeter_mm"] == pytest.approx(cut.length, rel=2e-6), (layer, z)


def closed(mesh):
    """The faulty clip made whole: the missing side put in, the pin turned right side out. Source of the truth: trimesh."""
    parts = []
    for part in mesh.split(only_watertight=False):
        part.fill_holes()
        assert part.is_watertight
        if part.volume < 0:
            part.invert()
        parts.append(part)
    return trimesh.util.concatenate(parts)


FINE = 0.1  # mm; divides the heights of all steps


@pytest.fixture(scope="module")
def fine(files):
    """name → the program's reports at fine layers."""
    return {name: program.inspect(path, layer_height=FINE, status=(0, 1)) for name, path in files.items()}


def manifold(mesh):
    """manifold3d's body of a closed mesh."""
    body = manifold3d.Manifold(
        manifold3d.Mesh(np.asarray(mesh.vertices, np.float32), np.asarray(mesh.faces, np.uint32))
    )
    assert body.status() == manifold3d.Error.NoError
    return body


@pytest.mark.parametrize("name", [n for n in ALL if n != FAULTY])
def test_solid_volume_is_that_of_the_shells_united(reports, fine, name):
    """manifold3d: the union's volume, cavities taken off. Middle heights of fine layers come within 0.3 %."""
    for (there, _), told in zip(reports[name], fine[name]):
        whole, hollow = manifold3d.Manifold(), manifold3d.Manifold()
        for part, sign in shapes.bodies(there.mesh):
            if sign < 0:
                part.invert()
                hollow += manifold(part)
            else:
                whole += manifold(part)
        assert told["solid_volume_mm3"] == pytest.approx((whole - hollow).volume(), rel=0.003)
        summed = sum(layer["area_mm2"] for layer in told["layers"]) * FINE
        assert told["solid_volume_mm3"] == pytest.approx(summed, rel=1e-9)


def test_two_overlapping_shells_count_once(reports, fine):
    """manifold3d against the signed sum: the overlap is in volume_mm3 twice, in solid_volume_mm3 once."""
    [(there, _)], [told] = reports["overlapping_shells"], fine["overlapping_shells"]
    first, second = (manifold(part) for part, _ in shapes.bodies(there.mesh))
    twice = (first ^ second).volume()
    assert twice > 500
    assert told["volume_mm3"] - told["solid_volume_mm3"] == pytest.approx(twice, rel=0.01)
    assert any(f["kind"] == "overlapping-shells" for f in told["faults"])


def test_faults_are_named(reports):
    """What was put into the faulty clip is what is found; whole meshes have no faults."""
    [(_, told)] = reports[FAULTY]
    assert {"open-edge", "flipped-shell"} <= {f["kind"] for f in told["faults"]}
    assert [f["count"] for f in told["faults"] if f["kind"] == "open-edge"] == [4]
    assert [f["count"] for f in told["faults"] if f["kind"] == "flipped-shell"] == [1]
    for name in ALL:
        if name not in (FAULTY, "overlapping_shells"):
            for _, told in reports[name]:
                assert told["faults"] == [], name
