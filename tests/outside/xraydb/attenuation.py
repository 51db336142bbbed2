"""Computes mass attenuation coefficients with xraydb from the composition of each material.

    python attenuation.py QUESTION.json ANSWER.json

The question holds energies in keV and names of materials; the answer, for each material, µ/ρ in cm²/g at
each energy, coherent scattering included. xraydb's default table is that of Elam, Ravel and Sieber (Radiat Phys Chem
2002;63:121-128), which is not the table that the phantom uses.
"""

import json
import sys

import numpy
import xraydb

# Shares of mass: ICRU Reports 44 and 46; dry air as in the NIST tables.
MATERIALS = {
    "CorticalBone": {
        "H": 0.034, "C": 0.155, "N": 0.042, "O": 0.435, "Na": 0.001,
        "Mg": 0.002, "P": 0.103, "S": 0.003, "Ca": 0.225,
    },
    "SoftTissue": {
        "H": 0.102, "C": 0.143, "N": 0.034, "O": 0.708, "Na": 0.002,
        "P": 0.003, "S": 0.003, "Cl": 0.002, "K": 0.003,
    },
    "Air": {"C": 0.000124, "N": 0.755268, "O": 0.231781, "Ar": 0.012827},
    "Titanium": {"Ti": 1.0},
    "Iron": {"Fe": 1.0},
    "Lead": {"Pb": 1.0},
    "Aluminium": {"Al": 1.0},
    "CaesiumIodide": {
        element: xraydb.atomic_mass(element)
        / (xraydb.atomic_mass("Cs") + xraydb.atomic_mass("I"))
        for element in ("Cs", "I")
    },
}


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        question = json.load(file)
    energies_ev = numpy.array(question["energies_kev"]) * 1000.0
    answer = {
        name: list(
            sum(
                share * xraydb.mu_elam(element, energies_ev)
                for element, share in MATERIALS[name].items()
            )
        )
        for name in question["materials"]
    }
    with open(target, "w", encoding="utf-8") as file:
        json.dump(answer, file)


if __name__ == "__main__":
    main()
