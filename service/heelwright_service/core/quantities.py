"""The glossary as data: what a quantity is called, its symbol, its unit, what its sign means, one sentence.

A field's name ends in its unit; `unit_of` reads it from there. The same words serve documentation and pages.
"""

from __future__ import annotations

from dataclasses import dataclass

UNITS: dict[str, str] = {
    "_t_per_m3": "t/m³",
    "_t_per_m2": "t/m²",
    "_t_per_year": "t/year",
    "_per_t_m": "1/(t·m)",
    "_t_m_per_cm": "t·m/cm",
    "_t_per_cm": "t/cm",
    "_t2_m2": "t²·m²",
    "_t_m": "t·m",
    "_m_per_s": "m/s",
    "_g_per_kg": "g/kg",
    "_per_c": "1/°C",
    "_kn": "kn",
    "_m4": "m⁴",
    "_m3": "m³",
    "_m2": "m²",
    "_mm": "mm",
    "_deg": "°",
    "_percent": "%",
    "_relative": "",
    "_minutes": "min",
    "_hours": "h",
    "_days": "d",
    "_years": "year",
    "_c": "°C",
    "_t": "t",
    "_m": "m",
    "_s": "s",
}
"""Units by the endings of names, the longest endings first."""


@dataclass(frozen=True)
class QuantityEntry:
    """One entry of the glossary.

    Parameters
    ----------
    name : str
        Field name; it ends in the unit.
    symbol : str
        Symbol of the trade.
    sign : str
        What a positive value means; empty where the quantity has no sign.
    sentence : str
        What it is.
    """

    name: str
    symbol: str
    sign: str
    sentence: str

    @property
    def unit(self) -> str:
        """Unit, read from the ending of the name."""
        return unit_of(self.name) or ""


def unit_of(name: str) -> str | None:
    """Read the unit from a field's name.

    Parameters
    ----------
    name : str
        A field name such as ``gm_fluid_m``.

    Returns
    -------
    str or None
        The unit, empty for a ratio, None when the name has no unit's ending.

    Examples
    --------
    >>> unit_of("free_surface_moment_t_m"), unit_of("vcg_m"), unit_of("status")
    ('t·m', 'm', None)
    """
    return next((unit for ending, unit in UNITS.items() if name.endswith(ending)), None)


_FORWARD, _STARBOARD, _UP = "forward of the aft perpendicular", "to starboard", "above the moulded baseline"

GLOSSARY: dict[str, QuantityEntry] = {
    entry.name: entry
    for entry in (
        QuantityEntry("mass_t", "W", "", "Mass; of a lightship, the mass of the empty ship."),
        QuantityEntry(
            "displacement_t", "Δ", "", "Mass of the ship as she floats, equal to that of the water displaced."
        ),
        QuantityEntry("volume_m3", "∇", "", "Volume of water displaced, moulded, with appendages and shell allowance."),
        QuantityEntry("density_t_per_m3", "ρ", "", "Density in vacuum of the water or of a liquid aboard."),
        QuantityEntry("lcg_m", "LCG", _FORWARD, "Longitudinal centre of gravity."),
        QuantityEntry("tcg_m", "TCG", _STARBOARD, "Transverse centre of gravity."),
        QuantityEntry("vcg_m", "VCG", _UP, "Vertical centre of gravity."),
        QuantityEntry("lcb_m", "LCB", _FORWARD, "Longitudinal centre of buoyancy."),
        QuantityEntry("tcb_m", "TCB", _STARBOARD, "Transverse centre of buoyancy."),
        QuantityEntry("vcb_m", "KB", _UP, "Vertical centre of buoyancy."),
        QuantityEntry("lcf_m", "LCF", _FORWARD, "Centroid of the waterplane projected on the ship's x-y plane."),
        QuantityEntry("waterplane_area_m2", "A_W", "", "Area of the waterplane projected on the ship's x-y plane."),
        QuantityEntry(
            "i_t_m4", "I_T", "", "Second moment of the projected waterplane or free surface about its own axis."
        ),
        QuantityEntry("i_l_m4", "I_L", "", "Second moment of the projected waterplane about the transverse axis."),
        QuantityEntry("km_t_m", "KM_T", _UP, "Transverse metacentre: z_B + (1 + tan²φ)·I_T/V, at no heel KB + BM."),
        QuantityEntry("km_l_m", "KM_L", _UP, "Longitudinal metacentre."),
        QuantityEntry("gm_fluid_m", "GM", "stable", "Metacentric height as measured, free surfaces included."),
        QuantityEntry("gm_solid_m", "GM_S", "stable", "Metacentric height with the liquids taken as solid."),
        QuantityEntry(
            "kg_m", "KG", _UP, "Height of the centre of gravity as inclined, liquids at level, upright centres."
        ),
        QuantityEntry("free_surface_m", "FSC", "", "Free-surface correction: sum of ρ·i_T over the displacement."),
        QuantityEntry("free_surface_moment_t_m", "FSM", "", "Sum of ρ·i_T of the slack tanks."),
        QuantityEntry("trim_m", "t", "by the stern", "Draught at the aft less that at the forward perpendicular."),
        QuantityEntry("heel_deg", "φ", "to starboard", "Angle of heel."),
        QuantityEntry("hog_m", "δ", "hog, midships raised", "Deflection of the keel amidships from its ends' chord."),
        QuantityEntry("draught_m", "T", "", "Moulded draught at mid-length on the centreline, before hog."),
        QuantityEntry("moment_t_m", "M", "to starboard", "Heeling moment as a change from the initial state."),
        QuantityEntry("tpc_t_per_cm", "TPC", "", "Mass that changes the mean draught by a centimetre."),
        QuantityEntry("mtc_t_m_per_cm", "MTC", "", "Moment that changes the trim by a centimetre."),
    )
}
"""The quantities that documents and pages name."""
