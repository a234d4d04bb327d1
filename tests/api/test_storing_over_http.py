"""Where trains are put away, over HTTP: roads, how full they are, loading spots; worked
out by hand here.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from api.asking import Caller, Clock, Service, faults, serving
from api.ground import Ground
from api.plain_trains import asked, coach, recorded_train, road, train
from standage.registry.database.engine import Database
from standage.settings import Settings


@pytest.fixture
def opened(database: Database) -> Iterator[Service]:
    with serving(
        database, Clock(), Settings(rate_limits="off", open_checks="on")
    ) as running:
        yield running


@pytest.fixture
def layout(ground: Ground) -> dict[str, Any]:
    """Put a layout of three roads on record, as asked for by name: the bay is the
    shortest.
    """
    return ground.make("Layout", name="Staithe Lane", scale="00", minimum_radius_mm=500)


def test_trains_are_put_into_roads_nose_to_tail(steward: Caller) -> None:
    body = {
        "trains": [train("A", 600), train("B", 380), train("C", 500), train("D", 700)],
        "roads": [road("One", 1000), road("Two", 520), road("Three", 700)],
        "gap_mm": 20,
    }
    answer = asked(steward, "road-allocation", body)
    assert (answer["verdict"], answer["left_over"], answer["proved"]) == (
        "all_stand",
        [],
        True,
    )
    inside = {
        one["road"]: sorted(its["train"] for its in one["trains"])
        for one in answer["roads"]
    }
    assert inside == {"One": ["A", "B"], "Two": ["C"], "Three": ["D"]}
    spares = {one["road"]: (one["held_mm"], one["spare_mm"]) for one in answer["roads"]}
    assert spares == {"One": (1000, 0), "Two": (500, 20), "Three": (700, 0)}


def test_many_trains_and_a_large_pool_are_reckoned_in_a_process_of_their_own(
    steward: Caller,
) -> None:
    trains = [train(f"T{number}", 400) for number in range(12)]
    roads = [road(f"R{number}", 820) for number in range(5)]
    answer = asked(
        steward, "road-allocation", {"trains": trains, "roads": roads, "gap_mm": 20}
    )
    assert (answer["verdict"], len(answer["left_over"]), answer["proved"]) == (
        "some_left_over",
        2,
        True,
    )
    pool = [coach(f"Van {number}", 100 + number) for number in range(40)]
    answer = asked(
        steward,
        "longest-train",
        {"pool": pool, "place": road("Up", 1000), "by": "number"},
    )
    # the nine shortest come to 936; ten to more than 1000
    assert (answer["from_pool"], answer["train_length_mm"], answer["proved"]) == (
        9,
        1000,
        True,
    )


def test_what_is_left_over_is_the_shortest_of_as_few_and_says_why(
    steward: Caller,
) -> None:
    trains = [train("A", 600), train("B", 380), train("C", 500), train("Giant", 2000)]
    body = {
        "trains": trains,
        "roads": [road("One", 1000), road("Two", 520)],
        "gap_mm": 20,
        "keep_empty": 1,
    }
    answer = asked(steward, "road-allocation", body)
    # in the one road of 1000, A and B with the gap come to 1000; C beside B would leave
    # A over, which is longer
    assert answer["verdict"] == "some_left_over"
    assert [
        (one["train"], one["because"][0]["code"]) for one in answer["left_over"]
    ] == [
        ("C", "no_room_left"),
        ("Giant", "too_long"),
    ]
    assert (
        answer["left_over_length_mm"],
        answer["left_over_at_least"],
        answer["kept_empty"],
    ) == (2500, 2, ["Two"])
    assert (answer["proved"], answer["least_length_proved"]) == (True, True)


def test_one_train_left_over_is_spoken_of_as_one_and_roads_kept_empty_are_named(
    steward: Caller,
) -> None:
    alone = asked(
        steward,
        "road-allocation",
        {"trains": [train("A", 600)], "roads": [road("One", 1000)]},
    )
    assert alone["because"][0]["message"] == "the one train stands in One"
    kept = {"trains": [train("A", 600)], "roads": [road("One", 1000)], "keep_empty": 1}
    answer = asked(steward, "road-allocation", kept)
    assert answer["because"][0]["message"] == "1 of 1 train is left over: A"
    assert (
        answer["left_over"][0]["because"][0]["message"]
        == "A, 600 mm long, finds no room while 1 road is kept empty; it would stand"
        " in One"
    )
    two = {"trains": [train("A", 600), train("B", 500)], "roads": [road("One", 1000)]}
    answer = asked(steward, "road-allocation", two)
    assert answer["because"][0]["message"] == "1 of 2 trains is left over: B"
    assert (
        answer["left_over"][0]["because"][0]["message"]
        == "B, 500 mm long, finds no room beside the others; it would stand in One"
    )


def test_a_train_without_any_road_for_trains_is_told_so(steward: Caller) -> None:
    table = {"kind": "turntable", "name": "Table", "usable_length_mm": 300}
    answer = asked(
        steward, "road-allocation", {"trains": [train("A", 200)], "roads": [table]}
    )
    assert [one["code"] for one in answer["left_over"][0]["because"]] == [
        "no_road_for_trains"
    ]


def test_a_train_or_road_that_nobody_measured_cannot_be_told(steward: Caller) -> None:
    unknown = {"name": "Mystery", "vehicles": [{"name": "Mystery van"}]}
    answer = asked(
        steward, "road-allocation", {"trains": [unknown], "roads": [road("One", 1000)]}
    )
    assert (answer["verdict"], answer["left_over"][0]["length_mm"]) == (
        "cannot_tell",
        None,
    )
    assert answer["left_over"][0]["because"][0]["vehicle"] == "Mystery van"
    answer = asked(
        steward,
        "road-allocation",
        {"trains": [train("A", 600)], "roads": [road("One", None)]},
    )
    assert (answer["verdict"], answer["left_over"][0]["because"][0]["field"]) == (
        "cannot_tell",
        "usable_length_mm",
    )
    assert {one["field"] for one in answer["assumed"]} >= {"gap_mm"}


def test_trains_and_roads_on_record_are_named_by_their_ids(
    ground: Ground, layout: dict[str, Any]
) -> None:
    place = ground.make(
        "Place", layout_id=layout["id"], name="Bay", usable_length_mm=500
    )
    kept = recorded_train(ground, "Mail", 300)
    by_ids = {
        "trains": [{"train_id": kept["id"]}],
        "roads": [{"place_id": place["id"]}],
    }
    one = asked(ground.steward, "road-allocation", by_ids)
    other = asked(
        ground.steward,
        "road-allocation",
        {"trains": by_ids["trains"], "layout_id": layout["id"]},
    )
    assert one == other
    # A coach of 300 mm on a radius of 500: 1.67 of its length, less than the 2.5 that
    # suit couplings on the body.
    inside = {
        "train": "Mail",
        "train_id": kept["id"],
        "length_mm": 300,
        "reaching": "marginal",
    }
    assert one["roads"][0]["trains"][0] == inside
    twice = {"trains": by_ids["trains"] * 2, "roads": by_ids["roads"]}
    found = faults(ground.steward.ask("POST", "/v1/checks/road-allocation", twice))
    assert found == {"/trains/1/train_id": "repeated"}
    wrong = {
        "trains": [
            {"train_id": place["id"]},
            {"vehicles": [{"vehicle_id": kept["id"]}]},
        ],
        "roads": [{"place_id": kept["id"]}],
    }
    found = faults(ground.steward.ask("POST", "/v1/checks/road-allocation", wrong))
    assert found == {
        "/trains/0/train_id": "no_such_train",
        "/trains/1/vehicles/0/vehicle_id": "no_such_vehicle",
        "/roads/0/place_id": "no_such_place",
    }


def test_how_full_roads_are_is_held_against_half_and_four_fifths(
    steward: Caller,
) -> None:
    roads = [
        {"road": road("Half", 1000), "trains": [train("A", 500)]},
        {
            "road": road("Four fifths", 1000),
            "trains": [train("B", 400), train("C", 380)],
        },
        {"road": road("Full", 1000, kind="loop"), "trains": [train("D", 801)]},
        {"road": road("Over", 1000, kind="loop"), "trains": [train("E", 1001)]},
        {"road": road("Empty", 1000)},
    ]
    answer = asked(steward, "fill", {"roads": roads, "gap_mm": 20})
    told = {one["road"]: (one["verdict"], one["part"]) for one in answer["roads"]}
    assert told == {
        "Half": ("works", 0.5),
        "Four fifths": ("crowded", 0.8),
        "Full": ("full", 0.801),
        "Over": ("over_full", 1.001),
        "Empty": ("works", 0.0),
    }
    assert (
        answer["yard"]["held_mm"],
        answer["yard"]["usable_mm"],
        answer["yard"]["verdict"],
    ) == (1300, 3000, "works")
    assert answer["layout"]["part"] == pytest.approx((500 + 800 + 801 + 1001) / 5000)
    assert answer["verdict"] == "crowded"
    assert [(one["code"], one["message"]) for one in answer["because"]] == [
        ("road_over_full", "Over is 1 mm too short for its trains"),
        (
            "crowded",
            (
                "62% of the length is taken; it is crowded: a yard works at half of"
                " what it holds"
            ),
        ),
    ]
    unknown = [{"road": road("Half", None), "trains": [train("A", 500)]}]
    assert asked(steward, "fill", {"roads": unknown})["verdict"] == "cannot_tell"


def test_a_layout_is_filled_with_all_the_clubs_trains(
    ground: Ground, layout: dict[str, Any]
) -> None:
    about = {
        "layout_id": layout["id"],
        "stopping_margin_mm": 0,
        "plus_minus_mm": 0,
        "minimum_radius_mm": None,
    }
    ground.make(
        "Place",
        name="Yard 1",
        kind="storage_road",
        **about | {"usable_length_mm": 1000},
    )
    ground.make("Place", name="Loop", **about | {"usable_length_mm": 600})
    ground.make(
        "Place", name="Table", kind="turntable", **about | {"usable_length_mm": 300}
    )
    for name, length_mm in (("A", 90), ("B", 80), ("Giant", 2000)):
        recorded_train(ground, name, length_mm)
    answer = ground.steward.read(f"/v1/layouts/{layout['id']}/fill?gap_mm=10")
    assert answer["left_over"] == ["Giant"]
    assert answer["layout"]["usable_mm"] == 1600
    assert answer["verdict"] == "over_full"
    assert sum(len(one["trains"]) for one in answer["roads"]) == 2
    # 10 and 6 wagons of 100 mm over their couplings
    wagon = ground.make(
        "Vehicle",
        name="Wagon",
        length_mm=100,
        length_over="couplings",
        length_plus_minus_mm=0,
    )
    about_wagons = f"/v1/layouts/{layout['id']}/fill?vehicle_id="
    counted = ground.steward.read(about_wagons + wagon["id"])
    numbers = [counted[name] for name in ("holds", "works_with", "crowded_from")]
    assert numbers == [16, 8, 13]
    refused = ground.steward.ask("GET", about_wagons + "nobody")
    assert refused.status_code == 422
    assert [one["parameter"] for one in refused.json()["faults"]] == ["vehicle_id"]


def test_a_train_goes_onto_a_traverser_in_as_few_parts_as_can_be(
    steward: Caller,
) -> None:
    vehicles = [
        coach(f"V{number}", one) for number, one in enumerate((250, 150, 150, 200, 300))
    ]
    plate = {
        "kind": "traverser",
        "name": "Traverser",
        "usable_length_mm": 420,
        "plus_minus_mm": 0,
    }
    answer = asked(steward, "parts", {"train": {"vehicles": vehicles}, "place": plate})
    assert answer["verdict"] == "in_parts"
    assert [one["vehicles"] for one in answer["parts"]] == [
        ["V0", "V1"],
        ["V2", "V3"],
        ["V4"],
    ]
    assert [(one["length_mm"], one["spare_mm"]) for one in answer["parts"]] == [
        (400, 20),
        (350, 70),
        (300, 120),
    ]
    whole = asked(
        steward, "parts", {"train": {"vehicles": vehicles[:2]}, "place": plate}
    )
    assert (whole["verdict"], len(whole["parts"])) == ("whole", 1)
    giant = asked(
        steward,
        "parts",
        {"train": {"vehicles": [*vehicles, coach("Giant", 500)]}, "place": plate},
    )
    assert (giant["verdict"], giant["parts"], giant["because"][0]["code"]) == (
        "not_at_all",
        [],
        "too_long",
    )
    assert giant["because"][0]["message"].startswith(
        "Giant is 80 mm too long for Traverser"
    )
    unknown = asked(
        steward,
        "parts",
        {"train": {"vehicles": [*vehicles, {"name": "Mystery"}]}, "place": plate},
    )
    assert (unknown["verdict"], unknown["because"][0]["vehicle"]) == (
        "cannot_tell",
        "Mystery",
    )


def test_spots_are_worked_where_they_lie(steward: Caller) -> None:
    wagon = coach("Wagon", 100)
    body = {"usable_length_mm": 1000, "vehicle": wagon}
    side_by_side = asked(steward, "capacity", body | {"fixed_spots": 2})
    # ten places, two spots: 2 n - 2 places hold six; with their middles at 450 and 550
    # from the stop, the same six
    assert side_by_side["working_capacity"] == 6
    assert (
        asked(steward, "capacity", body | {"spots_mm": [450, 550]})["working_capacity"]
        == 6
    )
    # at 150 the innermost two are reached, the one beyond has no spot to come to
    assert (
        asked(steward, "capacity", body | {"spots_mm": [150]})["working_capacity"] == 2
    )
    # the third, its middle at 250, is drawn out by 600 to the spot at 850: a row of
    # four leaves as much
    apart = asked(steward, "capacity", body | {"spots_mm": [150, 850]})
    assert (
        apart["working_capacity"],
        apart["standing_capacity"],
        apart["fixed_spots"],
    ) == (4, 10, 2)
    both = steward.ask(
        "POST", "/v1/checks/capacity", body | {"spots_mm": [150], "fixed_spots": 2}
    )
    assert faults(both) == {"/fixed_spots": "one_or_the_other"}


def test_strangers_may_ask_with_everything_inline_where_that_is_open(
    opened: Service,
) -> None:
    stranger, ground = opened.stranger(), Ground(opened.club())
    answer = asked(
        stranger,
        "longest-train",
        {"pool": [coach("Blue", 500), coach("Red", 500)], "place": road("Up", 1000)},
    )
    assert answer["from_pool"] == 2
    one = asked(
        stranger,
        "road-allocation",
        {"trains": [train("A", 600)], "roads": [road("One", 1000)]},
    )
    assert one["verdict"] == "all_stand"
    named = {
        "trains": [{"train_id": ground.make("Train")["id"]}],
        "layout_id": ground.make("Layout")["id"],
    }
    found = faults(stranger.ask("POST", "/v1/checks/road-allocation", named))
    assert found == {
        "/trains/0/train_id": "no_such_train",
        "/layout_id": "no_such_layout",
    }
