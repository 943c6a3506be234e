"""What would have to change for a plan to keep every limit: each change is tried by planning again with it.

Single things are tried first. Where no single one is enough, everything that may be changed is eased at once; then one
thing after the other is put back as it was, the hardest to change first, and stays so where a plan is left. What
remains eased is needed together (a minimal set: none of it can be put back), and is made as small as will do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from heelwright_service.core.errors import CoreError
from heelwright_service.core.planning import changes_deck as deck
from heelwright_service.core.planning import changes_instruments as instruments
from heelwright_service.core.planning import changes_ship as ship
from heelwright_service.core.planning import changes_weights as weights
from heelwright_service.core.planning.outcome import Outcome
from heelwright_service.core.planning.request import PlanRequest
from heelwright_service.core.planning.trials import Change, Finder, Trials, with_positions
from heelwright_service.core.planning.work import TOO_LARGE

EASED_GM_M = 0.5
EASED_UNCERTAINTY_RELATIVE = 0.05


@dataclass(frozen=True)
class Mended:
    """The nearest change with the plan that it gives, the other changes, and whether all were looked for."""

    nearest: Change | None
    outcome: Outcome | None
    others: tuple[Change, ...]
    complete: bool


@dataclass(frozen=True)
class _Measure:
    """A thing that may be changed: its fields, of the request or of every position, and the most it may be eased."""

    finders: tuple[Finder, ...]
    fields: tuple[str, ...]
    ease: Callable[[PlanRequest], PlanRequest]
    of_positions: bool = False

    def restored(self, eased: PlanRequest, original: PlanRequest) -> PlanRequest:
        if not self.of_positions:
            return replace(eased, **{name: getattr(original, name) for name in self.fields})
        pairs = zip(eased.positions, original.positions, strict=True)
        return replace(
            eased, positions=[replace(e, **{name: getattr(o, name) for name in self.fields}) for e, o in pairs]
        )


def _eased_gm(request: PlanRequest) -> PlanRequest:
    return replace(request, gm_m=max(request.gm_m, EASED_GM_M))


def _eased_width(request: PlanRequest) -> PlanRequest:
    half = 0.5 * request.breadth_m
    wider = [
        replace(p, y_port_m=min(p.y_port_m, -half), y_starboard_m=max(p.y_starboard_m, half)) for p in request.positions
    ]
    return replace(request, positions=wider)


def _eased_weights(request: PlanRequest) -> PlanRequest:
    counts = tuple(count for count in request.counts if count >= 4) or (4, 6)
    return replace(request, stock=(), weight_step_t=weights.fine_step_t(request), weights_count=counts)


def _eased_uncertainty(request: PlanRequest) -> PlanRequest:
    least = min(request.gm_expanded_m, EASED_UNCERTAINTY_RELATIVE * abs(request.gm_m))
    return replace(request, gm_uncertainty_m=least)


def _eased_instruments(request: PlanRequest) -> PlanRequest:
    return instruments.with_lengths(instruments.with_a_second(request), instruments.LONGEST_M)


_HARDEST_FIRST = (
    _Measure((ship.higher_gm,), ("gm_m",), _eased_gm),
    _Measure((ship.less_list,), ("initial_heel_deg",), lambda r: replace(r, initial_heel_deg=0.0)),
    _Measure((deck.wider_places,), ("y_port_m", "y_starboard_m"), _eased_width, of_positions=True),
    _Measure(
        (deck.more_room,),
        ("units_per_side", "max_mass_t"),
        lambda r: with_positions(r, units_per_side=None, max_mass_t=None),
        of_positions=True,
    ),
    _Measure((deck.stronger_crane,), ("crane",), lambda r: replace(r, crane=None)),
    _Measure(
        (weights.more_weights, weights.other_count, weights.other_weights),
        ("stock", "weight_step_t", "weights_count"),
        _eased_weights,
    ),
    _Measure(
        (deck.larger_footprints,),
        ("deck_load_t_per_m2",),
        lambda r: with_positions(r, deck_load_t_per_m2=None),
        of_positions=True,
    ),
    _Measure(
        (ship.wider_band,), ("heel_band_deg",), lambda r: replace(r, heel_band_deg=ship.widened(r, ship.WIDEST_DEG))
    ),
    _Measure((ship.easier_target,), ("target_gm_uncertainty_m",), lambda r: replace(r, target_gm_uncertainty_m=None)),
    _Measure((ship.better_gm,), ("gm_uncertainty_m",), _eased_uncertainty),
    _Measure((instruments.other_instruments,), ("instruments",), _eased_instruments),
    _Measure(
        (deck.finer_shifts,),
        ("shift_step_m",),
        lambda r: replace(r, shift_step_m=min(deck.USUAL_STEP_M, r.shift_step_m)),
    ),
)

_IN_ORDER: tuple[Finder, ...] = (
    instruments.other_instruments,
    weights.more_weights,
    weights.other_count,
    weights.other_weights,
    deck.stronger_crane,
    deck.larger_footprints,
    deck.more_room,
    deck.nearer_places,
    deck.finer_shifts,
    ship.better_gm,
    ship.higher_gm,
    ship.less_list,
    deck.wider_places,
    ship.wider_band,
    ship.easier_target,
)

_FIRST: dict[str, Finder] = {
    "instruments": instruments.other_instruments,
    "crane": deck.stronger_crane,
    "deck": deck.larger_footprints,
    "capacity": deck.more_room,
    "trim": deck.nearer_places,
    "stability": ship.higher_gm,
}


def mended(trials: Trials, lacking: str) -> Mended:
    """Find changes with which there is a plan.

    Parameters
    ----------
    trials : Trials
        The request that has no plan.
    lacking : str
        What the nearest plan lacks: a change of that very thing comes first.

    Returns
    -------
    Mended
        The nearest change and its plan, as planning gives it for the changed request; None where none was found.
    """
    found: list[Change] = []
    complete = True
    try:
        for looked_for in (_single(trials, lacking), _together(trials)):
            for change in looked_for:
                if trials.serves(change.request):
                    found.append(change)
            if found:
                break
    except CoreError as refusal:
        if refusal.code != TOO_LARGE:
            raise
        complete = False
    if not found:
        return Mended(None, None, (), complete)
    return Mended(found[0], trials.planned(found[0].request), tuple(found[1:]), complete)


def _single(trials: Trials, lacking: str) -> Iterator[Change]:
    first = _FIRST.get(lacking)
    order = _IN_ORDER if first is None else (first, *(each for each in _IN_ORDER if each is not first))
    for finder in order:
        yield from finder(trials, trials.asked)


def _together(trials: Trials) -> Iterator[Change]:
    """Several changes that are needed together."""
    eased = trials.asked
    for measure in _HARDEST_FIRST:
        eased = measure.ease(eased)
    if not trials.has_plan(eased):
        return
    needed = []
    for measure in _HARDEST_FIRST:
        restored = measure.restored(eased, trials.asked)
        if restored == eased or trials.has_plan(restored):
            eased = restored
        else:
            needed.append(measure)
    texts = []
    for measure in needed:
        change = _least(trials, measure, measure.restored(eased, trials.asked))
        if change is None:
            return
        texts.append(change.text)
        eased = change.request
    if trials.has_plan(eased):
        yield Change(" and ".join(texts), eased)


def _least(trials: Trials, measure: _Measure, base: PlanRequest) -> Change | None:
    for finder in measure.finders:
        for change in finder(trials, base):
            return change
    return None
