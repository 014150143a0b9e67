"""Exact skin effect of a round wire, for tests/reference_scripts/skin_bessel.csv.

R/R' = Re[(ka/2) J0(ka)/J1(ka)], (ka)^2 = -j x^2, with the Bessel functions of scipy.
Run: python3 skin_bessel.py > skin_bessel.csv  (needs scipy and numpy)
"""
import numpy as np
import scipy
from scipy.special import jv


def exact(x):
    ka = x * np.exp(-0.25j * np.pi)
    return (0.5 * ka * jv(0, ka) / jv(1, ka)).real


print(f"# exact R/R' of a round wire over x; scipy {scipy.__version__}")
print("x,ratio")
# Both sides of the joins at 2.8 and 3.8 are in it.
for x in sorted({*np.round(np.arange(0.1, 10.01, 0.1), 3), 2.79, 2.81, 3.79, 3.81}):
    print(f"{x:.3f},{exact(x):.10f}")
