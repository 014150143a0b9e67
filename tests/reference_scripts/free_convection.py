"""Nusselt numbers of the open library `ht`, for free_convection.csv.

Horizontal cylinder (Churchill & Chu 1975, all Ra), vertical plate (Churchill & Chu 1975,
all Ra) and the McAdams laws of horizontal plates. Ra and Pr are chosen, so that air
properties play no part.
Run: python3 free_convection.py > free_convection.csv  (needs ht)
"""
import ht
from ht.conv_free_immersed import (
    Nu_horizontal_cylinder_Churchill_Chu,
    Nu_vertical_plate_Churchill,
)

print(f"# Nu of ht {ht.__version__} at chosen Ra and Pr")
print("body,prandtl,rayleigh,nusselt")
for pr in (0.68, 0.71, 0.73):
    for exponent in range(-2, 9):
        ra = 10.0**exponent
        gr = ra / pr
        print(f"cylinder,{pr},{ra:.0e},{Nu_horizontal_cylinder_Churchill_Chu(pr, gr):.10f}")
        print(f"plate,{pr},{ra:.0e},{Nu_vertical_plate_Churchill(pr, gr):.10f}")
