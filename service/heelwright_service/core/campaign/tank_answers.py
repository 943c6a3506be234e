"""What the ship says to the tank plan, what a refusal does to the test, and whether the fuel will still be there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from heelwright_service.core.campaign.judging import status_of
from heelwright_service.core.campaign.planned_condition import PlannedCondition
from heelwright_service.core.campaign.tank_document import TankAnswer, TankPlan
from heelwright_service.core.errors import CoreError
from heelwright_service.core.results import Check
from heelwright_service.core.rules import conduct_rule


@dataclass(frozen=True)
class AnswerState:
    """Where one tank stands: agreed, refused with the reason, or not answered, and whether that is late."""

    tank: str
    state: str
    reason: str | None
    overdue: bool


@dataclass(frozen=True)
class Effect:
    """What the offered states do to the planned condition; None where a hull form would be needed.

    Parameters
    ----------
    displacement_t, vcg_m, free_surface_moment_t_m : float
        Changes from the plan.
    trim_m, heel_deg, gm_fluid_m : float or None
        Changes from the plan; trim by the stern and heel to starboard positive.
    max_heel_deg : float or None
        The largest heel that the planned weights give in the new condition [deg].
    weight_plan_stands : bool or None
        Whether that heel is still within the rule.
    text : str
        The same in words.
    """

    displacement_t: float
    vcg_m: float
    free_surface_moment_t_m: float
    trim_m: float | None
    heel_deg: float | None
    gm_fluid_m: float | None
    max_heel_deg: float | None
    weight_plan_stands: bool | None
    text: str


def check_answer(answer: TankAnswer, plan: TankPlan) -> None:
    """Refuse an answer that cannot be meant.

    Parameters
    ----------
    answer : TankAnswer
        The answer.
    plan : TankPlan
        The plan it answers.

    Raises
    ------
    CoreError
        ``tank-not-planned`` or ``reason-missing``.
    """
    if answer.tank not in {each.tank for each in plan.tanks}:
        raise CoreError("tank-not-planned", f"'{answer.tank}' is not in the tank plan.", "/tank")
    if answer.answer == "cannot" and not (answer.reason or "").strip():
        raise CoreError("reason-missing", f"Say why '{answer.tank}' cannot be as planned.", "/reason")


def answer_states(plan: TankPlan, answers: Sequence[TankAnswer], today: str) -> list[AnswerState]:
    """Say where each tank of the plan stands.

    Parameters
    ----------
    plan : TankPlan
        The plan with the date by which the ship answers.
    answers : sequence of TankAnswer
        In the order they came; the last for a tank counts.
    today : str
        The day of the question, ISO 8601.

    Returns
    -------
    list of AnswerState
        In the order of the plan.
    """
    latest = {answer.tank: answer for answer in answers}
    late = plan.answers_due is not None and today[:10] > plan.answers_due[:10]
    states = []
    for tank in plan.tanks:
        answer = latest.get(tank.tank)
        if answer is None:
            states.append(AnswerState(tank.tank, "open", None, late))
        else:
            states.append(AnswerState(tank.tank, answer.answer, answer.reason, False))
    return states


def effect_of_offer(
    planned: PlannedCondition, offered: PlannedCondition, max_heel_deg: float | None = None, rule_set: str | None = None
) -> Effect:
    """Compare the condition as the ship offers it with the plan.

    Parameters
    ----------
    planned, offered : PlannedCondition
        The two conditions.
    max_heel_deg : float, optional
        Largest heel of the weight plan [deg].
    rule_set : str, optional
        Rule set whose limits of heel are meant.

    Returns
    -------
    Effect
        Differences, offered less planned.

    Notes
    -----
    The same moment heels by `tan φ' = tan φ·(Δ·GM)/(Δ'·GM')`.
    """
    heel = _new_heel(planned, offered, max_heel_deg)
    rule = conduct_rule("W-01", rule_set)
    stands = None if heel is None else rule["minimum_deg"] <= heel <= rule["maximum_deg"]
    found = Effect(
        offered.displacement_t - planned.displacement_t,
        offered.vcg_m - planned.vcg_m,
        offered.free_surface_moment_t_m - planned.free_surface_moment_t_m,
        _difference(offered.trim_m, planned.trim_m),
        _difference(offered.heel_deg, planned.heel_deg),
        _difference(offered.gm_fluid_m, planned.gm_fluid_m),
        heel,
        stands,
        "",
    )
    return Effect(**{**found.__dict__, "text": _in_words(found)})


def fuel_forecast(plan: TankPlan, masses_t: dict[str, float], test_date: str) -> list[Check]:
    """Forecast whether the tanks that the ship burns from can still hold what is planned on the day.

    Parameters
    ----------
    plan : TankPlan
        The plan with its fuel use.
    masses_t : dict of str to float
        Mass aboard in each tank on the day that the use counts from [t].
    test_date : str
        The day of the test, ISO 8601.

    Returns
    -------
    list of Check
        One for the fuel as a whole; empty where no use is given.

    Notes
    -----
    Burnt = days × consumption. The tanks that may burn hold, at the test, their present sum less that.
    """
    use = plan.fuel_use
    if use is None:
        return []
    days = (date.fromisoformat(test_date[:10]) - date.fromisoformat(use.from_date[:10])).days
    if days < 0:
        raise CoreError("fuel-date-late", "The fuel use counts from a day after the test.", "/fuel_use/from_date")
    burnt = days * use.consumption_t_per_day
    tanks = [each for each in plan.tanks if each.burns]
    unknown = [each.tank for each in tanks if each.tank not in masses_t]
    source = "derived here: days times daily consumption"
    if unknown or not tanks:
        where = ", ".join(unknown) or "she"
        text = f"The ship will burn {burnt:.1f} t until the test; what {where} holds now is not known."
        return [Check("fuel-burn", text, "not-assessed", burnt, None, source)]
    aboard = sum(masses_t[each.tank] for each in tanks)
    text = (
        f"The ship will burn {burnt:.1f} t in {days} days out of {aboard:.1f} t in {', '.join(t.tank for t in tanks)}; "
        f"{aboard - burnt:.1f} t are left for the test."
    )
    return [Check("fuel-burn", text, "pass" if aboard >= burnt else "fail", burnt, aboard, source)]


def fuel_left(
    plan: TankPlan, now_t: dict[str, float], planned_t: dict[str, float], test_date: str, tolerance_t: float = 0.5
) -> list[Check]:
    """Say whether what is left after burning is what the plan wants aboard in the tanks that burn.

    Parameters
    ----------
    plan : TankPlan
        The plan with its fuel use.
    now_t, planned_t : dict of str to float
        Mass in each tank now and as planned for the test [t].
    test_date : str
        The day of the test, ISO 8601.
    tolerance_t : float
        Difference that does not matter [t]; bunkering or transfer is asked for beyond it.

    Returns
    -------
    list of Check
        The forecast, and a warning where plan and forecast differ.
    """
    forecast = fuel_forecast(plan, now_t, test_date)
    if not forecast or forecast[0].status == "not-assessed" or forecast[0].value is None:
        return forecast
    burning = [each.tank for each in plan.tanks if each.burns]
    left = sum(now_t[name] for name in burning) - forecast[0].value
    wanted = sum(planned_t.get(name, 0.0) for name in burning)
    gap = left - wanted
    text = f"{left:.1f} t will be left where the plan wants {wanted:.1f} t."
    if abs(gap) > tolerance_t:
        text += f" {'Discharge or move' if gap > 0 else 'Bunker'} {abs(gap):.1f} t, or plan again."
    status = status_of(abs(gap) <= tolerance_t, may_fail=False)
    return [*forecast, Check("fuel-left", text, status, gap, tolerance_t, "office default")]


def _new_heel(planned: PlannedCondition, offered: PlannedCondition, max_heel_deg: float | None) -> float | None:
    before, after = planned.stiffness_t_m, offered.stiffness_t_m
    if max_heel_deg is None or before is None or after is None or before <= 0.0 or after <= 0.0:
        return None
    return math.degrees(math.atan(math.tan(math.radians(max_heel_deg)) * before / after))


def _difference(new: float | None, old: float | None) -> float | None:
    return None if new is None or old is None else new - old


def _in_words(effect: Effect) -> str:
    parts = [
        f"displacement {_more(effect.displacement_t, 't', 1)}",
        f"free-surface moment {_more(effect.free_surface_moment_t_m, 't·m', 1)}",
    ]
    if effect.trim_m is not None and effect.heel_deg is not None and effect.gm_fluid_m is not None:
        parts.append(f"trim {_moved(effect.trim_m, ' m', 'by the stern', 'by the head')}")
        parts.append(f"list {_moved(effect.heel_deg, '°', 'to starboard', 'to port')}")
        parts.append(f"GM {_more(effect.gm_fluid_m, 'm', 3)}")
    text = "Against the plan: " + ", ".join(parts) + "."
    if effect.max_heel_deg is not None:
        verdict = "stands" if effect.weight_plan_stands else "has to be made again"
        text += f" The planned weights would heel her {effect.max_heel_deg:.2f}°: the weight plan {verdict}."
    return text


def _moved(value: float, unit: str, one_way: str, other_way: str) -> str:
    size = f"{abs(value):.2f}"
    return "unchanged" if float(size) == 0.0 else f"{size}{unit} {one_way if value > 0.0 else other_way}"


def _more(value: float, unit: str, digits: int) -> str:
    if round(abs(value), digits) == 0.0:
        return "unchanged"
    return f"{abs(value):.{digits}f} {unit} {'more' if value > 0 else 'less'}"
