"""The steady temperature that `tests/benches/cost.rs` solves, in Python with open libraries.

70 mm2, generic build, 250 A, 60 degC air: printed for comparison, with the time of one
solve. Needs `ht` (Churchill & Chu, air properties entered as in the core) and `scipy`.
"""

import math
import timeit

from ht.conv_free_immersed import Nu_horizontal_cylinder_Churchill_Chu
from scipy.optimize import brentq

AREA, R20, ALPHA = 70.0, 0.272e-3, 0.00393
CONDUCTOR = math.sqrt(AREA * 4 / math.pi / 0.75) * 1e-3
OVER_INSULATION = CONDUCTOR + 2 * 1.4e-3
OVER_SHIELD = OVER_INSULATION + 2 * 0.5e-3
OUTER = OVER_SHIELD + 2 * 1.6e-3
T1 = math.log(OVER_INSULATION / CONDUCTOR) / (2 * math.pi) * 3.5
T3 = math.log(OUTER / OVER_SHIELD) / (2 * math.pi) * 5.0
AIR, CURRENT, EMISSIVITY = 60.0, 250.0, 0.9


def given_off(surface):
    ts, ta = surface + 273.15, AIR + 273.15
    t = 0.5 * (ts + ta)
    mu = 1.458e-6 * t**1.5 / (t + 110.4)
    k = 2.64638e-3 * t**1.5 / (t + 245.4 * 10 ** (-12 / t))
    rho = 101325 / (287.055 * t)
    prandtl = mu * 1007 / k
    grashof = 9.80665 / t * abs(ts - ta) * OUTER**3 / (mu / rho) ** 2
    h = Nu_horizontal_cylinder_Churchill_Chu(prandtl, grashof) * k / OUTER
    radiation = EMISSIVITY * 5.670374419e-8 * (ts**4 - ta**4)
    return math.pi * OUTER * (h * (ts - ta) + radiation)


def conductor():
    i2 = CURRENT**2
    feedback = 1 - i2 * R20 * ALPHA * (T1 + T3)

    def loss(surface):
        return i2 * R20 * (1 + ALPHA * (surface - 20)) / feedback

    surface = brentq(lambda ts: given_off(ts) - loss(ts), AIR, 1000, xtol=1e-5)
    return surface + (T1 + T3) * loss(surface)


if __name__ == "__main__":
    runs = 300
    seconds = min(timeit.repeat(conductor, number=runs, repeat=5)) / runs
    print(f"{'the same in Python, ht + scipy':32} {seconds * 1e6:9.3f} us  ({conductor():.3f} degC)")
