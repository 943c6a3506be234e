"""The interface keeps its own document: no answer that is not documented, whatever is sent."""

from __future__ import annotations

import json
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest
import schemathesis
from flask import Flask
from heelwright_service.store.tables import Vessel
from heelwright_service.store.unit_of_work import UnitOfWork
from hypothesis import HealthCheck, given, settings
from schemathesis.config import SchemathesisConfig
from schemathesis.generation.case import Case

from tests.support.app import engine_of, make_app, migrated_sqlite, new_token

EXAMPLES = 4
CONFIG = SchemathesisConfig.from_path(Path(__file__).with_name("schemathesis.toml"))


def _document() -> dict[str, Any]:
    app = make_app(migrated_sqlite(Path(mkdtemp(prefix="heelwright-tests-"))))
    document = json.loads(app.test_client().get("/v1/openapi.json").data)
    engine_of(app).dispose()
    for path in document["paths"].values():
        for parameter in path.get("parameters", []):
            if parameter["name"] == "vessel_id":  # one vessel is there, so that what is done to her is tried
                parameter["schema"] = {"type": "string", "enum": ["a1"]}
    return dict(document)


DOCUMENT = _document()
OPERATIONS = sorted(
    operation["operationId"]
    for path in DOCUMENT["paths"].values()
    for method, operation in path.items()
    if method != "parameters"
)


@pytest.mark.parametrize("operation_id", OPERATIONS)
def test_whatever_is_sent_gets_a_documented_answer(app: Flask, operation_id: str) -> None:
    schema = schemathesis.openapi.from_dict(DOCUMENT, config=CONFIG)
    schema.app = app
    with UnitOfWork(engine_of(app)).transaction() as session:
        session.add(Vessel(id="a1", name="Alder", kind="passenger", length_m=52.0, length_bp_m=50.0))
    headers = {"Authorization": f"Bearer {new_token(app)}"}

    @given(case=schema.find_operation_by_id(operation_id).as_strategy())
    @settings(
        max_examples=EXAMPLES, derandomize=True, database=None, deadline=None, suppress_health_check=list(HealthCheck)
    )
    def check(case: Case) -> None:
        case.call_and_validate(headers=headers)

    check()
