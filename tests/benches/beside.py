"""Heatbook side by side with what it is held against, each in one run: processor time of both, and how many times ours theirs is.

    python3 tests/benches/beside.py target/release/heatbook

Needs Python 3.9 on Linux; numpy, scipy, pint and uncertainties are used where they are installed, and named where they are not. All times are
processor time (user and system) but where "clock" stands, and each is the least of several rounds in which ours and theirs take turns: what
else the machine does then weighs on both alike, and hardly on the least.

`galley` is the first recipe, written once from the page on metal; it must land where `heatbook run` lands, or nothing here is worth comparing.
It does sizes, mass and layers; Heatbook keeps which steel lies where and judges the targets besides, and `run` books every loss. Not here:
pictures (pictures.py); parsing, and a run without the program around it (runs.rs).
"""

import importlib.util
import inspect
import json
import os
import platform
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

# Before numpy is read: one core each, whatever its libraries would take.
os.environ.setdefault("OMP_NUM_THREADS", "1")

HEATBOOK = os.path.abspath(sys.argv[1])
ROUNDS = 5
SAMPLES = 1_000_000
SCALE, OFF = 0.05, 0.01  # mm a heat; `+- 40 %` covers two standard deviations
RECIPE = Path(__file__).resolve().parents[2] / "examples" / "ferry-galley.heat"


def galley(scale, wide, mm=1.0, gram=1.0, least=min, most=max, keep=None):
    """The first recipe: thickness, width, length, mass, layers, and what length is to spare in the last cut, which stops where there is none.

    Plain floats as it stands; arrays with numpy's `minimum` and `maximum`; quantities with their units in `mm` and `gram`; figures with an
    uncertainty. `keep`, a list, takes what stands after each step. Powers stand where the page has exp and ln: they are the same. Widths of
    40 mm are always within reach with the figures tried here: no test stands for them.
    """
    density = 7.85e-3 * gram / (mm * mm * mm)  # both steels
    die, peen, kerf = 40 * mm, 12 * mm, 2 * mm
    layers = 7 + 6

    def told(t, w, l):
        if keep is not None:
            keep.append((t, w, l, t * w * l * density, layers))
        return t, w, l

    def sideways(bite, width):
        """How much of what thickness gives goes into width."""
        x = least(bite / width, 3.33)
        return 0.14 + 0.36 * x - 0.054 * x * x

    def pressed(bar, heats, thick, bite, wide=None):
        """Skin off, then an n-th of the way, n times. A width that is asked for is a cap."""
        t, w, l = bar
        t0, w0 = t, w
        for i in range(1, heats + 1):
            t, w, l = t - 2 * scale, w - 2 * scale, l - 2 * scale
            thinner = least(t0 * (thick / t0) ** (i / heats), t)
            wider = w * (t / thinner) ** sideways(bite, w)
            if wide is not None:
                wider = least(most(wide, w0 * (wide / w0) ** (i / heats)), wider)
            t, w, l = thinner, wider, t * w * l / (thinner * wider)
        return told(t, w, l)

    bar = told((7 * 3 + 6 * 1.5) * mm, 40 * mm, 120 * mm)
    bar = pressed(bar, 3, 0.85 * bar[0], die)
    t, w, l = pressed(bar, 5, 9 * mm, die / 2, 40 * mm)
    t, w, l = told(t, w, l - 16 * mm)
    t, w, l = told(t - 0.8 * mm, w, l)
    t, w, l = told(t, w, (l - 3 * kerf) / 4)
    layers *= 4
    bar = told(4 * t, w, l)
    bar = pressed(bar, 3, 0.85 * bar[0], die)
    t, w, l = pressed(bar, 4, 12 * mm, die / 2, 40 * mm)
    # The peen lies along the bar: the law is asked for the other way, and the width leads.
    share, w0 = least(1 - sideways(peen, 40 * mm), 0.75), w
    for i in range(1, 9):
        t, w, l = t - 2 * scale, w - 2 * scale, l - 2 * scale
        wider = w0 * (wide / w0) ** (i / 8)
        thinner = t * (w / wider) ** (1 / share)
        t, w, l = thinner, wider, t * w * l / (thinner * wider)
    t, w, l = told(t, w, l)
    t, w, l = told(t - 0.8 * mm, w - 2 * mm, l)
    spare = l - 250 * mm
    t, w, l = told(t, w, 250 * mm)
    return t, w, l, t * w * l * density, layers, spare


def margin(wide):
    """How far the nearest line of the target is from being missed, below nothing where it is."""
    t, w, l, mass, layers, spare = galley(SCALE, wide)
    return min(w - 58, 2 - abs(l - 250), t - 4, 6 - t, layers - 50, 700 - mass, spare)


def asked(brentq):
    """Between which widths the target is met: looked for on both sides of a width that is known to do, which Heatbook is not told."""
    return brentq(margin, 45, 62, xtol=1e-9), brentq(margin, 62, 90, xtol=1e-9)


def million(np, samples=SAMPLES):
    """The odds with numpy: the share that meets the target, and 5, 50, 95 % of thickness and mass; in blocks that stay in the cache."""
    rng, block = np.random.default_rng(1), 1 << 14
    met, thickness, masses = 0, [], []
    for start in range(0, samples, block):
        scale = rng.normal(SCALE, OFF, min(block, samples - start))
        t, w, l, mass, layers, spare = galley(scale, 62.0, least=np.minimum, most=np.maximum)
        sound = (scale >= 0) & (spare >= 0)  # the rest stops on the way, and counts as missed
        met += np.count_nonzero(sound & (w >= 58) & (abs(l - 250) <= 2) & (t >= 4) & (t <= 6) & (layers >= 50) & (mass <= 700))
        thickness.append(t[sound])
        masses.append(mass[sound])
    quantiles = [np.quantile(np.concatenate(all), [0.05, 0.5, 0.95]) for all in (thickness, masses)]
    return met / samples, quantiles


def with_units(ureg):
    return galley(SCALE * ureg.mm, 62 * ureg.mm, ureg.mm, ureg.gram)


def child(*command, times=1):
    """A measure: processor time of a command, started so many times over; what it said stays at hand."""

    def measure():
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        for _ in range(times):
            measure.said = subprocess.run(command, check=True, capture_output=True).stdout
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) / times

    return measure


def inside(function, *given, times=1):
    """A measure: processor time of a call in this process, made so many times over."""

    def measure():
        start = time.process_time()
        for _ in range(times):
            function(*given)
        return (time.process_time() - start) / times

    return measure


def turns(*measures, rounds=ROUNDS):
    """The least of each, taken in turn."""
    taken = [[measure() for measure in measures] for _ in range(rounds)]
    return [min(each) for each in zip(*taken)]


def shown(seconds):
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("us", 1e-6)):
        if seconds >= size:
            break
    return f"{seconds / size:.3g} {unit}"


def row(what, ours, against, theirs):
    print(f"{what:<39} {shown(ours):>9}  {against:<44} {shown(theirs):>9} {theirs / ours:>9.3g}", flush=True)


def cpu():
    lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    return next((line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")), platform.machine())


def near(ours, theirs, share, what):
    assert abs(ours - theirs) <= share * abs(theirs), f"{what}: heatbook {ours}, here {theirs}: the comparison says nothing"


def timed(verb, file, *more, times=1):
    return child(HEATBOOK, verb, file, "--shop", "none", *more, times=times)


def answer(verb, file, *more):
    command = (HEATBOOK, verb, file, "--shop", "none", "--format", "json", *more)
    return json.loads(subprocess.run(command, check=True, capture_output=True).stdout)


def write(name, text):
    Path(name).write_text(text, encoding="utf-8")
    return name


def script(name, *lines):
    """A program of its own that works the arithmetic, as a user would start it."""
    parts = [f"SCALE = {SCALE}\n", *(inspect.getsource(f) for f in (galley, margin, asked, with_units)), *lines]
    return (sys.executable, write(name, "\n".join(parts)))


def same_figures():
    steps = answer("run", "first.heat")["steps"][2:]
    here = []
    galley(SCALE, 62.0, keep=here)
    assert len(steps) == len(here)
    for step, kept in zip(steps, here):
        names = ("thickness_mm", "width_mm", "length_mm", "mass_g", "layers")
        for name, figure in zip(names, kept):
            near(step["after"][name], figure, 1e-9, f"step {step['n']}, {name}")
    print(f"after each of {len(here)} steps, sizes, mass and layers are those of the program to 9 digits")


def runs(modules):
    print("\nA start and a run")
    starts = timed("check", "first.heat", times=20), timed("check", "small.heat", times=20), child(shutil.which("true"), times=20)
    check, small, nothing = turns(*starts)
    row("`check`, cold", check, "an empty process (`true`)", nothing)
    row("`check` of one line, cold", small, "an empty process (`true`)", nothing)
    whole, python = turns(timed("run", "first.heat", times=10), child(*script("plain.py", "print(galley(SCALE, 62.0))"), times=5))
    row("`run`, cold, all printed", whole, "Python started, six figures printed", python)
    pint = modules.get("pint")
    if pint:
        units = child(*script("units.py", "import pint", "print(with_units(pint.UnitRegistry()))"))
        whole, python = turns(timed("run", "first.heat", times=10), units, rounds=3)
        row("`run`, cold, all printed", whole, "Python with pint started, the same", python)
    # A run on its own cannot be had from outside: it is what each further sample takes.
    few, many = (timed("odds", "odds.heat", "--samples", str(n), "--cores", "1") for n in (1_000, 51_000))
    few, many, python = turns(few, many, inside(galley, SCALE, 62.0, times=1_000))
    run = (many - few) / 50_000
    row("a run, judged (a further sample)", run, "plain Python", python)
    if pint:
        ureg = pint.UnitRegistry()
        near(galley(SCALE, 62.0)[3], with_units(ureg)[3].to("g").magnitude, 1e-12, "mass with pint")
        (quantities,) = turns(inside(with_units, ureg, times=10))
        row("a run, judged (a further sample)", run, "pint, units carried through every step", quantities)
    return run, small


def odds(modules, run):
    print("\nSamples: the scale not known better than 40 %")
    ours = timed("odds", "odds.heat", "--samples", str(SAMPLES), "--format", "json")
    np = modules.get("numpy")
    taken, *numpy = turns(ours, *([inside(million, np)] if np else []), rounds=2)
    told = json.loads(ours.said)
    lines = {line["asked"].split()[0]: line for line in told["lines"]}
    if np:
        share, quantiles = million(np)
        for name, here in zip(("thickness", "mass"), quantiles):
            for q, figure in zip(("p5", "p50", "p95"), here):
                near(lines[name][q], figure, 2e-3, f"{name}, {q}")
        # The two draw apart: their noise adds.
        noise = (share * (1 - share) * 2 / SAMPLES) ** 0.5
        assert abs(told["all"] - share) < 5 * noise, f"heatbook {told['all']}, numpy {share}"
        row(f"`odds`, {SAMPLES:,} samples", taken, "numpy, blocks of 16,384", *numpy)
        print(f"  meets the target: heatbook {100 * told['all']:.3f} %, numpy {100 * share:.3f} %; noise of the difference {100 * noise:.3f} %")
    unc = modules.get("uncertainties")
    if unc:
        # Which of two is less goes by their middles: to compare the figures themselves is on its way out there.
        least, most = (lambda *both, way=way: way(both, key=unc.nominal_value) for way in (min, max))
        given = unc.ufloat(SCALE, OFF), 62.0, 1.0, 1.0, least, most
        made = galley(*given)
        (linear,) = turns(inside(galley, *given, times=20))
        # Central differences: as written, and a standard deviation to each side.
        row("first order: three runs", 3 * run, "uncertainties, one evaluation", linear)
        row(f"`odds`, {SAMPLES:,} samples", taken, "uncertainties, one evaluation", linear)
        for name, figure in (("thickness", made[0]), ("mass", made[3])):
            near(lines[name]["first_order_u"], figure.s, 0.01, f"first order of {name}")
            print(f"  u of {name}: heatbook {lines[name]['first_order_u']:.4g}, uncertainties {figure.s:.4g}")
        print(f"  one evaluation has no notion of the {100 * (1 - told['all']):.1f} % that come out too short and stop: its length is 250 mm, without doubt")
    return taken


def question(modules, small):
    if "scipy" not in modules:
        return
    print("\nA question: `? wide` in the place of 62 mm")
    brentq = importlib.import_module("scipy.optimize").brentq
    told = answer("fill", "asked.heat")
    low, high = asked(brentq)
    near(told["low"], low, 1e-6, "the least width")
    near(told["high"], high, 1e-6, "the greatest width")
    calls = sum(brentq(margin, *ends, xtol=1e-9, full_output=True)[1].function_calls for ends in ((45, 62), (62, 90)))
    whole = child(*script("question.py", "from scipy.optimize import brentq", "print(asked(brentq))"))
    fill, inner, python = turns(timed("fill", "asked.heat", times=20), inside(asked, brentq, times=20), whole, rounds=4)
    row("`fill`, cold", fill, "Python and scipy started, brentq twice", python)
    row("`fill` less a `check` of one line", max(fill - small, 1e-6), "brentq twice over plain Python", inner)
    print(f"  both say {low:.2f} to {high:.2f} mm; heatbook in {told['runs']} runs, reading the recipe too; brentq in {calls}, told where to look")


def grown(unit, labels, counts, heads, rows):
    """A table of what each further unit takes, from one row to the next."""
    print(f"\n{unit:>16}" + "".join(f"{head:>18}" for head in heads))
    for i, label in enumerate(labels, 1):
        each = ((now - then) / (counts[i] - counts[i - 1]) for now, then in zip(rows[i], rows[i - 1]))
        print(f"{label:>16}" + "".join(f"{shown(max(e, 0)):>18}" for e in each))
    sys.stdout.flush()


def growth(small, million):
    print("\nGrowth: what each further unit takes, from one row to the next (the first: less a `check` of one line); level where it is linear")
    head = "shop {\n  scale none\n}\n"
    kinds = {
        "draw": lambda i, n: f"draw b to {30 - 14 * i / n:.6f} mm thick, heats 1\n",
        "heat": lambda i, n: "heat b for 1 min at 900 C\n",
        "grind": lambda i, n: f"grind b faces {5 / n:.6f} mm\n",
    }
    columns, rows, counts = [("check", "draw"), ("check", "heat"), ("check", "grind"), ("run", "draw")], [[small] * 4], [0, 10, 100, 1_000, 10_000]
    for n in counts[1:]:
        for kind, line in kinds.items():
            write(f"{kind}.heat", head + "stock b = 1 square of 1084, 30 x 120 mm\n" + "".join(line(i + 1, n) for i in range(n)))
        times, rounds = (20, 5) if n <= 100 else (1, 4)
        rows.append(turns(*(timed(verb, f"{kind}.heat", times=times) for verb, kind in columns), rounds=rounds))
    grown("steps", [f"{n:,}" for n in counts[1:]], counts, [f"`{verb}`, {kind}" for verb, kind in columns], rows)

    # Each fold is forged back to one size, so that nothing grows but the layers.
    fold = "fold b\nweld b at 1200 C, heats 3\ndraw b to 9 mm thick, 40 mm wide, heats 4\n"
    start = "".join(f"stock {name} = 1 bar of {grade}, 5 x 40 x 300 mm\n" for name, grade in (("dark", "1084"), ("bright", "15N20")))
    start += "stack b = dark, bright\nweld b at 1200 C, heats 3\ndraw b to 9 mm thick, 40 mm wide, heats 3\n"
    counts = [0, 4, 8, 16, 24, 32, 40, 48]
    for power in counts[1:]:
        write(f"fold{power}.heat", head + start + fold * (power - 1))
        made = answer("run", f"fold{power}.heat")["steps"][-1]["after"]["layers_text"]
        assert made == str(2**power), made
    rows = [[each] for each in turns(timed("check", "small.heat", times=20), *(timed("check", f"fold{n}.heat", times=20) for n in counts[1:]))]
    grown("layers", [f"2^{n}" for n in counts[1:]], counts, ["`check`, a fold"], rows)

    counts, rows = [0, 1_000, 10_000, 100_000, SAMPLES], [[small]]
    for n in counts[1:-1]:
        rows.append(turns(timed("odds", "odds.heat", "--samples", str(n)), rounds=3))
    grown("samples", [f"{n:,}" for n in counts[1:]], counts, ["`odds`, a sample"], [*rows, [million]])

    cores, best = [n for n in (1, 2, 4, 8) if n <= len(os.sched_getaffinity(0))], {}
    for n in cores * 3:
        start = time.perf_counter()
        spent = timed("odds", "odds.heat", "--samples", "100000", "--cores", str(n))()
        took = time.perf_counter() - start, spent
        best[n] = tuple(map(min, took, best.get(n, took)))
    print(f"\n{'cores':>16}{'clock':>18}{'processor':>18}{'clock : one core':>18}   (100,000 samples; a busy machine has fewer cores to give)")
    for n, (clock, spent) in best.items():
        print(f"{n:>16}{shown(clock):>18}{shown(spent):>18}{clock / best[1][0]:>18.2f}")


def main():
    wanted = "numpy", "scipy", "pint", "uncertainties"
    modules = {name: importlib.import_module(name) for name in wanted if importlib.util.find_spec(name)}
    load = ", ".join(f"{n:.1f}" for n in os.getloadavg())
    print(f"{cpu()}, {len(os.sched_getaffinity(0))} cores, {platform.system()} {platform.release()} {platform.machine()}; load {load}")
    version = subprocess.run((HEATBOOK, "--version"), check=True, capture_output=True, text=True).stdout.split("\n")[0]
    there = "".join(f", {name} {module.__version__}" for name, module in modules.items())
    missing = ", ".join(name for name in wanted if name not in modules)
    print(f"{version}; Python {platform.python_version()}{there}" + (f"; not installed, left out: {missing}" if missing else ""))
    first = RECIPE.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        write("first.heat", first)
        write("small.heat", "stock b = 1 bar of 1084, 9 x 40 x 300 mm\n")  # what a start costs, with next to nothing to do
        write("odds.heat", first.replace("scale 0.05 mm per heat", "scale 0.05 mm +- 40 % per heat"))
        write("asked.heat", first.replace("62 mm wide", "? wide"))
        same_figures()
        print("\ntimes: how many times ours theirs takes; under 1, ours is the slower")
        print(f"{'ours':<39} {'':>9}  {'theirs':<44} {'':>9} {'times':>9}")
        run, small = runs(modules)
        million = odds(modules, run)
        question(modules, small)
        growth(small, million)


main()
