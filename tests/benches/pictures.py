"""Pictures against the same maps in vectorised numpy (float64): processor time of both on the same cores, and how far they agree.

    python3 tests/benches/pictures.py target/release/heatbook

Needs numpy, nothing else. Two pictures are taken, each 1,600 dots wide: a cut below the face of three twisted bars of 100 layers each, side by
side, of which numpy works the same; and both sides of a blade that is made of them, of which the time is told alone. Heatbook's time is that
of the whole command, the recipe worked and the PNG written; numpy's is that of the maps and the means, from points that are laid out already.
The maps are those of `src/piece/warp/twist.rs`, written here from its comment.
"""

import json
import os
import resource
import subprocess
import sys
import tempfile
import time

import numpy as np

LAYERS = 100
SAMPLES = 4  # each way: 16 under a dot
ACROSS = 1600
TURNS, GRIPS = 6.0, 20.0  # turns per 100 mm, mm

BAR = f"""shop {{
  scale 0 mm per heat
}}
stock dark   = {LAYERS // 2} bars of 1084, 0.6 x 40 x 240 mm
stock bright = {LAYERS // 2} bars of 15N20, 0.6 x 40 x 240 mm
stack rod = alternate dark, bright
weld rod at 1200 C, thinning 15 %, heats 3
draw rod to 16 mm octagon, heats 10
cut rod into 3
twist rod {TURNS} turns per 100 mm, right, grips {GRIPS} mm, heats 3
draw rod to 14 mm square, heats 2
stack bar = 3 of rod side by side
weld bar at 1200 C, thinning 10 %, heats 3
draw bar to 6 mm thick, 44 mm wide, heats 4
cut bar to 300 mm long
"""
BLADE = """profile bar to 290 mm long, 42 mm wide, belly 90 mm, point 14 mm below spine
bevel bar edge 0.5 mm, height full, ground
"""


def turned(s, v, u, turns, grips):
    """Where what lies at a point of a twisted bar now lay before: thickness and width, 0 to 1."""
    x, y = 2.0 * v - 1.0, 2.0 * s - 1.0
    angle = -2.0 * np.pi * turns * np.clip((u - grips) / (1.0 - 2.0 * grips), 0.0, 1.0)
    ax, ay = np.abs(x), np.abs(y)
    flat = ax >= ay
    near, far = np.where(flat, ay, ax), np.where(flat, ax, ay)
    far = np.maximum(far, 1e-300)
    same = (x > 0) == (y > 0)
    slope = np.where(same == flat, near, -near) / far
    side = np.where(flat, np.where(x > 0, 0.0, 2.0), np.where(y > 0, 1.0, 3.0))
    # The level curve: rho of far / cos phi = rho + e rho^3.
    sec = np.sqrt(1.0 + slope * slope)
    e, r = sec - 1.0, far * sec
    rho = np.minimum(r, 1.0)
    for _ in range(8):
        cubic = e * rho * rho
        rise = 1.0 + 3.0 * cubic
        step = (rho + cubic * rho - r) / rise
        step /= 1.0 - step * 3.0 * e * rho / rise
        rho -= step
        if np.abs(step).max() < 1e-4:
            break
    square = rho * rho
    four, three = 4.0 * square, 3.0 * square * square
    asinh1 = np.arcsinh(1.0)
    eighth = np.pi / 4 + four * (asinh1 - np.pi / 4) + three * (1.0 - 2.0 * asinh1 + np.pi / 4)

    def area(t):
        phi, a = np.arctan(t), np.arcsinh(t)
        return phi + four * (a - phi) + three * (t - 2.0 * a + phi)

    theta = side * (np.pi / 2) + np.pi / 4 * area(slope) / eighth + angle
    side = np.round(theta / (np.pi / 2))
    share = (theta - side * (np.pi / 2)) / (np.pi / 4)
    asked = share * eighth
    last = np.sqrt(2.0) - 1.0
    fifth = (2.0 * eighth / (1.0 + last * (four + three * last)) + 2.0 * eighth - 3.0) / 2.0
    odd = share * share
    t = np.clip(share * (eighth + odd * (1.0 - eighth - fifth + odd * fifth)), -1.0, 1.0)
    for _ in range(12):
        sq = 1.0 + t * t
        sec = np.sqrt(sq)
        e = sec - 1.0
        rise = 1.0 + e * (four + three * e)
        step = (area(t) - asked) * sq / rise
        step /= 1.0 - step * t * ((four + 2.0 * three * e) / (sec * rise) - 2.0 / sq) / 2.0
        t = np.clip(t - step, -1.0, 1.0)
        if np.abs(step).max() < 1e-4:
            break
    cos = 1.0 / np.sqrt(1.0 + t * t)
    far = rho * (cos + (1.0 - cos) * rho * rho)
    side = np.mod(side, 4.0)
    along, across = far, far * t
    x = np.where(side == 0, along, np.where(side == 1, -across, np.where(side == 2, -along, across)))
    y = np.where(side == 0, across, np.where(side == 1, along, np.where(side == 2, -across, -along)))
    return 0.5 + 0.5 * y, x


def before(s, v, u, told):
    """The place in the thickness of the layered bar, of points of the three side by side."""
    return turned(s, np.clip(np.mod(3.0 * v, 1.0), 0.0, 1.0), u, told["turns"], told["grips"])[0]


def bright(s):
    """Whether the layer there is bright: dark lies lowest, by turns."""
    return (np.minimum((s * LAYERS).astype(np.int64), LAYERS - 1) & 1).astype(np.float64)


def chunks(n, size=1 << 15):
    """Pieces that stay in the cache: whole arrays of millions take numpy twice as long."""
    return (slice(i, min(i + size, n)) for i in range(0, n, size))


def plain(points, told):
    """Every sample followed back."""
    s, v, u = points
    out = np.empty(len(v))
    for part in chunks(len(v)):
        out[part] = bright(before(np.full(part.stop - part.start, s), v[part], u[part], told))
    return out


def sampled(told, dots):
    """All samples of all dots, followed one by one: the mean brightness of each dot."""
    across, down = dots
    fine = lambda n: (np.arange(n * SAMPLES) + 0.5) / (n * SAMPLES)
    v = np.repeat(1.0 - fine(down), across * SAMPLES)
    u = np.tile(fine(across) * told["cut"], down * SAMPLES)
    means = plain((told["s"], v, u), told).reshape(down, SAMPLES, across, SAMPLES)
    return means.mean(axis=(1, 3))


def between(told, dots):
    """The corners and the middles of dots followed, as Heatbook does it, and the samples taken between the corners; where the middle is not
    between them, each sample followed."""
    across, down = dots
    v, u = 1.0 - np.arange(down + 1) / down, np.arange(across + 1) / across * told["cut"]
    # Corners at a seam between two bars belong to one or the other: dots across a seam are followed sample by sample.
    def landed(v, u):
        vv, uu = np.repeat(v, len(u)), np.tile(u, len(v))
        out = np.empty(len(vv))
        for part in chunks(len(vv)):
            out[part] = before(np.full(part.stop - part.start, told["s"]), vv[part], uu[part], told)
        return out.reshape(len(v), len(u))
    corner = landed(v, u)
    middle = landed((v[:-1] + v[1:]) / 2, (u[:-1] + u[1:]) / 2)
    a, b, c, d = corner[:-1, :-1], corner[:-1, 1:], corner[1:, :-1], corner[1:, 1:]
    low, high = np.minimum(np.minimum(a, b), np.minimum(c, d)), np.maximum(np.maximum(a, b), np.maximum(c, d))
    bar = np.minimum((3.0 * v).astype(np.int64), 2)
    even = (np.abs((a + b + c + d) / 4 - middle) <= 0.1 * (high - low) + 1e-5) & (bar[:-1] == bar[1:])[:, None]
    means = np.empty((down, across))
    shares = (np.arange(SAMPLES) + 0.5) / SAMPLES
    for row in range(down):
        total = np.zeros(across)
        for y in shares:
            left, right = a[row] + (c[row] - a[row]) * y, b[row] + (d[row] - b[row]) * y
            for x in shares:
                total += bright(left + (right - left) * x)
        means[row] = total / SAMPLES**2
    rows, columns = np.nonzero(~even)
    if len(rows):
        grid = (np.arange(SAMPLES) + 0.5) / SAMPLES
        dv, du = (g.ravel() for g in np.meshgrid(grid, grid, indexing="ij"))
        vv = (1.0 - (rows[:, None] + dv) / down).ravel()
        uu = ((columns[:, None] + du) / across * told["cut"]).ravel()
        means[rows, columns] = plain((told["s"], vv, uu), told).reshape(-1, SAMPLES**2).mean(axis=1)
    return means


def run(*command):
    """A command's answer, and its processor and clock time, the least of three."""
    best = None
    for _ in range(3):
        start, clock = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        answer = subprocess.run(command, check=True, capture_output=True).stdout
        end = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent = end.ru_utime + end.ru_stime - start.ru_utime - start.ru_stime
        took = (spent, time.perf_counter() - clock)
        best = took if best is None else min(best, took)
    return answer, *best


def main():
    heatbook = os.path.abspath(sys.argv[1])
    os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:2])
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        for name, text in [("bar.heat", BAR), ("blade.heat", BAR + BLADE)]:
            with open(name, "w", encoding="utf-8") as file:
                file.write(text)
        steps = json.loads(run(heatbook, "run", "bar.heat", "--shop", "none", "--format", "json")[0])["steps"]
        size = [step["after"] for step in steps]
        cut_in_three = size[5]["length_mm"]
        whole = size[-2]["length_mm"]
        told = {
            "turns": TURNS * (cut_in_three - 2 * GRIPS) / 100.0,
            "grips": GRIPS / cut_in_three,
            "cut": 300.0 / whole,
            "s": 1.0 - 1.47 / size[-1]["thickness_mm"],
        }
        dot = 300.0 / ACROSS
        picture = [heatbook, "picture", "bar.heat", "bar", "--shop", "none", "--view", "top", "--under", "1.47 mm", "--px", f"{dot} mm"]
        answer, *_ = run(*picture, "--format", "json")
        grid = json.loads(answer)["grid"]
        dots = (len(grid[0]), len(grid))
        _, spent, clock = run(*picture, "--out", "bar.png")
        # The same dots: their middles, one steel each.
        down = dots[1]
        v = 1.0 - (np.arange(down) + 0.5) * dot / size[-1]["width_mm"]
        u = (np.arange(dots[0]) + 0.5) * dot / whole
        ours = plain((told["s"], np.repeat(v, dots[0]), np.tile(u, down)), told).reshape(down, dots[0])
        theirs = np.array([[cell if cell is not None else -1 for cell in row] for row in grid])
        there = np.repeat((v >= 0.0)[:, None], dots[0], axis=1) & (theirs >= 0)
        agree = (ours == theirs)[there].mean()
        print(f"three twisted bars, {dots[0]} x {dots[1]} dots: heatbook {spent:.2f} s of processor ({clock:.2f} s); {100 * agree:.3f} % of the middles agree")
        for way in (between, sampled):
            start, began = time.process_time(), time.perf_counter()
            way(told, dots)
            numpy, waited = time.process_time() - start, time.perf_counter() - began
            name = way.__doc__.split(":")[0].split(";")[0].strip()
            print(f"  numpy, {name}: {numpy:.2f} s; heatbook takes {spent / numpy:.2f} of that, {clock / waited:.2f} by the clock")
        blade = [heatbook, "picture", "blade.heat", "bar", "--shop", "none", "--view", "blade", "--px", f"{305.0 / ACROSS} mm"]
        _, spent, clock = run(*blade, "--out", "blade.png")
        print(f"blade of them, both sides, {ACROSS} dots: {spent:.2f} s of processor, {clock:.2f} s on two cores")


main()
