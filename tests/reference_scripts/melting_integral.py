"""How far a fuse melts under a current that decays or rises, for melting_integral.csv.

The melting integral d = int dt / t_m(|i(t)|), t_m by straight lines between the points in
log-log, above the first point its I2t, below the last none. numpy.interp reads the
curve, scipy.integrate.quad adds up between the corners, scipy.optimize.brentq finds
when d = 1. The points are invented.
Run: python3 melting_integral.py > melting_integral.csv  (needs scipy and numpy)
"""
import numpy as np
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq

POINTS = [(600, 1000), (800, 60), (1000, 12), (1500, 1.5), (2500, 0.15),
          (4000, 0.03), (8000, 0.005), (15000, 0.0012)]
LOG_I = np.log([i for i, _ in POINTS])
LOG_T = np.log([t for _, t in POINTS])
CURRENTS = [i for i, _ in POINTS]


def rate(i):
    if i < CURRENTS[0]:
        return 0.0
    if i > CURRENTS[-1]:
        return i * i / (CURRENTS[-1] ** 2 * POINTS[-1][1])
    return float(np.exp(-np.interp(np.log(i), LOG_I, LOG_T)))


def current(shape, peak, tau, t):
    return peak * np.exp(-t / tau) if shape == "decay" else -peak * np.expm1(-t / tau)


def corners(shape, peak, tau):
    """Times at which the current passes a point of the curve."""
    inside = [i for i in CURRENTS if i < peak]
    if shape == "decay":
        return sorted(tau * np.log(peak / i) for i in inside)
    return sorted(-tau * np.log1p(-i / peak) for i in inside)


def melted(shape, peak, tau, end):
    edges = [0.0, *(t for t in corners(shape, peak, tau) if t < end), end]
    parts = (quad(lambda t: rate(current(shape, peak, tau, t)), a, b,
                  epsabs=1e-13, epsrel=1e-11, limit=200)[0]
             for a, b in zip(edges, edges[1:]))
    return sum(parts)


print(f"# melting integral of invented fuse points; scipy {scipy.__version__}, numpy {np.__version__}")
print("shape,peak_a,tau_s,end_s,melted,melts_after_s")
for shape in ("decay", "rise"):
    for peak in (700.0, 1200.0, 3000.0, 6000.0, 14000.0, 25000.0):
        for tau in (0.0005, 0.01, 0.3, 5.0):
            end = 8.0 * tau
            total = melted(shape, peak, tau, end)
            after = "never"
            if total >= 1.0:
                after = f"{brentq(lambda t: melted(shape, peak, tau, t) - 1.0, 0.0, end, xtol=1e-14, rtol=1e-12):.9e}"
            print(f"{shape},{peak:.0f},{tau},{end:.6g},{min(total, 1.0):.9e},{after}")
