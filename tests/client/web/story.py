"""A test of an invented ship, brought to any stage through the API, from the test day that the package carries."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heelwright_client.client import Client
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.http import Document, Stored

LINE = (
    "planned", "procedure-issued", "preparing", "advisory-survey", "survey-day", "test-day", "preliminary-result",
    "under-review",
)  # fmt: skip


def moves_of(record: Mapping[str, Any]) -> dict[str, Any]:
    """The weights and states of a record as a plan has them."""
    weights = [
        {**weight, "certificate": f"W-{weight['id']}", "certified_on": "2031-05-01"}
        for weight in record["inclining_weights"]
    ]
    return {
        "weights": weights,
        "states": record["states"],
        "max_heel_deg": {"expected": 2.6, "low": 2.3, "high": 3.0},
    }


def plan_of(record: Mapping[str, Any], date: str) -> dict[str, Any]:
    """A plan with what the stages ask for."""
    return {
        "purpose": "periodic",
        "date": date,
        "start_at": f"{date}T06:00:00+00:00",
        "place": {
            "name": "Saltmarsh basin, east quay", "sheltered": True, "depth_lowest_m": 7.5, "mooring": "four lines",
            "gangway": "lifted clear", "shore_lines": "power cable slack", "expected_density_t_per_m3": 1.014,
            "tide": "neap, 0.4 m",
        },
        "persons": [
            {"role": "person-in-charge", "name": "Ines Aldous", "independent": True},
            {"role": "surveyor", "name": "Tomas Rein"},
            {"role": "witness", "name": "Odile Marsh", "independent": True},
        ],
        "moves": moves_of(record),
        "instruments": [
            {"id": each["id"], "kind": each["kind"], "length_m": each.get("length_m"), "place": "hold, centreline",
             "damping": "oil trough", "sheltered": True, "certificate": f"I-{each['id']}"}
            for each in record["instruments"]
        ],
        "draught_plan": {"marks": [each["mark"] for each in record["draughts"]], "datum": "moulded baseline",
                         "marks_verified_on": "2030-02-02", "marks_verified_by": "dock report 7",
                         "means": "boat, tube"},
        "expected": {"displacement_t": 1501.0, "gm_m": 1.03, "draught_mid_m": 3.14, "trim_m": 0.3, "heel_deg": 0.0,
                     "lightship_mass_t": 1470.0, "lightship_lcg_m": 35.4, "lightship_vcg_m": 4.33},
        "weather_limits": {"wind_m_per_s": 5.0, "wave_m": 0.1, "decided_by": "Ines Aldous",
                           "decision_at": f"{date}T05:30:00+00:00"},
        "hydrostatics": {"document": "Hydrostatics rev. C", "approved_by": "the Administration", "dated": "2029-01-01",
                         "accepted_by": "Tomas Rein", "accepted_on": "2031-04-01"},
        "safety": {"gas_free": "certificate of the day", "entry_permits": "per tank", "lifting_plan": "LP-3",
                   "stop_word": "avast"},
    }  # fmt: skip


def tank_plan_of(record: Mapping[str, Any]) -> dict[str, Any]:
    """Every tank of the vessel in the state that she was tested in."""
    found = {each["tank"]: each for each in record["soundings"]}
    tanks = []
    for tank in record["vessel"]["tanks"]:
        sounded = found.get(tank["name"])
        state = sounded["state"] if sounded else "empty"
        planned: dict[str, Any] = {"tank": tank["name"], "state": state, "liquid": "other", "evidence": "sounded"}
        if sounded and state != "empty":
            planned["density_t_per_m3"] = sounded["density_t_per_m3"]
        if sounded and state == "slack":
            planned["sounding_m"] = sounded.get("sounding_m")
        tanks.append(planned)
    return {"tanks": tanks}


@dataclass
class Campaign:
    """One stored test, by its calls."""

    client: Client
    vessel_id: str
    test_id: str
    record: dict[str, Any]
    recorder: Client

    @property
    def path(self) -> str:
        """Where the test is."""
        return f"/v1/tests/{self.test_id}"

    def read(self) -> Stored:
        """The test and its version."""
        return self.client.connection.get_stored(self.path)

    def put(self, part: str, body: object, etag: str | None = None) -> Stored:
        """Store a part."""
        return self.client.connection.change("PUT", f"{self.path}/{part}", body, etag=etag)

    def add(self, part: str, body: object) -> Document:
        """Enter something."""
        return self.recorder.connection.create(f"{self.path}/{part}", body).document

    def move(self, stage: str) -> None:
        """Go to a stage."""
        self.put("stage", {"stage": stage}, self.read().etag)

    def waive_all(self) -> None:
        """Take on what stands in the way and may be taken on."""
        for point in self.client.connection.get(f"{self.path}/readiness")["start"]["blocking"]:
            if point["waivable"]:
                body = {"point": point["id"], "name": "Ines Aldous", "reason": "shown on the day"}
                self.client.connection.create(f"{self.path}/waivers", body)

    def waive_procedure(self) -> None:
        """Take on what the procedure lacks."""
        for check in self.client.connection.get(f"{self.path}/procedure")["checks"]:
            if check["status"] == "fail":
                body = {"point": check["id"], "name": "Ines Aldous", "reason": "sent after"}
                self.client.connection.create(f"{self.path}/waivers", body)


def open_campaign(client: Client, vessel_id: str, recorder: Client | None = None) -> Campaign:
    """Open a test and store its plans; it stands at planned."""
    opened = client.connection.create("/v1/tests", {"vessel_id": vessel_id, "kind": "inclining-test"}).document
    campaign = Campaign(client, vessel_id, opened["id"], carried(TEST_DAY), recorder or client)
    date = datetime.datetime.now(datetime.UTC).date().isoformat()
    campaign.put("plan", plan_of(campaign.record, date))
    campaign.put("tank-plan", tank_plan_of(campaign.record))
    return campaign


def bring_to(campaign: Campaign, stage: str) -> Campaign:
    """Work a test forward to a stage of the line."""
    here = LINE.index(campaign.read().document["stage"])
    for following in LINE[here + 1 : LINE.index(stage) + 1]:
        _BEFORE.get(following, lambda each: None)(campaign)
        campaign.move(following)
    return campaign


def _issue(campaign: Campaign) -> None:
    campaign.waive_procedure()


def _prepare(campaign: Campaign) -> None:
    campaign.client.connection.create(f"{campaign.path}/preparations", {})


def _close_advisory(campaign: Campaign) -> None:
    campaign.add("closings", {"what": "advisory-survey", "name": "Tomas Rein"})


def _start(campaign: Campaign) -> None:
    record = campaign.record
    for item in record["items"]:
        campaign.add("items", {**item, "found_by": "weighed"})
    set_up(campaign)
    campaign.waive_all()


def set_up(campaign: Campaign) -> None:
    """Everything that is entered before the first state."""
    record = campaign.record
    for person in record["persons"]:
        campaign.add("persons", person)
    for weight in record["inclining_weights"]:
        campaign.add("weights", {**weight, "certificate": "W"})
    for instrument in record["instruments"]:
        campaign.add("instruments", {**instrument, "certificate": "I"})
    for sample in record["water"]["samples"]:
        campaign.add("water", {**sample, "density_basis": record["water"].get("density_basis", "vacuum")})
    for draught in record["draughts"]:
        campaign.add("draughts", {**draught, "occasion": "before"})
    sounded = {each["tank"] for each in record["soundings"]}
    for sounding in record["soundings"]:
        campaign.add("soundings", {**sounding, "evidence": "sounded", "occasion": "before"})
    for tank in record["vessel"]["tanks"]:
        if tank["name"] not in sounded:
            campaign.add("soundings", {"tank": tank["name"], "state": "empty", "density_t_per_m3": 1.0,
                                       "evidence": "seen", "occasion": "before"})  # fmt: skip
    campaign.add("weather", {"wind_m_per_s": 2.0, "wave_m": 0.02})


def read_states(campaign: Campaign, states: int | None = None) -> None:
    """Take the readings of the first states, or of all."""
    record = campaign.record
    for state in record["states"][:states]:
        campaign.add("states", {**state, "lines_slack": True})
        for reading in record["readings"]:
            if reading["state"] == state["number"]:
                campaign.add("readings", reading)


def finish_day(campaign: Campaign) -> None:
    """Sign, close and reduce."""
    at = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
    for what in ("data", "reservations"):
        campaign.add("signatures", {"what": what, "role": "surveyor", "name": "Tomas Rein", "at": at})
    campaign.add("closings", {"what": "survey", "name": "Tomas Rein"})
    campaign.add("closings", {"what": "test-day", "name": "Ines Aldous"})
    campaign.client.connection.create(f"{campaign.path}/result", {})


def _conclude(campaign: Campaign) -> None:
    read_states(campaign)
    finish_day(campaign)


_BEFORE = {
    "procedure-issued": _issue,
    "preparing": _prepare,
    "survey-day": _close_advisory,
    "test-day": _start,
    "preliminary-result": _conclude,
}
