"""Meshes for the referees: made here, kept as binary STL, read again, so that both sides see the same 32-bit numbers."""

import dataclasses
import hashlib
import pathlib

import manifold3d
import numpy as np
import shapely
import trimesh


def torus():
    return trimesh.creation.torus(18.0, 6.0, major_sections=72, minor_sections=36)


def sphere():
    return trimesh.creation.icosphere(subdivisions=4, radius=12.5)


def gyroid():
    """A piece of a gyroid sheet, 24 mm, by manifold3d's marching tetrahedra: a body of many holes."""
    k = 2 * np.pi / 12.0

    def field(x, y, z):
        g = np.sin(k * x) * np.cos(k * y) + np.sin(k * y) * np.cos(k * z) + np.sin(k * z) * np.cos(k * x)
        return 0.5 - abs(g)

    body = manifold3d.Manifold.level_set(field, [-12.2, -12.1, -12.05, 12.2, 12.1, 12.05], 1.1).to_mesh()
    return trimesh.Trimesh(body.vert_properties[:, :3], body.tri_verts)


def star_prism():
    """An eleven-pointed star with a hole, leaned over so that no face is upright."""
    turns = np.arange(22) * np.pi / 11
    radii = np.where(np.arange(22) % 2 == 0, 20.0, 9.0)
    star = np.column_stack([radii * np.cos(turns), radii * np.sin(turns)])
    hole = shapely.Point(0, 0).buffer(4.0, quad_segs=6).exterior.coords
    mesh = trimesh.creation.extrude_polygon(shapely.Polygon(star, [hole]), 14.0, engine="earcut")
    mesh.apply_transform(trimesh.transformations.rotation_matrix(0.35, [1.0, 0.4, 0.0]))
    return mesh


def overlapping_shells():
    """A box and a tilted box in one file, not united. Their union is manifold3d's to tell."""
    first = trimesh.creation.box([20.0, 14.0, 12.0])
    second = trimesh.creation.box([12.0, 22.0, 12.0])
    second.apply_transform(trimesh.transformations.rotation_matrix(0.3, [0.2, 0.3, 1.0]))
    second.apply_translation([4.0, 3.0, 3.0])
    return trimesh.util.concatenate([first, second])


def cavity():
    """A box with a ball-shaped cavity: a shell inside that faces inward."""
    hole = trimesh.creation.icosphere(subdivisions=3, radius=7.0)
    hole.invert()
    return trimesh.util.concatenate([trimesh.creation.box([20.0, 18.0, 16.0]), hole])


def box():
    """The box of the worked 3MF case: 20 × 10 × 5 from the origin."""
    mesh = trimesh.creation.box([20.0, 10.0, 5.0])
    mesh.apply_translation([10.0, 5.0, 2.5])
    return mesh


def l_prism():
    """The L whose rings are known: area 500, perimeter 120."""
    outline = [(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)]
    return trimesh.creation.extrude_polygon(shapely.Polygon(outline), 6.0, engine="earcut")


def column():
    """A slim square column."""
    mesh = trimesh.creation.box([6.0, 6.0, 20.0])
    mesh.apply_translation([3.0, 3.0, 10.0])
    return mesh


GENERATED = {
    f.__name__: f for f in (torus, sphere, gyroid, star_prism, overlapping_shells, cavity, box, l_prism, column)
}


@dataclasses.dataclass
class Object:
    """One object of a file, as trimesh reads it."""

    path: pathlib.Path
    index: int
    name: str
    mesh: trimesh.Trimesh

    @property
    def key(self):
        return sha256(self.path), self.name


def sha256(path):
    return hashlib.sha256(pathlib.Path(path).read_bytes()).hexdigest()


def write(folder):
    """All generated shapes as files."""
    paths = {}
    for name, make in GENERATED.items():
        paths[name] = pathlib.Path(folder) / f"{name}.stl"
        make().export(paths[name], file_type="stl")
    return paths


def read(path):
    """The objects of a file, welded, in its own coordinates (a 3MF's build transforms applied)."""
    scene = trimesh.load_scene(path, process=False)
    objects = []
    for index, node in enumerate(scene.graph.nodes_geometry):
        transform, geometry = scene.graph[node]
        mesh = scene.geometry[geometry].copy()
        mesh.apply_transform(transform)
        mesh.merge_vertices(digits_vertex=12)
        objects.append(Object(pathlib.Path(path), index, geometry, mesh))
    return objects


def bodies(mesh):
    """Its shells with their signs: +1 outward, −1 inward (a cavity, or a flipped shell)."""
    parts = mesh.split(only_watertight=False)
    return [(part, 1 if part.volume >= 0 else -1) for part in parts]


def in_plan(triangles):
    """The union of triangles seen from above: shapely's word on a shadow."""
    flat = np.asarray(triangles)[:, :, :2]
    edge1, edge2 = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    double = edge1[:, 0] * edge2[:, 1] - edge1[:, 1] * edge2[:, 0]
    rings = flat[np.abs(double) > 1e-12]
    return shapely.union_all(shapely.polygons(rings))


def section(mesh, z):
    """The section at a height: trimesh cuts every shell, shapely unites them; shells facing inward inside others are taken off."""
    solid, hollow = [], []
    for part, sign in bodies(mesh):
        cut = part.section(plane_origin=[0, 0, z], plane_normal=[0, 0, 1])
        if cut is None:
            continue
        flat, to_3d = cut.to_2D(to_2D=trimesh.transformations.translation_matrix([0, 0, -z]))
        assert np.allclose(to_3d[:2], np.eye(4)[:2])
        (solid if sign > 0 else hollow).extend(flat.polygons_full)
    whole = shapely.union_all(solid) if solid else shapely.Polygon()
    return whole.difference(shapely.union_all(hollow)) if hollow else whole


def polygons(listed):
    """shapely's from the program's: [{"outer", "holes"}], each checked for form."""
    out = []
    for p in listed:
        polygon = shapely.Polygon(p["outer"], p.get("holes", []))
        assert polygon.is_valid, shapely.is_valid_reason(polygon)
        assert shapely.LinearRing(p["outer"]).is_ccw
        assert not any(shapely.LinearRing(h).is_ccw for h in p.get("holes", []))
        out.append(polygon)
    whole = shapely.union_all(out) if out else shapely.Polygon()
    # Polygons of one region share no area.
    assert abs(whole.area - sum(p.area for p in out)) <= 1e-6 * max(1.0, whole.area)
    return whole


def clear_heights(mesh, height, count):
    """Middles of `count` layers spread over a mesh, as (layer, z above its lowest point), none at the height of a vertex."""
    low, high = mesh.bounds[:, 2]
    heights = np.unique(mesh.vertices[:, 2]) - low
    layers = round((high - low) / height)
    free = [i for i in range(layers) if np.abs(heights - (i + 0.5) * height).min() > 1e-5]
    picked = sorted({free[int(k)] for k in np.linspace(0, len(free) - 1, count)})
    return [(i, (i + 0.5) * height) for i in picked]


def transform(matrix):
    """A 4 × 4 matrix for column vectors from twelve numbers for row vectors."""
    m = np.eye(4)
    m[:3, :3] = np.array(matrix[:9], float).reshape(3, 3).T
    m[:3, 3] = matrix[9:]
    return m
