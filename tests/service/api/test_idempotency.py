"""Idempotency-Key: one act, one effect, one answer, however often it is asked for."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from flask import Flask
from heelwright_service.store.base import Base

from tests.support.app import Api, engine_of, new_token


def test_the_same_key_and_body_gives_the_first_answer_again(api: Api) -> None:
    first = api.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1")
    again = api.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1")
    assert first.status_code == again.status_code == 201
    assert first.get_data() == again.get_data()
    for name in ("Location", "ETag", "Content-Type"):
        assert first.headers[name] == again.headers[name]
    assert again.headers["Idempotency-Replayed"] == "true"
    assert "Idempotency-Replayed" not in first.headers
    assert len(api.get("/vessels").get_json()["items"]) == 1


def test_the_same_key_with_another_body_or_path_is_refused(api: Api) -> None:
    api.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1")
    for refused in (
        api.post("/vessels", {"name": "Birch"}, Idempotency_Key="k1"),
        api.post("/tokens", {"name": "x", "role": "reader"}, Idempotency_Key="k1"),
    ):
        assert (refused.status_code, refused.get_json()["code"]) == (422, "idempotency-key-reused")


def test_a_key_belongs_to_the_token_that_used_it(app: Flask, api: Api) -> None:
    api.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1")
    other = Api(app.test_client(), new_token(app, name="another"))
    assert other.post("/vessels", {"name": "Birch"}, Idempotency_Key="k1").status_code == 201


def test_a_refused_request_keeps_no_key(api: Api) -> None:
    body = {"name": "Alder", "sister_of": "0" * 32}
    assert api.post("/vessels", body, Idempotency_Key="k1").status_code == 422
    assert api.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1").status_code == 201


def test_a_defect_in_between_leaves_neither_effect_nor_key(
    app: Flask, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*words: object) -> None:
        raise RuntimeError("the power went")

    with monkeypatch.context() as patched:
        patched.setattr("heelwright_service.api.idempotency._keep", fail)
        assert api.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1").status_code == 500
    assert api.get("/vessels").get_json()["items"] == []
    assert api.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1").status_code == 201


@pytest.mark.parametrize("key", ["", " ", "x" * 256, "ü"])
def test_a_key_that_is_none_is_refused(api: Api, key: str) -> None:
    assert api.post("/vessels", {"name": "Alder"}, Idempotency_Key=key).status_code == 400


def test_eight_at_once_with_one_key_have_one_effect_and_one_answer(app: Flask, admin_token: str) -> None:
    answers: list[tuple[int, bytes]] = []
    start = threading.Barrier(8)

    def ask() -> None:
        mine = Api(app.test_client(), admin_token)
        start.wait()
        answer = mine.post("/vessels", {"name": "Alder"}, Idempotency_Key="k1")
        answers.append((answer.status_code, answer.get_data()))

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 8
    assert len(set(answers)) == 1
    assert answers[0][0] == 201
    assert len(Api(app.test_client(), admin_token).get("/vessels").get_json()["items"]) == 1


def test_a_computation_with_a_key_gives_its_first_answer_again(api: Api, box: dict[str, Any]) -> None:
    body = {"length_bp_m": 50, "hull": box, "planes": [{"draught_m": 2}], "density_t_per_m3": 1.025}
    first = api.post("/hydrostatics", body, Idempotency_Key="k1")
    again = api.post("/hydrostatics", body, Idempotency_Key="k1")
    assert (first.status_code, again.headers["Idempotency-Replayed"]) == (200, "true")
    assert first.get_data() == again.get_data()
    body["density_t_per_m3"] = 1.0
    assert api.post("/hydrostatics", body, Idempotency_Key="k1").status_code == 422


def test_the_text_of_a_token_is_kept_nowhere_not_even_for_a_repeated_request(app: Flask, api: Api) -> None:
    wanted = {"name": "laptop", "role": "reader"}
    first = api.post("/tokens", wanted, Idempotency_Key="k1")
    text = first.get_json()["token"]
    again = api.post("/tokens", wanted, Idempotency_Key="k1")
    assert (first.status_code, again.status_code, again.get_json()["code"]) == (201, 409, "answer-not-kept")
    assert first.headers["Location"] in again.get_json()["detail"]
    assert [each["name"] for each in api.get("/tokens").get_json()["items"]].count("laptop") == 1
    assert api.with_token(text).get("/tokens/self").status_code == 200
    with engine_of(app).connect() as connection:
        for table in Base.metadata.sorted_tables:
            for row in connection.execute(table.select()):
                assert not any(text in str(value) for value in row), table.name
