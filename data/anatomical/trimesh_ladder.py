"""Level sections of skin-female.glb, rung by rung, by general-purpose libraries: reference for tests/anatomical.rs.

Run in this folder:
    pip install trimesh==5.2.0 shapely==2.2.0 networkx numpy
    python trimesh_ladder.py > skin-female.trimesh.json

Cut and joined by trimesh, hulls, areas and lengths are shapely's (GEOS). Nothing is read but
the mesh. Heights and centres are the file's, in mm (the file is in m, y up); a row is a loop: x and z of the centre of
its area, area, taut girth, girth along the skin.
"""

import gzip
import io
import json

import numpy as np
import shapely
import trimesh

LEAST_MM2 = 400.0  # smaller loops are fingers and toes


def rungs():
    return [float(y) for y in range(20, 1660, 4)]


def body():
    with gzip.open("skin-female.glb.gz") as file:
        scene = trimesh.load(io.BytesIO(file.read()), file_type="glb", process=False)
    (mesh,) = scene.geometry.values()
    points = np.asarray(mesh.vertices, float) * 1000.0
    # One point where the file has several, for its normals or seams.
    points, same = np.unique(points, axis=0, return_inverse=True)
    return points, same.reshape(-1)[np.asarray(mesh.faces)]


def main():
    points, faces = body()
    mesh = trimesh.Trimesh(points, faces, process=False)
    floor = float(points[:, 1].min())
    out = []
    for rung in rungs():
        height = floor + rung
        path = mesh.section(plane_normal=[0.0, 1.0, 0.0], plane_origin=[0.0, height, 0.0])
        parts = [shapely.LineString(line[:, [0, 2]]) for line in path.discrete]
        rows = []
        for part in parts:
            assert part.is_closed, (rung, part)
            polygon = shapely.Polygon(part)
            if polygon.area > LEAST_MM2:
                centre = polygon.centroid.coords[0]
                row = [*centre, polygon.area, part.convex_hull.length, part.length]
                rows.append([round(float(x), 4) for x in row])
        out.append({"rung_mm": rung, "loops": sorted(rows)})
    made = {"trimesh": trimesh.__version__, "shapely": shapely.__version__, "numpy": np.__version__}
    print(json.dumps({"made_with": made, "floor_mm": floor, "rungs": out}).replace('{"rung', '\n{"rung'))


if __name__ == "__main__":
    main()
