"""The paths, one module a resource; the application registers those listed here."""

from heelwright_service.api.routes import (
    computations,
    drift,
    feed,
    history,
    history_import,
    reductions,
    tokens,
    vessel_documents,
    vessels,
)

BLUEPRINTS = (
    computations.blueprint,
    reductions.blueprint,
    vessels.blueprint,
    vessel_documents.blueprint,
    history.blueprint,
    history_import.blueprint,
    drift.blueprint,
    feed.blueprint,
    tokens.blueprint,
)
