"""Ways to lay a part down, judged from outside: stable poses and centres of mass by trimesh, hull faces by scipy, section moduli by
shapely, overlapping bodies by manifold3d. What the program says comes from `inspect --poses --json`."""

import itertools
import json

import manifold3d
import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull

import shapes
from conftest import FAULTY, SAMPLE_MESHES
from program import run
from test_stability import modulus, region

LAYER = 0.2
WHOLE = [n for n in SAMPLE_MESHES if n != FAULTY] + sorted(shapes.GENERATED)
# Directions this near are one, rad; as the program has it.
SAME = 2e-3


def inspect(path):
    return json.loads(run("inspect", path, "--layer-height", LAYER, "--poses", "--json"))


@pytest.fixture(scope="module")
def reports(files):
    """name → [(trimesh's mesh, the program's report)]."""
    out = {}
    for name in WHOLE:
        objects = shapes.read(files[name])
        out[name] = list(zip([o.mesh for o in objects], inspect(files[name])))
    return out


def near(a, b, angle=SAME):
    return np.dot(a, b) > np.cos(angle)


def facets(mesh):
    """scipy's hull with facets in one plane merged: [(normal, area)]."""
    hull = ConvexHull(mesh.vertices)
    corners = hull.points[hull.simplices]
    areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    flat, left, merged = 1e-5 * np.ptp(hull.points, axis=0).max(), np.ones(len(areas), bool), []
    for i in np.argsort(-areas):
        if left[i]:
            normal, offset = hull.equations[i, :3], hull.equations[i, 3]
            same = left & (hull.equations[:, :3] @ normal > np.cos(1e-4)) & (abs(hull.equations[:, 3] - offset) < flat)
            merged.append((normal, areas[same].sum()))
            left &= ~same
    return merged


@pytest.mark.parametrize("name", WHOLE)
def test_centre_of_mass(reports, name):
    """trimesh: the centre of mass of a solid of even density."""
    for mesh, told in reports[name]:
        assert np.abs(np.array(told["centre_of_mass_mm"]) - mesh.center_mass).max() < 1e-6 * mesh.extents.max()


@pytest.mark.parametrize("name", WHOLE)
def test_hull_faces(reports, name):
    """scipy: every face is one of the hull, as large; the largest are all there."""
    for mesh, told in reports[name]:
        asked, faces = facets(mesh), told["hull_faces"]
        size = mesh.extents.max()
        assert 4 <= len(faces) <= 64
        for face in faces:
            # Facets that lean by less than the program tells apart belong to one face: all of them together.
            alike = [area for normal, area in asked if near(normal, face["normal"])]
            assert alike and face["area_mm2"] < sum(alike) * (1 + 1e-3) + 1e-4 * size * size, (name, face)
            assert face["area_mm2"] > max(alike) * (1 - 1e-3) - 1e-4 * size * size, (name, face)
        if len(asked) <= 64:
            for normal, area in asked:
                if area > 1e-4 * size * size:
                    assert any(near(normal, f["normal"]) for f in faces), (name, normal, area)


def stable(mesh):
    """trimesh's stable poses: [(direction that points down, probability)]."""
    transforms, chances = trimesh.poses.compute_stable_poses(mesh, sigma=0.0, n_samples=1, threshold=0.0)
    return [(-t[2, :3], p) for t, p in zip(transforms, chances)]


def overhanging(mesh, down):
    """How far the centre of mass lies within the hull's face that points down, mm; negative outside."""
    hull = ConvexHull(mesh.vertices)
    depth = mesh.vertices @ down
    foot = mesh.vertices[depth > depth.max() - 1e-5 * mesh.extents.max()]
    x = np.linalg.svd(np.outer(down, down))[0][:, 1:]
    flat = ConvexHull(foot @ x)
    assert hull.volume > 0
    return -(flat.equations[:, :2] @ (mesh.center_mass @ x) + flat.equations[:, 2]).max()


@pytest.mark.parametrize("name", WHOLE)
def test_balanced_poses_are_the_stable_ones(reports, name):
    """trimesh: a pose is stable where the centre of mass lies over the face it lies on. Ours are judged over the contact of the first
    layer; where that is as wide as the hull's face, both say the same, but for centres within a first layer's slope of the border."""
    judged = 0
    for mesh, told in reports[name]:
        asked = stable(mesh)
        for pose in told["poses"]:
            down = np.array(pose["down"])
            if pose["face_mm2"] < 1e-3 * mesh.extents.max() ** 2 or abs(pose["contact_mm2"] / pose["face_mm2"] - 1) > 0.02:
                continue
            within = overhanging(mesh, down)
            if abs(within) < LAYER:
                continue
            known = any(near(down, other) for other, chance in asked if chance > 0)
            assert pose["balanced"] == (within > 0) == known, (name, pose, within, asked)
            judged += 1
    if name in ("box", "column", "l_prism", "entrance-gate.stl", "corner-bracket.stl"):
        assert judged >= 2, (name, judged)


def test_the_best_pose_is_the_most_probable_one(tmp_path):
    """trimesh: of bodies whose most stable pose needs no support either, the first choice is the most probable pose."""
    corners = np.array([(0, 0, 0), (30, 0, 0), (0, 24, 0), (0, 0, 18)], float)
    bodies = {
        "flat box": trimesh.creation.box((40, 30, 8)),
        "plank": trimesh.creation.box((60, 12, 5)),
        "tetrahedron": trimesh.Trimesh(corners, [(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)]),
        "disc": trimesh.creation.cylinder(20, 6, sections=48),
        "cone": trimesh.creation.cone(15, 12, sections=48),
    }
    for name, body in bodies.items():
        body.apply_translation([3, -2, 5])
        path = tmp_path / f"{name}.stl"
        body.export(path)
        [told] = inspect(path)
        chances = stable(body)
        most = max(p for _, p in chances)
        best = [down for down, p in chances if p > most - 1e-3]
        assert any(near(told["poses"][0]["down"], down) for down in best), (name, told["poses"][0], chances)


@pytest.mark.parametrize("name", ["box", "l_prism", "star_prism", "corner-bracket.stl"])
def test_moduli_of_the_contact_as_it_lies(reports, files, name):
    """shapely: the least section modulus of the contact of the pose that the file has."""
    for _, told in reports.get(name, []):
        lying = [p for p in told["poses"] if near(p["down"], (0, 0, -1))]
        contact = region(told["contact"]["polygons"])
        for pose in lying:
            assert pose["contact_mm2"] == pytest.approx(contact.area, rel=1e-6)
            assert pose["modulus_mm3"] == pytest.approx(modulus(contact), rel=1e-6)


def manifold(mesh):
    return manifold3d.Manifold(manifold3d.Mesh(np.asarray(mesh.vertices, np.float32), np.asarray(mesh.faces, np.uint32)))


def test_overlapping_bodies_are_those_that_manifold3d_intersects(tmp_path):
    """manifold3d: bodies overlap where their intersection has a volume. Boxes and a cylinder beside, touching, in one another."""
    one = trimesh.creation.box((20, 20, 20))
    seen = set()
    moves = itertools.product((0.0, 7.3, 19.7, 20.5, 26.0), (0.0, 12.1), (0.0, 3.3))
    for k, move in enumerate(moves):
        other = trimesh.creation.cylinder(6, 12, sections=32) if k % 2 else trimesh.creation.box((11, 11, 11))
        other.apply_translation(move)
        path = tmp_path / f"pair-{k}.stl"
        trimesh.util.concatenate([one, other]).export(path)
        # As the file has them: in single precision.
        overlap = (manifold(one) ^ manifold(other)).volume() > 1e-3
        [told] = inspect(path)
        named = any(f["kind"] == "overlapping-shells" for f in told["faults"])
        assert named == overlap, (move, told["faults"])
        seen.add(overlap)
    assert seen == {True, False}
