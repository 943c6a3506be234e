"""The pages, one module a job; the front end registers those listed here."""

from heelwright_client.web.pages import fleet, plan, result, sign_in, start, vessel, vessel_entry

BLUEPRINTS = (
    sign_in.blueprint,
    start.blueprint,
    fleet.blueprint,
    vessel_entry.blueprint,
    vessel.blueprint,
    plan.blueprint,
    result.blueprint,
)
NAVIGATION = (("fleet.show", "Fleet"), ("plan.show", "Plan a test"), ("result.show", "Reduce a record"))
