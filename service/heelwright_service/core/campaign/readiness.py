"""Can we start, can we leave: the points that stand in the way, and who waived which of them for what reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from heelwright_service.core.errors import CoreError

Severity = Literal["block", "warn"]


@dataclass(frozen=True)
class Point:
    """One thing that stands in the way or deserves attention.

    Parameters
    ----------
    id : str
        Stable name, such as ``gas-free/Void 7``.
    text, mend : str
        What was found, and how to mend it.
    severity : {"block", "warn"}
        Whether it stops the work.
    waivable : bool
        Whether a person in charge may go on in spite of it; safety of life never is.
    rule : str
        The rule behind it.
    """

    id: str
    text: str
    mend: str
    severity: Severity = "block"
    waivable: bool = True
    rule: str = "common practice"


@dataclass(frozen=True)
class Waiver:
    """A point that somebody takes on himself, by name and with a reason."""

    point: str
    name: str
    reason: str
    at: str | None = None


@dataclass(frozen=True)
class PointState:
    """A point with its waiver, if there is one."""

    id: str
    text: str
    mend: str
    severity: str
    waivable: bool
    rule: str
    waived_by: str | None
    waived_reason: str | None

    @property
    def stands(self) -> bool:
        """Whether it still stops the work."""
        return self.severity == "block" and self.waived_by is None


@dataclass(frozen=True)
class Readiness:
    """The answer: ready or not, what blocks, what else to look at, and the waivers that count."""

    ready: bool
    blocking: tuple[PointState, ...]
    warnings: tuple[PointState, ...]
    waived: tuple[PointState, ...]


def decide(points: Sequence[Point], waivers: Sequence[Waiver] = ()) -> Readiness:
    """Weigh points against waivers.

    Parameters
    ----------
    points : sequence of Point
        What stands in the way.
    waivers : sequence of Waiver
        Those recorded; one for a point that cannot be waived does not count.

    Returns
    -------
    Readiness
        Ready when nothing blocks.

    Examples
    --------
    >>> decide([Point("P-16", "A line is taut.", "Slack it.")]).ready
    False
    >>> decide([Point("P-16", "A line is taut.", "Slack it.")], [Waiver("P-16", "R. Osei", "spring line only")]).ready
    True
    """
    by_point = {waiver.point: waiver for waiver in waivers}
    states = [_state(point, by_point.get(point.id)) for point in points]
    blocking = tuple(each for each in states if each.stands)
    waived = tuple(each for each in states if each.waived_by is not None)
    warnings = tuple(each for each in states if each.severity == "warn" and each.waived_by is None)
    return Readiness(not blocking, blocking, warnings, waived)


def check_waiver(waiver: Waiver, points: Sequence[Point]) -> None:
    """Refuse a waiver that cannot be given.

    Parameters
    ----------
    waiver : Waiver
        The waiver.
    points : sequence of Point
        What stands in the way now.

    Raises
    ------
    CoreError
        ``point-unknown``, ``waiver-not-allowed`` or ``waiver-incomplete``.
    """
    found = next((point for point in points if point.id == waiver.point), None)
    if found is None:
        raise CoreError("point-unknown", f"No point '{waiver.point}' stands in the way; nothing is to waive.", "/point")
    if not found.waivable:
        message = f"'{waiver.point}' guards people's lives and cannot be waived. {found.mend}"
        raise CoreError("waiver-not-allowed", message, "/point")
    if not waiver.name.strip() or not waiver.reason.strip():
        raise CoreError("waiver-incomplete", "A waiver needs the name of who gives it and the reason.", "/reason")


def _state(point: Point, waiver: Waiver | None) -> PointState:
    counts = waiver is not None and point.waivable
    return PointState(
        point.id,
        point.text,
        point.mend,
        point.severity,
        point.waivable,
        point.rule,
        waiver.name if waiver is not None and counts else None,
        waiver.reason if waiver is not None and counts else None,
    )
