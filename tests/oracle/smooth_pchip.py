"""Smooth lines through points, by SciPy's monotone cubic (PchipInterpolator: Fritsch & Butland 1984 inside, three points at the ends).

    python3 tests/oracle/smooth_pchip.py > tests/oracle/smooth.csv
"""

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator

print(f"# smooth_pchip.py, SciPy {scipy.__version__}: lines through points like those of a blade, mm")
print("set,given,x,y")
rng = np.random.default_rng(27)
for number in range(24):
    count = 2 if number == 0 else int(rng.integers(3, 9))
    x = np.concatenate([[0.0], np.cumsum(rng.uniform(8.0, 90.0, count - 1))])
    y = rng.uniform(0.0, 60.0, count)
    if number % 3 == 1:
        y = np.sort(y)
    if number % 3 == 2:
        y[count // 2 :] = y[count // 2]
    line = PchipInterpolator(x, y)
    for a, b in zip(x, y):
        print(f"{number},1,{a!r},{b!r}".replace("np.float64(", "").replace(")", ""))
    fine = np.concatenate([np.linspace(p, q, 9)[1:-1] for p, q in zip(x, x[1:])])
    for a, b in zip(fine, line(fine)):
        print(f"{number},0,{a!r},{b!r}".replace("np.float64(", "").replace(")", ""))
