"""/v1/deviations and /materiality: what a departure costs, and which survey items matter; nothing is stored."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import turns
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.deviations import (
    DeviationKindsAnswer,
    DeviationsBody,
    MaterialityAnswer,
    MaterialityBody,
    PricesAnswer,
)
from heelwright_service.usecases import price_deviations as use_prices

blueprint = Blueprint("deviations", __name__, url_prefix="/v1", description="The price of a deviation")


@endpoint(blueprint, "POST", "/deviations", role="reader", body=DeviationsBody(), answer=PricesAnswer(), stores=False)
def price_deviations(body: dict[str, Any]) -> Answer:
    """Price departures from the procedure: signed effect on mass and centre, safe or unsafe side, added uncertainty."""
    return Answer(use_prices.price_on_document(turns(), body))


@endpoint(blueprint, "GET", "/deviations/kinds", role="reader", answer=DeviationKindsAnswer())
def list_deviation_kinds() -> Answer:
    """List the kinds of departure that can be priced, with the sizes that each needs."""
    return Answer(use_prices.list_kinds())


@endpoint(
    blueprint, "POST", "/materiality", role="reader", body=MaterialityBody(), answer=MaterialityAnswer(), stores=False
)
def limit_items(body: dict[str, Any]) -> Answer:
    """Say below which size survey items need not be listed by themselves, and what they bring to the budget."""
    return Answer(use_prices.limit_items(body))
