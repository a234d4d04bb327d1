"""Trains against places over HTTP: what is on record, what a visitor sends by a share
link, the sheet to print and the one of rows.
"""

import csv
import io
import json
from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults, refusal
from api.ground import Ground
from api.plain_trains import asked, recorded_train, road, train
from standage.questions import fits
from support.sheets import off_the_paper, overlapping, read, words

SVG = "image/svg+xml"


@pytest.fixture
def layout(ground: Ground) -> dict[str, Any]:
    """Put a layout of three roads on record, and two trains."""
    made = ground.make("Layout", name="Staithe Lane", scale="00", minimum_radius_mm=900)
    about = {"layout_id": made["id"], "stopping_margin_mm": 0, "plus_minus_mm": 0}
    for name, length_mm in (("Bay", 310), ("=Up loop", 700), ("Unmeasured", None)):
        ground.make("Place", name=name, usable_length_mm=length_mm, **about)
    recorded_train(ground, "Mail", 300)
    recorded_train(ground, "Coal", 200, 200, 200)
    return made


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))


def verdicts(answer: dict[str, Any]) -> list[tuple[str, str, str]]:
    return [(one["train"], one["place"], one["verdict"]) for one in answer["cells"]]


EXPECTED = [
    ("Mail", "=Up loop", "fits"),
    ("Mail", "Bay", "fits"),
    ("Mail", "Unmeasured", "cannot_tell"),
    ("Coal", "=Up loop", "fits"),
    ("Coal", "Bay", "does_not_fit"),
    ("Coal", "Unmeasured", "cannot_tell"),
]


def test_trains_and_a_layout_on_record_by_id_and_by_name(
    ground: Ground, layout: dict[str, Any]
) -> None:
    for layout_id in (layout["id"], "Staithe Lane"):
        body = {"trains": ["Mail", {"train_id": "Coal"}], "layout_id": layout_id}
        answer = asked(ground.steward, "fits", body)
        assert sorted(verdicts(answer)) == sorted(EXPECTED)
        assert [(one["train"], one["place"]) for one in answer["best"]] == [
            ("Mail", "Bay"),
            ("Coal", "=Up loop"),
        ]
        assert all(one["train_id"] for one in answer["trains"])
        assert all(one["place_id"] for one in answer["places"])


def test_each_cell_is_the_answer_about_that_train_and_place_on_record(
    ground: Ground, layout: dict[str, Any]
) -> None:
    body = {"trains": ["Mail", "Coal"], "layout_id": layout["id"]}
    answer = asked(ground.steward, "fits", body)
    cells = iter(answer["cells"])
    for one in answer["trains"]:
        for place in answer["places"]:
            path = f"/v1/layouts/{layout['id']}/places/{place['place_id']}/train-fit"
            alone = ground.steward.read(f"{path}?train_id={one['train_id']}")
            cell = next(cells)
            for field in (
                "verdict",
                "standing",
                "reaching",
                "spare_mm",
                "plus_minus_mm",
            ):
                assert cell[field] == alone[field]


def test_a_visitor_sends_trains_and_gets_the_table_of_the_layouts_places(
    ground: Ground, layout: dict[str, Any]
) -> None:
    visitor = ground.steward.visiting(layout["id"])
    trains = [
        train("Ours", 300),
        {"name": "By length", "length_mm": 600, "length_plus_minus_mm": 0},
    ]
    body = {"trains": trains, "layout_id": layout["id"]}
    answer = asked(visitor, "fits", body)
    assert answer == asked(ground.steward, "fits", body)
    assert {one["place"] for one in answer["cells"]} == {
        "Bay",
        "=Up loop",
        "Unmeasured",
    }
    assert {one["train"]: one["place"] for one in answer["best"]} == {
        "Ours": "Bay",
        "By length": "=Up loop",
    }
    drawn = visitor.ask("POST", "/v1/checks/fits/drawing", body)
    sheet = visitor.ask("POST", "/v1/checks/fits/sheet.csv", body)
    assert (drawn.status_code, sheet.status_code) == (200, 200)
    assert drawn.headers["content-type"].startswith(SVG)
    assert len(rows(sheet.text)) == 6


def test_a_visitor_sees_nothing_else_of_the_club(
    ground: Ground, layout: dict[str, Any]
) -> None:
    visitor = ground.steward.visiting(layout["id"])
    other = ground.make("Layout", name="Other Junction")
    elsewhere = ground.make("Place", layout_id=other["id"], name="Elsewhere")
    kept = recorded_train(ground, "Goods", 300)
    ours = [train("Ours", 300)]

    def amiss(body: dict[str, Any]) -> list[Any]:
        answers = [
            visitor.ask("POST", f"/v1/checks/fits{end}", body)
            for end in ("", "/drawing", "/sheet.csv")
        ]
        assert {one.status_code for one in answers} == {422}
        return [faults(one) for one in answers]

    for layout_id in (other["id"], NOBODY):
        told = amiss({"trains": ours, "layout_id": layout_id})
        assert told == [{"/layout_id": "no_such_layout"}] * 3
    for place_id in (elsewhere["id"], NOBODY):
        told = amiss({"trains": ours, "places": [{"place_id": place_id}]})
        assert told == [{"/places/0/place_id": "no_such_place"}] * 3
    for train_id in (kept["id"], NOBODY):
        told = amiss({"trains": [{"train_id": train_id}], "layout_id": layout["id"]})
        assert told == [{"/trains/0/train_id": "no_such_train"}] * 3
    for end in ("/drawing", "/sheet.csv", ""):
        path = f"/v1/layouts/{layout['id']}/fits{end}"
        refusal(visitor.ask("GET", path), 403, "forbidden")


def test_every_member_downloads_the_whole_table_of_a_layout(
    ground: Ground, layout: dict[str, Any]
) -> None:
    member = ground.steward.with_member("member")
    path = f"/v1/layouts/{layout['id']}/fits"
    sheet = member.ask("GET", f"{path}/sheet.csv")
    assert sheet.headers["content-disposition"] == 'attachment; filename="fits.csv"'
    told = rows(sheet.text)
    listed = [
        (one["train"], one["place"].removeprefix("'"), one["verdict"]) for one in told
    ]
    assert sorted(listed) == sorted(EXPECTED)
    pages = member.read(path)["items"]
    by_page = {(one["train"], one["place"]): one for one in pages}
    for one in told:
        other = by_page[one["train"], one["place"].removeprefix("'")]
        assert (one["standing"], one["reaching"]) == (
            other["standing"],
            other["reaching"],
        )
        spare_mm = float(one["spare_mm"]) if one["spare_mm"] else None
        assert spare_mm == other["spare_mm"]
    drawn = member.ask("GET", f"{path}/drawing?paper=letter")
    assert drawn.headers["content-type"].startswith(SVG)
    root = read(drawn.text)
    assert "Trains on Staithe Lane" in words(root)
    assert {"Mail", "Coal", "Bay", "=Up loop"} <= {*words(root)}
    assert overlapping(root) == []
    assert off_the_paper(root) == []


def test_of_more_trains_than_go_into_a_table_it_is_said_that_there_are_more(
    ground: Ground, layout: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fits, "MOST_ON_RECORD", 1)
    path = f"/v1/layouts/{layout['id']}/fits"
    told = rows(ground.steward.ask("GET", f"{path}/sheet.csv").text)
    assert [one["train"] for one in told] == ["Coal"] * 3 + [fits.CUT_SHORT]
    said = words(read(ground.steward.ask("GET", f"{path}/drawing").text))
    assert "Coal" in said
    assert "Mail" not in said
    assert fits.CUT_SHORT in said


def test_no_cell_of_the_sheet_is_a_formula(
    ground: Ground, layout: dict[str, Any]
) -> None:
    names = ["=1+1", "+2", "-3", "@4", "'5", "a,b", 'c"d']
    trains = [train(name, 300) for name in names]
    body = {"trains": trains, "places": [road("=cmd()", 290)]}
    sheet = ground.steward.ask("POST", "/v1/checks/fits/sheet.csv", body)
    told = rows(sheet.text)
    assert [one["train"] for one in told] == [
        "'=1+1",
        "'+2",
        "'-3",
        "'@4",
        "''5",
        "a,b",
        'c"d',
    ]
    assert {one["place"] for one in told} == {"'=cmd()"}
    assert {one["spare_mm"] for one in told} == {"-10"}
    assert {one["best"] for one in told} == {""}


def test_a_page_that_there_is_not_is_refused_in_the_address(
    ground: Ground, layout: dict[str, Any]
) -> None:
    path = f"/v1/layouts/{layout['id']}/fits/drawing"
    for query in ("page=2", "paper=phone", "page=0"):
        assert ground.steward.ask("GET", f"{path}?{query}").status_code == 422
    body = {"trains": [train("T", 300)], "places": [road("A", 400)]}
    refused = ground.steward.ask("POST", "/v1/checks/fits/drawing?page=2", body)
    assert refused.status_code == 422


def test_a_request_of_many_long_trains_is_taken_and_comes_back_whole(
    steward: Caller,
) -> None:
    trains = [
        train(f"T{number}", *(100.0 + one for one in range(30)))
        for number in range(100)
    ]
    places = [road(f"R{number}", 3400 + number * 10) for number in range(5)]
    body = {"trains": trains, "places": places}
    assert len(json.dumps(body)) > 256 * 1024
    answer = asked(steward, "fits", body)
    # 30 vehicles of 100 to 129 mm come to 3435 mm
    spares = [one["spare_mm"] for one in answer["cells"]]
    assert spares == [3400 + number * 10 - 3435 for number in range(5)] * 100
    assert {one["place"] for one in answer["best"]} == {"R4"}


def test_an_empty_layout_and_a_club_without_trains_are_answered_too(
    ground: Ground, service: Service
) -> None:
    empty = ground.make("Layout", name="Bare boards")
    body = {"trains": [train("T", 300)], "layout_id": empty["id"]}
    answer = asked(ground.steward, "fits", body)
    assert (answer["cells"], answer["best"][0]["place"]) == ([], None)
    alone = Ground(service.club("Without trains"))
    bare = alone.make("Layout", name="Bare boards")
    path = f"/v1/layouts/{bare['id']}/fits"
    assert rows(alone.steward.ask("GET", f"{path}/sheet.csv").text) == []
    assert alone.steward.ask("GET", f"{path}/drawing").status_code == 200
    assert (
        alone.steward.ask("GET", f"/v1/layouts/{NOBODY}/fits/drawing").status_code
        == 404
    )
