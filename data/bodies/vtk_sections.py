"""Plane sections of body-05.ply by vtk, as a second reference for tests/oracle.rs.

Run in this folder:
    pip install vtk==9.7.2 numpy
    python vtk_sections.py > body-05.vtk.json

The planes are those of body-05.sections.json, and twenty level ones exactly at a vertex. Cut by
vtkCutter and joined by vtkStripper, points in double precision. Nothing else is read.
"""

import json

import numpy as np
import vtk
from vtk.util.numpy_support import vtk_to_numpy


def section(mesh, normal, height):
    """Length of all lines, and how many there are."""
    plane = vtk.vtkPlane()
    unit = np.asarray(normal) / np.linalg.norm(normal)
    plane.SetNormal(*unit)
    plane.SetOrigin(*(unit * height))
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
    points = vtk_to_numpy(strip.GetOutput().GetPoints().GetData()).astype(float)
    ends = vtk_to_numpy(lines.GetOffsetsArray())
    order = vtk_to_numpy(lines.GetConnectivityArray())
    chains = [points[order[a:b]] for a, b in zip(ends[:-1], ends[1:])]
    length = sum(np.linalg.norm(np.diff(chain, axis=0), axis=1).sum() for chain in chains)
    return {"normal": list(normal), "height_mm": height, "skin_mm": float(length), "loops": len(chains)}


def main():
    reader = vtk.vtkPLYReader()
    reader.SetFileName("body-05.ply")
    reader.Update()
    mesh = reader.GetOutput()
    with open("body-05.sections.json") as file:
        planes = [(plane["normal"], plane["height_mm"]) for plane in json.load(file)["planes"]]
    heights = np.unique(vtk_to_numpy(mesh.GetPoints().GetData())[:, 2].astype(float))
    for share in np.linspace(0.03, 0.97, 20):
        planes.append(([0.0, 0.0, 1.0], float(heights[int(share * len(heights))])))
    rows = [section(mesh, *plane) for plane in planes]
    made = {"vtk": vtk.vtkVersion().GetVTKVersion(), "numpy": np.__version__}
    print(json.dumps({"made_with": made, "planes": rows}, indent=1))


if __name__ == "__main__":
    main()
