"""Propagation of uncertainty by two general packages, to hold `odds` against.

Run: python3 tests/oracle/odds.py > tests/oracle/odds.csv   (Python 3, from PyPI: numpy 2.4.6, uncertainties 3.2.3)
A bar of stock with three sizes, each with its tolerance (95 %, k = 2): its mass by `uncertainties` (first order, JCGM 100)
and by `numpy` (4 million normal draws, JCGM 101): 5, 50, 95 % and the chance of staying under a limit. Density 7850 kg/m3.
"""

import numpy as np
from uncertainties import ufloat

rng = np.random.default_rng(20261125)
print("# made by tests/oracle/odds.py with numpy 2.4.6 and uncertainties 3.2.3")
print("thick,thick_tol,wide,wide_tol,long,long_tol,limit_g,nominal_g,u_g,p5_g,p50_g,p95_g,chance")
for t, dt, w, dw, l, dl, limit in [
    (5.0, 0.2, 40.0, 0.5, 200.0, 2.0, 318.0),
    (3.0, 0.1, 38.0, 1.0, 120.0, 1.0, 105.0),
    (12.0, 1.5, 50.0, 4.0, 250.0, 20.0, 1300.0),
    (1.5, 0.3, 40.0, 0.2, 150.0, 0.5, 70.0),
]:
    first = ufloat(t, dt / 2) * ufloat(w, dw / 2) * ufloat(l, dl / 2) * 7.85e-3
    draws = [rng.normal(m, d / 2, 4_000_000) for m, d in [(t, dt), (w, dw), (l, dl)]]
    mass = draws[0] * draws[1] * draws[2] * 7.85e-3
    q = np.quantile(mass, [0.05, 0.5, 0.95])
    row = [t, dt, w, dw, l, dl, limit, first.nominal_value, first.std_dev, *q, np.mean(mass <= limit)]
    print(",".join(f"{x:.9g}" for x in row))
