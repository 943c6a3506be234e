"""Exact hydrostatics of simple bodies, as oracles for tests; none of this is part of the product.

Axes: y to starboard, z up from the keel or apex, heel to starboard positive, the water surface z = h + y·tan φ. Derived
for this project; the upright forms are in any textbook of naval architecture.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, atan, cos, pi, radians, sin, sqrt, tan


@dataclass(frozen=True)
class Floated:
    """A body afloat at a heel: volume, centre of buoyancy, and KM at no heel."""

    volume_m3: float
    y_b_m: float
    z_b_m: float
    km_upright_m: float

    def kn_m(self, heel_deg: float) -> float:
        """Lever of buoyancy about the keel."""
        return self.y_b_m * cos(radians(heel_deg)) + self.z_b_m * sin(radians(heel_deg))


def box(length_m: float, breadth_m: float, draught_m: float, heel_deg: float) -> Floated:
    """A box whose sides cut the surface: wedges of equal volume come out and go in."""
    t = tan(radians(heel_deg))
    bm = breadth_m**2 / (12.0 * draught_m)
    return Floated(length_m * breadth_m * draught_m, bm * t, draught_m / 2 + bm * t**2 / 2, draught_m / 2 + bm)


def wedge(length_m: float, half_angle_deg: float, draught_m: float, heel_deg: float) -> Floated:
    """A prism of triangular section, apex down: the immersed section is a triangle at any heel."""
    a, phi = radians(half_angle_deg), radians(heel_deg)
    area = draught_m**2 * tan(a)
    depth_of_apex = sqrt(2.0 * area / (tan(a + phi) + tan(a - phi)))
    side_s, side_p = depth_of_apex / cos(a + phi), depth_of_apex / cos(a - phi)
    y_b = (side_s - side_p) * sin(a) / 3.0
    z_b = (side_s + side_p) * cos(a) / 3.0
    return Floated(area * length_m, y_b, z_b, 2.0 * draught_m / 3.0 / cos(a) ** 2)


def elliptic_cylinder(
    length_m: float, semi_breadth_m: float, semi_depth_m: float, draught_m: float, heel_deg: float
) -> Floated:
    """A horizontal elliptic cylinder: stretched to a circle, the chord keeps its distance from the centre."""
    a, b = semi_breadth_m, semi_depth_m
    above = (draught_m - b) / b
    segment = acos(-above) + above * sqrt(1.0 - above**2)
    reach = 2.0 / 3.0 * (1.0 - above**2) ** 1.5 / segment
    turn = atan(a / b * tan(radians(heel_deg)))
    half_breadth = a * sqrt(1.0 - above**2)
    km = b - b * reach + 2.0 / 3.0 * half_breadth**3 / (a * b * segment)
    return Floated(length_m * a * b * segment, a * reach * sin(turn), b - b * reach * cos(turn), km)


def ellipse_crossings(
    semi_breadth_m: float, semi_depth_m: float, draught_m: float, heel_deg: float
) -> tuple[float, float]:
    """Angles from the keel, in the stretched circle, at which the surface meets the starboard and the port side."""
    upright = acos(1.0 - draught_m / semi_depth_m)
    turn = atan(semi_breadth_m / semi_depth_m * tan(radians(heel_deg)))
    return upright + turn, upright - turn


def cone(half_angle_deg: float, draught_m: float, heel_deg: float) -> Floated:
    """A circular cone, apex down: its immersed part is an oblique cone on an ellipse."""
    k, t = tan(radians(half_angle_deg)), tan(radians(heel_deg))
    volume = pi * k**2 * draught_m**3 / 3.0
    stretch = 1.0 - (k * t) ** 2
    apex_depth = draught_m * sqrt(stretch)
    centre_y = k**2 * t * apex_depth / stretch
    y_b, z_b = 0.75 * centre_y, 0.75 * (apex_depth + centre_y * t)
    return Floated(volume, y_b, z_b, 0.75 * draught_m * (1.0 + k**2))
