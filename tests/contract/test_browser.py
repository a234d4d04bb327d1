"""The documentation page in a real browser: it works, and it asks nothing of another
machine.
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

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
    expect(page.locator(".opblock")).to_have_count(
        sum(len(item) for item in document["paths"].values())
    )
    assert len(asked) > 2
    assert [
        url for url in asked if not url.startswith((f"{service.url}/", "data:"))
    ] == []
    assert wrong == []


def test_a_check_can_be_tried_out_on_the_page(page: Page, service: Service) -> None:
    page.goto(f"{service.url}/docs", wait_until="networkidle")
    page.get_by_role("button", name="Authorize").first.click()
    page.locator(".auth-container input").fill(service.token)
    page.locator(".auth-btn-wrapper .authorize").click()
    page.locator(".auth-btn-wrapper .btn-done").click()
    check = page.locator(
        ".opblock", has=page.locator("[data-path='/v1/checks/train-fit']")
    )
    check.locator(".opblock-summary-control").click()
    check.get_by_role("button", name="Try it out").click()
    check.get_by_role("button", name="Execute").click()
    answer = check.locator(".live-responses-table tbody")
    expect(answer.locator(".response-col_status")).to_contain_text("200")
    expect(answer.locator(".response-col_description")).to_contain_text("verdict")
