"""The network is lost on the test day: nothing is lost, nothing enters twice, and it is said what is not yet sent."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from heelwright_client.demo.documents import TEST_DAY, carried
from heelwright_client.demo.seed import seed

from tests.client.web.conftest import staged
from tests.client.web.story import Campaign, bring_to, open_campaign, read_states
from tests.e2e.browser.conftest import Quay, quay_on
from tests.e2e.browser.deeds import values_of
from tests.support.app import engine_of, migrated_sqlite

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page, Route

pytestmark = pytest.mark.browser


@pytest.fixture(scope="session")
def ready(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, str, str]:
    """A database with a test that is ready for its first state, made once: the file, a token, her id and the test's."""
    folder = tmp_path_factory.mktemp("ready")
    stage = staged(migrated_sqlite(folder))
    seed(stage.client, lambda line: None)
    campaign = bring_to(open_campaign(stage.client, stage.vessel("Merrowdale")), "test-day")
    engine_of(stage.api).dispose()
    return folder / "heelwright.sqlite3", stage.admin, campaign.vessel_id, campaign.test_id


@pytest.fixture
def quay(tmp_path: Path, ready: tuple[Path, str, str, str]) -> Iterator[Quay]:
    """A copy of that service, with the front end before it."""
    shutil.copy(ready[0], tmp_path / "heelwright.sqlite3")
    with ExitStack() as stack:
        yield quay_on(stack, f"sqlite:///{tmp_path / 'heelwright.sqlite3'}", ready[1])


@pytest.fixture
def day(quay: Quay, ready: tuple[Path, str, str, str]) -> Campaign:
    """The test."""
    return Campaign(quay.client, ready[2], ready[3], carried(TEST_DAY), quay.client)


def opened(context: BrowserContext, quay: Quay, day: Campaign) -> Page:
    """The page of the test day, held by its worker so that it can be loaded without a network."""
    page = quay.sign_in(context, quay.token("recorder", name="Rolf Recorder"))
    page.goto(f"{quay.address}/tests/{day.test_id}/day/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    return page


def enter_state(page: Page, number: int) -> None:
    """Type the readings of a state and enter it."""
    section = page.locator(f"#state-{number}")
    for field, text in zip(section.locator(".reading").all(), values_of(number), strict=True):
        field.fill(text)
    section.get_by_role("button", name="Enter state").click()


def entries(day: Campaign, path: str) -> list[dict[str, Any]]:
    """What the service holds."""
    found: list[dict[str, Any]] = day.client.connection.get(f"{day.path}/{path}", limit=500)["items"]
    return found


def unsent(page: Page) -> str:
    """What the page says is not yet sent."""
    return page.locator("#unsent-count").inner_text()


def test_states_entered_without_a_network_arrive_once_when_it_is_back(
    context: BrowserContext, quay: Quay, day: Campaign
):
    page = opened(context, quay, day)
    enter_state(page, 0)
    page.get_by_text("Everything is sent.").wait_for()
    assert len(entries(day, "readings")) == 3
    context.set_offline(True)
    for number in (1, 2, 3):
        enter_state(page, number)
        page.locator(f"#state-{number + 1}").wait_for()  # the next state comes up by itself
    page.get_by_text("Not yet sent: 3").wait_for()
    assert len(entries(day, "readings")) == 3
    context.set_offline(False)
    page.get_by_text("Everything is sent.").wait_for()
    stored = entries(day, "readings")
    assert len(stored) == 12
    assert {each["number"] for each in entries(day, "states")} == {0, 1, 2, 3}
    assert len({(each["state"], each["instrument"]) for each in stored}) == 12
    page.get_by_text("12 readings as a table").wait_for()


def test_moved_ballast_water_waits_for_the_network_behind_the_state_that_it_leads_to(
    context: BrowserContext, quay: Quay, day: Campaign
):
    tanks = [each["tank"] for each in day.record["soundings"]][:2]
    page = opened(context, quay, day)
    context.set_offline(True)
    for number in (0, 1):
        enter_state(page, number)
        page.locator(f"#state-{number + 1}").wait_for()
    page.get_by_text("Ballast water was moved").click()
    page.get_by_label("State that it leads to").fill("1")
    page.get_by_label("Tank it left").select_option(tanks[1])
    page.get_by_label("Its sounding before").fill("0.90")
    page.reload()
    page.get_by_text("Ballast water was moved").click()
    assert page.get_by_label("Tank it left").input_value() == tanks[1]
    page.get_by_label("Its sounding after").fill("0.60")
    page.get_by_label("Tank it came into").select_option(tanks[0])
    page.get_by_label("That one's sounding before").fill("0.10")
    page.get_by_label("That one's sounding after").fill("0.40")
    page.get_by_role("button", name="Enter the move of ballast water").click()
    page.get_by_text("Not yet sent: 3").wait_for()
    context.set_offline(False)
    page.get_by_text("Everything is sent.").wait_for()
    (move,) = entries(day, "ballast-moves")
    assert (move["from_tank"], move["to_tank"], move["from_before_m"]) == (tanks[1], tanks[0], 0.9)
    page.get_by_role("region", name="Ballast water moved").wait_for()


def test_entries_outlive_a_reload_without_a_network_and_a_closed_page(
    context: BrowserContext, quay: Quay, day: Campaign
):
    page = opened(context, quay, day)
    context.set_offline(True)
    enter_state(page, 0)
    page.get_by_text("Not yet sent: 1").wait_for()
    page.locator("#state-1 .reading").first.fill("86.5")
    page.reload()
    assert "Not yet sent: 1" in unsent(page)
    page.locator(".states a[data-state='1']").click()
    assert page.locator("#state-1 .reading").first.input_value() == "86.5"
    address = page.url
    page.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(address)
    again.get_by_text("Everything is sent.").wait_for()
    assert len(entries(day, "readings")) == 3
    assert again.locator("#state-1 .reading").first.input_value() == "86.5"


def test_an_answer_that_is_lost_on_the_way_back_enters_nothing_twice(
    context: BrowserContext, quay: Quay, day: Campaign
):
    page = opened(context, quay, day)
    lost = []

    def lose_the_first_answer(route: Route) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch())  # the service has taken it; the browser never hears of it
        route.abort()

    context.route("**/day/states/0", lose_the_first_answer)
    with page.expect_event("requestfailed"):
        enter_state(page, 0)
    page.get_by_text("Not yet sent: 1").wait_for()
    assert len(entries(day, "readings")) == 3
    page.get_by_text("Everything is sent.").wait_for()
    assert lost[0].status == 201
    assert len(entries(day, "readings")) == 3
    assert len(entries(day, "states")) == 1


def test_two_pages_with_one_queue_send_it_once(context: BrowserContext, quay: Quay, day: Campaign):
    page = opened(context, quay, day)
    context.set_offline(True)
    enter_state(page, 0)
    page.get_by_text("Not yet sent: 1").wait_for()
    other = context.new_page()
    other.goto(page.url)
    context.set_offline(False)
    for each in (page, other):
        each.evaluate("window.dispatchEvent(new Event('online'))")
        each.get_by_text("Everything is sent.").wait_for()
    assert len(entries(day, "readings")) == 3


def test_a_refused_reading_is_kept_with_its_reason_and_put_back_into_the_form(
    context: BrowserContext, quay: Quay, day: Campaign
):
    page = opened(context, quay, day)
    section = page.locator("#state-0")
    for field, text in zip(section.locator(".reading").all(), ("-7.0", "twenty", "-0.28"), strict=True):
        field.fill(text)
    section.get_by_role("button", name="Enter state").click()
    page.get_by_text("Refused, look at it: 1.").wait_for()
    assert "'twenty' is not a number" in page.locator("#unsent-list").inner_text()
    assert entries(day, "readings") == []
    page.get_by_role("button", name="Put back into the form").click()
    assert [field.input_value() for field in section.locator(".reading").all()] == ["-7.0", "twenty", "-0.28"]
    section.locator(".reading").nth(1).fill("20")
    section.get_by_role("button", name="Enter state").click()
    page.get_by_text("Everything is sent.").wait_for()
    assert len(entries(day, "readings")) == 3


def test_a_session_that_has_ended_keeps_the_entries_until_somebody_signs_in(
    context: BrowserContext, quay: Quay, day: Campaign
):
    page = opened(context, quay, day)
    context.clear_cookies()
    enter_state(page, 0)
    page.get_by_text("Sign in again in this browser").wait_for()
    assert entries(day, "readings") == []
    again = quay.sign_in(context, quay.token("recorder", name="Rolf Recorder"))
    again.goto(f"{quay.address}/tests/{day.test_id}/day/")
    again.get_by_text("Everything is sent.").wait_for()
    assert len(entries(day, "readings")) == 3


def test_on_a_telephone_the_test_day_is_worked_by_thumb(context: BrowserContext, quay: Quay, day: Campaign):
    page = opened(context, quay, day)
    page.set_viewport_size({"width": 360, "height": 640})
    shown = page.locator("main input:visible, main select:visible, main button:visible, .states a:visible")
    for each in shown.all():
        box = each.bounding_box()
        assert box is not None
        if each.get_attribute("type") != "checkbox":  # its label is the target
            assert box["height"] >= 44, each.evaluate("e => e.outerHTML")
    for label in page.locator("main label:visible", has=page.locator("input[type=checkbox]")).all():
        box = label.bounding_box()
        assert box is not None
        assert box["height"] >= 44
    assert page.locator(".state:visible").count() == 1
    before = page.locator("#unsent").bounding_box()
    page.evaluate("window.scrollTo(0, 500)")
    after = page.locator("#unsent").bounding_box()
    assert before is not None
    assert after is not None
    assert page.evaluate("window.scrollY") > before["y"]
    assert 0 <= after["y"] < 640  # it stays in sight


def test_a_deviation_is_typed_in_and_answered_with_its_price(context: BrowserContext, quay: Quay, day: Campaign):
    read_states(day)
    page = opened(context, quay, day)
    page.get_by_role("link", name="Something is not as planned").click()
    page.get_by_label("What is different").fill("four men walk with the weight")
    page.get_by_label("Kind").select_option("people-walk")
    assert page.get_by_label("Free-surface moment").is_hidden()
    page.get_by_label("Mass").fill("320 kg")
    page.get_by_label("Distance").fill("8")
    page.get_by_role("button", name="What does it cost?").click()
    page.get_by_text("safe side").first.wait_for()
    assert "higher VCG" in page.locator(".tag").inner_text()
