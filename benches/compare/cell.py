"""The concentration round a fibre in SciPy, and how much longer it takes: one command, one run.

    python benches/compare/cell.py

Needs numpy and scipy. It builds and runs the bench `cell` and solves the same equations on the same three grids:
finite volumes in the Kuwabara cell with slip, particles of a size, the flux that enters as the condition on the cell's
edge, Richardson's extrapolation. The matrix is put together in NumPy without loops and solved by `solve_banded` (LAPACK)
and by `spsolve` (SuperLU). All on one core, best of several runs; efficiencies are checked against each other.
"""

import os
import pathlib
import subprocess
import sys
import time

for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[variable] = "1"

import numpy as np
import scipy
from scipy.linalg import solve_banded
from scipy.optimize import brentq
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

ROOT = pathlib.Path(__file__).resolve().parents[2]
GRIDS = [(16, 12), (32, 24), (64, 48)]
RUNS = 5


class Cell:
    """The radial part of the stream function, in U a, by the distance from the fibre's surface."""

    def __init__(self, alpha, knudsen):
        self.alpha, self.slip = alpha, 1.996 * knudsen
        ku = -0.5 * np.log(alpha) - 0.75 + alpha - 0.25 * alpha**2
        self.ks = ku + self.slip * (-0.5 * np.log(alpha) - 0.25 + 0.25 * alpha**2)
        self.edge = alpha**-0.5

    def stream(self, gap):
        q = gap * (2 + gap)
        # (1 + q) ln(1 + q) - q cancels for small q: its series there.
        h = np.where(q < 1e-3, q * q / 2 - q**3 / 6 + q**4 / 12, (1 + q) * np.log1p(q) - q)
        s, a = self.slip, self.alpha
        return (2 * s * (1 - a) * q + (1 + s) * (2 * h - a * q * q)) / (4 * self.ks * (1 + gap))

    def slope(self, gap):
        q = gap * (2 + gap)
        s, a = self.slip, self.alpha
        derivative = 2 * (s * (1 - a) + (1 + s) * (np.log1p(q) - a * q))
        return derivative / (2 * self.ks) - self.stream(gap) / (1 + gap)


def layer(cell, interception, peclet):
    """The thickness of the layer in which particles diffuse to the fibre."""
    room = cell.edge - 1 - interception

    def excess(logarithm):
        gap = np.exp(logarithm)
        r = interception + gap
        return gap * (gap * cell.slope(r) + cell.stream(r) / (1 + r)) - 2 / peclet

    return room if excess(np.log(room)) < 0 else np.exp(brentq(excess, -80, np.log(room), xtol=1e-12))


def equations(cell, interception, peclet, thickness, rings, sectors):
    """The matrix as rows, columns and values, the right-hand side, and what the first ring lets through."""
    contact, room = 1 + interception, cell.edge - 1 - interception
    stretch = np.arcsinh(room / thickness)
    gaps = thickness * np.sinh(stretch * np.arange(2 * rings + 1) / (2 * rings))
    gaps[-1] = room
    bounds, middles = gaps[::2], gaps[1::2]
    angles = np.pi * np.arange(sectors + 1) / sectors
    step = np.pi / sectors
    stream = cell.stream(interception + bounds)[:, None] * np.sin(angles)[None, :]
    radial = np.diff(stream, axis=1)[1:]
    angular = (stream[:-1] - stream[1:])[:, 1:-1]
    logarithm = lambda inner, outer: np.log1p((outer - inner) / (contact + inner))
    number = np.arange(rings * sectors).reshape(rings, sectors)
    diffusivity = 2 / peclet
    rows, columns, values = [], [], []

    def add(row, column, value):
        rows.append(row.ravel())
        columns.append(column.ravel())
        values.append(np.broadcast_to(value, row.shape).ravel())

    contact_conductance = diffusivity * step / logarithm(0.0, middles[0])
    add(number[0], number[0], contact_conductance)
    inner, outer = number[:-1], number[1:]
    conductance = (diffusivity * step / logarithm(middles[:-1], middles[1:]))[:, None]
    carried = 0.5 * radial[:-1]
    for source, weight in ((inner, carried + conductance), (outer, carried - conductance)):
        add(inner, source, weight)
        add(outer, source, -weight)
    lower, upper = number[:, :-1], number[:, 1:]
    conductance = (diffusivity * logarithm(bounds[:-1], bounds[1:]) / step)[:, None]
    column = np.broadcast_to(np.arange(sectors - 1), lower.shape)
    backwards = angular < 0
    near = np.where(backwards, upper, lower)
    far = np.where(backwards, np.where(column + 2 < sectors, upper + 1, upper), np.where(column > 0, lower - 1, lower))
    for source, weight in ((lower, conductance), (upper, -conductance), (near, 1.5 * angular), (far, -0.5 * angular)):
        add(lower, source, weight)
        add(upper, source, -weight)
    right = np.zeros(rings * sectors)
    edge = radial[-1]
    add(number[-1], number[-1], np.where(edge < 0, 0.0, edge))
    right[number[-1]] = np.where(edge < 0, -edge, 0.0)
    return np.concatenate(rows), np.concatenate(columns), np.concatenate(values), right, contact_conductance


def banded(rows, columns, values, right, sectors):
    width = sectors
    matrix = np.zeros((2 * width + 1, right.size))
    np.add.at(matrix, (width + rows - columns, columns), values)
    return solve_banded((width, width), matrix, right, overwrite_ab=True, check_finite=False)


def sparse(rows, columns, values, right, _sectors):
    return spsolve(coo_matrix((values, (rows, columns)), shape=(right.size, right.size)).tocsc(), right)


def efficiency(solver, alpha, knudsen, interception, peclet):
    """Extrapolated from three grids, as the Rust solver does it."""
    cell = Cell(alpha, knudsen)
    thickness = layer(cell, interception, peclet)
    on = []
    for rings, sectors in GRIDS:
        *matrix, right, conductance = equations(cell, interception, peclet, thickness, rings, sectors)
        field = solver(*matrix, right, max(sectors, 2))
        on.append(conductance * field[:sectors].sum())
    return on[2] + (on[2] - on[1]) / 3


def timed(solver, particle):
    best, value = np.inf, None
    for _ in range(RUNS):
        start = time.perf_counter()
        value = efficiency(solver, *particle)
        best = min(best, time.perf_counter() - start)
    return value, 1e3 * best


def main():
    command = ["cargo", "bench", "-q", "-p", "moteweir-benches", "--bench", "cell", "--", "--plain"]
    lines = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout.split("\n")
    print(f"numpy {np.__version__}, scipy {scipy.__version__}")
    print("solidity  Kn_f  R      Pe       E, this project  miss of SciPy's  ms     banded      sparse")
    for line in filter(None, lines):
        *particle, expected, ours = map(float, line.split())
        text = "{:<8g}  {:<4g}  {:<5g}  {:<7g}  {:<15.7g}".format(*particle, expected)
        found = [timed(solver, particle) for solver in (banded, sparse)]
        misses = [abs(value / expected - 1) for value, _ in found]
        if max(misses) > 1e-6:
            sys.exit(f"{text}: SciPy finds {found[0][0]:.9g} and {found[1][0]:.9g}")
        ratios = "  ".join(f"{milliseconds / ours:5.1f} times" for _, milliseconds in found)
        print(f"{text}  {max(misses):<15.1e}  {ours:<5.2f}  {ratios}")


if __name__ == "__main__":
    main()
