"""Which change to a planned test betters its expected uncertainty, and which is the cheapest that will do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from heelwright_service.core.record import Instrument
from heelwright_service.core.uncertainty.pretest import (
    Expectation,
    PlannedTest,
    expectation_of,
    expected_uncertainty,
    planned_run,
)
from heelwright_service.core.uncertainty.propagation import Run

LONGER, HEAVIER = 1.5, 1.25


@dataclass(frozen=True)
class Lever:
    """One way to better a planned test by itself.

    Parameters
    ----------
    text : str
        What is done.
    gm_m, kg_m : float
        Expected expanded (95 %) uncertainties with it [m].
    enough : bool or None
        Whether it reaches the target by itself; None without a target.
    """

    text: str
    gm_m: float
    kg_m: float
    enough: bool | None


@dataclass(frozen=True)
class LeverAnswer:
    """All ways by rising cost, and the cheapest that reaches the target.

    Parameters
    ----------
    now : Expectation
        The plan as it stands.
    levers : sequence of Lever
        Cheapest first (order: common practice).
    cheapest : sequence of str
        What has to be done for the target: nothing, one thing, or the first so many together; empty too when all
        together do not reach it.
    reached : bool or None
        Whether the target is reached with it; None without a target.
    sentence : str
        The answer for people.
    """

    now: Expectation
    levers: Sequence[Lever]
    cheapest: Sequence[str]
    reached: bool | None
    sentence: str


@dataclass(frozen=True)
class Target:
    """The largest expanded (95 %) uncertainty wanted of GM or KG as inclined [m]; at least one of them."""

    gm_m: float | None = None
    kg_m: float | None = None

    def met_by(self, expected: Expectation) -> bool:
        """Say whether an expectation keeps the target.

        Parameters
        ----------
        expected : Expectation
            The expectation.

        Returns
        -------
        bool
            True when no limit that is set is exceeded.
        """
        pairs = ((expected.gm_m, self.gm_m), (expected.kg_m, self.kg_m))
        return all(limit is None or value <= limit for value, limit in pairs)


def weigh_levers(planned: PlannedTest, target: Target | None = None) -> LeverAnswer:
    """Try the ways to better a planned test, and find the cheapest that reaches a target.

    Parameters
    ----------
    planned : PlannedTest
        The plan.
    target : Target, optional
        What is wanted.

    Returns
    -------
    LeverAnswer
        Every way by itself; for a target the first that does, else as many from the cheapest on as it takes.

    Raises
    ------
    CoreError
        When the planned condition does not float on the hull.
    """
    run = planned_run(planned)
    now = expectation_of(run)
    levers = []
    for way in _WAYS:
        found = way.alone(planned, run)
        levers.append(Lever(way.text, found.gm_m, found.kg_m, None if target is None else target.met_by(found)))
    able = [lever.text for lever in levers if lever.enough]
    if target is None:
        return LeverAnswer(now, levers, [], None, _ranking(levers, now))
    if target.met_by(now):
        return LeverAnswer(now, levers, [], True, "The plan reaches the target as it stands.")
    if able:
        return LeverAnswer(now, levers, able[:1], True, f"The cheapest way to the target: {able[0]}.")
    return _together(planned, target, now, levers)


def _together(planned: PlannedTest, target: Target, now: Expectation, levers: list[Lever]) -> LeverAnswer:
    """Add one way after the other, the cheapest first, until the target is reached."""
    changed, used, found = planned, [], now
    for way in _WAYS:
        changed = way.on(changed)
        used.append(way.text)
        found = expected_uncertainty(changed)
        if target.met_by(found):
            words = "; ".join(used)
            told = f"No way does by itself; these together reach the target: {words}."
            return LeverAnswer(now, levers, used, True, told)
    return LeverAnswer(
        now,
        levers,
        [],
        False,
        f"All ways together leave ±{1000.0 * found.gm_m:.0f} mm of GM and ±{1000.0 * found.kg_m:.0f} mm of KG: the "
        "target is beyond this test; a better hull model or another way of weighing would be needed.",
    )


def _ranking(levers: list[Lever], now: Expectation) -> str:
    best = min(levers, key=lambda lever: lever.kg_m)
    return (
        f"The strongest single way: {best.text} (KG ±{1000.0 * now.kg_m:.0f} mm to ±{1000.0 * best.kg_m:.0f} mm, "
        f"GM ±{1000.0 * now.gm_m:.0f} mm to ±{1000.0 * best.gm_m:.0f} mm)."
    )


@dataclass(frozen=True)
class _Way:
    """A way to better a test: measure a kind of input better, or change the plan."""

    text: str
    kind: str = ""
    field: str = ""
    attainable: float = 0.0
    change: Callable[[PlannedTest], PlannedTest] | None = None

    def alone(self, planned: PlannedTest, run: Run) -> Expectation:
        """Expectation with this way by itself; better measuring needs no new run."""
        if self.change is not None:
            return expected_uncertainty(self.change(planned))
        parts = [
            replace(part, standard=min(part.standard, self.attainable)) if part.kind == self.kind else part
            for part in run.parts
        ]
        return expectation_of(replace(run, parts=parts))

    def on(self, planned: PlannedTest) -> PlannedTest:
        """The plan with this way in it."""
        if self.change is not None:
            return self.change(planned)
        given = getattr(planned.uncertainties, self.field)
        best = self.attainable if given is None else min(self.attainable, given)
        return replace(planned, uncertainties=replace(planned.uncertainties, **{self.field: best}))


def _more_moves(planned: PlannedTest) -> PlannedTest:
    return replace(planned, states=[*planned.states, *planned.states[1:]])


def _one_more(planned: PlannedTest) -> PlannedTest:
    longest = max(planned.instruments, key=lambda each: each.length_m or 0.0)
    count = len(planned.instruments) + 1
    return replace(planned, instruments=[*planned.instruments, replace(longest, id=f"{longest.id} ({count})")])


def _longer(planned: PlannedTest) -> PlannedTest:
    def stretched(each: Instrument) -> Instrument:
        return each if each.length_m is None else replace(each, length_m=LONGER * each.length_m)

    return replace(planned, instruments=[stretched(each) for each in planned.instruments])


def _more_heel(planned: PlannedTest) -> PlannedTest:
    return replace(planned, weights={name: HEAVIER * mass for name, mass in planned.weights.items()})


_WAYS: Sequence[_Way] = (
    _Way("read the draughts to 3 mm (calm water, a still-water tube)", "draughts", "draught_m", 0.003),
    _Way("measure the shifts to 3 mm", "shift distances", "weight_position_m", 0.003),
    _Way("one instrument more, as the longest", change=_one_more),
    _Way("instruments half as long again", change=_longer),
    _Way("more moves: go through the sequence twice", change=_more_moves),
    _Way("more heel: weights a quarter heavier", change=_more_heel),
    _Way("have the weights certified to 0.1 %", "weights", "weight_mass_relative", 0.001),
)
"""By rising cost: minutes with a boat or a tape, gear at hand, time on the day, crane, certificates (what care can
attain is an office default)."""
