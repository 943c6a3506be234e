"""What the forms about a vessel ask."""

from __future__ import annotations

from heelwright_client.web.fields import Field, Spec

_KINDS = (
    ("", "not known"),
    ("passenger", "passenger ship"),
    ("cargo", "cargo ship"),
    ("fishing", "fishing vessel"),
    ("towing", "tug or towing vessel"),
    ("offshore-supply", "offshore supply vessel"),
    ("offshore-unit", "offshore unit"),
    ("high-speed-craft", "high-speed craft"),
    ("inland", "inland vessel"),
    ("workboat", "workboat"),
)
_BASES = (
    ("inclining-test", "inclining test"),
    ("lightweight-survey", "lightweight survey"),
    ("weighed", "weighed"),
    ("calculation", "calculation"),
    ("sister-ship", "sister ship"),
    ("estimate", "estimate"),
)
_ALTERED = (("added", "came aboard"), ("removed", "left the ship"), ("relocated", "moved within the ship"))

VESSEL: Spec = (
    Field("name", "Name", required=True),
    Field("kind", "Kind", "choice", options=_KINDS, hint="Decides which limits and survey intervals apply."),
    Field("imo_number", "IMO number", hint="Seven digits; the last one checks the others."),
    Field("fleet", "Fleet", hint="Vessels of one fleet are ranked together."),
    Field("length_bp_m", "Length between perpendiculars", "quantity", "length"),
    Field("length_m", "Length by her rules", "quantity", "length", hint="The load line length, for most ships."),
    Field("breadth_m", "Moulded breadth", "quantity", "length"),
    Field("depth_m", "Moulded depth", "quantity", "length"),
    Field("keel_laid", "Keel laid", "date"),
)
LIGHTSHIP: Spec = (
    Field("date", "Date of the test or survey", "date", required=True),
    Field("basis", "Found by", "choice", options=_BASES),
    Field("mass_t", "Lightship mass", "quantity", "mass", required=True),
    Field("lcg_m", "LCG, forward of AP", "quantity", "length", required=True, hint="Aft of AP is negative."),
    Field("tcg_m", "TCG, off the centreline", "side", "length", hint="P or S behind it, such as 0.02 P."),
    Field("vcg_m", "VCG, above base", "quantity", "length", hint="Empty where it was not measured: empty is not zero."),
    Field("approved", "Approved: the stability information may rest on it", "flag", hint="Needs an approver's token."),
    Field(
        "uncertainties.mass_t",
        "Standard uncertainty of the mass",
        "quantity",
        "mass",
        hint="One standard deviation. Defaults by the way it was found stand in for what is left out.",
    ),
    Field("uncertainties.lcg_m", "Standard uncertainty of the LCG", "quantity", "length"),
    Field("uncertainties.vcg_m", "Standard uncertainty of the VCG", "quantity", "length"),
)
ALTERATION: Spec = (
    Field("date", "Day", "date", required=True),
    Field("kind", "What happened", "choice", options=_ALTERED),
    Field("description", "What it is", hint="Item, maker's plate, drawing, yard: whatever lets it be found again."),
    Field("mass_t", "Mass", "quantity", "mass", required=True, hint="Always positive; 250 kg may be written with kg."),
    Field("x_m", "Centre, forward of AP", "quantity", "length", required=True, hint="Aft of AP is negative."),
    Field("y_m", "Centre, off the centreline", "side", "length", required=True, hint="P or S behind it; 0 on it."),
    Field("z_m", "Centre, above base", "quantity", "length", required=True),
    Field("to_x_m", "Moved to, forward of AP", "quantity", "length", hint="Only for a weight that moved."),
    Field("to_y_m", "Moved to, off the centreline", "side", "length"),
    Field("to_z_m", "Moved to, above base", "quantity", "length"),
    Field(
        "uncertainties.mass_t",
        "Standard uncertainty of the mass",
        "quantity",
        "mass",
        hint="Weighed: small. Estimated: say how well.",
    ),
)
