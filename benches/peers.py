"""Times plane sections of one scan here and in general-purpose mesh libraries, in one run.

    python -m venv ../peers && ../peers/bin/pip install numpy trimesh networkx vtk meshlib
    cargo build --release --example time_sections
    ../peers/bin/python benches/peers.py [FILE.ply] [--skip vtk] [--most 100] [--runs 5]

Without FILE the model body in data/bodies is taken, each triangle cut in four three times at the
middles of its sides: 1.7 M faces. All load the same file and cut the same planes; one that takes
minutes is timed once. Then the lengths of sections are compared, plane by plane.
"""

import argparse
import json
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
PLANES = (1, 100, 1000)
SLOW_S = 20.0  # what takes longer is timed once
CLEAR_MM = 0.01  # a plane this far from every vertex cuts no flat facet


def subdivided(path, times):
    """The mesh with each triangle cut in four, as points and faces."""
    import trimesh

    mesh = trimesh.load(path, process=False)
    points, faces = np.asarray(mesh.vertices), np.asarray(mesh.faces)
    for _ in range(times):
        points, faces = trimesh.remesh.subdivide(points, faces)
    return points, faces


def write_ply(path, points, faces):
    head = (
        "ply\nformat binary_little_endian 1.0\n"
        f"element vertex {len(points)}\nproperty float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    rows = np.empty(len(faces), dtype=[("n", "u1"), ("v", "<i4", 3)])
    rows["n"], rows["v"] = 3, faces
    with open(path, "wb") as out:
        out.write(head.encode())
        out.write(points.astype("<f4").tobytes())
        out.write(rows.tobytes())


class Trimesh:
    name = "trimesh"

    def __init__(self):
        import trimesh

        self.lib = trimesh
        self.version = trimesh.__version__

    def load(self, path):
        return self.lib.load(path, process=False)

    def cut(self, mesh, heights):
        return mesh.section_multiplane([0.0, 0.0, 0.0], [0.0, 0.0, 1.0], heights)

    def lengths(self, mesh, heights):
        return [0.0 if s is None else s.length for s in self.cut(mesh, heights)]


class Vtk:
    name = "vtk"

    def __init__(self):
        import vtk

        self.lib = vtk
        self.version = vtk.vtkVersion().GetVTKVersion()

    def load(self, path):
        reader = self.lib.vtkPLYReader()
        reader.SetFileName(str(path))
        reader.Update()
        return reader.GetOutput()

    def section(self, mesh, height):
        plane = self.lib.vtkPlane()
        plane.SetNormal(0.0, 0.0, 1.0)
        plane.SetOrigin(0.0, 0.0, float(height))
        cutter = self.lib.vtkCutter()
        cutter.SetInputData(mesh)
        cutter.SetCutFunction(plane)
        cutter.SetOutputPointsPrecision(self.lib.vtkAlgorithm.DOUBLE_PRECISION)
        strip = self.lib.vtkStripper()
        strip.SetInputConnection(cutter.GetOutputPort())
        strip.JoinContiguousSegmentsOn()
        strip.Update()
        return strip.GetOutput()

    def cut(self, mesh, heights):
        return [self.section(mesh, height) for height in heights]

    def lengths(self, mesh, heights):
        from vtk.util.numpy_support import vtk_to_numpy

        told = []
        for section in self.cut(mesh, heights):
            if section.GetNumberOfLines() == 0:
                told.append(0.0)
                continue
            points = vtk_to_numpy(section.GetPoints().GetData()).astype(float)
            lines, total = section.GetLines(), 0.0
            ends = vtk_to_numpy(lines.GetOffsetsArray())
            order = vtk_to_numpy(lines.GetConnectivityArray())
            for start, end in zip(ends[:-1], ends[1:]):
                chain = points[order[start:end]]
                total += np.linalg.norm(np.diff(chain, axis=0), axis=1).sum()
            told.append(float(total))
        return told


class Meshlib:
    name = "meshlib"

    def __init__(self):
        from importlib.metadata import version

        import meshlib.mrmeshpy as lib

        self.lib = lib
        self.version = version("meshlib")

    def load(self, path):
        return self.lib.loadMesh(str(path))

    def cut(self, mesh, heights):
        part = self.lib.MeshPart(mesh)
        return [self.lib.extractXYPlaneSections(part, float(height)) for height in heights]

    def lengths(self, mesh, heights):
        told = []
        for paths in self.cut(mesh, heights):
            total = 0.0
            for path in paths:
                points = [mesh.edgePoint(point) for point in path]
                flat = np.array([[p.x, p.y, p.z] for p in points])
                total += np.linalg.norm(np.diff(flat, axis=0), axis=1).sum()
            told.append(float(total))
        return told


PEERS = (Trimesh, Vtk, Meshlib)


def median(runs, work):
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
        if times[0] > SLOW_S:
            break
    return statistics.median(times)


def timed(peer, path, low, high, runs, most):
    found = {"load": median(runs, lambda: peer.load(path))}
    mesh = peer.load(path)
    for planes in PLANES:
        if planes <= most:
            heights = low + (high - low) * (np.arange(planes) + 0.5) / planes
            found[str(planes)] = median(runs, lambda h=heights: peer.cut(mesh, h))
    return found


def ours(path, runs, heights):
    program = ROOT / "target/release/examples/time_sections"
    with tempfile.NamedTemporaryFile("w", suffix=".txt") as listed:
        listed.write("\n".join(repr(float(height)) for height in heights))
        listed.flush()
        done = subprocess.run(
            [program, path, str(runs), listed.name], check=True, capture_output=True, text=True
        )
    return json.loads(done.stdout)


def shown(seconds):
    if seconds is None:
        return "–"
    return f"{seconds * 1e3:.1f}" if seconds < 0.1 else f"{seconds * 1e3:.0f}"


def compare(told, peers, path, heights, clear):
    """Which lengths differ by more than 1e-6 of themselves, away from flat facets and at them."""
    own = np.array([length for length, _ in told])
    for peer in peers:
        theirs = np.array(peer.lengths(peer.load(path), heights))
        off = np.abs(theirs - own) / np.maximum(own, 1e-9)
        print(
            f"- {peer.name}: {clear.sum()} planes clear of vertices, greatest relative difference "
            f"{off[clear].max():.1e}; {(~clear).sum()} planes at vertices, greatest {off[~clear].max():.1e}"
        )
        for at in np.flatnonzero(off > 1e-6):
            place = "clear" if clear[at] else "at vertices"
            print(f"  - z = {float(heights[at])} ({place}): ours {own[at]:.6f}, theirs {theirs[at]:.6f}")


def terrace():
    """A box of side 100 with one of side 60 on it: the terrace between them is flat, at z = 50."""
    squares = [(50.0, 0.0), (50.0, 50.0), (30.0, 50.0), (30.0, 100.0)]
    corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    points = [(x * half, y * half, z) for half, z in squares for x, y in corners]
    faces = [(0, 2, 1), (0, 3, 2), (12, 13, 14), (12, 14, 15)]
    for ring in range(3):
        for side in range(4):
            a, b = 4 * ring + side, 4 * ring + (side + 1) % 4
            faces += [(a, b, b + 4), (a, b + 4, a + 4)]
    return np.array(points), np.array(faces)


def at_flat_facets(peers, folder):
    path = Path(folder) / "terrace.ply"
    write_ply(path, *terrace())
    heights = np.array([50.0])
    print(
        "\nA plane exactly at a flat terrace, with a girth of 400 just below it and of 240 just above:\n"
    )
    print(f"- girthwise: {ours(path, 1, heights)['lengths'][0][0]:.6f}")
    for peer in peers:
        print(f"- {peer.name}: {peer.lengths(peer.load(path), heights)[0]:.6f}")


def levels(points):
    """Twenty planes clear of all vertices, and ten exactly at one."""
    z = np.sort(points[:, 2].astype("<f4").astype(float))
    wanted = np.linspace(z[0], z[-1], 22)[1:-1]
    gaps = np.diff(z)
    wide = np.flatnonzero(gaps > 2 * CLEAR_MM) if len(z) < 100_000 else np.flatnonzero(gaps > 1e-3)
    middles = (z[wide] + z[wide + 1]) / 2
    clear = [middles[np.argmin(np.abs(middles - height))] for height in wanted]
    at = [z[np.argmin(np.abs(z - height))] for height in wanted[::2]]
    return np.array(clear + at), np.arange(len(clear) + len(at)) < len(clear)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", nargs="?", type=Path)
    parser.add_argument("--skip", action="append", default=[], choices=[p.name for p in PEERS])
    parser.add_argument("--most", type=int, default=1000, help="most planes for the other libraries")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--keep", type=Path, help="write the subdivided body here")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = args.file
        if path is None:
            path = args.keep or Path(folder) / "body.ply"
            write_ply(path, *subdivided(ROOT / "data/bodies/body-05.ply", 3))
        peers = [peer() for peer in PEERS if peer.name not in args.skip]
        points = np.asarray(Trimesh().load(path).vertices)
        heights, clear = levels(points)
        own = ours(path, args.runs, heights)
        low, high = points[:, 2].min(), points[:, 2].max()
        rows = [
            (f"girthwise {own['version']}, all cores", own["parallel_s"]),
            (f"girthwise {own['version']}, one core", own["serial_s"]),
        ]
        for peer in peers:
            rows.append((f"{peer.name} {peer.version}", timed(peer, path, low, high, args.runs, args.most)))
        print(f"{own['faces']} faces; median of {args.runs} runs, one where a run takes over {SLOW_S:.0f} s; milliseconds\n")
        print("| | load | 1 plane | 100 planes | 1000 planes |\n| --- | ---: | ---: | ---: | ---: |")
        for name, found in rows:
            cells = [shown(found.get(key)) for key in ("load", "1", "100", "1000")]
            print(f"| {name} | {' | '.join(cells)} |")
        print("\nLengths of sections:\n")
        compare(own["lengths"], peers, path, heights, clear)
        at_flat_facets(peers, folder)


if __name__ == "__main__":
    main()
