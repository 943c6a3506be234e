"""The automatic review of a result: RR-01 to RR-26, each with its id."""

from __future__ import annotations

from heelwright_service.core.campaign.review_document import ReviewInputs
from heelwright_service.core.campaign.review_measured import measured_findings
from heelwright_service.core.campaign.review_reported import reported_findings
from heelwright_service.core.results import Check


def review_result(given: ReviewInputs) -> list[Check]:
    """Check a result as a plan reviewer would.

    Parameters
    ----------
    given : ReviewInputs
        The result, its record, and what the report states besides.

    Returns
    -------
    list of Check
        RR-01 to RR-26 in order; RR-01 to RR-04 concern an inclining alone.
    """
    return [*measured_findings(given), *reported_findings(given)]
