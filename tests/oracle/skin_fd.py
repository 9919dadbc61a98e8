"""The skin that loses its carbon, by finite differences, to hold `steel::laws::decarb` against.

Run: python3 tests/oracle/skin_fd.py > tests/oracle/skin.csv   (Python 3 with numpy, from PyPI)

Half of a plate, from its face to its middle, in the fire heat by heat and pressed thinner between heats. In a heat
    C_t = (D C_x)_x + v C_x,  C = 0 at the face, no flux in the middle,
x from the face as it then is: the face moves inwards at v, the skin of the heat over its time. D is Agren's, by
temperature and by the carbon at each place. A press that thins by a factor squeezes the profile by it. Solved on
y = x / (half the thickness left), 400 cells that grow from the face, implicit in time, every step's diffusivity from the
step before. Depths are told where the carbon is half, and nine tenths, of what it was at first.
"""

import numpy as np

rng = np.random.default_rng(14)
CELLS, STEPS = 400, 240


def agren(t_c, c):
    t = t_c + 273.15
    carbon, iron = c / 12.011, (100 - c) / 55.845
    y = carbon / iron
    return 4.53e-7 * (1 + y * (1 - y) * 8339.9 / t) * np.exp(-(1 / t - 2.221e-4) * (17767 - 26436 * y)) * 1e6


class Plates:
    """Many plates at once; all arrays are plate by cell."""

    def __init__(self, half_mm, carbon):
        q = np.linspace(0, 1, CELLS + 1)
        self.edge = (np.exp(7 * q) - 1) / (np.exp(7) - 1)
        self.mid = (self.edge[1:] + self.edge[:-1]) / 2
        self.half, self.first = half_mm.copy(), carbon
        self.c = np.repeat(carbon[:, None], CELLS, axis=1)

    def heat(self, t_c, seconds, skin_mm):
        wide = np.diff(self.edge)
        apart = np.diff(np.concatenate([[0], self.mid]))
        times = (np.linspace(0, 1, STEPS + 1) ** 2)[None, :] * seconds[:, None]
        v = np.divide(skin_mm, seconds, out=np.zeros_like(skin_mm), where=seconds > 0)
        for i in range(STEPS):
            dt = times[:, i + 1] - times[:, i]
            self.half = self.half - v * dt
            half = self.half[:, None]
            at = np.concatenate([np.zeros((len(dt), 1)), self.c], axis=1)
            d = agren(t_c[:, None], (at[:, 1:] + at[:, :-1]) / 2) / half**2 / apart
            d = np.concatenate([d, np.zeros((len(dt), 1))], axis=1)
            # Fresh carbon is carried towards the face: taken from the cell further in.
            carried = (1 - self.edge[None, :]) * v[:, None] / half
            gain = dt[:, None] / wide
            up = d[:, 1:] * gain + carried[:, 1:] * gain
            down = d[:, :-1] * gain
            keep = 1 + (d[:, 1:] + d[:, :-1]) * gain + carried[:, 1:] * gain
            # Not in the form of fluxes: what is carried shifts, and does not pile up.
            up[:, -1] = 0
            keep[:, -1] = 1 + d[:, -2] * gain[:, -1]
            self.c = solve(-down, keep, -up, self.c)

    def press(self, thins):
        self.half = self.half * thins

    def depth(self, share):
        low = self.c < (share * self.first)[:, None]
        at = np.concatenate([np.zeros((len(self.first), 1)), self.c], axis=1)
        x = np.concatenate([[0], self.mid])
        n = low.sum(axis=1)
        r = np.arange(len(n))
        n1 = np.minimum(n + 1, CELLS)
        a, b = at[r, n], at[r, n1]
        rise = np.where(b > a, b - a, 1)
        y = x[n] + (x[n1] - x[n]) * (share * self.first - a) / rise
        return np.where(n >= CELLS, 1.0, y) * self.half


def solve(low, mid, high, right):
    mid, right = mid.copy(), right.copy()
    for i in range(1, CELLS):
        w = low[:, i] / mid[:, i - 1]
        mid[:, i] -= w * high[:, i - 1]
        right[:, i] -= w * right[:, i - 1]
    x = right
    x[:, -1] /= mid[:, -1]
    for i in range(CELLS - 2, -1, -1):
        x[:, i] = (x[:, i] - high[:, i] * x[:, i + 1]) / mid[:, i]
    return x


def main():
    n = 150
    half = np.exp(rng.uniform(np.log(1.5), np.log(25), n))
    carbon = rng.uniform(0.15, 1.1, n)
    t_c = rng.uniform(900, 1230, n)
    minutes = np.exp(rng.uniform(np.log(3), np.log(60), n))
    heats = rng.integers(1, 9, n)
    thins = np.where(rng.random(n) < 0.4, 1.0, rng.uniform(0.6, 0.98, n))
    # What a shop's heat burns: 0.05 mm in six minutes at 1200 C, growing with the oxidation law; a factor for the fire.
    rate = np.exp(-20319 * (1 / (t_c + 273.15) - 1 / 1473.15))
    skin = 0.05 * np.sqrt(rate * minutes / 6) * rng.choice([0.0, 0.5, 1.0, 2.0], n)
    # The case that the old rule told as 0.77 mm: an hour at 1150 C, then ten times thinner.
    for row, values in enumerate([(20.0, 0.8, 1150.0, 60.0, 1, 0.1, 0.0), (20.0, 0.8, 1150.0, 60.0, 1, 0.1, 0.1239)]):
        half[row], carbon[row], t_c[row], minutes[row], heats[row], thins[row], skin[row] = values
    keep = half * thins**heats > skin * heats * 1.5
    plates = Plates(half, carbon)
    for i in range(heats.max()):
        on = (i < heats) & keep
        plates.heat(t_c, np.where(on, minutes * 60, 0.0), np.where(on, skin, 0.0))
        plates.press(np.where(on, thins, 1.0))
    print("# made by tests/oracle/skin_fd.py: each row a plate, all its heats alike; depths 0.5 and 0.9 of the first carbon")
    print("half_mm,carbon,at_c,minutes,heats,thins,skin_mm,half_left_mm,depth_half_mm,depth_nine_tenths_mm")
    d5, d9 = plates.depth(0.5), plates.depth(0.9)
    for i in np.nonzero(keep)[0]:
        print(f"{half[i]:.9g},{carbon[i]:.9g},{t_c[i]:.9g},{minutes[i]:.9g},{heats[i]},{thins[i]:.9g},{skin[i]:.9g},"
              f"{plates.half[i]:.6g},{d5[i]:.5g},{d9[i]:.5g}")


if __name__ == "__main__":
    main()
