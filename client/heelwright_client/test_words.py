"""Words for the stages of a test, who does what, and what is entered."""

from __future__ import annotations

STAGE_WORDS = {
    "planned": "being planned",
    "procedure-issued": "procedure issued",
    "preparing": "ship prepares",
    "advisory-survey": "advisory survey",
    "survey-day": "survey day",
    "test-day": "test day",
    "preliminary-result": "preliminary result",
    "under-review": "under review",
    "approved": "approved",
    "postponed": "postponed",
    "abandoned": "abandoned",
    "superseded": "superseded",
}
STEP_WORDS = {
    "planned": "planning it anew",
    "procedure-issued": "issuing the procedure",
    "preparing": "the ship's preparations",
    "advisory-survey": "the advisory survey",
    "survey-day": "survey day",
    "test-day": "test day",
    "preliminary-result": "the preliminary result",
    "under-review": "the review",
    "approved": "approval",
}
DAY_WORDS = {
    "booking": "booked",
    "procedure": "procedure issued",
    "tank-answers": "tanks answered",
    "advisory-survey": "advisory survey",
    "survey": "survey day",
    "test": "test day",
    "preliminary-result": "preliminary result",
    "report": "report due",
}
KIND_WORDS = {"inclining-test": "inclining test", "lightweight-survey": "lightweight survey"}
_DAYS: dict[str, dict[str, tuple[str, ...]]] = {
    "inclining-test": {
        "survey-first": ("survey-day", "test-day"),
        "test-first": ("test-day", "survey-day"),
    },
    "lightweight-survey": {"survey-first": ("survey-day",), "test-first": ("survey-day",)},
}
DUE_WORDS = {"done": "pass", "overdue": "fail", "due": "warn", "ahead": "not-assessed"}
DUE_STATE_WORDS = {"done": "done", "overdue": "overdue", "due": "due now", "ahead": "ahead"}
ITEM_WORDS = {"surplus": "surplus", "missing": "missing", "misplaced": "misplaced"}
STATE_WORDS = {"empty": "empty", "pressed": "pressed full", "slack": "slack"}
EVIDENCE_WORDS = {
    "sounded": "sounded by hand",
    "seen": "seen",
    "entered": "entered",
    "vent-overflow": "overflowed at the vent",
    "gauge": "remote gauge",
    "assumed": "assumed",
}
MARK_WORDS = {"open": "open", "done": "done", "verified": "verified", "waived": "waived"}
PAPER_WORDS = {
    name: name.replace("-", " ")
    for name in (
        "lines-plan", "hydrostatics", "capacity-plan", "sounding-tables", "draught-marks", "general-arrangement",
        "profile", "docking-plan", "mooring-plan", "weight-certificates", "scale-certificate",
        "hydrometer-certificate", "instrument-certificate", "permanent-ballast", "lines-slack-check", "other",
    )
}  # fmt: skip
ANSWER_WORDS = {"open": "not answered", "agreed": "agreed", "cannot": "cannot"}


def line_of(kind: str, order: str, origin: str) -> tuple[str, ...]:
    """Return the stages of a test in their order.

    Parameters
    ----------
    kind, order, origin : str
        As the service gives them.

    Returns
    -------
    tuple of str
        From planned to approved.

    Examples
    --------
    >>> line_of("lightweight-survey", "survey-first", "conducted")[4:6]
    ('survey-day', 'preliminary-result')
    """
    end = ("preliminary-result", "under-review", "approved")
    if origin == "entered-record":
        return ("planned", *end)
    days = _DAYS[kind][order]
    return ("planned", "procedure-issued", "preparing", "advisory-survey", *days, *end)
