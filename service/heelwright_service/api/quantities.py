"""Quantities of requests with the physical range each may have: what lies outside is a slip of unit or sign.

The ranges hold the largest ships and structures that have floated, with room to spare; they are common practice for
input checks, not limits of any rule.
"""

from __future__ import annotations

from heelwright_service.api.fields import Option, Quantity


def length_m(description: str, **options: Option) -> Quantity:
    """A length of something: above 0 to 1000 m."""
    return _quantity(0, 1000, description, above=True, **options)


def x_m(description: str = "forward of the aft perpendicular [m]", **options: Option) -> Quantity:
    """A place along the ship: -1000 to 1000 m."""
    return _quantity(-1000, 1000, description, **options)


def y_m(description: str = "to starboard of the centreline [m]", **options: Option) -> Quantity:
    """A place across the ship: -500 to 500 m."""
    return _quantity(-500, 500, description, **options)


def distance_m(**options: Option) -> Quantity:
    """How far people walk, or a mass stands off its place with the side as its sign: -1000 to 1000 m."""
    told = (
        "how far people walk with the weights, which has no side; or how far a mass stands from its reading position, "
        "positive to starboard of it [m]"
    )
    return _quantity(-1000, 1000, told, **options)


def z_m(description: str = "above the moulded baseline [m]", **options: Option) -> Quantity:
    """A height: -100 to 500 m."""
    return _quantity(-100, 500, description, **options)


def mass_t(description: str = "mass [t]", **options: Option) -> Quantity:
    """A mass: above 0 to 1 000 000 t."""
    return _quantity(0, 1_000_000, description, above=True, **options)


def mass_or_none_t(description: str, **options: Option) -> Quantity:
    """A mass that may be nothing: 0 to 1 000 000 t."""
    return _quantity(0, 1_000_000, description, **options)


def temperature_c(description: str, **options: Option) -> Quantity:
    """A temperature of water: -5 to 60 °C."""
    return _quantity(-5, 60, description, **options)


def oil_temperature_c(description: str, **options: Option) -> Quantity:
    """A temperature of a liquid in a tank, heated oil among them: -18 to 150 °C, the range of ASTM D 1250."""
    return _quantity(-18, 150, description, **options)


def deflection_mm(description: str, **options: Option) -> Quantity:
    """A deflection of a pendulum or U-tube: up to 20 m either way."""
    return _quantity(-20_000, 20_000, description, **options)


def water_density(description: str = "density of the water [t/m³]", **options: Option) -> Quantity:
    """A density of water that ships float in: 0.95 to 1.10 t/m³."""
    return _quantity(0.95, 1.10, description, **options)


def liquid_density(description: str = "density of the liquid [t/m³]", **options: Option) -> Quantity:
    """A density of a liquid in a tank, from liquefied gas to drilling mud: 0.3 to 3 t/m³."""
    return _quantity(0.3, 3.0, description, **options)


def volume_m3(description: str, *, above: bool = False, **options: Option) -> Quantity:
    """A volume: 0 to 1 000 000 m³."""
    return _quantity(0, 1_000_000, description, above=above, **options)


def signed_volume_m3(description: str, **options: Option) -> Quantity:
    """A volume that may be taken away: -1 000 000 to 1 000 000 m³."""
    return _quantity(-1_000_000, 1_000_000, description, **options)


def height_m(description: str, **options: Option) -> Quantity:
    """A height of a metacentre above the baseline: -100 to 100 000 m, since KM grows without limit as draught falls."""
    return _quantity(-100, 100_000, description, **options)


def trim_m(description: str, **options: Option) -> Quantity:
    """A trim by the stern: up to 100 m either way."""
    return _quantity(-100, 100, description, **options)


def draught_m(description: str, *, low: float = 0.0, above: bool = False, **options: Option) -> Quantity:
    """A draught, reading of a mark, or freeboard: up to 100 m."""
    return _quantity(low, 100, description, above=above, **options)


def angle_deg(description: str, limit: float = 45.0, **options: Option) -> Quantity:
    """An angle of heel, to starboard positive: up to 45° either way."""
    return _quantity(-limit, limit, description, **options)


def second_moment_m4(description: str, **options: Option) -> Quantity:
    """A second moment of area: 0 to 1e9 m⁴."""
    return _quantity(0, 1e9, description, **options)


def standard_uncertainty(unit: str, high: float, **options: Option) -> Quantity:
    """A standard uncertainty: 0 is allowed and means exact."""
    return _quantity(0, high, f"standard uncertainty [{unit}]; 0 means exact", **options)


def expanded_uncertainty_m(description: str, **options: Option) -> Quantity:
    """An expanded (95 %) uncertainty of a height: 0 to 100 m."""
    return _quantity(0, 100, description, allow_none=True, **options)


def gm_m(description: str, **options: Option) -> Quantity:
    """A metacentric height: above 0 to 1000 m."""
    return _quantity(0, 1000, description, above=True, **options)


def signed_gm_m(description: str, **options: Option) -> Quantity:
    """A metacentric height that may be negative: -1000 to 1000 m."""
    return _quantity(-1000, 1000, description, **options)


def area_m2(description: str, **options: Option) -> Quantity:
    """An area: above 0 to 100 000 m²."""
    return _quantity(0, 100_000, description, above=True, **options)


def deck_load_t_per_m2(description: str, **options: Option) -> Quantity:
    """A load on a deck: above 0 to 1000 t/m²."""
    return _quantity(0, 1000, description, above=True, **options)


def resolution(description: str, high: float, **options: Option) -> Quantity:
    """The finest step that an instrument can be read to."""
    return _quantity(0, high, description, above=True, **options)


def weight_step_t(description: str, **options: Option) -> Quantity:
    """A step between masses to choose from: 1 kg to 1000 t, since a finer one only lengthens the search."""
    return _quantity(0.001, 1000, description, **options)


def shift_step_m(description: str, **options: Option) -> Quantity:
    """A step between shifts to choose from: 10 mm to 1000 m; no deck is marked out more finely."""
    return _quantity(0.01, 1000, description, **options)


def minutes(description: str, **options: Option) -> Quantity:
    """A time of a lift: 0 to 1440 min."""
    return _quantity(0, 1440, description, **options)


def duration_s(description: str, **options: Option) -> Quantity:
    """A duration of something timed by hand: 0.1 to 3600 s."""
    return _quantity(0.1, 3600, description, **options)


def share(description: str, low: float = 0.0, high: float = 1.0, **options: Option) -> Quantity:
    """A relative figure."""
    return _quantity(low, high, description, **options)


def _quantity(low: float, high: float, description: str, *, above: bool = False, **options: Option) -> Quantity:
    return Quantity(low, high, above=above, metadata={"description": description}, **options)
