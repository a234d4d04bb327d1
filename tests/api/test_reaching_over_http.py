"""Standing and reaching, two answers side by side, over HTTP: a club's stock of which
little is known of the way.
"""

from typing import Any

import pytest

from api.asking import Caller
from api.ground import Ground, one_of
from api.plain_trains import asked, coach, road

HERON = coach("Heron", 200, kind="engine")
"""An engine whose least radius nobody stated."""
BEND: dict[str, Any] = {"minimum_radius_mm": 438, "stopping_margin_mm": 0}


@pytest.fixture
def layout(ground: Ground) -> dict[str, Any]:
    """Put on record a layout of 438 mm with two roads, and three trains of one engine
    each and a van.
    """
    layout = ground.make("Layout", name="Staithe Lane", minimum_radius_mm=438)
    about = {"layout_id": layout["id"], "plus_minus_mm": 0, "stopping_margin_mm": 0}
    for name, long in (("Bay", 250), ("Loop", 400)):
        ground.make("Place", name=name, usable_length_mm=long, **about)
    van = ground.make("Vehicle", **coach("Van", 100, minimum_radius_mm=300))
    engines = {
        "Known": {"minimum_radius_mm": 400},
        "Unknown": {},
        "Wide": {"minimum_radius_mm": 600},
    }
    for name, figures in engines.items():
        engine = ground.make(
            "Vehicle", **coach(f"{name} engine", 200, kind="engine") | figures
        )
        ground.make(
            "Train",
            name=name,
            vehicles=[{"vehicle_id": one["id"]} for one in (engine, van)],
        )
    return layout


MATRIX = [
    ("Known", "Bay", "does_not_fit", "does_not_fit", "runs"),
    ("Known", "Loop", "fits", "fits", "runs"),
    ("Unknown", "Bay", "does_not_fit", "does_not_fit", "cannot_tell"),
    ("Unknown", "Loop", "fits", "fits", "cannot_tell"),
    ("Wide", "Bay", "does_not_fit", "does_not_fit", "does_not_run"),
    ("Wide", "Loop", "does_not_fit", "fits", "does_not_run"),
]
"""Train and place; the verdict, standing and reaching: 300 mm in 250 and in 400, on
curves of 438.
"""


def pairs(caller: Caller, address: str) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    then: str | None = address
    while then:
        page = caller.read(then)
        found += [
            tuple(one[name] for name in ("train", "place", *_VERDICTS))
            for one in page["items"]
        ]
        then = page.get("next")
    return found


_VERDICTS = ("verdict", "standing", "reaching")


def test_every_pair_tells_both_and_may_be_asked_for_by_either(
    ground: Ground, layout: dict[str, Any]
) -> None:
    address = f"/v1/layouts/{layout['id']}/fits"
    assert pairs(ground.steward, address) == MATRIX
    for column, name in enumerate(_VERDICTS, start=2):
        for value in {row[column] for row in MATRIX}:
            wanted = [row for row in MATRIX if row[column] == value]
            assert (
                pairs(ground.steward, f"{address}?{name}={value}&limit=1") == wanted
            ), (name, value)
    both = f"{address}?standing=fits&reaching=does_not_run"
    assert pairs(ground.steward, both) == [MATRIX[-1]]
    assert ground.steward.ask("GET", f"{address}?reaching=fits").status_code == 422


def test_a_pair_is_answered_as_the_question_of_one_place(
    ground: Ground, layout: dict[str, Any]
) -> None:
    items = ground.steward.read(f"/v1/layouts/{layout['id']}/fits")["items"]
    for one in items:
        address = f"/v1/layouts/{layout['id']}/places/{one['place_id']}/train-fit?train_id={one['train_id']}"
        alone = ground.steward.read(address)
        assert {name: alone[name] for name in _VERDICTS} == {
            name: one[name] for name in _VERDICTS
        }


def test_what_is_missing_on_the_way_is_told_with_the_verdict_it_does_not_hide(
    ground: Ground, layout: dict[str, Any]
) -> None:
    loop = ground.steward.read(
        f"/v1/layouts/{layout['id']}/fits?verdict=fits&reaching=cannot_tell"
    )["items"][0]
    told = [
        (one["code"], one.get("vehicle"), one.get("field")) for one in loop["because"]
    ]
    assert told[0] == ("missing_figure", "Unknown engine", "minimum_radius_mm")
    assert told[-1][0] == "stands_clear"


def test_the_longest_train_goes_behind_an_engine_of_unknown_radius_and_says_so(
    steward: Caller,
) -> None:
    wide = coach("Wide van", 100, minimum_radius_mm=600)
    body = {
        "engines": [HERON],
        "pool": [coach("Van", 100, count=5, minimum_radius_mm=300), wide],
    }
    answer = asked(
        steward,
        "longest-train",
        body | {"place": road("Up", 500, **BEND), "by": "number"},
    )
    assert (answer["verdict"], answer["reaching"], answer["from_pool"]) == (
        "holds",
        "cannot_tell",
        3,
    )
    assert ("Heron", "minimum_radius_mm") in {
        (one.get("vehicle"), one.get("field")) for one in answer["because"]
    }
    assert [(one["name"], one["verdict"]) for one in answer["left_out"]] == [
        ("Wide van", "does_not_fit")
    ]
    known = HERON | {"minimum_radius_mm": 400}
    sure = asked(
        steward,
        "longest-train",
        body | {"engines": [known], "place": road("Up", 500, **BEND)},
    )
    assert (sure["verdict"], sure["reaching"]) == ("holds", "runs")
    never = asked(
        steward,
        "longest-train",
        body | {"engines": [wide], "place": road("Up", 500, **BEND)},
    )
    assert (never["verdict"], never["reaching"]) == ("holds_none", None)


def test_trains_of_unknown_radius_are_put_away_and_those_that_do_not_run_are_left_over(
    steward: Caller,
) -> None:
    trains = [
        {"name": "Coal", "vehicles": [HERON]},
        {"name": "Mail", "vehicles": [coach("Crane", 200, minimum_radius_mm=600)]},
    ]
    answer = asked(
        steward,
        "road-allocation",
        {"trains": trains, "roads": [road("Up", 500, **BEND)]},
    )
    assert answer["verdict"] == "some_left_over"
    inside = answer["roads"][0]["trains"]
    assert [(one["train"], one["reaching"]) for one in inside] == [
        ("Coal", "cannot_tell")
    ]
    assert [one["train"] for one in answer["left_over"]] == ["Mail"]
    asked_for = [
        (one.get("vehicle"), one.get("field"))
        for one in answer["because"]
        if "field" in one
    ]
    assert asked_for == [("Heron", "minimum_radius_mm")]


def test_a_train_of_unknown_radius_goes_onto_a_traverser_and_one_that_does_not_run_does_not(
    steward: Caller,
) -> None:
    van = coach("Van", 100, minimum_radius_mm=300)
    table = {
        "kind": "traverser",
        "name": "Table",
        "usable_length_mm": 310,
        "minimum_radius_mm": 438,
    }
    answer = asked(
        steward, "parts", {"train": {"vehicles": [HERON, van]}, "place": table}
    )
    assert (answer["verdict"], answer["reaching"]) == ("whole", "cannot_tell")
    assert answer["because"][0]["field"] == "minimum_radius_mm"
    wide = HERON | {"minimum_radius_mm": 600}
    never = asked(
        steward, "parts", {"train": {"vehicles": [wide, van]}, "place": table}
    )
    assert (never["verdict"], never["reaching"]) == ("not_at_all", "does_not_run")


def test_a_wish_suits_only_where_it_both_stands_and_gets(steward: Caller) -> None:
    wishes = [
        HERON,
        coach("Crane", 200, minimum_radius_mm=600),
        coach("Railcar", 200, minimum_radius_mm=400),
        coach("Long", 600, minimum_radius_mm=400),
    ]
    body = {
        "vehicles": wishes,
        "places": [road("Up", 500, **BEND)],
        "curve": {"radius_mm": 438},
    }
    answer = asked(steward, "wish-list", body)
    told = {
        one["name"]: [
            (at["verdict"], at["standing"], at["reaching"]) for at in one["against"]
        ]
        for one in answer["vehicles"]
    }
    assert told == {
        "Heron": [
            ("cannot_tell", "fits", "cannot_tell"),
            ("cannot_tell", None, "cannot_tell"),
        ],
        "Crane": [
            ("does_not_suit", "fits", "does_not_run"),
            ("does_not_suit", None, "does_not_run"),
        ],
        "Railcar": [("suits", "fits", "runs"), ("suits", None, "runs")],
        "Long": [("does_not_suit", "does_not_fit", "runs"), ("suits", None, "runs")],
    }
    assert answer["suitable"] == ["Railcar"]


def test_a_visitor_is_told_both(ground: Ground, layout: dict[str, Any]) -> None:
    loop = next(one for one in places(ground, layout) if one["name"] == "Loop")
    body = {"train": {"vehicles": [HERON]}, "place": {"place_id": loop["id"]}}
    visitor = ground.steward.visiting(layout["id"])
    told = [asked(caller, "train-fit", body) for caller in (ground.steward, visitor)]
    assert [tuple(one[name] for name in _VERDICTS) for one in told] == [
        ("fits", "fits", "cannot_tell")
    ] * 2


def places(ground: Ground, layout: dict[str, Any]) -> list[dict[str, Any]]:
    listed: list[dict[str, Any]] = ground.steward.read(
        f"{one_of('Layout', layout)}/places"
    )["items"]
    return listed
