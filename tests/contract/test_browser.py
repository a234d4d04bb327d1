"""The documentation page in a real browser: it works, and it asks nothing of another
machine.
"""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from contract.breakage import operations
from contract.machine import browser_program
from contract.serving import Service
from support.patience import PATIENCE_S

pytestmark = pytest.mark.browser

QUIET = [
    *("--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-quic"),
    *(
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
    ),
]


PATIENCE_MS = 1000 * PATIENCE_S
expect.set_options(timeout=PATIENCE_MS)  # a busy machine is no fault of the page


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(
            executable_path=browser_program(), args=QUIET, timeout=PATIENCE_MS
        )
        yield launched
        launched.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    opened = browser.new_page()
    opened.set_default_timeout(PATIENCE_MS)
    yield opened
    opened.close()


def test_the_documentation_shows_every_operation_and_asks_only_its_own_service(
    page: Page, service: Service
) -> None:
    asked: list[str] = []
    wrong: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on(
        "console",
        lambda message: wrong.append(message.text) if message.type == "error" else None,
    )
    page.goto(f"{service.url}/docs", wait_until="networkidle")
    document = page.request.get(f"{service.url}/openapi.json").json()
    page.locator(".opblock").first.wait_for()  # the groups are there with it
    for group in page.locator(".opblock-tag").all()[1:]:  # the first is open
        group.click()
    expect(page.locator(".opblock")).to_have_count(len(dict(operations(document))))
    assert len(asked) > 2
    assert [
        url for url in asked if not url.startswith((f"{service.url}/", "data:"))
    ] == []
    assert wrong == []


def test_the_first_operation_is_there_within_two_seconds_of_the_processor(
    page: Page, service: Service
) -> None:
    measured = page.context.new_cdp_session(page)
    measured.send("Performance.enable")
    page.goto(f"{service.url}/docs")
    page.locator(".opblock").first.wait_for()
    figures = {
        one["name"]: one["value"]
        for one in measured.send("Performance.getMetrics")["metrics"]
    }
    # The thread's own time, since a busy machine is no fault of the page.
    assert 0 < figures["ThreadTime"] < 2


def test_the_page_tells_how_to_get_a_token(page: Page, service: Service) -> None:
    page.goto(f"{service.url}/docs")
    expect(page.get_by_text("How to get a token")).to_be_visible()
    expect(page.get_by_text("standage new-club")).to_be_visible()


def test_the_filter_finds_an_operation_by_what_it_does(
    page: Page, service: Service
) -> None:
    page.goto(f"{service.url}/docs")
    page.locator(".operation-filter-input").fill("share link")
    expect(page.locator(".opblock-tag-section")).to_have_count(1)


def signed_in(page: Page, service: Service) -> None:
    page.goto(f"{service.url}/docs", wait_until="networkidle")
    page.get_by_role("button", name="Authorize").first.click()
    page.locator(".auth-container input").fill(service.token)
    page.locator(".auth-btn-wrapper .authorize").click()
    page.locator(".auth-btn-wrapper .btn-done").click()


def test_a_drawing_is_shown_as_a_picture(page: Page, service: Service) -> None:
    signed_in(page, service)
    draw = page.locator(
        ".opblock", has=page.locator("[data-path='/v1/checks/train-fit/drawing']")
    )
    draw.locator(".opblock-summary-control").click()
    draw.get_by_role("button", name="Try it out").click()
    draw.get_by_role("button", name="Execute").click()
    picture = draw.locator("img.drawing")
    expect(picture).to_be_visible()
    assert (
        picture.evaluate("picture => picture.decode().then(() => picture.naturalWidth)")
        > 100
    )


def test_a_record_is_read_by_the_id_in_its_path(page: Page, service: Service) -> None:
    made = service.ask("POST", "/v1/vehicles", {"name": "Tank wagon"})
    signed_in(page, service)
    page.locator(".operation-filter-input").fill("getVehicle")
    page.locator(".opblock-tag").filter(has_text="Stock").click()
    read = page.locator(
        ".opblock", has=page.locator("[data-path='/v1/vehicles/{vehicle_id}']")
    ).first
    read.locator(".opblock-summary-control").click()
    read.get_by_role("button", name="Try it out").click()
    read.locator("[data-param-name='vehicle_id'] input").fill(made.json()["id"])
    read.get_by_role("button", name="Execute").click()
    expect(
        read.locator(".live-responses-table tbody .response-col_description")
    ).to_contain_text("Tank wagon")


def test_a_check_can_be_tried_out_on_the_page(page: Page, service: Service) -> None:
    signed_in(page, service)
    check = page.locator(
        ".opblock", has=page.locator("[data-path='/v1/checks/train-fit']")
    )
    check.locator(".opblock-summary-control").click()
    check.get_by_role("button", name="Try it out").click()
    check.get_by_role("button", name="Execute").click()
    answer = check.locator(".live-responses-table tbody")
    expect(answer.locator(".response-col_status")).to_contain_text("200")
    expect(answer.locator(".response-col_description")).to_contain_text("verdict")


def test_pages_at_1_to_1_print_on_the_paper_that_they_are_drawn_for(
    page: Page, service: Service
) -> None:
    """Opened from the service, not saved first: A4 across, whatever the browser's own
    paper is. A point is 25.4 ÷ 72 mm.
    """
    layout = service.ask("POST", "/v1/layouts", {"name": "Ferry Lane", "scale": "00"})
    address = f"/v1/layouts/{layout.json()['id']}/plan"
    straight = {"kind": "straight", "length_mm": 900}
    made = service.ask("PUT", address, {"pieces": {"S": straight}}, if_none_match="*")
    assert made.status_code == 201
    page.set_extra_http_headers(service.authorization)
    page.goto(f"{service.url}{address}/drawing?drawing=pages")
    printed = page.pdf(prefer_css_page_size=True)
    boxes = set(re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", printed))
    sizes_mm = {tuple(round(float(pt) * 25.4 / 72) for pt in box) for box in boxes}
    assert sizes_mm == {(297, 210)}
