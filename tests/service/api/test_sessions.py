"""Signing in by name and password: within limits, telling nobody who has an account, and out again."""

from __future__ import annotations

import datetime
import statistics
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from flask import Flask
from heelwright_service.store.base import utc_now
from heelwright_service.store.errors import ConflictError
from heelwright_service.store.tables import IdempotencyKey, SignInAttempt, Token
from heelwright_service.store.unit_of_work import UnitOfWork
from heelwright_service.usecases import passwords, people, sessions
from heelwright_service.usecases.errors import InvalidError
from heelwright_service.usecases.people import PersonWanted
from sqlalchemy import select, update
from werkzeug.test import TestResponse

from tests.support.app import Api, engine_of, make_app, new_token

PASSWORD = "seven quiet moorings"
NAME = "Ines Aldous"


def add(app: Flask, name: str = NAME, role: str = "planner", **scope: object) -> None:
    people.add_person(UnitOfWork(engine_of(app)), "the tests", PersonWanted(name, role, **scope), PASSWORD)  # type: ignore[arg-type]


def sign_in(app: Flask, name: str = NAME, password: str = PASSWORD, *, address: str = "192.0.2.1") -> TestResponse:
    body = {"name": name, "password": password}
    return app.test_client().post("/v1/sessions", json=body, environ_base={"REMOTE_ADDR": address})


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cheaper hash; one test looks at the real one."""
    monkeypatch.setattr(passwords, "METHOD", "scrypt:1024:8:1")


@pytest.fixture
def ines(app: Flask) -> Api:
    """A caller who has signed in by name and password."""
    add(app)
    return Api(app.test_client(), sign_in(app).get_json()["token"])


def test_name_and_password_give_a_token_of_the_persons_role_that_expires(app: Flask) -> None:
    add(app, role="recorder", fleet="North")
    answer = sign_in(app)
    assert answer.status_code == 201
    made = answer.get_json()
    lasts = datetime.datetime.fromisoformat(made["expires_at"]) - utc_now()
    assert datetime.timedelta(hours=11.9) < lasts <= datetime.timedelta(hours=12)
    own = Api(app.test_client(), made["token"]).get("/tokens/self").get_json()
    assert (own["name"], own["role"], own["fleet"], own["session"]) == (NAME, "recorder", "North", True)


def test_a_session_sees_only_what_the_account_may_see(app: Flask, vessel: str) -> None:
    add(app, fleet="South")
    theirs = Api(app.test_client(), sign_in(app).get_json()["token"])
    assert theirs.get(vessel).status_code == 404


def test_the_name_is_compared_as_people_compare_names(app: Flask) -> None:
    add(app)
    assert sign_in(app, "  ines   ALDOUS ").status_code == 201
    with pytest.raises(ConflictError, match="already"):
        add(app, "INES aldous")


@pytest.mark.parametrize("case", ["wrong password", "no such person", "disabled"])
def test_who_is_refused_learns_nothing_of_the_account(app: Flask, case: str) -> None:
    add(app)
    if case == "disabled":
        people.disable(UnitOfWork(engine_of(app)), "the tests", NAME)
    name = "Nobody Known" if case == "no such person" else NAME
    refused = sign_in(app, name, "seven quiet moorings!" if case == "wrong password" else PASSWORD)
    told = refused.get_json()
    assert (refused.status_code, told["code"]) == (401, "sign-in-refused")
    assert told["detail"] == "name and password do not fit, or the account is disabled"
    assert refused.headers["WWW-Authenticate"].startswith("Bearer")


def test_an_unknown_name_takes_as_long_as_a_wrong_password(app: Flask) -> None:
    add(app)

    def took(name: str, number: int) -> float:
        began = time.perf_counter()
        sign_in(app, name, "not the password at all", address=f"192.0.2.{number}")
        return time.perf_counter() - began

    known = statistics.median(took(NAME, number) for number in range(10, 15))
    unknown = statistics.median(took("Nobody Known", number) for number in range(20, 25))
    assert unknown > 0.5 * known


@pytest.mark.parametrize("name", [NAME, "Nobody Known"])
def test_the_sixth_attempt_for_a_name_from_an_address_has_to_wait(app: Flask, name: str) -> None:
    add(app)
    for _ in range(5):
        assert sign_in(app, name, "not the password at all").status_code == 401
    refused = sign_in(app, name)
    assert (refused.status_code, refused.get_json()["code"]) == (429, "too-many-attempts")
    assert 0 < int(refused.headers["Retry-After"]) <= 900
    assert refused.content_type == "application/problem+json"
    assert sign_in(app, name, address="192.0.2.2").status_code == (201 if name == NAME else 401)


def test_after_the_wait_the_right_password_signs_in(app: Flask) -> None:
    add(app)
    for _ in range(5):
        sign_in(app, password="not the password at all")
    with UnitOfWork(engine_of(app)).transaction() as session:
        session.execute(update(SignInAttempt).values(at=utc_now() - datetime.timedelta(minutes=16)))
    assert sign_in(app).status_code == 201


def test_a_success_takes_the_failures_of_that_name_and_address_back(app: Flask) -> None:
    add(app)
    for _ in range(4):
        sign_in(app, password="not the password at all")
    assert sign_in(app).status_code == 201
    with UnitOfWork(engine_of(app)).transaction(read_only=True) as session:
        assert session.scalars(select(SignInAttempt)).all() == []


@pytest.mark.parametrize(("most", "same"), [("BY_ADDRESS", "address"), ("BY_NAME", "name")])
def test_an_address_and_a_name_have_limits_of_their_own(
    app: Flask, monkeypatch: pytest.MonkeyPatch, most: str, same: str
) -> None:
    monkeypatch.setattr(sessions, most, 3)
    for number in range(4):
        name = NAME if same == "name" else f"Person {number}"
        address = "192.0.2.1" if same == "address" else f"192.0.2.{number}"
        status = sign_in(app, name, "not the password at all", address=address).status_code
        assert status == (401 if number < 3 else 429)


def test_what_was_typed_as_a_name_is_not_kept_with_the_attempt(app: Flask) -> None:
    sign_in(app, "my secret password", "x")
    with engine_of(app).connect() as connection:
        assert "secret" not in str(connection.exec_driver_sql("SELECT * FROM sign_in_attempts").fetchall())


def test_the_address_of_a_proxy_is_looked_behind_only_when_it_is_trusted(database_url: str) -> None:
    for proxies, expected in ((0, "192.0.2.9"), (1, "198.51.100.7")):
        app = make_app(database_url, proxies=proxies)
        body = {"name": "x", "password": "y"}
        headers = {"X-Forwarded-For": "203.0.113.5, 198.51.100.7"}
        app.test_client().post("/v1/sessions", json=body, headers=headers, environ_base={"REMOTE_ADDR": "192.0.2.9"})
        with UnitOfWork(engine_of(app)).transaction(read_only=True) as session:
            newest = session.scalars(select(SignInAttempt).order_by(SignInAttempt.id.desc())).first()
            assert newest is not None
            assert newest.address == expected
        engine_of(app).dispose()


def test_signing_out_ends_the_session(ines: Api) -> None:
    assert ines.get("/vessels").status_code == 200
    assert ines.delete("/sessions/self").status_code == 204
    refused = ines.get("/vessels")
    assert (refused.status_code, refused.get_json()["code"]) == (401, "token-revoked")


def test_a_token_is_not_ended_by_signing_out(api: Api) -> None:
    refused = api.delete("/sessions/self")
    assert (refused.status_code, refused.get_json()["code"]) == (409, "not-a-session")
    assert api.get("/vessels").status_code == 200


@pytest.mark.parametrize("act", ["password", "disable"])
def test_another_password_and_a_disabled_account_end_open_sessions(app: Flask, ines: Api, act: str) -> None:
    work = UnitOfWork(engine_of(app))
    if act == "password":
        assert people.set_password(work, "the tests", NAME, "another good password") == 1
    else:
        assert people.disable(work, "the tests", NAME) == 1
    assert ines.get("/vessels").status_code == 401
    assert sign_in(app).status_code == 401
    if act == "disable":
        people.enable(work, "the tests", NAME)
        assert sign_in(app).status_code == 201


def test_another_role_ends_open_sessions_and_holds_from_the_next_one_on(app: Flask, api: Api, ines: Api) -> None:
    """A planner who becomes a reader plans no more, from that moment."""
    assert people.set_role(UnitOfWork(engine_of(app)), "the tests", NAME.upper(), "reader") == 1
    assert ines.post("/vessels", {"name": "Alder"}).get_json()["code"] == "token-revoked"
    again = Api(app.test_client(), sign_in(app).get_json()["token"])
    assert again.get("/tokens/self").get_json()["role"] == "reader"
    assert again.post("/vessels", {"name": "Alder"}).get_json()["code"] == "role-too-low"
    told = [event for event in api.get("/events?limit=1000").get_json()["items"] if "role-set" in event["type"]]
    assert [(event["actor"], event["data"]) for event in told] == [("the tests", {"name": NAME, "role": "reader"})]


def test_a_role_that_a_person_has_already_is_refused_and_ends_nothing(app: Flask, ines: Api) -> None:
    with pytest.raises(ConflictError, match="has the role planner already"):
        people.set_role(UnitOfWork(engine_of(app)), "the tests", NAME, "planner")
    assert ines.get("/vessels").status_code == 200


def test_an_account_that_changes_while_the_password_is_checked_is_not_signed_in(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    add(app)

    def slow(password: str, password_hash: str | None) -> bool:
        people.disable(UnitOfWork(engine_of(app)), "the tests", NAME)
        return True

    monkeypatch.setattr(sessions, "fits", slow)
    assert sign_in(app).status_code == 401


def test_signing_in_and_out_are_events_and_sessions_are_no_listed_tokens(api: Api, app: Flask, ines: Api) -> None:
    ines.delete("/sessions/self")
    seen = [(event["type"], event["actor"]) for event in api.get("/events?limit=1000").get_json()["items"]]
    seen = [(kind.removeprefix("heelwright."), actor) for kind, actor in seen]
    assert ("person.added", "the tests") in seen
    assert seen[-2:] == [("session.opened", NAME), ("session.closed", NAME)]
    assert NAME not in {token["name"] for token in api.get("/tokens").get_json()["items"]}


def test_no_password_and_no_token_is_stored_or_told(app: Flask, api: Api, ines: Api) -> None:
    with engine_of(app).connect() as connection:
        rows = [
            str(connection.exec_driver_sql(f"SELECT * FROM {table}").fetchall())
            for table in ("people", "tokens", "events", "sign_in_attempts")
        ]
    assert all(PASSWORD not in row and str(ines.token) not in row for row in rows)


def test_the_hash_is_as_dear_as_is_recommended(monkeypatch: pytest.MonkeyPatch) -> None:
    """N = 2^15, r = 8, p = 3: one of the settings of the OWASP Password Storage Cheat Sheet (from memory)."""
    monkeypatch.undo()
    made = passwords.hash_password(PASSWORD, NAME)
    assert made.startswith("scrypt:32768:8:3$")
    assert passwords.fits(PASSWORD, made)
    assert not passwords.fits(PASSWORD + "!", made)
    assert not passwords.fits(PASSWORD, None)


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("elevenchars", "12 to 256 characters, found 11"),
        ("x" * 257, "found 257"),
        ("ababababababab", "repeats a few characters"),
        ("ines aldous 12", "contains 'Ines Aldous'"),
        ("my heelwright key", "contains 'heelwright'"),
    ],
)
def test_a_password_that_is_short_or_guessed_first_is_refused(app: Flask, password: str, said: str) -> None:
    with pytest.raises(InvalidError, match=said):
        people.add_person(UnitOfWork(engine_of(app)), "the tests", PersonWanted(NAME, "reader"), password)


@pytest.mark.parametrize("password", ["abcdefghijkl", "åäö ßé 漢字 кеды", "a b c d e f g"])
def test_a_password_of_twelve_characters_of_any_kind_is_taken(app: Flask, password: str) -> None:
    people.add_person(UnitOfWork(engine_of(app)), "the tests", PersonWanted(NAME, "reader"), password)
    assert sign_in(app, password=password).status_code == 201


def test_a_person_limited_to_a_vessel_that_is_not_there_is_refused(app: Flask) -> None:
    wanted = PersonWanted(NAME, "reader", vessel_ids=["0" * 32])
    with pytest.raises(InvalidError) as refused:
        people.add_person(UnitOfWork(engine_of(app)), "the tests", wanted, PASSWORD)
    assert refused.value.pointer == "/vessel_ids/0"


def test_an_expired_session_is_refused(app: Flask, ines: Api) -> None:
    with UnitOfWork(engine_of(app)).transaction() as session:
        past = utc_now() - datetime.timedelta(seconds=1)
        session.execute(update(Token).where(Token.person_id.is_not(None)).values(expires_at=past))
    assert ines.get("/vessels").get_json()["code"] == "token-expired"


def test_sessions_that_expired_long_ago_are_forgotten_when_somebody_signs_in(app: Flask, ines: Api) -> None:
    """One under which a request was answered once is kept until that answer is forgotten; tokens are no sessions."""
    work = UnitOfWork(engine_of(app))
    keyed = Api(app.test_client(), sign_in(app).get_json()["token"])
    assert keyed.post("/vessels", {"name": "Alder"}, Idempotency_Key="k").status_code == 201
    recent = sign_in(app).get_json()["id"]
    new_token(app, "reader", name="for ever gone", expires_at=utc_now() - datetime.timedelta(days=90))
    with work.transaction() as session:
        of_people = update(Token).where(Token.person_id.is_not(None))
        session.execute(of_people.values(expires_at=utc_now() - datetime.timedelta(days=31)))
        session.execute(of_people.where(Token.id == recent).values(expires_at=utc_now() - datetime.timedelta(days=29)))
        keyed_id = session.scalars(select(IdempotencyKey.token_id)).one()
    sign_in(app, password="not the password at all")
    assert ines.get("/vessels").get_json()["code"] == "token-expired"
    now = sign_in(app).get_json()["id"]
    with work.transaction(read_only=True) as session:
        left = session.scalars(select(Token.id).where(Token.person_id.is_not(None))).all()
        assert session.scalars(select(Token.name).where(Token.person_id.is_(None))).all() == ["for ever gone"]
    assert sorted(left) == sorted([keyed_id, recent, now])
    assert ines.get("/vessels").get_json()["code"] == "token-unknown"


def test_signing_in_forgets_no_more_sessions_at_once_than_it_can_in_a_moment(
    app: Flask, ines: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sessions, "MOST_FORGOTTEN", 2)
    for _ in range(4):
        sign_in(app)
    work = UnitOfWork(engine_of(app))
    with work.transaction() as session:
        session.execute(update(Token).values(expires_at=utc_now() - datetime.timedelta(days=31)))
    for expected in (4, 3, 3):  # five old ones less two, less two, less one, and each time the new one
        sign_in(app)
        with work.transaction(read_only=True) as session:
            assert len(session.scalars(select(Token.id)).all()) == expected


def test_attempts_side_by_side_are_counted_too(app: Flask) -> None:
    """Whoever tries twelve passwords at once has tried twelve: five are looked at."""
    add(app)
    start = threading.Barrier(12)

    def attempt(number: int) -> int:
        start.wait()
        return sign_in(app, password=f"another wrong guess {number}").status_code

    with ThreadPoolExecutor(12) as pool:
        assert sorted(pool.map(attempt, range(12))) == [401] * sessions.BY_NAME_AND_ADDRESS + [429] * 7
