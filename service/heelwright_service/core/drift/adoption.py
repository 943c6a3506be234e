"""Which figures enter the stability information after a survey or test, and where each comes from."""

from __future__ import annotations

from heelwright_service.core.drift.answer import Adopted, LightshipValues
from heelwright_service.core.words import dated, on_day

_AFTER_A_SURVEY = "MSC.429(98)/Rev.2, explanatory notes to SOLAS II-1/5.5"
_OF_A_SISTER = "MSC/Circ.1158 (2005), paragraph 3"


def named(values: LightshipValues) -> str:
    """Return what a lightship is called: its basis and date.

    Parameters
    ----------
    values : LightshipValues
        The lightship.

    Returns
    -------
    str
        Such as ``inclining test of 10 Jun 2015``.
    """
    return dated(values.basis, values.date)


def adopted(values: LightshipValues, baseline: LightshipValues) -> Adopted:
    """Return a survey's mass, LCG and TCG with the VCG of the last inclining, or an inclining test's own values.

    Parameters
    ----------
    values : LightshipValues
        The survey or test [t, m].
    baseline : LightshipValues
        The last approved inclining test [t, m].

    Returns
    -------
    Adopted
        The figures with their origins (explanatory notes to SOLAS II-1/5.5, MSC.429(98)/Rev.2).
    """
    own, kept = named(values), named(baseline)
    tested = values.basis == "inclining-test" and values.vcg_m is not None
    return Adopted(
        mass_t=values.mass_t,
        lcg_m=values.lcg_m,
        tcg_m=baseline.tcg_m if values.tcg_m is None else values.tcg_m,
        vcg_m=values.vcg_m if tested else baseline.vcg_m,
        origins={
            "mass_t": own,
            "lcg_m": own,
            "tcg_m": kept if values.tcg_m is None else own,
            "vcg_m": own if tested else kept,
        },
        rule="D-10",
        source=_AFTER_A_SURVEY,
        confidence="MH",
    )


def adopted_of_a_sister(values: LightshipValues, lead: LightshipValues, calculated: LightshipValues) -> Adopted:
    """Return a sister's measured mass, LCG and TCG with the higher of the lead ship's VCG and the calculated one.

    Parameters
    ----------
    values : LightshipValues
        The sister's survey [t, m].
    lead : LightshipValues
        The lead ship's tested lightship [t, m].
    calculated : LightshipValues
        The same with the sister's known differences [t, m].

    Returns
    -------
    Adopted
        The figures with their origins (MSC/Circ.1158, paragraph 3).
    """
    own, tested, worked_out = (
        named(values),
        f"lead ship's test of {on_day(lead.date)}",
        "calculated from the lead ship's",
    )
    heights = [(lead.vcg_m, tested), (calculated.vcg_m, worked_out)]
    vcg_m, origin = max(((z, name) for z, name in heights if z is not None), key=lambda each: each[0])
    return Adopted(
        mass_t=values.mass_t,
        lcg_m=values.lcg_m,
        tcg_m=calculated.tcg_m if values.tcg_m is None else values.tcg_m,
        vcg_m=vcg_m,
        origins={
            "mass_t": own,
            "lcg_m": own,
            "tcg_m": worked_out if values.tcg_m is None else own,
            "vcg_m": f"{origin}, the higher of the two",
        },
        rule="D-06",
        source=_OF_A_SISTER,
        confidence="F",
    )
