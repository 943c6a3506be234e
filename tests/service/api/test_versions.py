"""Versions: ETag, If-Match and If-None-Match, of vessels and of the documents that describe them."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.app import Api

MARKS = {"marks": [{"name": "fwd S", "x_m": 48.0, "y_m": 5.0, "zero_z_m": -0.02}]}


def test_a_change_without_if_match_is_refused_with_the_version_to_name(api: Api, vessel: str) -> None:
    for refused in (api.patch(vessel, {"kind": "cargo"}), api.put(vessel, {"name": "B"}), api.delete(vessel)):
        assert (refused.status_code, refused.get_json()["code"]) == (428, "precondition-missing")
        assert 'If-Match: "1"' in refused.get_json()["detail"]
    assert api.get(vessel).headers["ETag"] == '"1"'


@pytest.mark.parametrize("header", ['"0"', '"2"', 'W/"1"', '"x"', '""', "nonsense"])
def test_a_change_to_another_version_than_the_current_is_refused(api: Api, vessel: str, header: str) -> None:
    refused = api.patch(vessel, {"kind": "cargo"}, If_Match=header)
    assert (refused.status_code, refused.get_json()["code"]) == (412, "stale")
    assert api.get(vessel).get_json()["kind"] == "passenger"


@pytest.mark.parametrize("header", ['"1"', '"7", "1"', "*"])
def test_a_change_to_the_version_that_was_read_is_made(api: Api, vessel: str, header: str) -> None:
    changed = api.patch(vessel, {"kind": "cargo"}, If_Match=header)
    assert (changed.status_code, changed.headers["ETag"]) == (200, '"2"')


def test_the_second_of_two_who_read_the_same_version_is_refused(api: Api, vessel: str) -> None:
    assert api.patch(vessel, {"kind": "cargo"}, If_Match='"1"').status_code == 200
    assert api.patch(vessel, {"kind": "tug"}, If_Match='"1"').status_code == 412


@pytest.mark.parametrize("header", ['"1"', 'W/"1"', '"5", "1"', "*"])
def test_a_version_that_is_at_hand_is_not_sent_again(api: Api, vessel: str, header: str) -> None:
    answer = api.get(vessel, If_None_Match=header)
    assert (answer.status_code, answer.get_data(), answer.headers["ETag"]) == (304, b"", '"1"')
    assert api.get(vessel, If_None_Match='"2"').status_code == 200


@pytest.mark.parametrize("kind", ["hull", "hydrostatic-table", "marks", "tanks"])
def test_a_document_that_is_not_there_is_told_so(api: Api, vessel: str, kind: str) -> None:
    refused = api.get(f"{vessel}/{kind}")
    assert (refused.status_code, refused.get_json()["code"]) == (404, "document-not-found")


def test_the_first_version_needs_no_precondition_and_the_next_one_does(api: Api, vessel: str) -> None:
    first = api.put(f"{vessel}/marks", MARKS)
    assert (first.status_code, first.headers["ETag"], first.get_json()) == (201, '"1"', MARKS)
    assert api.put(f"{vessel}/marks", {"marks": []}).status_code == 428
    second = api.put(f"{vessel}/marks", {"marks": []}, If_Match='"1"')
    assert (second.status_code, second.headers["ETag"]) == (200, '"2"')
    assert api.put(f"{vessel}/marks", MARKS, If_None_Match="*").status_code == 412
    assert api.put(f"{vessel}/marks", MARKS, If_None_Match='"1"').status_code == 400


def test_earlier_versions_stay_readable_as_they_were(api: Api, vessel: str) -> None:
    api.put(f"{vessel}/marks", MARKS)
    api.put(f"{vessel}/marks", {"marks": []}, If_Match='"1"')
    assert api.get(f"{vessel}/marks?version=1").get_json() == MARKS
    assert api.get(f"{vessel}/marks").get_json() == {"marks": []}
    assert api.get(f"{vessel}/marks?version=3").status_code == 404
    versions = api.get(f"{vessel}/marks/versions").get_json()["items"]
    assert [item["version"] for item in versions] == [1, 2]
    assert len({item["sha256"] for item in versions}) == 2


def test_the_same_content_again_is_no_new_version(api: Api, vessel: str) -> None:
    api.put(f"{vessel}/marks", MARKS)
    again = api.put(f"{vessel}/marks", MARKS, If_Match='"1"')
    assert (again.status_code, again.headers["ETag"]) == (200, '"1"')


def test_a_hull_is_read_back_to_the_last_digit(api: Api, vessel: str, box: dict[str, Any]) -> None:
    box["stations"][1]["contour_m"] = [[0, 0], [5.999999999999999, 1e-9], [6.1, 5.0]]
    assert api.put(f"{vessel}/hull", box).status_code == 201
    assert api.get(f"{vessel}/hull").get_json() == box


def test_a_hull_whose_contour_crosses_itself_is_refused_where_it_does(
    api: Api, vessel: str, box: dict[str, Any]
) -> None:
    box["stations"][1]["contour_m"] = [[0, 0], [6, 0], [2, 5], [6, 5], [2, 1]]
    refused = api.put(f"{vessel}/hull", box)
    assert (refused.status_code, refused.get_json()["code"]) == (422, "contour-folded")
    assert refused.get_json()["errors"][0]["pointer"] == "/stations/1/contour_m"
    assert api.get(f"{vessel}/hull").status_code == 404


def test_a_table_that_is_no_full_grid_is_refused(api: Api, vessel: str) -> None:
    rows = [{"draught_m": t, "volume_m3": 600 * t, "lcb_m": 25, "vcb_m": t / 2, "km_t_m": 7} for t in (1, 2)]
    refused = api.put(f"{vessel}/hydrostatic-table", {"rows": [*rows, rows[0] | {"trim_m": 1}]})
    assert (refused.status_code, refused.get_json()["code"]) == (422, "table-not-rectangular")
    assert api.put(f"{vessel}/hydrostatic-table", {"rows": rows}).status_code == 201


@pytest.mark.parametrize(
    ("points", "pointer", "words"),
    [
        ([[0, 0], [6, "0"], [6, 5]], "/stations/0/contour_m/1/1", "must be a number"),
        ([[0, 0], [6, True], [6, 5]], "/stations/0/contour_m/1/1", "must be a number"),
        ([[0, 0], [6, 0, 0], [6, 5]], "/stations/0/contour_m/1", "a list of 2 numbers"),
        ([[0, 0], 6, [6, 5]], "/stations/0/contour_m/1", "a list of 2 numbers"),
        ([[0, 0], [6, 5e7], [6, 5]], "/stations/0/contour_m/1/1", "from -1000 to 1000"),
        ([[0, 0]], "/stations/0/contour_m", "2 to 20000 entries"),
        ({"0": [0, 0]}, "/stations/0/contour_m", "must be a list"),
    ],
)
def test_a_contour_is_refused_at_the_point_that_is_wrong(
    api: Api, vessel: str, box: dict[str, Any], points: object, pointer: str, words: str
) -> None:
    box["stations"][0]["contour_m"] = points
    fault = api.put(f"{vessel}/hull", box).get_json()["errors"][0]
    assert fault["pointer"] == pointer
    assert words in fault["message"]


def test_two_marks_or_tanks_of_one_name_are_refused(api: Api, vessel: str) -> None:
    fault = api.put(f"{vessel}/marks", {"marks": MARKS["marks"] * 2}).get_json()["errors"][0]
    assert fault["pointer"] == "/marks/1/name"
    row = {"sounding_m": 0, "volume_m3": 0, "x_m": 1, "y_m": 0, "z_m": 0, "i_t_m4": 1, "i_l_m4": 1}
    tank = {"name": "FO 1", "capacity_m3": 9, "pipe": {"x_m": 1, "y_m": 0, "zero_z_m": 0}, "table": [row]}
    assert api.put(f"{vessel}/tanks", {"tanks": [tank, tank]}).get_json()["errors"][0]["pointer"] == "/tanks/1/name"
    assert api.put(f"{vessel}/tanks", {"tanks": [tank]}).status_code == 201


def test_what_follows_from_more_than_the_version_is_always_sent(api: Api, vessel: str) -> None:
    """What a test lacks for its next stage changes with its plan, while the test itself is at the version it was at."""
    wanted = {"vessel_id": vessel.rpartition("/")[2], "kind": "inclining-test"}
    test = f"/tests/{api.post('/tests', wanted).get_json()['id']}"
    before = api.get(test)
    assert api.put(f"{test}/plan", {"date": "2031-05-04"}).status_code == 201
    after = api.get(test, If_None_Match=before.headers["ETag"])
    assert (after.status_code, after.headers["ETag"]) == (200, before.headers["ETag"])
    assert (before.get_json()["date"], after.get_json()["date"]) == (None, "2031-05-04")
