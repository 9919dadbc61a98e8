"""Carbon in random piles by finite differences, to hold `piece::carbon` against.

Run: python3 tests/oracle/carbon_fd.py > tests/oracle/carbon.csv   (Python 3 with numpy, from PyPI)

A pile of bars of two or three steels is held in the fire, cut into equal pieces that are laid on each other again (every
other one upside down where it is folded), held, and so on; between two stays it may be forged thinner. All layers are
followed one by one: C_t = D C_xx, sealed at both faces, an even grid of 24 cells in the mean layer (8 at least in any),
Crank-Nicolson steps that grow. Times are given as D t over the square of the mean layer that the first pile began with, with
layers as thick as they are then.
"""

import numpy as np

rng = np.random.default_rng(14)
CONTENTS = [0.95, 0.15, 0.55]


def hold(c, h, spent):
    """The row after `spent`, mm2; h is the size of each cell, mm."""
    s = min(spent, 0.02 * h.min() ** 2)
    done = 0.0
    g = 2.0 / (h[1:] + h[:-1])
    while done < spent:
        s = min(s, spent - done)
        # Two steps backwards, then in the manner of Crank and Nicolson.
        theta = 1.0 if done < 1e-3 * spent else 0.55
        flow = np.diff(c) * g
        gain = (np.append(flow, 0) - np.insert(flow, 0, 0)) * s * (1 - theta)
        c = thomas(h, g * s * theta, h * c + gain)
        done += s
        s = min(s * 1.12, spent / 60)
    return c


def thomas(h, g, right):
    n = len(h)
    mid, right = h.copy(), right.copy()
    mid[:-1] += g
    mid[1:] += g
    mid, right, g = mid.tolist(), right.tolist(), g.tolist()
    for i in range(1, n):
        w = g[i - 1] / mid[i - 1]
        mid[i] -= w * g[i - 1]
        right[i] += w * right[i - 1]
    right[-1] /= mid[-1]
    for i in range(n - 2, -1, -1):
        right[i] = (right[i] + g[i] * right[i + 1]) / mid[i]
    return np.array(right)


def rows():
    # The two that the old rule got wrong, then random ones.
    yield [3, 3], [0, 1], [("start", 0.02), (4, False, 1.0, 0.25)]
    yield [3, 3, 3], [0, 0, 1], [("start", 0.02), (6, False, 1.0, 0.6)]
    for _ in range(98):
        n = int(rng.integers(2, 8))
        mm = [round(float(x), 3) for x in np.exp(rng.uniform(np.log(1.0), np.log(6.0), n))]
        kinds = int(rng.integers(2, 4))
        steels = [int(rng.integers(0, kinds)) for _ in range(n)]
        if len(set(steels)) == 1:
            steels[0] = (steels[0] + 1) % kinds
        stays = [("start", 10 ** rng.uniform(-3, -0.8))]
        for _ in range(int(rng.integers(1, 4))):
            k = int(rng.integers(2, 6))
            if n * k > 150:
                break
            n *= k
            thinner = float(rng.choice([1.0, 0.5, 0.3]))
            stays.append((k, bool(rng.random() < 0.3), thinner, 10 ** rng.uniform(-3, -0.3)))
        yield mm, steels, stays


def main():
    print("# made by tests/oracle/carbon_fd.py: bars mm, their steels, stays `pieces folded thinner spent_mm2` in a row; then the")
    print("# mean carbon of each steel at the end, %. Steels hold", " ".join(map(str, CONTENTS)), "% at first")
    print("mm,steels,stays,means")
    for mm, steels, stays in rows():
        cells = [max(8, round(24 * x / np.mean(mm))) for x in mm]
        h = np.concatenate([np.full(k, x / k) for k, x in zip(cells, mm)])
        steel = np.concatenate([np.full(k, s) for k, s in zip(cells, steels)])
        c = np.array([CONTENTS[s] for s in steel])
        unit = np.mean(mm) ** 2
        told = []
        for stay in stays:
            if stay[0] == "start":
                told.append(f"1 0 1 {stay[1] * unit:.9g}")
                c = hold(c, h, stay[1] * unit)
                continue
            k, folded, thinner, fo = stay
            unit *= thinner**2
            h = h * thinner
            told.append(f"{k} {int(folded)} {thinner} {fo * unit:.9g}")
            turn = lambda a: np.concatenate([a[::-1] if folded and i % 2 else a for i in range(k)])
            h, steel, c = turn(h), turn(steel), turn(c)
            c = hold(c, h, fo * unit)
        means = [np.sum((c * h)[steel == s]) / np.sum(h[steel == s]) if (steel == s).any() else -1 for s in range(3)]
        print(" ".join(map(str, mm)), " ".join(map(str, steels)), ";".join(told), " ".join(f"{m:.6f}" for m in means), sep=",")


if __name__ == "__main__":
    main()
