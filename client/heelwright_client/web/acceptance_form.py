"""What an acceptance sheet asks: the approved figures as their documents have them, and reasons for what differs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.errors import RefusedError
from heelwright_client.units import System
from heelwright_client.web.entry import Entry
from heelwright_client.web.fields import Field, Rows, Spec

_YES_NO = (("", "choose"), ("yes", "yes"), ("no", "no"))
_BEFORE_THE_MODEL = "Type the figures of the document, not those of the model."
CHECKER: Spec = (
    Field("checker", "Compared by", required=True, hint="The person who answers for the comparison."),
    Field("date", "On", "date", required=True),
)
HYDROSTATICS: Spec = (
    Field("approved_hydrostatics.document", "Document", required=True, hint="Number, revision and approval."),
    Field("approved_hydrostatics.density_t_per_m3", "Density of its water", "number", unit="t/m³", required=True),
    Field(
        "approved_hydrostatics.draughts_from", "Its draughts count from", "choice", required=True,
        options=(("", "choose"), ("moulded-baseline", "the moulded baseline"),
                 ("underside-of-keel", "the underside of the keel")),
    ),
    Field("approved_hydrostatics.keel_thickness_m", "Thickness of the keel", "quantity", "length",
          hint="Only where draughts count from under it."),
)  # fmt: skip
HYDROSTATIC_ROWS = Rows(
    "hydrostatics",
    "Lines of the approved hydrostatics",
    (
        Field("draught_m", "Draught at mid-length", "quantity", "length", required=True),
        Field("trim_m", "Trim by the stern", "quantity", "length"),
        Field("displacement_t", "Displacement", "quantity", "mass", required=True),
        Field("lcb_m", "LCB forward of AP", "quantity", "length", required=True),
        Field("km_t_m", "KM transverse", "quantity", "length", required=True),
    ),
    "At least three draughts and two trims, over the range that she is tested and sails in. " + _BEFORE_THE_MODEL,
    6,
)
CAPACITY: Spec = (Field("capacity_plan.document", "Document"),)
CAPACITY_ROWS = Rows(
    "capacity",
    "Tanks of the capacity plan, full",
    (
        Field("tank", "Tank"),
        Field("volume_m3", "Volume", "quantity", "volume"),
        Field("x_m", "Forward of AP", "quantity", "length"),
        Field("y_m", "Off the centreline, P or S", "side", "length"),
        Field("z_m", "Above base", "quantity", "length"),
    ),
    "A row counts once it has more than the name. " + _BEFORE_THE_MODEL,
)
MARKS: Spec = (Field("mark_plan.document", "Document"),)
MARK_ROWS = Rows(
    "marks",
    "Draught marks of their document",
    (
        Field("name", "Mark"),
        Field("x_m", "Forward of AP", "quantity", "length"),
        Field("zero_z_m", "Zero above the moulded baseline", "quantity", "length"),
    ),
    "A row counts once it has more than the name; a zero at the underside of the keel is negative.",
)
SPACES = Rows(
    "spaces",
    "Spaces that may count as buoyant",
    (
        Field("name", "Space"),
        Field("in_model", "Counts in the model", "choice", options=_YES_NO),
        Field("in_approved", "Counts in the approved hydrostatics", "choice", options=_YES_NO),
    ),
    "Tunnels, moonpools, thrusters, superstructures: at least one, so that it is said.",
)
LIMITS: Spec = (
    Field("limits.displacement_relative", "Displacement", "number", hint="As a part; the office's is 0.005."),
    Field("limits.km_t_m", "KM", "quantity", "length"),
    Field("limits.lcb_share_of_length", "LCB, as a part of the length", "number", hint="The office's is 0.001."),
    Field("limits.tank_volume_relative", "Volume of a tank", "number", hint="As a part; the office's is 0.01."),
    Field("limits.tank_centre_m", "Centre of a tank", "quantity", "length"),
    Field("limits.mark_zero_m", "Zero of a mark", "quantity", "length"),
    Field("limits.mark_place_m", "Place of a mark", "quantity", "length"),
)
REASONS = Rows(
    "reasons",
    "Beyond their limits: why the model is accepted all the same",
    (Field("subject", "What differs"), Field("reason", "Reason")),
    "Without a reason for each of them the sheet stays not accepted.",
    0,
)
ACCEPTANCE: Spec = (
    *CHECKER, *HYDROSTATICS, HYDROSTATIC_ROWS, *CAPACITY, CAPACITY_ROWS, *MARKS, MARK_ROWS, SPACES, *LIMITS, REASONS,
)  # fmt: skip
_PLACES = {"hydrostatics": "approved_hydrostatics", "capacity": "capacity_plan", "marks": "mark_plan"}
_NAMED_BY = {"capacity": "tank", "marks": "name", "reasons": "subject"}


def empty_sheet(tanks: Sequence[Mapping[str, Any]], marks: Sequence[Mapping[str, Any]], system: System) -> Entry:
    """Make an empty sheet that names the tanks and marks of the model, without their figures.

    Parameters
    ----------
    tanks, marks : sequence of Mapping
        Of the vessel.
    system : System
        The visitor's units.

    Returns
    -------
    Entry
        The form.
    """
    named = {
        "capacity": [{"tank": tank["name"]} for tank in tanks],
        "marks": [{"name": mark["name"]} for mark in marks],
    }
    return Entry.of_document(ACCEPTANCE, named, system)


def sheet_body(entry: Entry) -> dict[str, Any]:
    """Turn the form into what the service compares with.

    Parameters
    ----------
    entry : Entry
        As filled in.

    Returns
    -------
    dict
        Rows with nothing but a name are left out, and a document without rows with them.
    """
    made = entry.document()
    for table, place in _PLACES.items():
        rows = [each for _, each in _counting(table, made.pop(table, []))]
        if rows:
            made.setdefault(place, {})["rows"] = rows
        elif table != "hydrostatics" and place in made:
            entry.refuse(table, "A document is named; type its figures, or take its name out.")
    made["reasons"] = [each for _, each in _counting("reasons", made.get("reasons", []))]
    made["spaces"] = [{**row, **_said(row)} for row in made.get("spaces", [])]
    return {name: value for name, value in made.items() if value not in ([], {})}


def take_refusal(entry: Entry, refused: RefusedError) -> None:
    """Put the service's field errors beside the fields of the form.

    Parameters
    ----------
    entry : Entry
        The form.
    refused : RefusedError
        With pointers into the body that `sheet_body` made.
    """
    document = entry.document()
    for problem in refused.errors:
        parts = problem.pointer.strip("/").split("/")
        table = next((table for table, place in _PLACES.items() if parts[:2] == [place, "rows"]), None)
        if table:
            parts = [table, *parts[2:]]
        if len(parts) > 1 and parts[0] in (*_PLACES, "reasons") and parts[1].isdecimal():
            kept = [row for row, _ in _counting(parts[0], document.get(parts[0], []))]
            parts[1] = str(kept[int(parts[1])]) if int(parts[1]) < len(kept) else parts[1]
        entry.refuse(".".join(parts), problem.message)
    if not refused.errors:
        entry.other.append(str(refused))


def ask_reasons(entry: Entry, subjects: Sequence[str]) -> None:
    """Ask a reason for every difference beyond its limit; those that are given already stay.

    Parameters
    ----------
    entry : Entry
        The form as it was sent.
    subjects : sequence of str
        What lies beyond a limit.
    """
    given = {row.get("subject"): row.get("reason", "") for row in entry.document().get("reasons", [])}
    entry.counts["reasons"] = len(subjects)
    for row, subject in enumerate(subjects):
        for name, text in (("subject", subject), ("reason", given.get(subject, ""))):
            entry.texts[f"reasons.{row}.{name}"] = text


def _counting(table: str, rows: Sequence[Mapping[str, Any]]) -> list[tuple[int, Mapping[str, Any]]]:
    """The rows that say more than what they are about, with their places in the form."""
    return [(place, row) for place, row in enumerate(rows) if set(row) - {_NAMED_BY.get(table)}]


def _said(row: Mapping[str, Any]) -> dict[str, bool]:
    return {name: row[name] == "yes" for name in ("in_model", "in_approved") if name in row}
