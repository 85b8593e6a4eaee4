"""The same level sections by vtk, hulls by Qhull: second reference for tests/anatomical.rs.

Run in this folder:
    pip install vtk==9.7.2 scipy numpy
    python vtk_ladder.py > skin-female.vtk.json

Read by vtkGLTFReader, cut by vtkCutter and joined by vtkStripper, points in double precision. Rows as in
trimesh_ladder.py.
"""

import gzip
import json
import tempfile

import numpy as np
import scipy
import vtk
from scipy.spatial import ConvexHull
from vtk.util.numpy_support import vtk_to_numpy

LEAST_MM2 = 400.0


def body():
    with gzip.open("skin-female.glb.gz") as packed, tempfile.NamedTemporaryFile(suffix=".glb") as file:
        file.write(packed.read())
        file.flush()
        reader = vtk.vtkGLTFReader()
        reader.SetFileName(file.name)
        reader.Update()
    surface = vtk.vtkCompositeDataGeometryFilter()
    surface.SetInputConnection(reader.GetOutputPort())
    scale = vtk.vtkTransform()
    scale.Scale(1000.0, 1000.0, 1000.0)
    scaled = vtk.vtkTransformFilter()
    scaled.SetTransform(scale)
    scaled.SetInputConnection(surface.GetOutputPort())
    scaled.SetOutputPointsPrecision(vtk.vtkAlgorithm.DOUBLE_PRECISION)
    joined = vtk.vtkCleanPolyData()
    joined.SetInputConnection(scaled.GetOutputPort())
    joined.SetTolerance(0.0)
    joined.SetOutputPointsPrecision(vtk.vtkAlgorithm.DOUBLE_PRECISION)
    joined.Update()
    return joined.GetOutput()


def loops(mesh, height):
    plane = vtk.vtkPlane()
    plane.SetNormal(0.0, 1.0, 0.0)
    plane.SetOrigin(0.0, height, 0.0)
    cutter = vtk.vtkCutter()
    cutter.SetInputData(mesh)
    cutter.SetCutFunction(plane)
    cutter.SetOutputPointsPrecision(vtk.vtkAlgorithm.DOUBLE_PRECISION)
    strip = vtk.vtkStripper()
    strip.SetInputConnection(cutter.GetOutputPort())
    strip.JoinContiguousSegmentsOn()
    strip.SetMaximumLength(100_000)
    strip.Update()
    lines = strip.GetOutput().GetLines()
    points = vtk_to_numpy(strip.GetOutput().GetPoints().GetData()).astype(float)[:, [0, 2]]
    ends = vtk_to_numpy(lines.GetOffsetsArray())
    order = vtk_to_numpy(lines.GetConnectivityArray())
    rows = []
    for a, b in zip(ends[:-1], ends[1:]):
        chain = points[order[a:b]]
        p, q = chain, np.roll(chain, -1, axis=0)
        cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
        area = 0.5 * cross.sum()
        if abs(area) <= LEAST_MM2:
            continue
        centre = ((p + q) * cross[:, None]).sum(axis=0) / (6.0 * area)
        skin = np.linalg.norm(q - p, axis=1).sum()
        # In two dimensions Qhull's "area" is the perimeter.
        row = [*centre, abs(area), ConvexHull(chain).area, skin]
        rows.append([round(float(x), 4) for x in row])
    return sorted(rows)


def main():
    mesh = body()
    floor = float(vtk_to_numpy(mesh.GetPoints().GetData())[:, 1].min())
    out = [{"rung_mm": y, "loops": loops(mesh, floor + y)} for y in map(float, range(20, 1660, 4))]
    made = {"vtk": vtk.vtkVersion().GetVTKVersion(), "scipy": scipy.__version__, "numpy": np.__version__}
    print(json.dumps({"made_with": made, "floor_mm": floor, "rungs": out}).replace('{"rung', '\n{"rung'))


if __name__ == "__main__":
    main()
