"""The interface's own documentation: a valid OpenAPI document, and a page that needs nothing from elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from heelwright_service.api.describing import _words
from heelwright_service.core.quantities import unit_of
from openapi_spec_validator import validate

from tests.support.app import migrated_sqlite

OPEN = {"/healthz", "/readyz", "/v1/sessions"}


@pytest.fixture
def database_url(tmp_path: Path) -> str:
    """The documentation is the same on every database."""
    return migrated_sqlite(tmp_path)


@pytest.fixture
def document(client: FlaskClient) -> dict[str, Any]:
    """The served OpenAPI document."""
    return dict(client.get("/v1/openapi.json").get_json())


def test_the_document_is_valid_openapi_3_1(document: dict[str, Any]) -> None:
    assert document["openapi"] == "3.1.0"
    validate(document)


def test_every_path_of_the_application_is_documented(app: Flask, document: dict[str, Any]) -> None:
    undocumented = {"/v1/openapi.json"}
    for rule in app.url_map.iter_rules():
        path = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
        if path in undocumented or path.startswith("/v1/docs"):
            continue
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}:
            assert method.lower() in document["paths"][path], (method, path)


def test_every_operation_has_a_name_a_sentence_and_its_refusals(document: dict[str, Any]) -> None:
    names = []
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            if method == "parameters":
                continue
            names.append(operation["operationId"])
            assert operation["summary"].endswith("."), (method, path)
            if path in OPEN:
                assert operation["security"] == []
                continue
            assert operation["security"] == [{"token": []}]
            wanted = (
                {"401", "403"}
                | ({"404"} if "{" in path else set())
                | ({"415", "422"} if "requestBody" in operation else set())
            )
            assert wanted <= set(operation["responses"]), (method, path)
    assert len(names) == len(set(names))


def test_every_error_is_documented_as_a_problem(document: dict[str, Any]) -> None:
    for name, response in document["components"]["responses"].items():
        if name == "NOT_MODIFIED":
            assert "content" not in response
            continue
        assert list(response["content"]) == ["application/problem+json"], name


def test_every_request_refuses_unknown_fields_in_the_document_too(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    bodies = [schema for name, schema in schemas.items() if name.endswith("Body")]
    assert len(bodies) > 20
    assert all(body["additionalProperties"] is False for body in bodies)


def described(schema: dict[str, Any], at: str) -> Iterator[tuple[str, str, str]]:
    """Each field below a schema: where it is, its name, its description."""
    for name, field in schema.get("properties", {}).items():
        yield f"{at}/{name}", name, field.get("description", "")
        yield from described(field, f"{at}/{name}")
        yield from described(field.get("items", {}), f"{at}/{name}")


def test_every_field_is_described_with_its_unit(document: dict[str, Any]) -> None:
    fields = [each for name, schema in document["components"]["schemas"].items() for each in described(schema, name)]
    assert len(fields) > 2000
    assert [at for at, _, text in fields if not text.strip()] == []
    assert [at for at, name, text in fields if unit_of(name) and "[" not in text] == []


def test_every_parameter_is_described(document: dict[str, Any]) -> None:
    for path, operations in document["paths"].items():
        shared = operations.get("parameters", [])
        own = [each for method in set(operations) - {"parameters"} for each in operations[method].get("parameters", [])]
        assert [each["name"] for each in (*shared, *own) if not each.get("description")] == [], path


def test_no_description_is_of_a_name_that_no_field_has(document: dict[str, Any]) -> None:
    known = {name for schema in document["components"]["schemas"].values() for _, name, _ in described(schema, "")}
    assert set(_words()) - known == set()


def test_quantities_are_documented_with_their_physical_ranges(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    density = schemas["WaterSampleBody"]["properties"]["density_t_per_m3"]
    assert (density["minimum"], density["maximum"]) == (0.95, 1.10)
    mass = schemas["IncliningWeightBody"]["properties"]["mass_t"]
    assert (mass["exclusiveMinimum"], mass["maximum"]) == (0, 1_000_000)
    assert "minimum" not in mass


def test_the_page_names_nothing_outside_this_service_and_allows_no_inline_script(client: FlaskClient) -> None:
    page = client.get("/v1/docs")
    text = page.get_data(as_text=True)
    assert page.content_type.startswith("text/html")
    assert re.findall(r"https?://", text) == []
    assert re.findall(r"<script(?![^>]*\bsrc=)|\bon\w+=|style=", text) == []
    policy = page.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    for path in re.findall(r'(?:src|href)="([^"]+)"', text):
        with client.get(path) as part:
            assert part.status_code == 200, path
            assert part.headers["X-Content-Type-Options"] == "nosniff"


def test_the_page_gives_out_no_other_file(client: FlaskClient) -> None:
    for name in ("index.html", "..%2f__init__.py", "LICENSE", "docs.html"):
        assert client.get(f"/v1/docs/{name}").status_code == 404
