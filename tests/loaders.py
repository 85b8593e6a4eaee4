"""Counts and bounds of every sample file as trimesh reads it, as reference for tests/loaders.rs.

    pip install trimesh==5.2.0 numpy networkx
    cargo run --manifest-path tests/fuzz/Cargo.toml --example seeds -- /tmp/samples
    python tests/loaders.py /tmp/samples > tests/loaders.json

Files that trimesh does not read, or reads as something else than a mesh, stand with its refusal.
"""

import gzip
import json
import sys
from pathlib import Path

import numpy as np
import trimesh


def told(path):
    inner = path.with_suffix("") if path.suffix == ".gz" else path
    data = gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()
    try:
        loaded = trimesh.load(
            trimesh.util.wrap_as_stream(data), file_type=inner.suffix[1:], process=False
        )
        mesh = loaded.to_mesh() if isinstance(loaded, trimesh.Scene) else loaded
        places = np.unique(np.asarray(mesh.vertices, float), axis=0)
        return {
            "faces": len(mesh.faces),
            "places": len(places),
            "low": places.min(axis=0).tolist(),
            "high": places.max(axis=0).tolist(),
            "area": float(mesh.area),
            "volume": float(mesh.volume),
        }
    except Exception as fault:  # whatever it is, it is what the table is about
        return {"refused": f"{type(fault).__name__}: {fault}".splitlines()[0][:80]}


def main():
    files = sorted(Path(sys.argv[1]).iterdir())
    rows = {path.name: told(path) for path in files}
    made = {"trimesh": trimesh.__version__, "numpy": np.__version__}
    print(json.dumps({"made_with": made, "files": rows}, indent=1))


if __name__ == "__main__":
    main()
