"""Plan the tanks, let the ship answer tank by tank, see what a refusal does, and plan again with what she offers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy.orm import Session

from heelwright_service.core.campaign.planned_condition import PlannedCondition, as_offered
from heelwright_service.core.campaign.tank_answers import answer_states, check_answer, effect_of_offer, fuel_left
from heelwright_service.core.campaign.tank_document import TankAnswer, TankPlan
from heelwright_service.core.campaign.tank_plan import check_tank_plan
from heelwright_service.core.documents import from_document, to_document
from heelwright_service.core.errors import CoreError
from heelwright_service.core.results import Check
from heelwright_service.store.errors import NotFoundError
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases.access import Caller
from heelwright_service.usecases.enter_in_test import Entered, add_entry
from heelwright_service.usecases.planned_tests import planned_condition_of, planned_ship
from heelwright_service.usecases.preconditions import ANY, Expected
from heelwright_service.usecases.prepare_vessel import bring_into_step
from heelwright_service.usecases.price_preparations import Prices
from heelwright_service.usecases.stored_tests import StoredTest, load_test, with_plans
from heelwright_service.usecases.test_documents import StoredPlan, refuse_after_test_day, store_document, tell


def store_tank_plan(
    work: UnitOfWork, caller: Caller, test_id: str, expected: Expected, document: dict[str, Any]
) -> StoredPlan:
    """Store a new version of a test's tank plan; a work list that was generated follows it.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions; the work list is priced between reading and storing.
    caller : Caller
        Who stores it.
    test_id : str
        The test.
    expected : Expected
        The versions that the caller has seen.
    document : dict
        The tank plan, of checked shape.

    Returns
    -------
    StoredPlan
        The version that is now current.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller.
    StaleError
        When the tank plan is not at an expected version.
    ConflictError
        When the test day is over.
    CoreError
        When a tank cannot be as planned, such as a level outside its table.
    """
    with work.transaction(read_only=True) as session:
        seen = load_test(session, caller, test_id)
    prices = _prices(seen, from_document(TankPlan, document))
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        refuse_after_test_day(test)
        return _stored(work, session, caller, test, expected, document, prices)


def read_tank_plan(work: UnitOfWork, caller: Caller, test_id: str, today: str) -> dict[str, Any]:
    """Return what a tank plan comes to: condition, checks, the ship's answers, and what her refusals do.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who asks.
    test_id : str
        The test.
    today : str
        The day of the question, ISO 8601.

    Returns
    -------
    dict
        ``condition``, ``checks``, ``answers``, ``flagged`` (tanks refused), and ``effect`` of her offers or None.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no tank plan.
    """
    with work.transaction(read_only=True) as session:
        test = load_test(session, caller, test_id)
    plan = _plan_of(test)
    answers = test.all_of("tank-answer", TankAnswer)
    states = answer_states(plan, answers, today)
    condition, problem = _condition(test, plan)
    checks: list[Check] = []
    if condition is not None:
        checks = check_tank_plan(plan, planned_ship(test), condition) + _fuel(test, plan, condition)
    return {
        "condition": to_document(condition),
        "problem": problem,
        "checks": to_document(checks),
        "answers": to_document(states),
        "flagged": [each.tank for each in states if each.state == "cannot"],
        "effect": _effect(test, plan, answers, condition),
    }


def answer_tank(work: UnitOfWork, caller: Caller, test_id: str, answer: dict[str, Any]) -> dict[str, Any]:
    """Record the ship's answer for one tank, and say what a refusal does.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transaction.
    caller : Caller
        Who answers.
    test_id : str
        The test.
    answer : dict
        The answer, of checked shape.

    Returns
    -------
    dict
        The entry, and the ``effect`` of all her offers so far.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no tank plan.
    CoreError
        When the tank is not planned, or a refusal has no reason.
    """
    with work.transaction() as session:
        test = load_test(session, caller, test_id, lock=True)
        check_answer(from_document(TankAnswer, answer), _plan_of(test))
        view = add_entry(work, session, caller, test, "tank-answer", Entered(answer))
        if answer["answer"] == "cannot":
            data = {"tank": answer["tank"], "reason": answer["reason"]}
            tell(work, caller, test.row, "test.tank-refused", data)
        again = load_test(session, caller, test_id)
        plan = _plan_of(again)
        condition, _ = _condition(again, plan)
        return view | {"effect": _effect(again, plan, again.all_of("tank-answer", TankAnswer), condition)}


def plan_again(work: UnitOfWork, caller: Caller, test_id: str) -> Callable[[], StoredPlan]:
    """Return what takes the ship's offers into the tank plan; the work list, which is priced before, follows.

    Parameters
    ----------
    work : UnitOfWork
        Opens the transactions; the work list is priced between reading and storing.
    caller : Caller
        Who plans.
    test_id : str
        The test.

    Returns
    -------
    callable
        Stores the tank plan and returns it.

    Raises
    ------
    NotFoundError
        When there is no such test for this caller, or no tank plan.
    ConflictError
        When the test day is over.
    CoreError
        When an offered state cannot be, such as a level outside its table.
    """
    with work.transaction(read_only=True) as session:
        seen = load_test(session, caller, test_id)
    prices = _prices(seen, _offered(seen))

    def keep() -> StoredPlan:
        with work.transaction() as session:
            test = load_test(session, caller, test_id, lock=True)
            refuse_after_test_day(test)
            return _stored(work, session, caller, test, ANY, to_document(_offered(test)), prices)

    return keep


def _offered(test: StoredTest) -> TankPlan:
    return as_offered(_plan_of(test), test.all_of("tank-answer", TankAnswer))


def _prices(test: StoredTest, plan: TankPlan) -> Prices | None:
    """What prices the work list under a tank plan; None where no list follows it."""
    if not test.preparations:
        return None
    refuse_after_test_day(test)
    _refuse_impossible(test, plan)
    return Prices.on(with_plans(test, tank_plan=plan))


def _stored(
    work: UnitOfWork,
    session: Session,
    caller: Caller,
    test: StoredTest,
    expected: Expected,
    document: dict[str, Any],
    prices: Prices | None,
) -> StoredPlan:
    plan = from_document(TankPlan, document)
    _refuse_impossible(test, plan)
    stored = store_document(work, session, caller, test, "tank-plan", expected, document)
    if test.preparations:
        follows = with_plans(test, tank_plan=plan)
        bring_into_step(work, session, caller, follows, prices or Prices.on(follows))
    return stored


def _refuse_impossible(test: StoredTest, plan: TankPlan) -> None:
    try:
        planned_condition_of(test, plan)
    except CoreError as error:
        if error.pointer.startswith("/tanks"):
            raise


def _plan_of(test: StoredTest) -> TankPlan:
    if test.tank_plan is None:
        raise NotFoundError("document-not-found", "this test has no tank plan yet; store one with PUT")
    return test.tank_plan


def _condition(test: StoredTest, plan: TankPlan) -> tuple[PlannedCondition | None, str | None]:
    try:
        return planned_condition_of(test, plan), None
    except CoreError as error:
        return None, error.message


def _fuel(test: StoredTest, plan: TankPlan, condition: PlannedCondition) -> list[Check]:
    if test.plan.date is None or plan.fuel_use is None:
        return []
    planned = {each.tank: each.mass_t for each in condition.tanks}
    return fuel_left(plan, dict(plan.fuel_use.aboard_t), planned, test.plan.date)


def _effect(
    test: StoredTest, plan: TankPlan, answers: list[TankAnswer], condition: PlannedCondition | None
) -> dict[str, Any] | None:
    offered = as_offered(plan, answers)
    if condition is None or offered == plan:
        return None
    changed, _ = _condition(test, offered)
    if changed is None:
        return None
    heel = planned_ship(test).max_heel_deg
    effect: dict[str, Any] = to_document(effect_of_offer(condition, changed, heel, test.plan.rule_set))
    return effect
