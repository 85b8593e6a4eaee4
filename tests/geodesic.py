"""Exact shortest paths over the skin of body-05.ply, as reference for tests/geodesic.rs.

    pip install pygeodesic==0.1.11 trimesh==5.2.0 numpy
    python tests/geodesic.py > tests/geodesic.json

Between pairs of vertices 20 to 450 mm apart, drawn by a fixed stride. pygeodesic computes exact
paths (window propagation of Mitchell, Mount and Papadimitriou 1987), shortest over the whole mesh.
"""

import json
from importlib.metadata import version
from pathlib import Path

import numpy as np
import trimesh
from pygeodesic import geodesic

BODY = Path(__file__).parent.parent / "data" / "bodies" / "body-05.ply"


def main():
    mesh = trimesh.load(BODY, process=False)
    points = np.asarray(mesh.vertices, float)
    exact = geodesic.PyGeodesicAlgorithmExact(points, np.asarray(mesh.faces, np.int32))
    pairs = []
    for n in range(60):
        source = (n * 7919 + 13) % len(points)
        apart = np.linalg.norm(points - points[source], axis=1)
        near = np.flatnonzero((apart > 20) & (apart < (450 if n % 2 else 120)))
        target = int(near[(n * 104729) % len(near)])
        length, _ = exact.geodesicDistance(source, target)
        ends = [points[source].round(6).tolist(), points[target].round(6).tolist()]
        pairs.append({"ends": ends, "length_mm": float(length)})
    made = {name: version(name) for name in ["pygeodesic", "trimesh", "numpy"]}
    print(json.dumps({"made_with": made, "pairs": pairs}, indent=1))


if __name__ == "__main__":
    main()
