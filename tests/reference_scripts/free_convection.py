"""Heat that the open library `ht` finds for cylinders and plates, for free_convection.csv.

Horizontal cylinder and vertical plate, both Churchill & Chu 1975, all Ra. Air: viscosity
and conductivity of the US Standard Atmosphere 1976, ideal gas, cp 1007 J/(kg K), at the
film temperature. No radiation. `size` is the diameter or the height in metres, `heat` is
W per m2 of surface.
Run: python3 free_convection.py > free_convection.csv  (needs ht)
"""
import ht
from ht.conv_free_immersed import (
    Nu_horizontal_cylinder_Churchill_Chu,
    Nu_vertical_plate_Churchill,
)

LAWS = {
    "cylinder": Nu_horizontal_cylinder_Churchill_Chu,
    "plate": Nu_vertical_plate_Churchill,
}

print(f"# heat by free convection, ht {ht.__version__}")
print("body,size_m,surface_degc,air_degc,altitude_m,nusselt,heat_w_per_m2")
for body, law in LAWS.items():
    for size in (0.001, 0.004, 0.010, 0.025, 0.060, 0.150):
        for surface, air, altitude in (
            (65, 35, 0),
            (125, 40, 0),
            (90, 85, 0),
            (200, -20, 3000),
            (400, 50, 9000),
        ):
            film = 0.5 * (surface + air) + 273.15
            pressure = 101325.0 * (1 - 2.25577e-5 * altitude) ** 5.25588
            mu = 1.458e-6 * film**1.5 / (film + 110.4)
            k = 2.64638e-3 * film**1.5 / (film + 245.4 * 10 ** (-12 / film))
            nu = mu / (pressure / (287.055 * film))
            pr = mu * 1007.0 / k
            gr = 9.80665 / film * (surface - air) * size**3 / nu**2
            nusselt = law(pr, gr)
            heat = nusselt * k / size * (surface - air)
            print(f"{body},{size},{surface},{air},{altitude},{nusselt:.9g},{heat:.9g}")
