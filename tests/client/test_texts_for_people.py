"""No text of an answer about the demonstration has a bracketed plural, a program's name, a bare sign or an ISO date."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from typing import Any

import pytest
from heelwright_client.client import Client
from heelwright_client.demo.documents import TEST_DAY, WEIGHT_PLAN, carried
from heelwright_client.demo.seed import seed
from heelwright_client.demo.stored_tests import seed_tests
from heelwright_client.errors import HeelwrightError
from heelwright_client.wsgi_transport import WsgiTransport

from tests.client.conftest import URL, application_of
from tests.support.app import new_token

FAULTS = {
    "a plural in brackets": r"\(e?s\)",
    "a name that programs use": r"\b(?:inclining-test|lightweight-survey|sister-ship|weight-certificates|"
    r"hydrometer-certificate|person-in-charge|chief-engineer|sounding-tables|draught-marks|lines-plan|capacity-plan|"
    r"mass_t|vcg_m|lcg_m|tcg_m|gm_m)\b",
    "a sign without a word": r"(?<![\w.])\+\d|(?<![\w.,–°/)-])-\d",
    "a power of ten": r"\d[eE][+-]?\d\d\b",
    "a date for programs": r"\b\d{4}-\d\d-\d\d\b",
    "two full stops": r"(?<!\.)\.\.(?!\.)",
}
TEXTS = ("text", "mend", "cautions", "why", "what", "remark", "action_reason", "not_assessed", "missing")
PARTS = ("calendar", "procedure", "preparations", "tank-plan/standing", "readiness", "running", "survey", "review")


def sentences(answer: Any, name: str = "") -> Iterator[str]:
    """Every text for people in an answer."""
    if isinstance(answer, dict):
        for key, value in answer.items():
            yield from sentences(value, key)
    elif isinstance(answer, list):
        for value in answer:
            yield from sentences(value, name)
    elif isinstance(answer, str) and name in TEXTS and " " in answer:
        yield answer


def faults(texts: Iterator[str]) -> list[tuple[str, str]]:
    """What is wrong with which text."""
    return [(fault, text) for text in texts for fault, shape in FAULTS.items() if re.search(shape, text)]


@pytest.mark.parametrize(
    "text",
    ["3 sample(s).", "the inclining-test of May", "it makes +21.3 t", "at -0.016 m", "1.2e+06 t", "on 2014-05-06",
     "Not so.. Look"],
)  # fmt: skip
def test_the_sweep_finds_each_fault(text: str) -> None:
    assert faults(iter([text]))


def test_texts_about_the_demonstration_are_written_for_people(heelwright: Client, transport: WsgiTransport) -> None:
    def as_person(name: str, role: str) -> Client:
        return Client(URL, new_token(application_of(transport), role, name=name), transport=transport)

    seed(heelwright, lambda line: None)
    seed_tests(heelwright, as_person, datetime.date(2032, 2, 29), lambda line: None)
    answers: list[Any] = [
        list(heelwright.fleet.drift()),
        heelwright.reductions.compute(carried(TEST_DAY)),
        heelwright.weight_plans.compute(carried(WEIGHT_PLAN)),
    ]
    for test in heelwright.tests:
        for part in PARTS:
            try:
                answers.append(heelwright.tests.part(test["id"], part).document)
            except HeelwrightError:
                continue  # not every stage has every part
    texts = list(sentences(answers))
    assert len(texts) > 300
    found = faults(iter(texts))
    assert found == []
