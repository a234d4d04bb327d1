"""What anybody may look at: health, the document, the documentation page and the
problem pages.
"""

import json
import re

import pytest

from api.asking import Clock, Service, faults, refusal, serving
from standage.api.web.pages_for_people import PATHS, document_bytes
from standage.app import openapi_document
from standage.registry.database.engine import Database


@pytest.mark.parametrize("path", [*PATHS, "/health/live", "/health/ready"])
def test_an_open_page_needs_no_token_and_minds_none(
    service: Service, path: str
) -> None:
    for token in ({}, {"authorization": "Bearer nonsense"}):
        response = service.stranger().ask("GET", path, **token)
        assert response.status_code == 200
        assert response.content


@pytest.mark.parametrize("path", ["/health/live", "/health/ready"])
def test_health_is_asked_without_parameters_and_answered_in_json(
    service: Service, path: str
) -> None:
    stranger = service.stranger()
    assert faults(stranger.ask("GET", f"{path}?verbose=1&x=2")) == {
        "verbose": "unknown_parameter",
        "x": "unknown_parameter",
    }
    refusal(stranger.ask("GET", path, accept="text/html"), 406, "not_acceptable")


def test_the_document_that_is_served_is_the_one_that_is_printed(
    service: Service,
) -> None:
    response = service.stranger().ask("GET", "/openapi.json")
    assert response.headers["content-type"] == "application/json"
    assert response.content == document_bytes(openapi_document())
    assert json.loads(response.content)["openapi"].startswith("3.1.")


@pytest.mark.parametrize(
    "path", [path for path in PATHS if not path.startswith("/docs/")]
)
def test_a_page_names_nothing_of_another_machine_and_only_what_there_is(
    service: Service, path: str
) -> None:
    page = service.stranger().ask("GET", path)
    if "html" not in page.headers["content-type"]:
        return
    named = re.findall(r'(?:href|src)="([^"]*)"', page.text)
    assert [
        one for one in named if not one.startswith("/") or one.startswith("//")
    ] == []
    assert [
        one for one in named if service.stranger().ask("GET", one).status_code != 200
    ] == []
    assert 'lang="en"' in page.text
    assert "<title>" in page.text
    assert 'name="viewport"' in page.text


def test_a_page_that_is_text_says_once_that_it_is_utf_8(service: Service) -> None:
    types = {
        path: service.stranger().ask("GET", path).headers["content-type"]
        for path in PATHS
    }
    assert {path: one for path, one in types.items() if one.count("charset") > 1} == {}
    assert types["/docs"] == "text/html; charset=utf-8"
    assert types["/docs/assets/swagger-ui.css"] == "text/css; charset=utf-8"
    assert types["/docs/assets/favicon-32x32.png"] == "image/png"


def test_a_database_without_tables_is_alive_but_not_ready_until_it_has_them(
    bare_database: Database,
) -> None:
    with serving(bare_database, Clock()) as service:
        stranger = service.stranger()
        assert stranger.ask("GET", "/health/live").status_code == 200
        if bare_database.dialect == "sqlite":  # migrated on first use
            assert stranger.ask("GET", "/health/ready").status_code == 200
            assert stranger.ask("GET", "/v1/club").status_code == 401
        else:
            for path in ("/health/ready", "/v1/club"):
                problem = refusal(stranger.ask("GET", path), 503, "unready")
                assert "standage migrate" in problem["detail"]
