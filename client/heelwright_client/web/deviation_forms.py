"""What is asked of a departure from the procedure, in the order that lets it be typed in ten seconds."""

from __future__ import annotations

from heelwright_client.web.fields import Field, Spec
from heelwright_client.web.stored_test import StoredTest

DEVIATION_WORDS = {
    "liquid-unseen": "liquid left where it should be dry (mass and place)",
    "surplus-overlooked": "something aboard that was not listed (mass and place)",
    "missing-forgotten": "something still to come that was not listed (mass and place)",
    "weight-mass": "weights off their certificate (relative size)",
    "shift-distance": "a shift noted too long (length)",
    "instrument-length": "an instrument's length noted too long (length)",
    "deflection-short": "deflections read short (mm)",
    "heel-held": "a line, fender or the bottom holds part of the heel (share)",
    "draught-reading": "draughts read too deep (length)",
    "water-density": "water of another density (density)",
    "density-basis": "density in air taken for density in vacuum",
    "free-surface": "free surface deducted that is not there (moment)",
    "tank-pressed": "a tank taken as slack that was full (tank)",
    "pressed-tank-air": "air in a tank taken as full (tank and volume)",
    "sounding": "a tank sounded too deep (tank and length)",
    "people-walk": "people walk across with the weights (mass and distance)",
    "mass-out-of-place": "truck, gang or person off its place (mass and distance)",
    "heeling-moment": "wind or another heeling moment (moment and states)",
    "other": "something else: told in words, not priced",
}


_PLACED = ("mass_t", "x_m", "y_m", "z_m", "free_surface_moment_t_m")
DEVIATION_SIZES: dict[str, tuple[str, ...]] = {
    "liquid-unseen": _PLACED,
    "surplus-overlooked": _PLACED,
    "missing-forgotten": ("mass_t", "x_m", "y_m", "z_m"),
    "weight-mass": ("relative",),
    "shift-distance": ("size_m",),
    "instrument-length": ("size_m",),
    "deflection-short": ("size_mm",),
    "heel-held": ("share",),
    "draught-reading": ("size_m",),
    "water-density": ("density_t_per_m3",),
    "density-basis": (),
    "free-surface": ("free_surface_moment_t_m",),
    "tank-pressed": ("tank",),
    "pressed-tank-air": ("tank", "volume_m3", "free_surface_moment_t_m"),
    "sounding": ("tank", "size_m"),
    "people-walk": ("mass_t", "distance_m"),
    "mass-out-of-place": ("mass_t", "distance_m", "states"),
    "heeling-moment": ("moment_t_m", "states"),
    "other": (),
}
"""The sizes that a kind of departure is told by; a script shows these alone."""


def deviation_spec(test: StoredTest) -> Spec:
    """Return what is asked of a departure.

    Parameters
    ----------
    test : StoredTest
        The test.

    Returns
    -------
    sequence of Field
        Words and kind first; of the sizes only those that the kind names.
    """
    tanks = [("", "none"), *((str(tank["name"]), str(tank["name"])) for tank in test.tanks)]
    return (
        Field("text", "What is different", required=True, hint="Such as: 2 cm of water left in void 7."),
        Field("kind", "Kind", "choice", options=list(DEVIATION_WORDS.items())),
        Field("mass_t", "Mass", "quantity", "mass", hint="80 kg may be written with kg."),
        Field("x_m", "Forward of AP", "quantity", "length"),
        Field("y_m", "Off the centreline", "side", "length"),
        Field("z_m", "Above base", "quantity", "length"),
        Field(
            "distance_m", "Distance", "quantity", "length", hint="Of a mass off its place: to starboard, minus to port."
        ),
        Field("size_m", "Length", "quantity", "length", hint="Recorded less true."),
        Field("size_mm", "Deflection", "number", unit="mm"),
        Field("share", "Share of the heel", "number", hint="0.03 for 3 %."),
        Field("relative", "Relative size", "number", hint="-0.01 for 1 % lighter."),
        Field("moment_t_m", "Moment to starboard", "quantity", "moment"),
        Field("free_surface_moment_t_m", "Free-surface moment", "quantity", "moment"),
        Field("density_t_per_m3", "True density", "number", unit="t/m³"),
        Field("volume_m3", "Volume", "quantity", "volume"),
        Field("tank", "Tank", "choice", options=tanks),
        Field("states", "States", hint="Numbers, such as 3 4 5."),
    )
