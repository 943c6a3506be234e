"""What the plan of a test and its tank plan ask."""

from __future__ import annotations

from heelwright_client.test_words import EVIDENCE_WORDS, PAPER_WORDS, STATE_WORDS
from heelwright_client.web.fields import Field, Rows, Spec


def _words(names: str) -> list[tuple[str, str]]:
    return [(name, name.replace("-", " ")) for name in names.split()]


_ROLES = _words(
    "person-in-charge coordinator witness surveyor master chief-engineer yard crane-operator weight-gang"
    " instrument-reader draught-reader sounding-party recorder gas-free-person other"
)
_SPACES = _words("other double-bottom deep wing peak day-tank void chain-locker cofferdam")
_LIQUIDS = _words(
    "other none ballast-water fuel-storage fuel-day potable-water reserve-feed-water lube-oil sanitary cargo"
)
_ORDERS = (("survey-first", "survey, then test"), ("test-first", "test, then survey"))
_TIME = "With its offset from UTC, such as 2031-05-14 06:30 +02:00."

DAY: Spec = (
    Field("date", "Day of the test", "date", hint="Every other date is counted back from it."),
    Field("start_at", "First reading at", "moment", hint=_TIME),
    Field("order", "Order", "choice", options=_ORDERS),
    Field("purpose", "Purpose", "choice", options=_words("other new-build sister-ship conversion periodic")),
    Field("purpose_reason", "Why now"),
    Field("rule_set", "Rule set"),
)
PLACE: Spec = (
    Field("place.name", "Place"),
    Field("place.sheltered", "Sheltered", "flag"),
    Field("place.depth_lowest_m", "Depth at the lowest tide", "quantity", "length"),
    Field("place.expected_density_t_per_m3", "Density expected", "number", unit="t/m³"),
    Field("place.tide", "Tide"),
    Field("place.mooring", "Mooring"),
    Field("place.gangway", "Gangway"),
    Field("place.shore_lines", "Lines and cables to the shore"),
)
EXPECTED: Spec = (
    Field("expected.displacement_t", "Displacement", "quantity", "mass"),
    Field("expected.gm_m", "GM", "quantity", "length"),
    Field("expected.draught_mid_m", "Draught at mid-length", "quantity", "length"),
    Field("expected.trim_m", "Trim by the stern", "quantity", "length", hint="By the bow is negative."),
    Field("expected.heel_deg", "List", "side", "angle", hint="P or S behind it."),
    Field("expected.lightship_mass_t", "Lightship assumed", "quantity", "mass"),
    Field("expected.lightship_lcg_m", "Its LCG", "quantity", "length"),
    Field("expected.lightship_vcg_m", "Its VCG", "quantity", "length"),
)
LIMITS: Spec = (
    Field("weather_limits.wind_m_per_s", "Most wind", "number", unit="m/s"),
    Field("weather_limits.wave_m", "Most waves", "quantity", "length"),
    Field("weather_limits.current_kn", "Most current", "number", unit="kn"),
    Field("weather_limits.decided_by", "Who decides"),
    Field("weather_limits.decision_at", "Decided at", "moment", hint=_TIME),
)
DRAUGHTS: Spec = (
    Field("draught_plan.datum", "Marks count from", hint="Moulded baseline, underside of keel, lowest point."),
    Field("draught_plan.marks_verified_on", "Marks verified in dock on"),
    Field("draught_plan.marks_verified_by", "Verified by"),
    Field("draught_plan.means", "How they are read", hint="Boat, tube, light."),
)
MODEL: Spec = (
    Field("hydrostatics.document", "Hydrostatics to be used"),
    Field("hydrostatics.approved_by", "Approved by"),
    Field("hydrostatics.dated", "Dated"),
    Field("hydrostatics.accepted_by", "Model accepted by", hint="A named checker, against the approved hydrostatics."),
    Field("hydrostatics.accepted_on", "Accepted on"),
)
SAFETY: Spec = (
    Field("safety.stop_word", "Word that stops everything"),
    Field("safety.gas_free", "Gas-free certificates"),
    Field("safety.entry_permits", "Entry permits"),
    Field("safety.lifting_plan", "Lifting plan"),
    Field("communications", "Who speaks with whom, and how"),
)
BOOKINGS: Spec = (
    Field("bookings.notice_days", "Notice that the authority asks", "count", unit="days"),
    Field("bookings.agency_turnaround_days", "Its own turnaround", "count", unit="days"),
    Field("bookings.report_due_days", "Report due after", "count", unit="days"),
    Field("submitted_on", "Procedure submitted on", "date"),
    Field("item_list_handed_over_at", "Item list handed to the witness", "moment", hint=_TIME),
)
GROUPS: tuple[tuple[str, Spec], ...] = (
    ("The day", DAY),
    ("The place", PLACE),
    ("The ship as she is expected to float", EXPECTED),
    ("Limits of weather", LIMITS),
    ("Draught marks", DRAUGHTS),
    ("The hydrostatic model", MODEL),
    ("Safety", SAFETY),
    ("Bookings and dates of others", BOOKINGS),
)
PERSONS = Rows(
    "persons",
    "People",
    (
        Field("role", "As", "choice", options=_ROLES),
        Field("name", "Name"),
        Field("organisation", "Of"),
        Field("contact", "Reached by"),
        Field("independent", "Independent", "flag"),
    ),
    "One person is in full charge.",
)
MOBILE = Rows(
    "mobile_things",
    "What can move between readings",
    (
        Field("name", "What"),
        Field("kind", "Kind", "choice", options=_words("crane truck gang lift person other")),
        Field("reading_position", "Place at every reading"),
        Field("mass_t", "Mass", "quantity", "mass"),
    ),
    "Crane hook, truck, gang, lift: each has a place that is marked on deck and confirmed in every state.",
)
SCHEDULE = Rows(
    "schedule",
    "Order of events",
    (Field("at", "At", "moment", hint="with its offset from UTC"), Field("event", "What"), Field("who", "Who")),
)
ATTACHMENTS = Rows(
    "attachments",
    "Papers",
    (
        Field("kind", "Kind", "choice", options=list(PAPER_WORDS.items())),
        Field("name", "Name"),
        Field("valid_until", "Valid until"),
    ),
)
TABLES = (PERSONS, MOBILE, SCHEDULE, ATTACHMENTS)
PLAN_OF_TEST: Spec = (*(field for _, group in GROUPS for field in group), *TABLES)

TANK_PLAN: Spec = (
    Field("answers_due", "The ship answers by", "date"),
    Rows(
        "tanks",
        "Tanks and voids",
        (
            Field("tank", "Tank or void"),
            Field("state", "State", "choice", options=list(STATE_WORDS.items())),
            Field("liquid", "Liquid", "choice", options=_LIQUIDS),
            Field("space", "Space", "choice", options=_SPACES),
            Field("sounding_m", "Sounding", "quantity", "length"),
            Field("fill_percent", "Or filling", "number", unit="%"),
            Field("density_t_per_m3", "Density", "number", unit="t/m³"),
            Field("pair_with", "Pair with"),
            Field("evidence", "Shown by", "choice", options=[("", "open"), *EVIDENCE_WORDS.items()]),
            Field("burns", "Burns", "flag"),
            Field("entry", "Entry", "flag"),
        ),
        "Every compartment is named, voids and chain lockers too. Empty is stripped and seen; full is to the vent.",
        3,
    ),
)
