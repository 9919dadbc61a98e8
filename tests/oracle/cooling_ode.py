"""Cooling of a hot bar by a general-purpose integrator, to hold `steel::cooling` against.

Run: python3 tests/oracle/cooling_ode.py > tests/oracle/cooling.csv   (Python 3 with scipy 1.17.1, from PyPI)
rho (V/A) c(T) dT/dt = -[h (T - Ts) + eps sigma (T^4 - Ts^4)], integrated by solve_ivp (LSODA, rtol 1e-11), stopped
by an event at the temperature asked. Heat capacity: EN 1993-1-2:2005, 3.4.1.2. sigma: CODATA 2018.
"""

import itertools

from scipy.integrate import solve_ivp

SIGMA = 5.670374419e-8


def capacity(t):
    t = min(max(t, 20.0), 1200.0)
    if t < 600:
        return 425 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3
    if t < 735:
        return 666 + 13002 / (738 - t)
    if t < 900:
        return 545 + 17820 / (t - 731)
    return 650.0


def seconds(mm, h, start, stop, around=20.0, eps=0.8, rho=7850.0):
    """Seconds to cool, kink by kink of the heat capacity so that the integrator sees smooth curves only."""
    cuts = [t for t in (1200.0, 900.0, 735.0, 600.0) if stop < t < start]
    total = 0.0
    for a, b in zip([start, *cuts], [*cuts, stop]):
        # A hair inside, so that each part is taken on its own branch.
        branch = lambda t: capacity(min(max(t, b + 1e-9), a - 1e-9))

        def slope(_, y):
            t, s = y[0] + 273.15, around + 273.15
            flux = h * (t - s) + eps * SIGMA * (t**4 - s**4)
            return [-flux / (rho * mm * 1e-3 * branch(y[0]))]

        def there(_, y, b=b):
            return y[0] - b

        there.terminal = True
        made = solve_ivp(slope, (0, 1e6), [a], method="LSODA", rtol=1e-11, atol=1e-9, events=there)
        total += made.t_events[0][0]
    return total


print("# made by tests/oracle/cooling_ode.py with scipy 1.17.1: emissivity 0.8, 7850 kg/m3, air 20 C")
print("volume_over_surface_mm,convection_w_m2k,from_c,to_c,seconds")
for mm, h, (start, stop) in itertools.product(
    [0.8, 2.5, 6.25, 12.5],
    [0.0, 25.0, 80.0],
    [(1230, 1000), (1200, 900), (1200, 850), (1100, 780), (1200, 700), (950, 500), (800, 100)],
):
    print(f"{mm},{h},{start},{stop},{seconds(mm, h, float(start), float(stop)):.9g}")
