"""The draws of `variation.rs` in NumPy and in Numba, and how much longer they take: one command, one run.

    python benches/compare/variation.py

Needs numpy and numba. It builds and runs the bench, which writes its webs, sizes, impaction table and time; does the
same sums with the same table by the same cubic interpolation; checks that penetrations agree; prints the ratios. All on
one core, double precision, best of several runs. Each comes twice: with the formulas as they are printed (NumPy on all
draws at once, Numba size by size), and arranged as the Rust loops are (NumPy on blocks that fit the cache), powers of
products split into a table for the sizes and a scalar for the draw, fused multiplications allowed (fastmath), as in the
Rust loops. Numba's first call, which compiles, is not counted.
"""

import math
import os
import pathlib
import subprocess
import sys
import tempfile
import time

for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ[variable] = "1"

import numba
import numpy as np

ROOT = pathlib.Path(__file__).resolve().parents[2]
BLOCK = 32


def bench(folder):
    """Runs the Rust side; returns its numbers."""
    command = ["cargo", "bench", "-q", "-p", "moteweir-benches", "--bench", "variation", "--", "--plain", folder]
    subprocess.run(command, cwd=ROOT, check=True)
    folder = pathlib.Path(folder)
    numbers = (folder / "numbers.txt").read_text().split()
    draws, layers, sizes = (int(x) for x in numbers[:3])
    fibres = (float(numbers[3]), float(numbers[4]), int(numbers[5]))
    odds = (float(numbers[6]), float(numbers[7]), int(numbers[8]))
    read = lambda name, shape: np.fromfile(folder / name, dtype="<f8").reshape(shape)
    return {
        "velocity": float(numbers[9]),
        "free_path": float(numbers[10]),
        "nanoseconds": float(numbers[11]),
        "fibres": fibres,
        "odds": odds,
        "webs": read("webs.f64", (draws, layers, 3)),
        "sizes": read("sizes.f64", (3, sizes)),
        "impaction": read("impaction.f64", (odds[2], fibres[2], sizes)),
        "penetrations": read("penetrations.f64", (draws, sizes)),
    }


def cubic(place):
    """First of four nodes and their weights."""
    base = np.floor(place).astype(np.int64) - 1
    t = place - base
    a, b, c, d = t, t - 1, t - 2, t - 3
    outer, inner = b * c / 6, a * d / 2
    return base, (-outer * d, inner * c, -inner * b, outer * a)


def with_numpy(given):
    """All penetrations, by whole-array operations on blocks of draws."""
    diameter, diffusivity, settling = given["sizes"]
    third, two_thirds = np.cbrt(diffusivity), np.cbrt(diffusivity) ** 2
    contact = diameter * (diameter + 1.996 * 2 * given["free_path"])
    velocity, free_path, table = given["velocity"], given["free_path"], given["impaction"]
    out = np.empty_like(given["penetrations"])
    for first in range(0, len(out), BLOCK):
        webs = given["webs"][first : first + BLOCK]
        exponent = np.zeros((len(webs), diameter.size))
        for layer in range(webs.shape[1]):
            fibre, solidity, thickness = (webs[:, layer, k, None] for k in range(3))
            void = 1 - solidity
            x = void / (-0.5 * np.log(solidity) - 0.75 + solidity - 0.25 * solidity**2)
            swept = np.cbrt(velocity / void * fibre)
            knudsen = 2 * free_path / fibre
            unbounded = 1.6 * np.cbrt(x) / swept**2 * two_thirds
            unbounded = unbounded + 1.6 * 0.388 * knudsen * np.cbrt(x) ** 2 / swept * third
            width = fibre + diameter
            still = np.minimum(0.6 * x * contact / width, width)
            reach = fibre * (1 / np.sqrt(solidity) - 1)
            base_f, weights_f = cubic((np.log(fibre[:, 0]) - given["fibres"][0]) / given["fibres"][1])
            base_o, weights_o = cubic((np.log(solidity / void)[:, 0] - given["odds"][0]) / given["odds"][1])
            slope = 0.0
            for i in range(4):
                for j in range(4):
                    weight = (weights_o[i] * weights_f[j])[:, None]
                    slope = slope + weight * table[base_o + i, base_f + j]
            increment = np.maximum(reach - diameter, 0) * slope
            ratio = settling / velocity * void
            fall = ratio * width
            carried = np.sqrt(still * still + fall * fall) - still + np.minimum(still + increment, width)
            carried = np.minimum(np.maximum(carried, 0), width * np.sqrt(1 + ratio * ratio))
            total = np.minimum(fibre * unbounded / (1 + unbounded) + carried, fibre / np.sqrt(solidity))
            exponent += 4 * solidity * thickness / (math.pi * fibre**2 * void) * total
        out[first : first + BLOCK] = np.exp(-exponent)
    return out


def with_numpy_printed(given):
    """All penetrations, by whole-array operations on all draws at once, the formulas as they are printed."""
    diameter, diffusivity, settling = given["sizes"]
    free_path, table = given["free_path"], given["impaction"]
    exponent = np.zeros_like(given["penetrations"])
    for layer in range(given["webs"].shape[1]):
        fibre, solidity, thickness = (given["webs"][:, layer, k, None] for k in range(3))
        interstitial = given["velocity"] / (1 - solidity)
        kuwabara = -0.5 * np.log(solidity) - 0.75 + solidity - 0.25 * solidity**2
        knudsen = 2 * free_path / fibre
        peclet = interstitial * fibre / diffusivity
        ratio = diameter / fibre
        x = (1 - solidity) / kuwabara
        unbounded = 1.6 * x ** (1 / 3) * peclet ** (-2 / 3) * (1 + 0.388 * knudsen * (x * peclet) ** (1 / 3))
        diffusion = unbounded / (1 + unbounded)
        still = np.minimum(0.6 * x * ratio**2 / (1 + ratio) * (1 + 1.996 * knudsen / ratio), 1 + ratio)
        base_f, weights_f = cubic((np.log(fibre[:, 0]) - given["fibres"][0]) / given["fibres"][1])
        base_o, weights_o = cubic((np.log(solidity / (1 - solidity))[:, 0] - given["odds"][0]) / given["odds"][1])
        slope = 0.0
        for i in range(4):
            for j in range(4):
                slope = slope + (weights_o[i] * weights_f[j])[:, None] * table[base_o + i, base_f + j]
        increment = np.maximum(1 / np.sqrt(solidity) - 1 - ratio, 0) * slope
        fall = settling / interstitial
        settled = np.hypot(still, fall * (1 + ratio)) - still
        carried = settled + np.minimum(still + increment, 1 + ratio)
        carried = np.minimum(np.maximum(carried, 0), (1 + ratio) * np.sqrt(1 + fall**2))
        total = np.minimum(diffusion + carried, 1 / np.sqrt(solidity))
        exponent += 4 * solidity * thickness / (math.pi * (1 - solidity) * fibre) * total
    return np.exp(-exponent)


@numba.njit(fastmath=True, error_model="numpy")
def cubic_numba(place):
    base = int(math.floor(place)) - 1
    t = place - base
    a, b, c, d = t, t - 1, t - 2, t - 3
    outer, inner = b * c / 6, a * d / 2
    return base, (-outer * d, inner * c, -inner * b, outer * a)


@numba.njit(fastmath=True, error_model="numpy")
def with_numba_loops(webs, sizes, table, fibres, odds, velocity, free_path, out):
    diameter, diffusivity, settling = sizes[0], sizes[1], sizes[2]
    third = np.cbrt(diffusivity)
    two_thirds = third * third
    contact = diameter * (diameter + 1.996 * 2 * free_path)
    n = diameter.size
    exponent = np.empty(n)
    for draw in range(webs.shape[0]):
        exponent[:] = 0
        for layer in range(webs.shape[1]):
            fibre, solidity, thickness = webs[draw, layer]
            void = 1 - solidity
            x = void / (-0.5 * math.log(solidity) - 0.75 + solidity - 0.25 * solidity**2)
            swept = np.cbrt(velocity / void * fibre)
            x_third = np.cbrt(x)
            of_two_thirds = 1.6 * x_third / (swept * swept)
            of_third = 1.6 * 0.388 * (2 * free_path / fibre) * x_third * x_third / swept
            reach = fibre * (1 / math.sqrt(solidity) - 1)
            whole = fibre / math.sqrt(solidity)
            clearing = 4 * solidity * thickness / (math.pi * fibre * fibre * void)
            base_f, wf = cubic_numba((math.log(fibre) - fibres[0]) / fibres[1])
            base_o, wo = cubic_numba((math.log(solidity / void) - odds[0]) / odds[1])
            block = table[base_o : base_o + 4, base_f : base_f + 4]
            for i in range(n):
                slope = 0.0
                for j in range(4):
                    slope += wo[j] * (
                        wf[0] * block[j, 0, i] + wf[1] * block[j, 1, i] + wf[2] * block[j, 2, i] + wf[3] * block[j, 3, i]
                    )
                unbounded = of_two_thirds * two_thirds[i] + of_third * third[i]
                width = fibre + diameter[i]
                still = min(0.6 * x * contact[i] / width, width)
                increment = max(reach - diameter[i], 0.0) * slope
                ratio = settling[i] / velocity * void
                fall = ratio * width
                carried = math.sqrt(still * still + fall * fall) - still + min(still + increment, width)
                carried = min(max(carried, 0.0), width * math.sqrt(1 + ratio * ratio))
                total = min(fibre * unbounded / (1 + unbounded) + carried, whole)
                exponent[i] += clearing * total
        for i in range(n):
            out[draw, i] = math.exp(-exponent[i])


@numba.njit
def cubic_printed(place):
    base = int(math.floor(place)) - 1
    t = place - base
    weights = np.empty(4)
    for k in range(4):
        weights[k] = 1.0
        for j in range(4):
            if j != k:
                weights[k] *= (t - j) / (k - j)
    return base, weights


@numba.njit
def efficiency_printed(diameter, diffusivity, settling, fibre, solidity, velocity, free_path, slope):
    """Single-fibre efficiency of one size, as the formulas are printed."""
    interstitial = velocity / (1 - solidity)
    kuwabara = -0.5 * math.log(solidity) - 0.75 + solidity - 0.25 * solidity**2
    knudsen = 2 * free_path / fibre
    peclet = interstitial * fibre / diffusivity
    ratio = diameter / fibre
    x = (1 - solidity) / kuwabara
    unbounded = 1.6 * x ** (1 / 3) * peclet ** (-2 / 3) * (1 + 0.388 * knudsen * (x * peclet) ** (1 / 3))
    diffusion = unbounded / (1 + unbounded)
    interception = min(0.6 * x * ratio**2 / (1 + ratio) * (1 + 1.996 * knudsen / ratio), 1 + ratio)
    increment = max(1 / math.sqrt(solidity) - 1 - ratio, 0.0) * slope
    fall = settling / interstitial
    settled = math.hypot(interception, fall * (1 + ratio)) - interception
    carried = settled + min(interception + increment, 1 + ratio)
    carried = min(max(carried, 0.0), (1 + ratio) * math.sqrt(1 + fall**2))
    return min(diffusion + carried, 1 / math.sqrt(solidity))


@numba.njit
def with_numba_printed(webs, sizes, table, fibres, odds, velocity, free_path, out):
    for draw in range(webs.shape[0]):
        exponent = np.zeros(sizes.shape[1])
        for layer in range(webs.shape[1]):
            fibre, solidity, thickness = webs[draw, layer]
            base_f, wf = cubic_printed((math.log(fibre) - fibres[0]) / fibres[1])
            base_o, wo = cubic_printed((math.log(solidity / (1 - solidity)) - odds[0]) / odds[1])
            for i in range(sizes.shape[1]):
                slope = 0.0
                for j in range(4):
                    for k in range(4):
                        slope += wo[j] * wf[k] * table[base_o + j, base_f + k, i]
                total = efficiency_printed(
                    sizes[0, i], sizes[1, i], sizes[2, i], fibre, solidity, velocity, free_path, slope
                )
                exponent[i] += 4 * solidity * thickness / (math.pi * (1 - solidity) * fibre) * total
        out[draw] = np.exp(-exponent)


def with_numba(given, loops):
    """All penetrations, by compiled loops."""
    out = np.empty_like(given["penetrations"])
    loops(
        given["webs"],
        given["sizes"],
        given["impaction"],
        given["fibres"],
        given["odds"],
        given["velocity"],
        given["free_path"],
        out,
    )
    return out


def best_of(runs, task):
    """Shortest time [s]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        task()
        times.append(time.perf_counter() - start)
    return min(times)


def main():
    with tempfile.TemporaryDirectory() as folder:
        given = bench(folder)
    count = given["webs"].shape[0] * given["webs"].shape[1] * given["sizes"].shape[1]
    rust = given["nanoseconds"]
    print(f"{'moteweir':>28}  {rust:8.2f} ns per (draw, layer, size)")
    failed = False
    tasks = (
        ("numba, arranged alike", lambda given: with_numba(given, with_numba_loops), 20),
        ("numba, formulas as printed", lambda given: with_numba(given, with_numba_printed), 5),
        ("numpy, arranged alike", with_numpy, 5),
        ("numpy, formulas as printed", with_numpy_printed, 3),
    )
    for name, task, runs in tasks:
        miss = np.max(np.abs(task(given) - given["penetrations"]))
        nanoseconds = best_of(runs, lambda: task(given)) * 1e9 / count
        print(f"{name:>28}  {nanoseconds:8.2f} ns per (draw, layer, size): {nanoseconds / rust:.1f} times as long;"
              f" penetrations differ by {miss:.1e} at most")
        failed = failed or miss > 1e-4
    if failed:
        sys.exit("the penetrations do not agree")


if __name__ == "__main__":
    main()
