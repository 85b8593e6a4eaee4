"""Plane sections of body-05.ply by general-purpose libraries, as reference for tests/oracle.rs.

Run in this folder:
    pip install trimesh==5.2.0 shapely==2.2.0 networkx numpy
    python trimesh_sections.py > body-05.sections.json

Faces are cut with trimesh.intersections.mesh_plane, loops are polygonized with shapely, hulls
are shapely's. Nothing is read but the mesh.
"""

import json

import numpy as np
import shapely
import trimesh

CLEAR_MM = 0.02  # least distance of a plane from any vertex near which it cuts


def loops(mesh, origin, axes):
    segments = trimesh.intersections.mesh_plane(mesh, plane_normal=axes[2], plane_origin=origin)
    flat = segments @ axes[:2].T  # u, v of both ends
    # The ends of neighbours agree to round-off: snapped to 1e-7 mm so that they meet.
    lines = [shapely.LineString(s) for s in np.round(flat, 7) if np.any(np.round(s[0] - s[1], 7))]
    whole = shapely.line_merge(shapely.MultiLineString(lines))
    parts = list(whole.geoms) if whole.geom_type == "MultiLineString" else [whole]
    rows = []
    for part in parts:
        assert part.is_ring, part
        polygon = shapely.Polygon(part)
        rows.append(
            {
                "skin_mm": part.length,
                "taut_mm": part.convex_hull.length,
                "area_mm2": polygon.area,
                "centroid_mm": list(polygon.centroid.coords[0]),
            }
        )
    return sorted(rows, key=lambda row: row["centroid_mm"])


def level_axes():
    return np.eye(3)


def oblique_axes(normal):
    """The rule of PlaneAxes::square_to: u as near to x as it can be."""
    n = np.asarray(normal, float)
    n /= np.linalg.norm(n)
    u = np.array([1.0, 0.0, 0.0]) - n * n[0]
    u /= np.linalg.norm(u)
    return np.array([u, np.cross(n, u), n])


def clear_height(mesh, axes, height):
    """Moved up until no vertex lies within CLEAR_MM of the plane."""
    heights = mesh.vertices @ axes[2]
    while np.min(np.abs(heights - height)) < CLEAR_MM:
        height += 0.01
    return float(np.round(height, 2))


def main():
    mesh = trimesh.load("body-05.ply", process=False)
    planes = []
    for z in np.linspace(30.0, 1740.0, 40):
        planes.append(((0.0, 0.0, 1.0), level_axes(), z))
    rng = np.random.default_rng(20685)
    for _ in range(10):
        tilt = np.radians(rng.uniform(5.0, 60.0))
        turn = rng.uniform(0.0, 2.0 * np.pi)
        normal = np.round(
            [np.sin(tilt) * np.cos(turn), np.sin(tilt) * np.sin(turn), np.cos(tilt)], 6
        )
        centre = np.array([0.0, 40.0, rng.uniform(500.0, 1500.0)])
        axes = oblique_axes(normal)
        planes.append((tuple(normal), axes, float(axes[2] @ centre)))
    out = []
    for normal, axes, height in planes:
        height = clear_height(mesh, axes, height)
        out.append(
            {
                "normal": list(map(float, normal)),
                "height_mm": height,
                "loops": loops(mesh, axes[2] * height, axes),
            }
        )
    made = {"trimesh": trimesh.__version__, "shapely": shapely.__version__, "numpy": np.__version__}
    print(json.dumps({"made_with": made, "volume_mm3": float(mesh.volume), "area_mm2": float(mesh.area), "planes": out}, indent=1))


if __name__ == "__main__":
    main()
