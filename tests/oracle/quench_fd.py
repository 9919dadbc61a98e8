"""Quench of a long rectangular bar, by finite differences over a quarter of its section: the ideally quenched round whose middle comes
half-way to the bath in the same time, for the middle of the bar and for the middle of its broad face. Written apart from the program;
writes quench.csv beside itself. Hardness over the thickness of a bevelled section goes by these two places alone.

Run: python3 tests/oracle/quench_fd.py   (Python 3 with numpy, from PyPI)

Constant properties, as in Grossmann's construction: u_t = u_xx + u_yy, time in mm2 of diffusivity times time; on the outside
-u_n = 2 H u, H per mm; u is 1 at first, the bath 0. Cells of one size, explicit in time, once with CELLS over half of the thickness and
once with half as many: the error goes with the square of their size, and is taken out. The round: u_t = u_rr + u_r/r, 0 at its face.
"""

import csv
import itertools
import pathlib
import sys

import numpy as np

CELLS = 24


def half_way(thick, wide, severity, cells):
    """Diffusivity times time until the middle, and the middle of the broad face, are half-way, mm2."""
    dx = 0.5 * thick / cells
    rows = max(2, round(0.5 * wide / dx))
    dy = 0.5 * wide / rows
    u = np.ones((cells, rows))
    # Between a cell's middle and the bath: half a cell of steel, and the face.
    out_x, out_y = (1 / (0.5 * d + 1 / (2 * severity)) for d in (dx, dy))
    face = 1 / (1 + severity * dx)
    dt = 0.2 / (1 / dx**2 + 1 / dy**2)
    now, found, before = 0.0, {}, (1.0, face)
    while len(found) < 2:
        gain = np.zeros_like(u)
        flow = (u[1:] - u[:-1]) / dx**2
        gain[:-1] += flow
        gain[1:] -= flow
        gain[-1] -= out_x * u[-1] / dx
        flow = (u[:, 1:] - u[:, :-1]) / dy**2
        gain[:, :-1] += flow
        gain[:, 1:] -= flow
        gain[:, -1] -= out_y * u[:, -1] / dy
        u += dt * gain
        after = (u[0, 0], face * u[-1, 0])
        for place, (a, b) in enumerate(zip(before, after)):
            if b <= 0.5 and place not in found:
                found[place] = now + dt * (a - 0.5) / (a - b) if a > 0.5 else now
        before, now = after, now + dt
    return np.array([found[0], found[1]])


def ideal_round(cells):
    """Diffusivity times time over the square of the radius until the middle of an ideally quenched round is half-way."""
    dr = 1.0 / cells
    edge = np.arange(cells + 1) * dr
    mid = 0.5 * (edge[1:] + edge[:-1])
    u, dt, now, before = np.ones(cells), 0.2 * dr**2, 0.0, 1.0
    while u[0] > 0.5:
        before = u[0]
        flow = np.zeros(cells + 1)
        flow[1:-1] = (u[1:] - u[:-1]) / dr * edge[1:-1]
        flow[-1] = -u[-1] / (0.5 * dr)
        u = u + dt * (flow[1:] - flow[:-1]) / (mid * dr)
        now += dt
    return now - dt * (0.5 - u[0]) / (before - u[0])


def extrapolated(of, cells):
    fine, coarse = of(cells), of(cells // 2)
    return fine + (fine - coarse) / 3


def main():
    ideal = extrapolated(ideal_round, 120)
    sys.stderr.write(f"round: {ideal:.6f}\n")
    rows = []
    for thick, ratio, severity in itertools.product([2, 4, 6, 10, 16, 25, 50], [1, 2, 5], [0.3, 0.7, 1.0, 2.0]):
        wide = thick * ratio
        times = extrapolated(lambda cells: half_way(thick, wide, severity / 25.4, cells), CELLS)
        middle, face = 2 * np.sqrt(times / ideal)
        rows.append([thick, wide, severity, f"{face:.3f}", f"{middle:.3f}"])
        sys.stderr.write(f"{rows[-1]}\n")
    with open(pathlib.Path(__file__).with_name("quench.csv"), "w", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow("thick_mm wide_mm severity_per_in surface_round_mm middle_round_mm".split())
        table.writerows(rows)


if __name__ == "__main__":
    main()
