"""Reads a measurement profile without girthwise: checks it against its JSON Schema, prints three measures.

    girthwise measure data/demo/scan.ply --json > profile.json
    python examples/read_profile.py profile.json

Needs Python 3.9 or newer and the package jsonschema. Nothing is sent anywhere.
"""

import json
import sys
from pathlib import Path

from jsonschema import Draft202012Validator

SCHEMA = Path(__file__).parent.parent / "data" / "schema" / "profile.schema.json"
WANTED = ("bust_girth", "waist_narrowest_girth", "hip_girth")


def faults(profile):
    """Every place where the profile does not fit the Schema, as lines of text."""
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    errors = Draft202012Validator(schema).iter_errors(profile)
    return [f"{error.json_path}: {error.message[:200]}" for error in errors]


def told(profile, key):
    """A measure in a line: its value with twice its standard uncertainty, or why it is withheld."""
    for entry in profile["measures"]:
        if entry["key"] == key:
            give = 2 * entry["spread"]["sd"]
            doubt = "; scan and tape disagree, measure again" if entry.get("undecided") else ""
            return f"{key}: {entry['value']:.0f} {entry['unit']}, give or take {give:.0f}{doubt}"
    for entry in profile["withheld"]:
        if entry["key"] == key:
            return f"{key}: withheld: {entry['reason']}"
    return f"{key}: not asked for"


def main(path):
    profile = json.loads(Path(path).read_text(encoding="utf-8"))
    found = faults(profile)
    if found:
        sys.exit("\n".join([f"{path} does not fit the Schema:", *found]))
    for key in WANTED:
        print(told(profile, key))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(sys.argv[1])
