"""What is asked for each kind of entry in a test."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from heelwright_client.test_words import EVIDENCE_WORDS, PAPER_WORDS, STATE_WORDS
from heelwright_client.web.fields import Field
from heelwright_client.web.stored_test import StoredTest

Choices = Sequence[tuple[str, str]]
Fields = tuple[Field, ...]

_OCCASION = Field(
    "occasion", "Read", "choice",
    options=(("before", "before the first move"), ("after", "after the last move"), ("survey", "on the survey")),
)  # fmt: skip
_INSTRUMENT_KINDS = (("pendulum", "pendulum"), ("u-tube", "U-tube"), ("inclinometer", "inclinometer"))
_PLACE: Fields = (
    Field("x_m", "Forward of AP", "quantity", "length", required=True, hint="Aft of AP is negative."),
    Field("y_m", "Off the centreline", "side", "length", required=True, hint="P or S behind it; 0 on it."),
    Field("z_m", "Above base", "quantity", "length", required=True),
)


@dataclass(frozen=True)
class EntryKind:
    """A kind of entry: its path in the service, its name in words, the fields, whether it has a time of its own.

    What closes it (the survey or the test day) leaves its correction to a planner; `deed` is what entering it needs.
    """

    path: str
    words: str
    fields: Callable[[StoredTest], Fields]
    timed: bool = False
    closing: str = ""
    deed: str = "record"


def _named(names: Sequence[str], field: str, label: str) -> Field:
    """A choice among names that are known, or free text where none is."""
    if not names:
        return Field(field, label, required=True)
    return Field(field, label, "choice", required=True, options=[(name, name) for name in names])


def marks(test: StoredTest) -> list[str]:
    """Return the names of the vessel's draught marks."""
    return [str(mark["name"]) for mark in test.marks]


def tanks(test: StoredTest) -> list[str]:
    """Return the names of all tanks, those of the tank plan first."""
    plan = test.part("tank-plan") or {"tanks": []}
    planned = [str(tank["tank"]) for tank in plan["tanks"]]
    return list(dict.fromkeys([*planned, *(str(tank["name"]) for tank in test.tanks)]))


def _water(test: StoredTest) -> Fields:
    return (
        Field("density_t_per_m3", "Density", "number", unit="t/m³", required=True, hint="Such as 1.0141."),
        Field(
            "density_basis", "The glass shows density", "choice",
            options=(("vacuum", "in vacuum"), ("air", "in air")),
        ),
        Field("depth_m", "Depth of the sample", "quantity", "length"),
        Field("temperature_c", "Temperature of the water", "number", unit="°C"),
        Field("place", "Where"),
        Field("hydrometer", "Hydrometer", hint="As stamped on the glass, with its certificate."),
    )  # fmt: skip


def _probe(test: StoredTest) -> Fields:
    return (
        Field(
            "practical_salinity", "Practical salinity", "number", required=True,
            hint="PSS-78, a bare number such as 34.5; from a conductivity only with its temperature.",
        ),
        Field("temperature_c", "Temperature of the water", "number", unit="°C", required=True),
        Field("depth_m", "Depth of the sample", "quantity", "length"),
        Field("place", "Where"),
    )  # fmt: skip


def _draught(test: StoredTest) -> Fields:
    return (
        _named(marks(test), "mark", "Mark"),
        Field("reading_m", "Reading", "quantity", "length", required=True),
        _OCCASION,
        Field("conditions", "Conditions", hint="Boat or quay, tube, light, chop."),
    )


def _freeboard(test: StoredTest) -> Fields:
    return (
        Field("x_m", "Forward of AP", "quantity", "length", required=True),
        Field("y_m", "Off the centreline", "side", "length", required=True, hint="P or S behind it."),
        Field("point_z_m", "Point above base", "quantity", "length", required=True),
        Field("reading_m", "Point above the water", "quantity", "length", required=True),
        _OCCASION,
        Field("conditions", "Conditions"),
    )


def sounding_fields(test: StoredTest) -> Fields:
    """Return what is asked of a sounding."""
    return (
        _named(tanks(test), "tank", "Tank"),
        Field("state", "State", "choice", options=list(STATE_WORDS.items())),
        Field("sounding_m", "Sounding", "quantity", "length", hint="Up from the pipe's zero."),
        Field("ullage_m", "Or ullage", "quantity", "length"),
        Field("density_t_per_m3", "Density", "number", unit="t/m³", required=True),
        Field("evidence", "Shown by", "choice", options=list(EVIDENCE_WORDS.items())),
        _OCCASION,
        Field("by", "Sounded by"),
    )


def item_fields(test: StoredTest) -> Fields:
    """Return what is asked of a row of the survey."""
    return (
        Field("description", "What it is", required=True, hint="So that somebody who was not there can find it."),
        Field(
            "kind", "It is", "choice",
            options=(("surplus", "surplus: aboard and not lightship"), ("missing", "missing: lightship, not aboard"),
                     ("misplaced", "misplaced: lightship in the wrong place")),
        ),
        Field("mass_t", "Mass", "quantity", "mass", required=True, hint="250 kg may be written with kg."),
        *_PLACE,
        Field("to_x_m", "Belongs forward of AP", "quantity", "length", hint="Only of a misplaced item."),
        Field("to_y_m", "Belongs off the centreline", "side", "length"),
        Field("to_z_m", "Belongs above base", "quantity", "length"),
        Field(
            "found_by", "Mass found by", "choice",
            options=(("estimated", "estimate"), ("weighed", "weighing"), ("drawing", "drawing"),
                     ("counted", "counting"), ("area-density", "area and density")),
        ),
        Field("frame", "Frame"),
        Field("deck", "Deck"),
        Field("space", "Space"),
        Field("photo", "Photo", hint="Number or name of the picture."),
        Field("item_class", "Class in the boundary register"),
        Field(
            "survey", "Found on", "choice", options=(("survey", "the survey"), ("advisory", "the advisory survey"))
        ),
    )  # fmt: skip


def _person(test: StoredTest) -> Fields:
    return (
        Field("name", "Who"),
        Field("mass_t", "Mass", "quantity", "mass", required=True, hint="80 kg may be written with kg."),
        *_PLACE,
    )


def weight_fields(test: StoredTest) -> Fields:
    """Return what is asked of an inclining weight."""
    return (
        Field("id", "Name", required=True),
        Field("mass_t", "Certified mass", "quantity", "mass", required=True),
        Field("certificate", "Certificate"),
        Field("certified_on", "Certified on"),
    )


def instrument_fields(test: StoredTest) -> Fields:
    """Return what is asked of an instrument."""
    return (
        Field("id", "Name", required=True),
        Field("kind", "Kind", "choice", options=_INSTRUMENT_KINDS),
        Field("length_m", "Length as measured", "quantity", "length", hint="Pivot to batten, or spacing of the legs."),
        Field("place", "Place"),
        Field("certificate", "Certificate"),
    )


def _weather(test: StoredTest) -> Fields:
    return (
        Field("wind_m_per_s", "Wind", "number", unit="m/s"),
        Field("gust_m_per_s", "Gusts", "number", unit="m/s"),
        Field("wave_m", "Waves", "quantity", "length"),
        Field("current_kn", "Current", "number", unit="kn"),
        Field("remarks", "Remarks"),
    )


def _permit(test: StoredTest) -> Fields:
    return (
        _named(tanks(test), "tank", "Tank"),
        Field("competent_person", "Gas-free by", required=True),
        Field("certificate", "Certificate", required=True),
        Field("oxygen_percent", "Oxygen", "number", unit="%", required=True),
        Field("issued_at", "Issued", "moment", required=True, hint="With its offset, such as 2031-05-14 06:30 +02:00."),
        Field("valid_until", "Valid until", "moment", required=True, hint="With its offset."),
        Field("attendant", "Attendant", required=True),
        Field("rescue", "Rescue", required=True),
    )


_TOPICS = (
    "waves", "wind", "mark-clarity", "water-depth", "density-spread", "night", "anchors-moved", "ice", "bilges-pumped",
    "residues", "doubtful-tables", "ship-moving", "other",
)  # fmt: skip


def _reservation(test: StoredTest) -> Fields:
    return (
        Field("topic", "About", "choice", options=[(topic, topic.replace("-", " ")) for topic in _TOPICS]),
        Field("applies", "It applies", "flag"),
        Field("size", "How large", hint="With its unit."),
        Field("text", "In words"),
    )


def _signature(test: StoredTest) -> Fields:
    return (
        Field(
            "what", "Initials", "choice", options=(("data", "the data"), ("reservations", "the list of reservations"))
        ),
        Field("role", "As", required=True, hint="Such as person-in-charge, surveyor, witness."),
        Field("name", "Name", required=True),
    )


def reading_fields(test: StoredTest) -> Fields:
    """Return what is asked when one reading is corrected."""
    return (
        Field("state", "State", "count", required=True),
        Field("instrument", "Instrument", required=True),
        Field("value_mm", "Along the batten, or rise plus fall", "number", unit="mm"),
        Field("value_deg", "Angle", "number", unit="°"),
        Field("repeat", "Repeat", "count"),
        Field("remarks", "Remarks"),
    )


def _ballast_procedure(test: StoredTest) -> Fields:
    return (
        Field("approved_by", "Approved by", required=True, hint="The authority that approved it for this test."),
        Field("reference", "Its paper", required=True),
        Field("why_not_solid_weights", "Why solid weights are impracticable", required=True),
        Field("tanks_free_of_stringers", "The tanks have no stringers or the like that trap air", "flag"),
        Field("density_measured", "The density of the water in these tanks was measured", "flag"),
        Field("lines_full", "The lines were full before the first move", "flag"),
        Field("manifolds_blanked", "Blanks stand in the transverse manifolds", "flag"),
        Field("valves_watched", "The valves are under control all the time", "flag"),
        Field("tables_verified", "The sounding tables were found accurate", "flag"),
        Field("flow_meter", "A flow meter checked what moved", "flag"),
    )


def _ballast_move(test: StoredTest) -> Fields:
    names = tanks(test)
    return (
        Field("state", "State that it leads to", "count", required=True, hint="That state is entered first."),
        _named(names, "from_tank", "Tank it left"),
        Field("from_before_m", "Its sounding before", "quantity", "length", required=True),
        Field("from_after_m", "Its sounding after", "quantity", "length", required=True),
        _named(names, "to_tank", "Tank it came into"),
        Field("to_before_m", "That one's sounding before", "quantity", "length", required=True),
        Field("to_after_m", "That one's sounding after", "quantity", "length", required=True),
    )


def _certificate(test: StoredTest) -> Fields:
    return (
        Field("kind", "Paper", "choice", options=list(PAPER_WORDS.items())),
        Field("name", "Number or name", required=True, hint="As it stands on the paper."),
        Field("valid_until", "Valid until", "date"),
    )


def _statements(test: StoredTest) -> Fields:
    return (
        Field("permanent_ballast", "Permanent ballast", hint="Its description, or that there is none."),
        Field("comparison", "Why the result differs from the estimate or the last test"),
        Field("vcg_reason", "Where the VCG comes from, when it was not measured"),
        Field("lead_ship", "Of a sister: lead ship, differences, why values were adopted"),
        Field("instruments", "What was found where instruments disagree"),
    )


ENTRIES: dict[str, EntryKind] = {
    kind.path: kind
    for kind in (
        EntryKind("water", "water sample", _water, True, "test-day"),
        EntryKind("probes", "probe sample", _probe, True, "test-day"),
        EntryKind("draughts", "draught", _draught, True, "test-day"),
        EntryKind("freeboards", "freeboard", _freeboard, True, "test-day"),
        EntryKind("soundings", "sounding", sounding_fields, True, "test-day"),
        EntryKind("items", "item of the survey", item_fields, closing="survey"),
        EntryKind("persons", "person aboard", _person, closing="test-day"),
        EntryKind("weights", "inclining weight", weight_fields, closing="test-day"),
        EntryKind("instruments", "instrument", instrument_fields, closing="test-day"),
        EntryKind("readings", "reading", reading_fields, True, "test-day"),
        EntryKind("weather", "weather", _weather, True, "test-day"),
        EntryKind("ballast-procedure", "approval of water as weight", _ballast_procedure, closing="test-day"),
        EntryKind("ballast-moves", "move of ballast water", _ballast_move, closing="test-day"),
        EntryKind("permits", "entry permit", _permit),
        EntryKind("reservations", "reservation", _reservation),
        EntryKind("signatures", "signature", _signature, True),
        EntryKind("certificates", "certificate or other paper", _certificate),
        EntryKind("statements", "statement", _statements, deed="plan"),
    )
}


def deed_of(test: StoredTest, path: str, correcting: bool = False) -> str:
    """Say what entering something, or correcting it, needs.

    Parameters
    ----------
    test : StoredTest
        The test.
    path : str
        Path of the kind of entry.
    correcting : bool
        Whether an entry that stands is to be corrected or taken back.

    Returns
    -------
    str
        ``record`` or ``plan``: what was closed, or has been reduced since, is corrected by a planner.
    """
    kind = ENTRIES[path]
    if not correcting or kind.deed == "plan":
        return kind.deed
    closed = kind.closing in {each["what"] for each in test.standing("closings")} if kind.closing else False
    return "plan" if closed or test.document["stage"] in ("preliminary-result", "under-review") else "record"
