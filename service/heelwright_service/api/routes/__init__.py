"""The paths, one module a resource; the application registers those listed here."""

from heelwright_service.api.routes import (
    computations,
    deviations,
    drift,
    feed,
    history,
    history_import,
    model_acceptance,
    other_ways,
    reductions,
    sessions,
    test_day,
    test_results,
    tests,
    tokens,
    vessel_documents,
    vessels,
)

BLUEPRINTS = (
    computations.blueprint,
    deviations.blueprint,
    reductions.blueprint,
    vessels.blueprint,
    vessel_documents.blueprint,
    history.blueprint,
    history_import.blueprint,
    drift.blueprint,
    feed.blueprint,
    model_acceptance.blueprint,
    other_ways.blueprint,
    tests.blueprint,
    test_day.blueprint,
    test_results.blueprint,
    tokens.blueprint,
    sessions.blueprint,
)
