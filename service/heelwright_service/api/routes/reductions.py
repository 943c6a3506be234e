"""/v1/reductions: reduce a test record that comes with the request."""

from __future__ import annotations

from typing import Any

from flask_smorest import Blueprint

from heelwright_service.api.context import turns
from heelwright_service.api.endpoint import Answer, endpoint
from heelwright_service.api.schemas.record import ReductionQuery
from heelwright_service.api.schemas.results import TestResultAnswer
from heelwright_service.api.schemas.test_file import TestFileBody
from heelwright_service.usecases import reduce_test

blueprint = Blueprint("reductions", __name__, url_prefix="/v1", description="From a test record to the lightship")


@endpoint(
    blueprint,
    "POST",
    "/reductions",
    role="reader",
    body=TestFileBody(),
    query=ReductionQuery(),
    answer=TestResultAnswer(),
    stores=False,
)
def reduce_record(body: dict[str, Any], query: dict[str, Any]) -> Answer:
    """Reduce a test record to the lightship with its uncertainty, checks and cautions."""
    return Answer(reduce_test.reduce_document(turns(), body, reduce_test.Reduction(**query)))
