"""Drawings over HTTP: SVG that a browser shows and can do nothing with, and only where
SVG is wanted.
"""

from typing import Any
from xml.etree import ElementTree as ET

import httpx
import pytest

from api.asking import Caller, faults, refusal
from api.ground import CHECKS, DEAL, SHUNTING, YARD, Ground, one_of

SVG = "image/svg+xml"
PLAN_SHEET = "/v1/checks/shunting-plan/drawing"
PUZZLE_SHEET = "/v1/checks/shunting-deal/drawing"
REVERSED = CHECKS["drawShuntingPlan"]
DEALT = DEAL | {
    "yard": YARD | {"headshunt_usable_length_mm": 350},
    "wagons": [{"name": name, "length_mm": 80} for name in "ABCDE"],
}


def drawn(response: httpx.Response) -> ET.Element:
    """Return the drawing, having looked that a browser will take it for nothing
    else.
    """
    assert response.status_code == 200, response.text
    assert response.headers["content-type"] == SVG
    assert response.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in response.headers["content-security-policy"]
    root = ET.fromstring(response.content)  # noqa: S314 - our own text
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    return root


def words(root: ET.Element) -> list[str]:
    return [
        element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")
    ]


def heads(root: ET.Element) -> list[str]:
    return [
        line
        for line in words(root)
        if line.startswith("At the start") or line[0].isdigit()
    ]


def test_a_plan_is_drawn_from_its_start_through_every_move(steward: Caller) -> None:
    moves = steward.ask("POST", "/v1/checks/shunting-plan", REVERSED).json()["moves"]
    told = heads(drawn(steward.ask("POST", PLAN_SHEET, REVERSED)))
    assert told[0] == "At the start"
    assert [head.partition(".")[0] for head in told[1:]] == [
        str(number) for number in range(1, len(moves) + 1)
    ]


def test_the_start_alone_is_drawn_where_it_is_asked_for(steward: Caller) -> None:
    assert heads(drawn(steward.ask("POST", f"{PLAN_SHEET}?show=start", REVERSED))) == [
        "At the start"
    ]


def test_pages_hold_the_plan_one_after_the_other_and_there_are_no_more(
    steward: Caller,
) -> None:
    """The sheet is 279 mm high, which Letter is, and A4 holds."""
    whole = heads(drawn(steward.ask("POST", PLAN_SHEET, REVERSED)))
    paged: list[str] = []
    page = 1
    while (
        response := steward.ask("POST", f"{PLAN_SHEET}?page={page}", REVERSED)
    ).status_code == 200:
        root = drawn(response)
        assert root.get("height") == "279.00mm"
        paged += heads(root)
        page += 1
    assert paged == whole
    assert faults(response) == {"page": "too_large"}


def test_a_card_is_a5_across_and_tells_the_par(steward: Caller) -> None:
    par = steward.ask("POST", "/v1/checks/shunting-plan", REVERSED).json()["bound"]
    root = drawn(steward.ask("POST", f"{PLAN_SHEET}?show=card", REVERSED))
    assert (root.get("width"), root.get("height")) == ("210.00mm", "148.00mm")
    assert {"Make up this train of 3 in Long", f"Par: {par} visits"} <= set(words(root))


def test_where_there_is_no_plan_the_sheet_says_why(steward: Caller) -> None:
    body = SHUNTING | {"goal": {"siding": "Short", "train": ["A", "B", "C"]}}
    for show in ("plan", "card"):
        told = words(drawn(steward.ask("POST", f"{PLAN_SHEET}?show={show}", body)))
        assert "Short is 40 mm too short for the train." in told
        assert not [line for line in told if line.startswith("Par")]


def test_a_puzzles_card_tells_its_train_its_par_and_its_number(steward: Caller) -> None:
    told = steward.ask("POST", "/v1/checks/shunting-deal", DEALT).json()
    root = drawn(steward.ask("POST", PUZZLE_SHEET, DEALT))
    assert (
        f"Par: {told['par']} visits · {told['difficulty']} · puzzle number 1"
        in words(root)
    )
    assert heads(root) == []


def test_a_puzzles_solution_is_drawn_only_where_it_is_asked_for(
    steward: Caller,
) -> None:
    par = steward.ask("POST", "/v1/checks/shunting-deal", DEALT).json()["par"]
    assert heads(drawn(steward.ask("POST", f"{PUZZLE_SHEET}?show=start", DEALT))) == [
        "At the start"
    ]
    assert (
        len(heads(drawn(steward.ask("POST", f"{PUZZLE_SHEET}?show=plan", DEALT))))
        == 1 + par
    )


def test_where_there_is_no_puzzle_the_card_says_why(steward: Caller) -> None:
    one_road = YARD | {
        "sidings": [{"name": "Long", "usable_length_mm": 300}]
    }  # the order can never change
    told = words(drawn(steward.ask("POST", PUZZLE_SHEET, DEAL | {"yard": one_road})))
    assert told[0] == "No puzzle"
    assert len(told) > 1


@pytest.mark.parametrize("path", [PLAN_SHEET, PUZZLE_SHEET])
def test_only_a_plan_has_pages_and_only_known_sheets_are_drawn(
    steward: Caller, path: str
) -> None:
    body = REVERSED if path == PLAN_SHEET else DEALT
    assert faults(steward.ask("POST", f"{path}?show=card&page=1", body)) == {
        "page": "contradiction"
    }
    assert faults(steward.ask("POST", f"{path}?show=film&page=0", body)) == {
        "show": "not_a_choice",
        "page": "too_small",
    }


@pytest.mark.parametrize(
    "accept",
    ["application/json", "image/png", "text/html", "image/svg+xml;q=0", "image/*;q=0"],
)
def test_who_takes_no_svg_is_told_that_there_is_nothing_else(
    ground: Ground, accept: str
) -> None:
    yard = f"{one_of('Yard', ground.make('Yard'))}/drawing"
    for response in (
        ground.steward.ask("POST", PLAN_SHEET, REVERSED, accept=accept),
        ground.steward.ask("GET", yard, accept=accept),
    ):
        assert SVG in refusal(response, 406, "not_acceptable")["detail"]


@pytest.mark.parametrize(
    "accept",
    [
        SVG,
        "image/*",
        "*/*",
        "text/html, image/svg+xml;q=0.1",
        "",
        "image/*;q=0, image/svg+xml",
    ],
)
def test_who_takes_svg_among_others_is_sent_svg(steward: Caller, accept: str) -> None:
    drawn(steward.ask("POST", PLAN_SHEET, REVERSED, accept=accept))


def test_who_takes_svg_only_is_sent_no_json(steward: Caller) -> None:
    response = steward.ask("POST", "/v1/checks/shunting-plan", REVERSED, accept=SVG)
    assert "application/json" in refusal(response, 406, "not_acceptable")["detail"]


HOSTILE = [
    "<script>alert(1)</script>",
    '"/><image href="x"/>',
    "&entity;]]>",
    "=1+1",
    "\u05e8\u05db\u05d1\u05ea drows",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_drawn_as_text_whatever_it_looks_like(
    steward: Caller, name: str
) -> None:
    body: dict[str, Any] = {
        "engine_length_mm": 100,
        "yard": YARD | {"sidings": [{"name": name, "usable_length_mm": 300}]},
        "wagons": [{"name": name, "length_mm": 80}],
        "start": {"sidings": [[name]]},
        "goal": {"siding": name, "train": [name]},
    }
    for show in ("plan", "card"):
        root = drawn(steward.ask("POST", f"{PLAN_SHEET}?show={show}", body))
        tags = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert tags <= {"svg", "g", "title", "rect", "line", "polygon", "text"}
        assert any(name[:6] in line for line in words(root))


def test_a_yard_on_record_is_drawn_empty_and_told_apart_by_its_etag(
    ground: Ground,
) -> None:
    rooms = [{"between": ["Long", "Short"], "room_mm": 380}]
    yard = ground.make("Yard", name="Goods <yard>", rooms=rooms)
    path = f"{one_of('Yard', yard)}/drawing"
    response = ground.steward.ask("GET", path)
    told = words(drawn(response))
    assert told[0] == "Goods <yard>"
    assert {"Long: 300 mm", "Short: 200 mm", "headshunt: 300 mm"} <= set(told)
    assert "engine" not in told
    assert any("380 mm" in line for line in told)
    assert response.headers["cache-control"] == "private, no-cache"
    again = ground.steward.ask("GET", path, if_none_match=response.headers["etag"])
    assert (again.status_code, again.content) == (304, b"")
    assert (
        ground.steward.ask(
            "PATCH", one_of("Yard", yard), {"rooms": None}, if_match="*"
        ).status_code
        == 200
    )
    assert ground.steward.ask("GET", path).headers["etag"] != response.headers["etag"]


def test_a_drawing_that_is_posted_for_is_kept_by_no_cache(steward: Caller) -> None:
    response = steward.ask("POST", PLAN_SHEET, REVERSED)
    assert response.headers["cache-control"] == "no-store"
    assert "etag" not in response.headers
