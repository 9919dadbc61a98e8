"""Cooling of a flat piece in still air and on an anvil, by finite differences through its thickness: seconds until its mean is at a heat.

Written apart from the program; writes anvil.csv beside itself. The piece: EN 1993-1-2:2005 heat capacity and conductivity, 7850 kg/m3,
emissivity 0.8 and 25 W/m2K to air of 20 C, ends and edges left out. The anvil: a deep body of steel, cold at first, that warms; scale between the two
lets through 700 W/m2K, the middle of 400 to 1000 for work that rests on it (from memory). The face of the piece that lies on the anvil sees no air.
"""

import csv
import itertools
import pathlib

import numpy as np

from heating_fd import GRID, HEAT, RHO, SIGMA, conductivity, temperature

CONTACT, AIR, EPS, ROOM = 700.0, 25.0, 0.8, 20.0


def air(t):
    return AIR * (t - ROOM) + EPS * SIGMA * ((t + 273.15) ** 4 - (ROOM + 273.15) ** 4)


def cooled(thick, start, stop, anvil):
    """Seconds until the mean of the piece is at `stop`."""
    n = 8 if thick <= 12 else 16
    dx = thick / 1000.0 / n
    # The anvil's cells grow with depth: 60 of them reach 120 mm.
    dz = 0.4e-3 * 1.08 ** np.arange(60)
    piece, base = np.full(n, float(start)), np.full(60, ROOM)
    h, b = np.interp(piece, GRID, HEAT), np.interp(base, GRID, HEAT)
    dt, now = 0.2 * min(dx, dz[0]) ** 2 / 1.2e-5, 0.0
    mean = start
    while mean > stop:
        k = conductivity(piece)
        flow = (k[1:] + k[:-1]) / 2 * (piece[1:] - piece[:-1]) / dx
        gain = np.zeros(n)
        gain[:-1] += flow
        gain[1:] -= flow
        gain[-1] -= air(piece[-1])
        if anvil:
            kb = conductivity(base)
            down = (piece[0] - base[0]) / (1 / CONTACT + dx / 2 / k[0] + dz[0] / 2 / kb[0])
            gain[0] -= down
            deep = (kb[1:] + kb[:-1]) * (base[1:] - base[:-1]) / (dz[1:] + dz[:-1])
            warm = np.zeros(60)
            warm[0] += down
            warm[:-1] += deep
            warm[1:] -= deep
            b = b + warm / dz / RHO * dt
            base = temperature(b)
        else:
            gain[0] -= air(piece[0])
        h = h + gain / dx / RHO * dt
        piece = temperature(h)
        now += dt
        mean = float(np.interp(h.mean(), HEAT, GRID))
    return now


def main():
    with open(pathlib.Path(__file__).with_name("anvil.csv"), "w", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow("thick_mm start_c stop_c air_s anvil_s".split())
        for thick, (start, stop) in itertools.product([3, 5, 8, 12, 18, 25, 40], [(1200, 1000), (1150, 850), (1050, 800)]):
            times = [f"{cooled(thick, start, stop, anvil):.2f}" for anvil in (False, True)]
            table.writerow([thick, start, stop, *times])


if __name__ == "__main__":
    main()
