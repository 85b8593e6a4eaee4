#!/usr/bin/env python3
"""Prints regressions.csv: what ANSUR II has for people of a given stature, mass and girths.

    python3 regress.py FOLDER > regressions.csv

FOLDER holds ansur2_female.csv and ansur2_male.csv: the public subset of the survey, one row a person, one column
a dimension in mm, `weightkg` in tenths of a kilogram. Needs numpy. The survey's rows are not part of this project.
"""
import csv
import sys
from pathlib import Path

import numpy

# Our measure (mean of both sides where there are two), the survey's dimension, what it is held against, and how its
# definition differs from ours.
SIZE = ["stature", "mass"]
BUILD = ["stature", "mass", "chestcircumference", "buttockcircumference"]
ROWS = [
    ("back_neck_height", "cervicaleheight", SIZE, ""),
    ("front_neck_height", "suprasternaleheight", SIZE, "notch of the breastbone, below our edge of the pit"),
    ("shoulder_height", "acromialheight", SIZE, "bone; ours is the skin over it"),
    ("armpit_height", "axillaheight", SIZE, "front fold of a lowered arm; ours is where the arm parts"),
    ("bust_height", "chestheight", SIZE, "nipple; ours is the most forward point"),
    ("hip_height", "buttockheight", SIZE, ""),
    ("crotch_height", "crotchheight", SIZE, ""),
    ("knee_height", "kneeheightmidpatella", SIZE, "kneecap; ours is the bend of the leg"),
    ("bust_girth", "chestcircumference", SIZE, ""),
    ("waist_narrowest_girth", "waistcircumference", SIZE, "at the navel"),
    ("hip_girth", "buttockcircumference", SIZE, ""),
    ("thigh_girth", "thighcircumference", BUILD, ""),
    ("calf_girth", "calfcircumference", BUILD, ""),
    ("ankle_girth", "anklecircumference", BUILD, ""),
    ("neck_girth", "neckcircumference", BUILD, "below the larynx; ours is the least"),
    ("neck_base_girth", "neckcircumferencebase", BUILD, "a chain; ours lies on the points"),
    ("wrist_girth", "wristcircumference", BUILD, ""),
    ("shoulder_girth", "shouldercircumference", BUILD, ""),
    ("shoulder_breadth", "bideltoidbreadth", BUILD, ""),
    ("shoulder_point_breadth", "biacromialbreadth", SIZE, "bone under a firm caliper"),
    ("shoulder_length", "shoulderlength", SIZE, ""),
    ("across_back_width", "interscyeii", BUILD, ""),
    ("back_waist_length", "waistbacklength", BUILD, "to the level of the navel"),
    ("hip_breadth", "hipbreadth", BUILD, ""),
    ("bust_depth", "chestdepth", BUILD, ""),
    ("crotch_length", "crotchlengthomphalion", BUILD, "from navel to navel's level"),
    ("crotch_length_back", "crotchlengthposterioromphalion", BUILD, "to the navel's level"),
    ("head_girth", "headcircumference", SIZE, ""),
    ("foot_length", "footlength", SIZE, ""),
]


def read(path):
    with open(path, encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    table = {key: numpy.array([float(row[key]) for row in rows]) for key in rows[0] if key != "gender"}
    table["mass"] = table["weightkg"] / 10.0
    return table


def main():
    folder = Path(sys.argv[1])
    out = csv.writer(sys.stdout, lineterminator="\n")
    names = ["intercept", "stature", "mass", "chestcircumference", "buttockcircumference"]
    out.writerow(["measure", "dimension", "sex", "people", *names, "residual", "difference"])
    for sex, file in (("f", "ansur2_female.csv"), ("m", "ansur2_male.csv")):
        table = read(folder / file)
        for measure, dimension, against, difference in ROWS:
            design = numpy.column_stack([numpy.ones(len(table["mass"]))] + [table[key] for key in against])
            found, *_ = numpy.linalg.lstsq(design, table[dimension], rcond=None)
            off = table[dimension] - design @ found
            residual = numpy.sqrt(off @ off / (len(off) - design.shape[1]))
            by = dict(zip(["intercept", *against], found))
            out.writerow([measure, dimension, sex, len(off), *[f"{by.get(key, 0.0):.6g}" for key in names],
                          f"{residual:.2f}", difference])


main()
