"""Heating of a long bar in a fire, by finite differences over a quarter of its section: minutes until the middle is within 25 K
of the heat asked for, and the middle after six minutes. Written apart from the program; writes heating.csv beside itself.

Laws: EN 1993-1-2:2005, 3.4.1.2 and 3.4.1.3, for heat capacity and conductivity; density 7850 kg/m3; on the outside emissivity 0.8 and
gas of 30 W/m2K; the fire keeps its heat. Explicit, by enthalpy, so that the peak of the heat capacity cannot be stepped over.
"""

import csv
import itertools
import pathlib
import sys

import numpy as np

SIGMA, RHO, EPS, GAS = 5.670374419e-8, 7850.0, 0.8, 30.0


def capacity(t):
    t = np.maximum(t, 20.0)
    low = 425.0 + 7.73e-1 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3
    second = 666.0 + 13002.0 / (738.0 - np.minimum(t, 735.0))
    third = 545.0 + 17820.0 / (np.maximum(t, 735.0) - 731.0)
    return np.where(t < 600, low, np.where(t < 735, second, np.where(t < 900, third, 650.0)))


def conductivity(t):
    return np.where(t < 800, 54.0 - 3.33e-2 * t, 27.3)


GRID = np.arange(20.0, 1400.0, 0.05)
HEAT = np.concatenate(([0.0], np.cumsum(capacity(GRID[:-1] + 0.025) * 0.05)))


def temperature(h):
    return np.interp(h, HEAT, GRID)


def flux(fire, t):
    return GAS * (fire - t) + EPS * SIGMA * ((fire + 273.15) ** 4 - (t + 273.15) ** 4)


def heated(thick, wide, start, fire, end=None, stop_s=None):
    """Seconds until the middle reaches `end`, or the middle after `stop_s`."""
    a, b = thick / 2000.0, wide / 2000.0
    nx = 4 if thick <= 6 else 6 if thick <= 20 else 10
    ny = int(min(30, max(nx, round(nx * b / a))))
    dx, dy = a / nx, b / ny
    t = np.full((nx, ny), float(start))
    h = np.full((nx, ny), np.interp(start, GRID, HEAT))
    now = 0.0
    while True:
        # The least heat capacity and the greatest conductivity that this grid holds keep the step stable.
        fastest = conductivity(t.min()) / (RHO * 430.0 if t.min() < 400 else RHO * 545.0)
        dt = 0.45 / (fastest * (1 / dx**2 + 1 / dy**2))
        k = conductivity(t)
        fx = (k[1:] + k[:-1]) / 2 * (t[1:] - t[:-1]) / dx
        fy = (k[:, 1:] + k[:, :-1]) / 2 * (t[:, 1:] - t[:, :-1]) / dy
        gain = np.zeros_like(t)
        gain[:-1] += fx / dx
        gain[1:] -= fx / dx
        gain[:, :-1] += fy / dy
        gain[:, 1:] -= fy / dy
        # Between the last cell's middle and the surface lies half a cell of steel.
        sx = t[-1] + flux(fire, t[-1]) * dx / 2 / k[-1]
        sx = t[-1] + flux(fire, np.minimum(sx, fire)) * dx / 2 / k[-1]
        sy = t[:, -1] + flux(fire, t[:, -1]) * dy / 2 / k[:, -1]
        sy = t[:, -1] + flux(fire, np.minimum(sy, fire)) * dy / 2 / k[:, -1]
        gain[-1] += flux(fire, np.minimum(sx, fire)) / dx
        gain[:, -1] += flux(fire, np.minimum(sy, fire)) / dy
        if stop_s is not None and now + dt >= stop_s:
            return float(t[0, 0])
        h = h + gain / RHO * dt
        t = temperature(h)
        now += dt
        if end is not None and t[0, 0] >= end:
            return now


def main():
    rows = []
    fires = [(1150, 1150), (1230, 1230), (1260, 1180), (1200, 1000), (1200, 870)]
    thicks = [3, 6, 12, 20, 30, 50, 75, 100]
    for thick, ratio, (fire, at), start in itertools.product(thicks, [1, 2, 5], fires, [20, 900]):
        if thick * ratio > 250 or start >= at - 25:
            continue
        seconds = heated(thick, thick * ratio, start, fire, end=at - 25)
        rows.append([thick, thick * ratio, start, fire, at, f"{seconds / 60:.3f}", ""])
        sys.stderr.write(f"{rows[-1]}\n")
    for thick, wide, fire, minutes in [(75, 75, 1230, 6), (50, 50, 1200, 3), (30, 60, 1150, 2), (100, 100, 1260, 10), (40, 80, 1230, 4)]:
        middle = heated(thick, wide, 20, fire, stop_s=60.0 * minutes)
        rows.append([thick, wide, 20, fire, "", minutes, f"{middle:.0f}"])
    with open(pathlib.Path(__file__).with_name("heating.csv"), "w", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow("thick_mm wide_mm start_c fire_c at_c minutes middle_c".split())
        table.writerows(rows)


if __name__ == "__main__":
    main()
