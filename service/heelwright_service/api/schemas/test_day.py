"""What is entered on board: each kind as in the test record, with when, by whom, and what it corrects."""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from typing import Any

from marshmallow import Schema, fields, validates_schema

from heelwright_service.api import quantities as q
from heelwright_service.api.fields import Choice, Flag, Identifier, MomentText, Option, Text
from heelwright_service.api.schemas.answers import answer_schema
from heelwright_service.api.schemas.base import Strict, refuse
from heelwright_service.api.schemas.bodies import body_schema
from heelwright_service.api.schemas.record import (
    BallastMoveBody,
    BallastProcedureBody,
    DraughtBody,
    FreeboardBody,
    IncliningWeightBody,
    InstrumentBody,
    PersonBody,
    ProbeSampleBody,
    ReadingBody,
    SoundingBody,
    StateBody,
    UncertaintiesBody,
    WaterSampleBody,
)
from heelwright_service.core.campaign.day_points import WeatherSeen
from heelwright_service.core.campaign.plan_document import Attachment
from heelwright_service.core.campaign.review_document import Statements
from heelwright_service.core.campaign.running import Running
from heelwright_service.core.campaign.survey import Landing, Lumps, SurveyItem, Totals, Twin
from heelwright_service.core.results import Check
from heelwright_service.core.uncertainty.deviation import Deviation
from heelwright_service.core.uncertainty.deviations import Price
from heelwright_service.core.uncertainty.materiality import Materiality


class Correctable(Strict):
    """What a correction says: the entry that it replaces, and the reason."""

    corrects = Identifier(allow_none=True, metadata={"description": "id of the entry that this one replaces"})
    reason = Text(2000, allow_none=True, metadata={"description": "what was wrong; required with corrects"})

    @validates_schema
    def _reasoned(self, data: dict[str, Any], **rest: Option) -> None:
        corrects = data.get("corrects") is not None
        refuse(corrects and data.get("reason") is None, "reason", "is required with corrects: say what was wrong")


class Occasion(Strict):
    """When it was read: before the moves, after them, or on the survey."""

    occasion = Choice("before", "after", "survey")
    at = MomentText(allow_none=True)


class WaterEntryBody(WaterSampleBody, Correctable):
    """A water sample, and whether the glass shows density in vacuum or in air."""

    density_basis = Choice("vacuum", "air")
    hydrometer = Text(200, allow_none=True)
    at = MomentText(allow_none=True)


class ProbeEntryBody(ProbeSampleBody, Correctable):
    """Salinity and temperature of the water by a probe."""

    at = MomentText(allow_none=True)


class DraughtEntryBody(DraughtBody, Occasion, Correctable):
    """A draught read at a mark."""


class FreeboardEntryBody(FreeboardBody, Occasion, Correctable):
    """A freeboard taken at a point."""


class SoundingEntryBody(SoundingBody, Occasion, Correctable):
    """A sounding with what shows the state of the tank: an assumption never counts, a gauge counts less."""

    evidence = Choice(  # type: ignore[assignment]  # a record may say it in any words, an entry in these
        "sounded", "seen", "entered", "vent-overflow", "gauge", "assumed", required=True
    )
    by = Text(200, allow_none=True)


ItemFactsBody = body_schema(SurveyItem, "ItemFactsBody", ("id", "carried_from"))


class ItemEntryBody(ItemFactsBody, Correctable):  # type: ignore[misc, valid-type]  # made from the dataclass
    """A row of the survey."""

    @validates_schema
    def _placed(self, data: dict[str, Any], **rest: Option) -> None:
        for name in ("to_x_m", "to_y_m", "to_z_m"):
            given, moved = data.get(name) is not None, data["kind"] == "misplaced"
            refuse(moved and not given, name, "is required of a misplaced item: say where it belongs")
            refuse(given and not moved, name, f"belongs to a misplaced item; this one is {data['kind']}")


class PersonEntryBody(PersonBody, Correctable):
    """Somebody aboard, with his place for the readings."""


class WeightEntryBody(IncliningWeightBody, Correctable):
    """An inclining weight with its certificate."""

    certificate = Text(200, allow_none=True)
    certified_on = Text(40, allow_none=True)


class InstrumentEntryBody(InstrumentBody, Correctable):
    """An instrument as measured on the day."""

    certificate = Text(200, allow_none=True)
    place = Text(200, allow_none=True)


class StateEntryBody(StateBody, Correctable):
    """Where every weight stands, with lines seen slack and everything mobile at its reading position."""

    lines_slack = Flag()
    reading_positions_confirmed = fields.List(Text(200))
    at = MomentText(allow_none=True)


class BallastMoveEntryBody(BallastMoveBody, Correctable):
    """Water moved between tanks as inclining weight to reach a state."""

    at = MomentText(allow_none=True)


class BallastProcedureEntryBody(BallastProcedureBody, Correctable):
    """The approval of water as inclining weight for this test, and what was seen to."""


class ReadingEntryBody(ReadingBody, Correctable):
    """One instrument read in one state, heel to starboard positive."""

    remarks = Text(500, allow_none=True)

    class Meta(Strict.Meta):
        """A reading is withdrawn by a call of its own."""

        exclude = ("withdrawn_reason",)


class WeatherEntryBody(body_schema(WeatherSeen, "WeatherFactsBody"), Correctable):  # type: ignore[misc]  # as above
    """The weather as observed."""

    at = MomentText(allow_none=True)
    remarks = Text(500, allow_none=True)


class PermitBody(Correctable):
    """A permit to enter a tank, with its gas-free certificate."""

    tank = Text(200, required=True)
    competent_person = Text(200, required=True)
    certificate = Text(200, required=True)
    oxygen_percent = q.share("oxygen measured [% by volume]", 0.0, 100.0, required=True)
    issued_at = MomentText(required=True)
    valid_until = MomentText(required=True)
    attendant = Text(200, required=True)
    rescue = Text(500, required=True)


class CertificateBody(body_schema(Attachment, "CertificateFactsBody"), Correctable):  # type: ignore[misc]  # as above
    """A certificate or another paper that belongs to the test, also one that came after the test day."""


class WaiverBody(Strict):
    """Who takes a point on himself, and why."""

    point = Text(300, required=True)
    name = Text(200, required=True)
    reason = Text(2000, required=True)


class SignatureBody(Correctable):
    """Who initials the data or the reservations."""

    what = Choice("data", "reservations", required=True)
    role = Text(100, required=True)
    name = Text(200, required=True)
    at = MomentText(required=True)


class ReservationBody(Correctable):
    """A reservation of the surveyor: whether it applies, and how large it is."""

    topic = Choice(
        "waves",
        "wind",
        "mark-clarity",
        "water-depth",
        "density-spread",
        "night",
        "anchors-moved",
        "ice",
        "bilges-pumped",
        "residues",
        "doubtful-tables",
        "ship-moving",
        "other",
        required=True,
    )
    applies = Flag(required=True)
    size = Text(200, allow_none=True, metadata={"description": "how large it is, with its unit"})
    text = Text(2000, allow_none=True)


class DeviationEntryBody(body_schema(Deviation, "DeviationFactsBody"), Correctable):  # type: ignore[misc]  # as above
    """A departure from the procedure with its size; the kind other is told in words alone."""

    text = Text(2000, required=True)


class DecisionBody(Correctable):
    """Whether a departure is accepted, mended, or makes people postpone, by name."""

    decision = Choice("accept", "mend", "postpone", required=True)
    name = Text(200, required=True)
    witness = Text(200, allow_none=True)
    remarks = Text(2000, allow_none=True)


class ClosingBody(Strict):
    """What is closed, by whom."""

    what = Choice("advisory-survey", "survey", "test-day", required=True)
    name = Text(200, required=True)


class StatementsBody(body_schema(Statements, "StatementsFactsBody"), Correctable):  # type: ignore[misc]  # as above
    """What the report states besides the figures."""


class UncertaintiesEntryBody(UncertaintiesBody, Correctable):
    """Standard uncertainties in place of the defaults."""


class ReviewAnswerBody(Correctable):
    """An answer to a finding of the review, by name."""

    finding = Text(20, required=True)
    text = Text(2000, required=True)
    by = Text(200, required=True)


class WithdrawalBody(Strict):
    """Why an entry should not have been made."""

    reason = Text(2000, required=True)


class EntryAnswer(Schema):
    """An entry: the fields of its body, and when, by whom, what it corrects and what corrects it."""

    id = fields.String(required=True)
    entry_id = fields.String(required=True)
    corrects = fields.String(required=True, allow_none=True)
    withdrawn = fields.Boolean(required=True)
    correction_reason = fields.String(required=True, allow_none=True)
    recorded_at = fields.AwareDateTime(required=True)
    recorded_by = fields.String(required=True)
    corrected_by = fields.String(required=True, allow_none=True)
    set_aside = fields.Boolean(
        required=True, metadata={"description": "it was read on a day that was broken off, and counts no more"}
    )


_NOT_ANSWERED = ("corrects", "withdrawn_reason")


@cache
def entry_answer(body: type[Schema], base: type[Schema] = EntryAnswer) -> type[Schema]:
    """Return the schema of an entry as answered: what its body says, and when, by whom, what it corrects.

    Parameters
    ----------
    body : type of Schema
        The body that it is entered with.
    base : type of Schema
        What all such answers carry.

    Returns
    -------
    type of Schema
        Documents the answer; fields that the body may leave out may be absent.
    """
    parts: dict[str, Any] = {}
    for field_name, field in body._declared_fields.items():
        if field_name not in _NOT_ANSWERED:
            parts[field_name] = deepcopy(field)
            parts[field_name].required = False
    name = body.__name__.removesuffix("Body").removesuffix("Entry")
    summary = (body.__doc__ or "").strip().split("\n")[0]
    told = "Entry" if base is EntryAnswer else "EnteredNow"
    return type(f"{name}{told}Answer", (base,), {"__doc__": summary, **parts})


class ItemExtras(EntryAnswer):
    """What is told with a row of the survey: on which side an estimate should err, and the doubles it seems to have."""

    hint = fields.String(required=True)
    twins = fields.List(fields.Nested(answer_schema(Twin)), required=True)


class DeviationExtras(EntryAnswer):
    """What is told with a departure: its price, or why there is none."""

    price = fields.Nested(answer_schema(Price), required=True, allow_none=True)
    not_priced = fields.String(required=True, allow_none=True)


class DecisionExtras(EntryAnswer):
    """What is told with a decision: the departure it is about, and the price it was taken on."""

    deviation = fields.String(required=True)
    price = fields.Nested(answer_schema(Price), required=True, allow_none=True)


class SurveySumAnswer(Schema):
    """The survey summed up."""

    totals = fields.Nested(answer_schema(Totals), required=True)
    checks = fields.List(fields.Nested(answer_schema(Check)), required=True)
    landings = fields.List(fields.Nested(answer_schema(Landing)), required=True)
    twins = fields.List(fields.Nested(answer_schema(Twin)), required=True)
    materiality = fields.Nested(answer_schema(Materiality), required=True)
    lumps = fields.List(fields.Nested(answer_schema(Lumps)), required=True)
    not_carried = fields.List(fields.String(), required=True)
    boundary = fields.List(fields.Nested(answer_schema(Check)), required=True)


RunningAnswer = answer_schema(Running)
