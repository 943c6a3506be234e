"""/v1/roll-period, /weighings and /air-inclinings: other ways to a centre; nothing is stored."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.other_ways import (
    AirIncliningAnswer,
    AirIncliningBody,
    RollPeriodAnswer,
    RollPeriodBody,
    WeighedAnswer,
    WeighingBody,
)
from heelwright_service.usecases import other_ways as use_other_ways

blueprint = Blueprint("other ways", __name__, url_prefix="/v1", description="Other ways to a centre")


@endpoint(
    blueprint, "POST", "/roll-period", role="reader", body=RollPeriodBody(), answer=RollPeriodAnswer(), stores=False
)
def check_roll_period(body: dict[str, Any]) -> Answer:
    """Estimate GM from timed free rolling: a rough cross-check that cannot show compliance."""
    return Answer(use_other_ways.check_roll_period(body))


@endpoint(blueprint, "POST", "/weighings", role="reader", body=WeighingBody(), answer=WeighedAnswer(), stores=False)
def weigh_craft(body: dict[str, Any]) -> Answer:
    """Reduce load cell readings of a small craft to mass, LCG and TCG; a weighing gives no height."""
    return Answer(use_other_ways.weigh_craft(body))


@endpoint(
    blueprint,
    "POST",
    "/air-inclinings",
    role="reader",
    body=AirIncliningBody(),
    answer=AirIncliningAnswer(),
    stores=False,
)
def incline_in_air(body: dict[str, Any]) -> Answer:
    """Find the height of a small craft's centre from inclining her in air; no water comes into it."""
    return Answer(use_other_ways.incline_in_air(body))
