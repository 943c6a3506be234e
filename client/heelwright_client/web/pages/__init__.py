"""The pages, one module a job; the front end registers those listed here."""

from heelwright_client.web.pages import (
    actions,
    boundary,
    fleet,
    plan,
    record_entry,
    result,
    ship,
    sign_in,
    start,
    survey,
    test_day,
    test_entries,
    test_plan,
    test_result,
    tests,
    vessel,
    vessel_entry,
)

BLUEPRINTS = (
    sign_in.blueprint,
    start.blueprint,
    fleet.blueprint,
    actions.blueprint,
    vessel_entry.blueprint,
    vessel.blueprint,
    boundary.blueprint,
    record_entry.blueprint,
    plan.blueprint,
    result.blueprint,
    tests.blueprint,
    test_plan.blueprint,
    ship.blueprint,
    survey.blueprint,
    test_day.blueprint,
    test_result.blueprint,
    test_entries.blueprint,
)
NAVIGATION = (
    ("fleet.show", "Fleet"),
    ("tests.overview", "Tests"),
    ("actions.overview", "Actions"),
    ("plan.show", "Plan weights"),
    ("result.show", "Reduce a record"),
)
