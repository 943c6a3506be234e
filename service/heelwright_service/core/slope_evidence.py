"""Whether the readings show the ship heeling with the weights: each instrument by its own slope, then all together.

A reversed sign does not show in a pooled slope: it is averaged in, and GM comes out large. So every instrument is
judged by itself before anything is computed from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heelwright_service.core.errors import CoreError
from heelwright_service.core.prepared_test import PreparedTest
from heelwright_service.core.small_angle import NO_HEEL_TANGENT, has_zero_mark

Array = NDArray[np.float64]

CERTAIN_ERRORS = 3.0
"""A slope this many of its standard errors from zero is there (common practice)."""

STILL_SHARE = 0.05
"""An instrument that shows less than this share of the heel that others show does not show it (office default)."""

SAME_MOMENT_SHARE = 1e-9


@dataclass(frozen=True)
class OwnSlope:
    """What one instrument shows by itself.

    Parameters
    ----------
    index : int
        Its place in the record.
    name : str
        Its id.
    slope : float
        Tangent by moment [1/(t·m)], positive where the ship heels with the weights.
    standard_error : float
        By the scatter of its own readings [1/(t·m)]; 0 without a degree of freedom.
    degrees_of_freedom : int
        Of that scatter.
    """

    index: int
    name: str
    slope: float
    standard_error: float
    degrees_of_freedom: int

    @property
    def sign(self) -> int:
        """1 or −1 where the slope stands out of its scatter, else 0."""
        certain = abs(self.slope) > CERTAIN_ERRORS * self.standard_error
        return int(np.sign(self.slope)) if certain else 0


def own_slopes(test: PreparedTest) -> list[OwnSlope]:
    """Fit a slope to each instrument that was read at two moments or more.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; it has movements and readings.

    Returns
    -------
    list of OwnSlope
        In the order of the record.
    """
    assert test.movements is not None  # noqa: S101 - callers have readings
    assert test.tangents is not None  # noqa: S101 - callers have readings
    spots = np.zeros((1, len(test.movements.spot_m)))
    moments = test.movements.moments_t_m(test.movements.masses_t[None], spots, axis=1)[0]
    own_zero = has_zero_mark(test)
    found = []
    for i, instrument in enumerate(test.record.instruments):
        mine = test.tangents.instrument_index == i
        x, y = moments[test.tangents.state_index[mine]], test.tangents.tangents[mine]
        if len(x) > 1 and np.ptp(x) > SAME_MOMENT_SHARE * np.abs(moments).max():
            found.append(OwnSlope(i, instrument.id, *_slope(x, y, bool(own_zero[i]))))
    return found


def refuse_doubtful_slopes(test: PreparedTest) -> None:
    """Refuse readings that do not show the ship heeling with the weights.

    Parameters
    ----------
    test : PreparedTest
        The record made ready; a survey has nothing to judge.

    Raises
    ------
    CoreError
        ``instrument-reversed`` naming each instrument that shows the heel to the wrong side while another shows it to
        the right one; ``instrument-without-heel`` naming one that hardly moves while others show the heel;
        ``slope-not-certain`` when all together do not show a slope above zero by three standard errors.
    """
    if test.tangents is None or test.movements is None:
        return
    slopes = own_slopes(test)
    wrong = [one for one in slopes if one.sign < 0]
    right = [one for one in slopes if one.sign > 0]
    if wrong and right:
        raise _reversed(wrong, right)
    if slopes and not wrong:
        _refuse_uncertain(test, slopes)
    _refuse_still(slopes, right)


def _refuse_still(slopes: Sequence[OwnSlope], right: Sequence[OwnSlope]) -> None:
    """An instrument that stands still beside others is averaged in like any other, and doubles GM."""
    if not right:
        return
    most = max(right, key=lambda one: one.slope)
    still = [one for one in slopes if abs(one.slope) < STILL_SHARE * most.slope]
    if still:
        show = "shows" if len(still) == 1 else "show"
        raise CoreError(
            "instrument-without-heel",
            f"{_names(still)} {show} less than {100.0 * STILL_SHARE:g} % of the heel that {most.name} shows: a wire "
            "that touches, readings never filled in, or one of them in another unit (readings are in mm, angles in "
            "degrees). Mend the readings, or withdraw them with a reason.",
            f"/instruments/{still[0].index}",
        )


def _slope(x: Array, y: Array, own_zero: bool) -> tuple[float, float, int]:
    """Slope of one instrument, its standard error and degrees of freedom."""
    deviation = x - x.mean() if own_zero else x
    squares = float(deviation @ deviation)
    slope = float(deviation @ y) / squares
    residual = y - slope * x
    residual = residual - residual.mean() if own_zero else residual
    freedom = len(x) - (2 if own_zero else 1)
    scatter = float(residual @ residual) / freedom if freedom > 0 else 0.0
    return slope, float(np.sqrt(scatter / squares)), max(freedom, 0)


def _refuse_uncertain(test: PreparedTest, slopes: Sequence[OwnSlope]) -> None:
    """All instruments together by their residuals about the mean of their slopes, which counts disagreement too."""
    assert test.tangents is not None  # noqa: S101 - callers have readings
    if float(max(abs(one.slope) for one in slopes)) == 0.0 or _shows_nothing(test):
        return
    slope, error = _together(test)
    if slope > CERTAIN_ERRORS * error or slope < -CERTAIN_ERRORS * error:
        return
    each = ", ".join(f"{one.name} {_gauge(one)}" for one in slopes)
    raise CoreError(
        "slope-not-certain",
        f"The readings do not show the ship heeling with the weights: the slope of the line is {_times(slope, error)} "
        f"its standard error, and at least {CERTAIN_ERRORS:g} times is asked ({each}). No GM can be had from scatter: "
        "look for readings that belong to other states, weights that did not move as listed, an instrument that "
        "sticks or has the wrong unit, or moments too small to be read.",
        "/readings",
    )


def _shows_nothing(test: PreparedTest) -> bool:
    read = test.tangents
    assert read is not None  # noqa: S101 - callers have readings
    spans = [np.ptp(read.tangents[read.instrument_index == i]) for i in np.unique(read.instrument_index)]
    return max(float(span) for span in spans) <= NO_HEEL_TANGENT


def _together(test: PreparedTest) -> tuple[float, float]:
    """Common slope, an intercept for each instrument, and its standard error."""
    assert test.movements is not None  # noqa: S101 - callers have readings
    assert test.tangents is not None  # noqa: S101 - callers have readings
    spots = np.zeros((1, len(test.movements.spot_m)))
    moments = test.movements.moments_t_m(test.movements.masses_t[None], spots, axis=1)[0]
    x, y = moments[test.tangents.state_index].copy(), test.tangents.tangents.copy()
    own_zero = has_zero_mark(test)
    used = np.unique(test.tangents.instrument_index)
    for i in used[own_zero[used]]:
        mine = test.tangents.instrument_index == i
        x[mine] -= x[mine].mean()
        y[mine] -= y[mine].mean()
    squares = float(x @ x)
    if squares <= 0.0:
        return 0.0, 0.0
    slope = float(x @ y) / squares
    freedom = len(x) - 1 - int(own_zero[used].sum())
    residual = y - slope * x
    error = float(np.sqrt(residual @ residual / freedom / squares)) if freedom > 0 else 0.0
    return slope, error


def _gauge(one: OwnSlope) -> str:
    if one.standard_error <= 0.0:
        return "without scatter of its own"
    return f"{_times(one.slope, one.standard_error)} its own"


def _times(slope: float, error: float) -> str:
    return "0 times" if error <= 0.0 else f"{slope / error:.1f} times"


def _reversed(wrong: Sequence[OwnSlope], right: Sequence[OwnSlope]) -> CoreError:
    against, with_them = (_names(group) for group in (wrong, right))
    mend = (
        "a reading is positive for heel to starboard: negate its readings, or withdraw them with a reason."
        if len(wrong) == 1
        else "a reading is positive for heel to starboard: negate their readings, or withdraw them with a reason."
    )
    doubt = (
        ""
        if len(wrong) < len(right)
        else " If instead the y of the weights was entered positive to port, mend the states and those that agree now."
    )
    return CoreError(
        "instrument-reversed",
        f"{against} {'shows' if len(wrong) == 1 else 'show'} the ship heeling against the weights' moments while "
        f"{with_them} {'shows' if len(right) == 1 else 'show'} her heeling with them; GM is positive, so {against} "
        f"{'is' if len(wrong) == 1 else 'are'} reversed: {mend}{doubt}",
        f"/instruments/{wrong[0].index}",
    )


def _names(group: Sequence[OwnSlope]) -> str:
    names = [one.name for one in group]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
