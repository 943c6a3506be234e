"""Refusals that the closed forms share: a quantity that must be positive, or not zero, or in step with another."""

from __future__ import annotations

import math

from ..errors import CoreError


def require_positive(name: str, value: float) -> None:
    """Refuse a quantity that is not a finite number above zero.

    Parameters
    ----------
    name : str
        Field name with its unit, such as ``displacement_t``.
    value : float
        What was given.

    Raises
    ------
    CoreError
        ``not-positive`` with the pointer ``/name``.

    Examples
    --------
    >>> require_positive("displacement_t", 1200.0)
    """
    if not (math.isfinite(value) and value > 0.0):
        raise CoreError("not-positive", f"{name} is {value}; it must be a number above zero.", f"/{name}")


def require_nonzero(name: str, value: float) -> None:
    """Refuse a quantity that would be divided by and is zero or not finite.

    Parameters
    ----------
    name : str
        Field name with its unit.
    value : float
        What was given.

    Raises
    ------
    CoreError
        ``zero-divisor`` with the pointer ``/name``.
    """
    if not math.isfinite(value) or value == 0.0:
        raise CoreError("zero-divisor", f"{name} is {value}; it must be a number other than zero.", f"/{name}")
