"""A second reading of the step arithmetic, in another language, to hold the replay against.

Run: python3 tests/oracle/replay.py > tests/oracle/cases.json   (plain Python 3, no packages; fixed seed)
Bars are explicit: three sizes and a list of layers written out one by one, clipped and merged by hand. Steels:
1084 and 15N20 at 7850 kg/m3 (EN 1993-1-2), 304 at 8000 kg/m3 (the table of the repo). Each case is a recipe and
what stands after every step.
"""

import json
import math
import random

random.seed(1959)
DENSITY = {"1084": 7.85e-3, "15N20": 7.85e-3, "304": 8.0e-3}
SLIVER = 1e-6


def growth(c):
    return 2.67e-4 * math.exp(-20319 / (c + 273.15))


def open_die(x):
    x = min(x, 3.33)
    return 0.14 + 0.36 * x - 0.054 * x * x


class Shop:
    def __init__(self, scale, value, press, kerf, forge):
        self.scale, self.value, self.press, self.kerf, self.forge = scale, value, press, kerf, forge

    def text(self):
        lines = [f"  forge gas, {self.forge} C", f"  kerf {self.kerf} mm"]
        if self.scale == "mm":
            lines.append(f"  scale {self.value} mm per heat")
        if self.scale == "%":
            lines.append(f"  scale {self.value} % per heat")
        if self.scale == "none":
            lines.append("  scale none")
        if self.press:
            lines.append(f"  press 400 tonf, flat die {self.press} mm")
        return "shop {\n" + "\n".join(lines) + "\n}\n"

    def skin(self, t, w, l, at=None, minutes=6, factor=1.0):
        if self.scale == "none":
            return 0.0
        if self.scale == "mm":
            return self.value
        if self.scale == "%":
            low, high = 0.0, min(t, w, l) / 2
            for _ in range(300):
                mid = (low + high) / 2
                if (t - 2 * mid) * (w - 2 * mid) * (l - 2 * mid) > (1 - self.value / 100) * t * w * l:
                    low = mid
                else:
                    high = mid
            return low
        return factor * 0.05 * math.sqrt(growth(at or self.forge) * minutes / (growth(1200) * 6))


class Bar:
    """t, w, l in mm; layers: (steel, mm) from the bottom."""

    def __init__(self, t, w, l, layers, count=1):
        self.t, self.w, self.l, self.layers, self.count = t, w, l, layers, count
        self.nominal = len(layers)

    def mass(self):
        # The layers that are left fill the thickness.
        return self.w * self.l * sum(DENSITY[s] * d for s, d in self.layers)

    def bands(self):
        seen = []
        for steel, d in self.layers:
            if d >= SLIVER and (not seen or seen[-1] != steel):
                seen.append(steel)
        return len(seen)

    def stretch(self, t, w, l):
        f = t / self.t
        self.layers = [(s, d * f) for s, d in self.layers]
        self.t, self.w, self.l = t, w, l

    def peel(self, off):
        """off mm from each broad face."""
        low, high, at, left = off, self.t - off, 0.0, []
        for steel, d in self.layers:
            a, b = max(low, at), min(high, at + d)
            if b > a:
                left.append((steel, b - a))
            at += d
        self.layers, self.t = left, self.t - 2 * off

    def burn(self, r):
        self.peel(r)
        self.w -= 2 * r
        self.l -= 2 * r


def press(bar, shop, n, thick=None, wide=None, b=None, s=None, along=None, at=None, factor=1.0, soak=None, edge=False):
    """The schedule of n heats. `edge` presses the width: the roles of thickness and width are exchanged."""
    t0, w0 = (bar.w, bar.t) if edge else (bar.t, bar.w)
    for i in range(1, n + 1):
        bar.burn(shop.skin(bar.t, bar.w, bar.l, at, 6 + (soak if i == 1 and soak else 0), factor))
        t, w = (bar.w, bar.t) if edge else (bar.t, bar.w)
        v = bar.t * bar.w * bar.l
        if along is not None:
            w1 = w0 * (wide / w0) ** (i / n)
            t1 = t * math.exp(-math.log(w1 / w) / along)
        else:
            if t < thick:
                return
            t1 = min(t0 * (thick / t0) ** (i / n), t)
            e = math.log(t / t1)
            coefficient = s if s is not None else open_die(b / w)
            w1 = w * math.exp(coefficient * e)
            if wide is not None:
                w1 = min(max(wide, w0 * (wide / w0) ** (i / n)), w1)
        new_t, new_w = (w1, t1) if edge else (t1, w1)
        bar.stretch(new_t, new_w, v / (new_t * new_w))


def case(number):
    shop = Shop(*random.choice([("mm", 0.05), ("mm", 0.03), ("%", 1.5), ("none", 0), ("law", 0)]),
                random.choice([0, 40, 45]), random.choice([1.5, 2, 2.5]), random.choice([1150, 1200]))
    die = shop.press or 0.6 * 40
    half = die / 2 if shop.press else die
    w, l = random.choice([36, 40, 45]), random.choice([120, 150, 180])
    a, b = random.choice([3, 4]), random.choice([1.5, 2])
    n = random.choice([2, 3, 4])
    other = random.choice(["15N20", "304"])
    text = shop.text()
    steps = []

    def note(verb, bar, loose=False):
        steps.append({"verb": verb, "bars": bar.count, "loose": loose, "thickness_mm": bar.t, "width_mm": bar.w,
                      "length_mm": bar.l, "mass_g": bar.mass(), "layers": bar.nominal, "bands": bar.bands()})

    text += f"stock d = {n + 1} bars of 1084, {a} x {w} x {l} mm\nstock n = {n} bars of {other}, {b} x {w} x {l} mm\n"
    note("stock", Bar(a, w, l, [("1084", a)], n + 1))
    note("stock", Bar(b, w, l, [(other, b)], n))
    layers = [("1084", a) if i % 2 == 0 else (other, b) for i in range(2 * n + 1)]
    p = Bar(sum(d for _, d in layers), w, l, layers)
    text += "stack p = alternate d, n\n"
    note("stack", p, True)

    def weld():
        nonlocal text
        share, heats, at = random.choice([10, 12, 15, 18]), random.choice([1, 2, 3]), random.choice([1150, 1180, 1220])
        flux = random.random() < 0.3
        soak = random.choice([None, 12])
        text += f"weld p at {at} C, thinning {share} %, heats {heats}, for 6 min"
        text += (f", soak {soak} min" if soak else "") + (", flux" if flux else "") + "\n"
        press(p, shop, heats, thick=(1 - share / 100) * p.t, b=die, at=at, factor=0.5 if flux else 1.0, soak=soak)
        note("weld", p)

    weld()
    for _ in range(random.randint(2, 6)):
        what = random.choice(["draw", "draw both", "spread", "restack", "grind", "crop", "edge", "fold", "cut", "draw s"])
        heats = random.randint(1, 5)
        if what == "draw":
            t = round(p.t * random.uniform(0.45, 0.85), 2)
            text += f"draw p to {t} mm thick, heats {heats}, for 6 min\n"
            press(p, shop, heats, thick=t, b=half)
            note("draw", p)
        if what == "draw s":
            t, s = round(p.t * random.uniform(0.5, 0.85), 2), random.choice([0.1, 0.3, 0.45])
            text += f"draw p to {t} mm thick, spread {s}, heats {heats}, for 6 min\n"
            press(p, shop, heats, thick=t, s=s)
            note("draw", p)
        if what == "draw both":
            t, wide = round(p.t * random.uniform(0.5, 0.75), 2), round(p.w * random.uniform(0.93, 1.0), 2)
            text += f"draw p to {t} mm thick, {wide} mm wide, bite 25 mm, heats {heats}, for 6 min\n"
            press(p, shop, heats, thick=t, wide=wide, b=25)
            note("draw", p)
        if what == "spread" and p.t > 5:
            wide, peen = round(p.w * random.uniform(1.1, 1.4), 2), random.choice([10, 12, 20])
            text += f"spread p to {wide} mm wide with peen {peen} mm, heats {heats}, for 6 min\n"
            press(p, shop, heats, wide=wide, along=min(1 - open_die(peen / 40), 0.75))
            note("spread", p)
        if what == "edge" and p.w < 6 * p.t:
            wide = round(p.w * random.uniform(0.8, 0.95), 2)
            text += f"edge p to {wide} mm wide, heats {heats}, for 6 min\n"
            press(p, shop, heats, thick=wide, b=half, edge=True)
            note("edge", p)
        if what == "restack" and p.l > 120:
            k = random.choice([2, 3, 4])
            each = (p.l - (k - 1) * shop.kerf) / k
            text += f"cut p into {k}\nstack p = p\n"
            nominal, p.l, p.count = p.nominal, each, k
            note("cut", p)
            p = Bar(p.t * k, p.w, each, p.layers * k)
            p.nominal = nominal * k
            note("stack", p, True)
            weld()
        if what == "fold" and p.l > 160:
            nominal = p.nominal
            text += "fold p\n"
            p = Bar(p.t * 2, p.w, p.l / 2, p.layers + p.layers[::-1])
            p.nominal = nominal * 2
            note("fold", p, True)
            weld()
        if what == "grind" and p.t > 4:
            faces, edges = random.choice([0.2, 0.4, 0.8]), random.choice([0.5, 1.0])
            text += f"grind p faces {faces} mm, edges {edges} mm\n"
            p.peel(faces)
            p.w -= 2 * edges
            note("grind", p)
        if what == "crop":
            off = random.choice([5, 8, 12])
            text += f"cut p {off} mm off each end\n"
            p.l -= 2 * off
            note("cut", p)
        if what == "cut":
            to = round(p.l * random.uniform(0.7, 0.95), 1)
            text += f"cut p to {to} mm long\n"
            p.l = to
            note("cut", p)
    return {"name": f"case {number}", "source": text, "steps": steps}


print(json.dumps([case(i) for i in range(150)], indent=1))
