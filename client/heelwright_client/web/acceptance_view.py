"""An acceptance sheet as the page shows it: what lies beyond its limit first, in the visitor's units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from heelwright_client.units import Dimension
from heelwright_client.web.wording import Say

_WORDS = {
    "displacement_t": "displacement",
    "km_t_m": "KM transverse",
    "lcb_m": "LCB",
    "volume_m3": "volume",
    "x_m": "centre along",
    "y_m": "centre across",
    "z_m": "centre above base",
    "zero_z_m": "zero of the scale",
}
_DECIMALS = {"displacement_t": 1, "volume_m3": 2}
_ON_A_PAGE = 100

Item = Mapping[str, Any]


def sheet_view(sheet: Item, say: Say, page: int, most_beyond: int = _ON_A_PAGE) -> dict[str, Any]:
    """Prepare a sheet for the page.

    Parameters
    ----------
    sheet : Mapping
        As the service gives it.
    say : Say
        The visitor's words.
    page : int
        Which page of the comparisons within their limits; 1 for the first.
    most_beyond : int
        How many of those beyond their limits at most.

    Returns
    -------
    dict
        ``beyond``, ``within``, their counts, and the pages.
    """
    beyond = [each for each in sheet["differences"] if not each["within"]]
    within = [each for each in sheet["differences"] if each["within"]]
    ordered = sorted(beyond, key=lambda each: each["reason"] is not None)
    first = (page - 1) * _ON_A_PAGE
    return {
        "beyond": [_row(each, say) for each in ordered[:most_beyond]],
        "beyond_count": len(beyond),
        "within": [_row(each, say) for each in within[first : first + _ON_A_PAGE]],
        "within_count": len(within),
        "page": page,
        "pages": max(1, -(-len(within) // _ON_A_PAGE)),
    }


def open_subjects(sheet: Item) -> list[str]:
    """List what lies beyond a limit, each named once.

    Parameters
    ----------
    sheet : Mapping
        As the service gives it.

    Returns
    -------
    list of str
        In the order of the comparisons.
    """
    found: Sequence[str] = [str(each["subject"]) for each in sheet["differences"] if not each["within"]]
    return list(dict.fromkeys(found))


def _row(each: Item, say: Say) -> dict[str, Any]:
    excused = not each["within"] and each["reason"] is not None
    return {
        "subject": each["subject"],
        "quantity": _WORDS.get(each["quantity"], each["quantity"]),
        "model": _figure(each["model"], each["quantity"], say),
        "approved": _figure(each["approved"], each["quantity"], say),
        "difference": _difference(each["difference"], each["unit"], say, sign=True),
        "limit": _difference(each["limit"], each["unit"], say),
        "status": "pass" if each["within"] else "warn" if excused else "fail",
        "verdict": "within" if each["within"] else "beyond, with a reason" if excused else "beyond its limit",
        "source": each["source"],
        "reason": each["reason"] or "",
    }


def _figure(value: float | None, quantity: str, say: Say) -> str:
    if value is None:
        return "not there"
    dimension = _dimension(quantity)
    if dimension is None:
        return "yes" if value else "no"
    if quantity in ("x_m", "lcb_m"):
        return say.station(value)
    return say.offset(value) if quantity == "y_m" else say.value(value, dimension, decimals=_DECIMALS.get(quantity, 3))


def _difference(value: float | None, unit: str, say: Say, *, sign: bool = False) -> str:
    if value is None or not unit:
        return ""
    mark = "−" if value < 0 else "+" if sign and value > 0 else ""
    if unit == "m":
        return mark + say.length(abs(value))
    return f"{mark}{say.number(100 * abs(value), 2)} %" + (" of the length" if unit == "share of length" else "")


def _dimension(quantity: str) -> Dimension | None:
    if quantity.endswith("_t"):
        return "mass"
    if quantity.endswith("_m3"):
        return "volume"
    return "length" if quantity.endswith("_m") else None
