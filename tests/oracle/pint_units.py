"""Makes units.csv: what each written quantity is in base units, by the `pint` package.

Run: python3 -m pip install pint && python3 tests/oracle/pint_units.py > tests/oracle/units.csv
pint keeps the yard-pound agreement of 1959 exactly (1 in = 25.4 mm, 1 lb = 0.45359237 kg).
Base units: mm, mm2, mm3, g, degree Celsius, kN, min, degree, g/mm3; a difference of temperature in kelvin.
"""

import random

import pint

u = pint.UnitRegistry()
Q = u.Quantity
random.seed(20261125)

# word of the language, pint's unit, base unit
UNITS = [
    ("mm", "millimeter", "millimeter"), ("cm", "centimeter", "millimeter"), ("m", "meter", "millimeter"),
    ("in", "inch", "millimeter"), ("inch", "inch", "millimeter"), ("ft", "foot", "millimeter"),
    ("thou", "thou", "millimeter"), ("mm2", "millimeter**2", "millimeter**2"), ("cm2", "centimeter**2", "millimeter**2"),
    ("in2", "inch**2", "millimeter**2"), ("mm3", "millimeter**3", "millimeter**3"),
    ("cm3", "centimeter**3", "millimeter**3"), ("in3", "inch**3", "millimeter**3"), ("g", "gram", "gram"),
    ("kg", "kilogram", "gram"), ("lb", "pound", "gram"), ("oz", "ounce", "gram"),
    ("tonf", "metric_ton * standard_gravity", "kilonewton"), ("US tonf", "short_ton * standard_gravity", "kilonewton"),
    ("kN", "kilonewton", "kilonewton"), ("N", "newton", "kilonewton"), ("s", "second", "minute"),
    ("min", "minute", "minute"), ("h", "hour", "minute"), ("deg", "degree", "degree"), ("%", "percent", ""),
    ("g/cm3", "gram/centimeter**3", "gram/millimeter**3"), ("kg/m3", "kilogram/meter**3", "gram/millimeter**3"),
]

print("# made by tests/oracle/pint_units.py with pint", pint.__version__)
print("text,base")
for word, unit, base in UNITS:
    for value in ["1", "2.5", ".070", f"{random.uniform(0.1, 900):.4f}"]:
        print(f"{value} {word},{(float(value) * u(unit)).to(base).magnitude!r}")
for whole, top, under, word, unit in [(1, 1, 2, "in", "inch"), (0, 3, 16, "in", "inch"), (2, 37, 64, "in", "inch"), (1, 3, 8, "ft", "foot")]:
    amount = (Q(whole + top / under, unit)).to("millimeter").magnitude
    texts = [f"{whole} {top}/{under} {word}", f"{whole}-{top}/{under} {word}"] if whole else [f"{top}/{under} {word}"]
    for text in texts:
        print(f"{text},{amount!r}")
print(f"2 lb 6 oz,{(Q(2, 'pound') + Q(6, 'ounce')).to('gram').magnitude!r}")
print(f"4 ft 2 in,{(Q(4, 'foot') + Q(2, 'inch')).to('millimeter').magnitude!r}")
print(f"1 h 30 min,{(Q(1, 'hour') + Q(30, 'minute')).to('minute').magnitude!r}")
for value in ["20", "1230", "815.5"]:
    print(f"{value} C,{float(value)!r}")
for value in ["32", "212", "2250", "1450.25"]:
    amount = Q(float(value), "degF").to("degC").magnitude
    print(f"{value} F,{amount!r}")
    print(f"{value} °F,{amount!r}")
for value in ["30", "12.5"]:
    amount = 1200 + Q(float(value), "delta_degF").to("delta_degC").magnitude
    print(f"1200 C + {value} F,{amount!r}")
