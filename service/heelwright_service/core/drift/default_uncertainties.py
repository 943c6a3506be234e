"""Standard uncertainties of a lightship whose record states none, by how it was found."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from heelwright_service.core.drift.answer import LightshipValues
from heelwright_service.core.drift.request import Basis, LightshipRecord, StandardUncertainties


@dataclass(frozen=True)
class DefaultUncertainty:
    """Shares of mass, of length and of VCG, a transverse distance, and where they come from."""

    mass_percent: float
    lcg_percent_of_length: float
    tcg_m: float
    vcg_percent: float
    source: str


_RECTANGULAR = 1.0 / math.sqrt(3.0)

DEFAULTS: dict[Basis, DefaultUncertainty] = {
    "inclining-test": DefaultUncertainty(
        0.4, 0.1, 0.02, 0.5, "office default: 0.4 % of mass, 0.1 % of length, 0.5 % of VCG for a careful test"
    ),
    "lightweight-survey": DefaultUncertainty(
        0.4, 0.1, 0.02, 0.5, "office default: 0.4 % of mass, 0.1 % of length; VCG is not measured"
    ),
    "calculation": DefaultUncertainty(
        0.5, 0.15, 0.03, 0.75, "office default: a tested lightship brought up to date by estimated weights"
    ),
    "sister-ship": DefaultUncertainty(
        2.0 * _RECTANGULAR,
        0.5 * _RECTANGULAR,
        0.05,
        2.0,
        "limits for sister ships of SOLAS 1974 II-1/5.2 (2 %, 0.5 % L) as half-widths of a rectangular distribution "
        "(JCGM 100:2008, 4.3.7); VCG 2 %: office default",
    ),
    "estimate": DefaultUncertainty(
        3.0, 0.5, 0.1, 3.0, "office default: allowance of 2.5 % to 3 % in late design, common practice"
    ),
    "weighed": DefaultUncertainty(
        0.1, 0.05, 0.01, 0.5, "office default: load cells repeat within 0.04 %, with an allowance for their calibration"
    ),
}


def with_standard(record: LightshipRecord, length_m: float) -> LightshipValues:
    """Return a lightship with its stated standard uncertainties, completed by the defaults of its basis.

    Parameters
    ----------
    record : LightshipRecord
        The record; a lightweight survey measures no VCG, so one that is given is not used.
    length_m : float
        Length of the vessel [m].

    Returns
    -------
    LightshipValues
        Values and standard uncertainties [t, m]; unknown stays None.

    Examples
    --------
    >>> record = LightshipRecord("2015-06-10", "inclining-test", 4000.0, 50.0, vcg_m=7.5)
    >>> with_standard(record, 105.0).standard
    StandardUncertainties(mass_t=16.0, lcg_m=0.105, tcg_m=None, vcg_m=0.0375)
    """
    default, stated = DEFAULTS[record.basis], record.uncertainties or StandardUncertainties()
    vcg_m = None if record.basis == "lightweight-survey" else record.vcg_m
    standard = StandardUncertainties(
        mass_t=_first(stated.mass_t, default.mass_percent / 100.0 * record.mass_t),
        lcg_m=_first(stated.lcg_m, default.lcg_percent_of_length / 100.0 * length_m),
        tcg_m=None if record.tcg_m is None else _first(stated.tcg_m, default.tcg_m),
        vcg_m=None if vcg_m is None else _first(stated.vcg_m, default.vcg_percent / 100.0 * abs(vcg_m)),
    )
    needed = (stated.mass_t, stated.lcg_m, *_known(record.tcg_m, stated.tcg_m), *_known(vcg_m, stated.vcg_m))
    source = "as stated" if None not in needed else default.source
    return LightshipValues(
        record.date,
        record.basis,
        record.mass_t,
        record.lcg_m,
        record.tcg_m,
        vcg_m,
        standard,
        source,
        record.approved,
        record.id,
    )


def of_lead(baseline: LightshipRecord, length_m: float) -> LightshipValues:
    """Return a lead ship's lightship as the baseline of a sister, with the uncertainties of an inclining test.

    Parameters
    ----------
    baseline : LightshipRecord
        The lead ship's, of basis "sister-ship".
    length_m : float
        Length of the sister, built to the same plans [m].

    Returns
    -------
    LightshipValues
        Basis "sister-ship": the figures are another ship's.
    """
    return replace(with_standard(replace(baseline, basis="inclining-test"), length_m), basis="sister-ship")


def _first(stated: float | None, default: float) -> float:
    return default if stated is None else stated


def _known(value: float | None, stated: float | None) -> tuple[float | None, ...]:
    return () if value is None else (stated,)
