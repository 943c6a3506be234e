"""The whole test as one file: its record, and beside it how it was planned, made, reviewed and approved."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, validates_schema

from heelwright_service.api.fields import (
    Checked,
    Choice,
    Count,
    Flag,
    Identifier,
    Input,
    MomentText,
    Option,
    Quantity,
    Text,
)
from heelwright_service.api.quantities import mass_t, x_m, y_m, z_m
from heelwright_service.api.schemas import test_day as day
from heelwright_service.api.schemas.base import Strict, refuse
from heelwright_service.api.schemas.bodies import body_schema
from heelwright_service.api.schemas.hull import some
from heelwright_service.api.schemas.record import RecordBody
from heelwright_service.api.schemas.tests import PlanOfTestBody, TankPlanBody
from heelwright_service.core.campaign.boundary import BoundaryDecision
from heelwright_service.core.campaign.preparations import Preparation
from heelwright_service.core.campaign.stages import STAGES
from heelwright_service.store.tables.tests import TEST_DOCUMENT_KINDS, TEST_KINDS

Many = fields.List[Any]
DEEPEST = 20
LARGEST = 1e15
_READ_BY_THE_REVIEW: Mapping[str, tuple[type[Schema], tuple[str, ...]]] = {
    "item": (day.ItemEntryBody, ("carried_from",)),
    "weight": (day.WeightEntryBody, ()),
    "signature": (day.SignatureBody, ()),
    "deviation": (day.DeviationEntryBody, ("price", "not_priced")),
    "decision": (day.DecisionBody, ("deviation", "price")),
    "certificate": (day.CertificateBody, ()),
    "statements": (day.StatementsBody, ()),
}
"""Kinds of entry that the review reads out of a file, with what the service adds to their bodies."""


class PlainDocument(Checked[dict[str, Any]]):
    """An object that is kept as it is: plain texts, finite numbers, lists and objects within objects."""

    def _read(self, value: Input) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValidationError("must be an object")
        _check_plain(value, DEEPEST)
        return value


def _check_plain(value: Input, depth: int) -> None:
    if depth == 0:
        raise ValidationError(f"is nested more than {DEEPEST} deep")
    if isinstance(value, str):
        Text(100_000, blank=True)._read(value)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        if not abs(value) <= LARGEST:  # so written, NaN is refused too, and an integer of any length is compared
            raise ValidationError(f"has a number that is not finite or above {LARGEST:g}")
    elif isinstance(value, dict):
        for name, inner in value.items():
            _check_plain(name, depth)
            _check_plain(inner, depth - 1)
    elif isinstance(value, list):
        for inner in value:
            _check_plain(inner, depth - 1)


class FileCostBody(Strict):
    """What leaving an item undone would have done to the lightship, signed."""

    mass_t = Quantity(-1e6, 1e6, required=True, allow_none=True)
    vcg_m = Quantity(-1000, 1000, required=True, allow_none=True)
    side = Choice("safe", "unsafe", "neutral", required=True)
    text = Text(2000, required=True)


class FilePreparationBody(body_schema(Preparation, "FilePreparationFacts", ("price",))):  # type: ignore[misc]  # made
    """An item of the work list with what was ticked, by whom, and what was remarked."""

    price = fields.Nested(FileCostBody, allow_none=True)


class FileTestBody(Strict):
    """The test as it stood where it was conducted."""

    id = Identifier(required=True)
    kind = Choice(*TEST_KINDS, required=True)
    origin = Choice("conducted", "entered-record", required=True)
    title = Text(200, required=True, allow_none=True)
    record_source = Text(2000, required=True, allow_none=True)
    stage = Choice(*STAGES, required=True)
    opened_at = MomentText(required=True)
    opened_by = Text(200, required=True)
    supersedes = Identifier(required=True, allow_none=True)


class FileVersionBody(Strict):
    """One version of the plan, the tank plan, the work list or an entered record; an earlier one with its content."""

    kind = Choice(*TEST_DOCUMENT_KINDS, required=True)
    version = Count(1, 1_000_000, required=True)
    sha256 = Text(64, required=True, metadata={"description": "of the content in canonical JSON"})
    recorded_at = MomentText(required=True)
    recorded_by = Text(200, required=True)
    document = PlainDocument(allow_none=True, metadata={"description": "content of a version that was replaced"})


class FileEntryBody(Strict):
    """One thing that was entered, with when, by whom, and what it corrects."""

    id = Identifier(required=True)
    kind = Text(40, required=True)
    document = PlainDocument(required=True)
    corrects = Identifier(required=True, allow_none=True)
    withdrawn = Flag(required=True)
    reason = Text(2000, required=True, allow_none=True)
    recorded_at = MomentText(required=True)
    recorded_by = Text(200, required=True)

    @validates_schema
    def _readable(self, data: dict[str, Any], **rest: Option) -> None:
        schema, derived = _READ_BY_THE_REVIEW.get(data["kind"], (None, ()))
        if schema is None or data["withdrawn"]:
            return
        facts = {name: value for name, value in data["document"].items() if name not in derived}
        faults = schema().validate(facts)
        if faults:
            raise ValidationError({"document": faults})
        price = data["document"].get("price")
        told = isinstance(price, dict) and isinstance(price.get("sentence"), str)
        refuse(price is not None and not told, "document", "has a price without its sentence")


class FileActionBody(Strict):
    """Something that was to be done after a failed or doubtful result."""

    id = Identifier(required=True)
    text = Text(2000, required=True)
    owner = Text(200, required=True)
    due = Text(10, required=True)
    opened_at = MomentText(required=True)
    opened_by = Text(200, required=True)
    closed_at = MomentText(required=True, allow_none=True)
    closed_by = Text(200, required=True, allow_none=True)
    evidence = Text(2000, required=True, allow_none=True)


class FileLightshipBody(Strict):
    """The lightship that the test was reduced to there."""

    mass_t = mass_t("lightship mass [t]", required=True)
    lcg_m = x_m(required=True)
    tcg_m = y_m(required=True, allow_none=True)
    vcg_m = z_m(required=True, allow_none=True)
    method = Text(100, required=True)


class FileResultBody(Strict):
    """What the test was last reduced to, and by which version of what."""

    id = Identifier(required=True)
    lightship = fields.Nested(FileLightshipBody, required=True)
    service_version = Text(100, required=True)
    method_version = Text(100, required=True)
    rule_set = Text(100, required=True, allow_none=True)
    record_sha256 = Text(64, required=True)
    computed_at = MomentText(required=True)
    computed_by = Text(200, required=True)


class CustodyBody(Strict):
    """What an installation that imported the file did with it: an own test, and what was entered in that."""

    source = Text(2000, required=True, allow_none=True)
    sha256 = Text(64, required=True, metadata={"description": "of the file as it came, in canonical JSON"})
    imported_at = MomentText(required=True)
    imported_by = Text(200, required=True)
    test = fields.Nested(FileTestBody, required=True)
    versions: Many = fields.List(fields.Nested(FileVersionBody), required=True, validate=some(0, 10_000))
    entries: Many = fields.List(fields.Nested(FileEntryBody), required=True, validate=some(0, 50_000))
    actions: Many = fields.List(fields.Nested(FileActionBody), required=True, validate=some(0, 1000))
    result = fields.Nested(FileResultBody, required=True, allow_none=True)


class CampaignBody(Strict):
    """How a test was planned, made, reviewed and approved; the reduction does not look at it."""

    test = fields.Nested(FileTestBody, required=True)
    plan = fields.Nested(PlanOfTestBody, required=True, allow_none=True)
    tank_plan = fields.Nested(TankPlanBody, required=True, allow_none=True)
    preparations: Many = fields.List(
        fields.Nested(FilePreparationBody), required=True, allow_none=True, validate=some(0, 5000)
    )
    versions: Many = fields.List(fields.Nested(FileVersionBody), required=True, validate=some(0, 10_000))
    entries: Many = fields.List(fields.Nested(FileEntryBody), required=True, validate=some(0, 50_000))
    boundary_register: Many = fields.List(
        fields.Nested(body_schema(BoundaryDecision)), required=True, validate=some(0, 5000)
    )
    actions: Many = fields.List(fields.Nested(FileActionBody), required=True, validate=some(0, 1000))
    result = fields.Nested(FileResultBody, required=True, allow_none=True)
    custody: Many = fields.List(
        fields.Nested(CustodyBody),
        required=True,
        validate=some(0, 100),
        metadata={"description": "one for each installation that imported the file"},
    )


class TestFileBody(RecordBody):
    """A test record, and optionally how the test was planned, made, reviewed and approved."""

    __test__ = False  # not a test case, whatever a test runner thinks of its name

    campaign = fields.Nested(
        CampaignBody,
        allow_none=True,
        metadata={"description": "the test around its record; kept and given out again, never computed with"},
    )
