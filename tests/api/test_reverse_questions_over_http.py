"""The reverse questions over HTTP: what may come, what is longest, what would suit;
worked out by hand here.
"""

from typing import Any

import pytest

from api.asking import Caller, Service, faults, refusal
from api.ground import Ground, one_of
from api.plain_trains import COUPLED, asked, coach, recorded_train, road
from support.databases import statements

COACHES = [coach("Long", 600), coach("Blue", 500), coach("Red", 500)]


@pytest.mark.parametrize("by", ["number", "length"])
def test_a_road_of_1000_takes_the_two_of_500_and_not_the_one_of_600(
    steward: Caller, by: str
) -> None:
    answer = asked(
        steward, "longest-train", {"pool": COACHES, "place": road("Up", 1000), "by": by}
    )
    assert (answer["verdict"], answer["proved"], answer["from_pool"]) == (
        "holds",
        True,
        2,
    )
    assert {one["name"] for one in answer["vehicles"]} == {"Blue", "Red"}
    assert (answer["train_length_mm"], answer["spare_mm"], answer["plus_minus_mm"]) == (
        1000,
        0,
        0,
    )
    assert answer["because"][0]["code"] == "longest_train"


def test_the_longest_train_stands_behind_its_engines_and_leaves_the_margin(
    steward: Caller,
) -> None:
    body: dict[str, Any] = {
        "engines": [coach("Heron", 200, kind="engine")],
        "pool": [coach("Van", 100, count=20), coach("Tall van", 100, height_mm=90)],
        "place": road("Up", 1000, headroom_mm=80, stopping_margin_mm=30),
        "by": "number",
    }
    body["pool"][0]["height_mm"] = 60
    body["engines"][0]["height_mm"] = 60
    answer = asked(steward, "longest-train", body)
    told = [(one["name"], one["count"], one["engine"]) for one in answer["vehicles"]]
    assert told == [("Heron", 1, True), ("Van", 7, False)]
    assert (
        answer["train_length_mm"],
        answer["spare_mm"],
        answer["stopping_margin_mm"],
    ) == (900, 70, 30)
    assert answer["at_most_vehicles"] == 7
    assert [(one["name"], one["because"]["code"]) for one in answer["left_out"]] == [
        ("Tall van", "too_high")
    ]


@pytest.fixture
def layout(ground: Ground) -> dict[str, Any]:
    """Put a layout of three roads on record, as asked for by name: the bay is the
    shortest.
    """
    return ground.make("Layout", name="Staithe Lane", scale="00", minimum_radius_mm=500)


def test_the_clubs_own_stock_is_chosen_from_but_for_engines_nobody_asked_for(
    ground: Ground, layout: dict[str, Any]
) -> None:
    place = ground.make(
        "Place",
        layout_id=layout["id"],
        name="Bay",
        usable_length_mm=500,
        plus_minus_mm=0,
    )
    heron = ground.make(
        "Vehicle", **coach("Heron", 200, kind="engine", minimum_radius_mm=400)
    )
    ground.make("Vehicle", **coach("Crane", 150, kind="engine", minimum_radius_mm=400))
    van = ground.make("Vehicle", **coach("Van", 90, kind="wagon", count=5))
    ground.make("Vehicle", **coach("Coach", 260, kind="coach"))
    address = f"{one_of('Place', place)}/longest-train"
    # 25 mm are left for stopping by eye: 475 hold a coach and two vans, or five vans;
    # behind Heron two vans or a coach
    by_number = ground.steward.read(
        f"{address}?by=number&kind=wagon&engine_id={heron['id']}"
    )
    assert [(one["name"], one["count"]) for one in by_number["vehicles"]] == [
        ("Heron", 1),
        ("Van", 3),
    ]
    assert by_number["vehicles"][1]["vehicle_id"] == van["id"]
    alone = ground.steward.read(f"{address}?by=number")
    assert [(one["name"], one["count"]) for one in alone["vehicles"]] == [("Van", 5)]
    longest = ground.steward.read(
        f"{address}?engine_id={heron['id']}&stopping_margin_mm=0"
    )
    assert longest["train_length_mm"] == 200 + 3 * 90, (
        "longer than with the coach of 260"
    )
    assert (
        ground.steward.read(f"{address}?by=length&kind=engine")["train_length_mm"]
        == 200 + 150
    )
    found = faults(ground.steward.ask("GET", f"{address}?engine_id={layout['id']}"))
    assert found == {"engine_id": "no_such_vehicle"}


def test_stock_that_may_not_use_a_curve_is_listed_by_how_sure_that_is(
    ground: Ground,
) -> None:
    ground.make("Vehicle", **coach("Sharp", 100, minimum_radius_mm=300))
    ground.make("Vehicle", **coach("Wide", 100, minimum_radius_mm=600))
    ground.make("Vehicle", **coach("Engine", 100, kind="engine"))
    ground.make(
        "Vehicle",
        name="Edge",
        **COUPLED | {"length_mm": 170, "rigid_wheelbase_mm": None} | {"width_mm": None},
    )
    address = "/v1/curves/unsuitable-stock?radius_mm=400"
    answer = ground.steward.read(address)
    lists = {
        name: [one["name"] for one in answer[name]]
        for name in ("does_not_run", "cannot_tell", "marginal")
    }
    # 400 / 170 is 2.35, where most stock takes 2.5
    assert lists == {
        "does_not_run": ["Wide"],
        "cannot_tell": ["Engine"],
        "marginal": ["Edge"],
    }
    assert (answer["verdict"], answer["looked_at"]) == ("does_not_run", 4)
    assert (
        answer["because"][0]["message"]
        == "on a radius of 400 mm, of 4 vehicles on this page: 1 does not run, 1 cannot"
        " be told, 1 marginal, 1 runs"
    )
    assert "next" not in answer
    seen, page = [], ground.steward.read(f"{address}&limit=1")
    while True:
        seen += [one["name"] for name in lists for one in page[name]]
        assert page["looked_at"] == 1
        if "next" not in page:
            break
        page = ground.steward.read(page["next"])
    assert sorted(seen) == ["Edge", "Engine", "Wide"]
    refusal(ground.steward.ask("GET", f"{address}&cursor=nonsense"), 422, "invalid")


def test_the_limits_of_a_layout_name_the_place_each_is_from(
    ground: Ground, layout: dict[str, Any]
) -> None:
    above = {
        "layout_id": layout["id"],
        "plus_minus_mm": 5,
        "stopping_margin_mm": 20,
        "headroom_mm": 70,
    }
    ground.make(
        "Place",
        name="Up loop",
        **above | {"usable_length_mm": 1500, "minimum_radius_mm": 450},
    )
    ground.make(
        "Place",
        name="Bay",
        **above | {"usable_length_mm": 800, "headroom_mm": 65, "spacing_mm": 50},
    )
    ground.make(
        "Place",
        name="Incline",
        **above | {"usable_length_mm": 2000, "steepest_gradient_percent": 2.5},
    )
    answer = ground.steward.read(f"/v1/layouts/{layout['id']}/limits")
    assert answer["verdict"] == "complete"
    assert answer["fits_every_road"] == {"value_mm": 800 - 20 - 5, "place": "Bay"}
    assert answer["longest_train"] == {"value_mm": 2000 - 20 - 5, "place": "Incline"}
    assert answer["least_radius"] == {"value_mm": 450, "place": "Up loop"}
    assert answer["steepest_gradient"] == {"percent": 2.5, "place": "Incline"}
    assert answer["headroom"] == {"value_mm": 65, "place": "Bay"}
    # an eighth of 16.5 mm is kept free
    assert answer["swing"]["both_mm"] == pytest.approx(50 - 16.5 / 8)
    assert answer["swing"]["each_mm"] == pytest.approx((50 - 16.5 / 8) / 2, abs=1e-6)
    assert [
        (one["scale"], one["gauge_mm"], len(one["places"])) for one in answer["track"]
    ] == [("00", 16.5, 3)]
    assert [one["name"] for one in answer["places"]] == ["Bay", "Incline", "Up loop"]
    ground.make(
        "Place", layout_id=layout["id"], name="Unmeasured", usable_length_mm=None
    )
    less = ground.steward.read(f"/v1/layouts/{layout['id']}/limits")
    assert (less["verdict"], less["fits_every_road"]) == ("incomplete", None)
    assert [one["message"] for one in (answer["because"][-1], less["because"][-1])] == [
        "a train that is to stand in every road may be 775 mm long, for Bay",
        (
            "a train that is to stand in every road that was measured may be 775 mm"
            " long, for Bay"
        ),
    ]
    assert [
        one["message"]
        for one in less["assumed"]
        if "Unmeasured" in one["message"] and "exact" in one["message"]
    ] == []
    assert {
        one["field"] for one in less["because"] if one["code"] == "missing_figure"
    } == {
        "usable_length_mm",
        "headroom_mm",
    }


def test_every_train_is_held_against_every_place_a_page_at_a_time(
    ground: Ground, service: Service
) -> None:
    layout = ground.make("Layout")
    about = {"layout_id": layout["id"], "plus_minus_mm": 0, "stopping_margin_mm": 0}
    places = {
        name: ground.make("Place", name=name, usable_length_mm=long, **about)
        for name, long in ROADS.items()
    }
    trains = {
        name: recorded_train(ground, name, long) for name, long in LENGTHS.items()
    }
    address = f"/v1/layouts/{layout['id']}/fits"
    whole = ground.steward.read(address)
    told = [
        (one["train"], one["place"], one["verdict"], one["spare_mm"])
        for one in whole["items"]
    ]
    assert told == [
        (
            train,
            place,
            "fits" if ROADS[place] >= LENGTHS[train] else "does_not_fit",
            ROADS[place] - LENGTHS[train],
        )
        for train in sorted(LENGTHS)
        for place in sorted(ROADS)
    ]
    assert whole["items"][0]["train_id"] == trains["Coal"]["id"]
    assert whole["items"][0]["place_id"] == places["Bay"]["id"]
    for limit in (1, 2, 5):
        assert paged(ground.steward, f"{address}?limit={limit}") == told
    fitting = [one for one in told if one[2] == "fits"]
    assert paged(ground.steward, f"{address}?limit=2&verdict=fits") == fitting
    alone = ground.steward.read(
        one_of("Place", places["Bay"]) + f"/train-fit?train_id={trains['Mail']['id']}"
    )
    assert (alone["verdict"], alone["spare_mm"]) == ("does_not_fit", 300 - 700)
    with statements(service.database) as few:
        ground.steward.read(address)
    for number in range(20):
        recorded_train(ground, f"More {number}", 100)
    with statements(service.database) as many:
        ground.steward.read(f"{address}?limit=200")
    assert len(many) == len(few)


ROADS = {"Bay": 300, "Loop": 800}
LENGTHS = {"Coal": 250, "Mail": 700, "Goods": 900}


def paged(caller: Caller, address: str) -> list[tuple[Any, ...]]:
    found, then = [], address
    while then:
        response = caller.ask("GET", then)
        page = response.json()
        found += [
            (one["train"], one["place"], one["verdict"], one["spare_mm"])
            for one in page["items"]
        ]
        then = page.get("next")
        assert ("link" in response.headers) == bool(then)
        assert then is None or response.headers["link"] == f'<{then}>; rel="next"'
    return found


def test_a_train_deleted_between_pages_is_passed_over(ground: Ground) -> None:
    layout = ground.make("Layout")
    for name in ROADS:
        ground.make("Place", layout_id=layout["id"], name=name)
    trains = [recorded_train(ground, name, 100) for name in ("A", "B")]
    page = ground.steward.read(f"/v1/layouts/{layout['id']}/fits?limit=1")
    assert (
        ground.steward.ask(
            "DELETE", one_of("Train", trains[0]), if_match="*"
        ).status_code
        == 204
    )
    rest = paged(ground.steward, page["next"])
    assert [one[:2] for one in rest] == [("B", "Bay"), ("B", "Loop")]


def test_a_layout_without_places_or_trains_has_no_pairs(ground: Ground) -> None:
    layout = ground.make("Layout")
    address = f"/v1/layouts/{layout['id']}/fits"
    assert ground.steward.read(address)["items"] == []
    ground.make("Train")
    assert paged(ground.steward, f"{address}?limit=1") == []
    assert (
        ground.steward.read(f"/v1/layouts/{layout['id']}/limits")["verdict"]
        == "incomplete"
    )


def test_a_wish_list_is_held_against_places_and_a_curve(
    ground: Ground, layout: dict[str, Any]
) -> None:
    ground.make("Place", layout_id=layout["id"], name="Tunnel", headroom_mm=60)
    wishes = [
        coach("Railcar", 150, height_mm=50, minimum_radius_mm=400),
        coach("Giant", 150, height_mm=70, minimum_radius_mm=400),
        {"name": "Unknown engine", "kind": "engine", "height_mm": 50},
        coach("Stiff", 150, height_mm=50, minimum_radius_mm=900),
    ]
    body = {"vehicles": wishes, "layout_id": layout["id"], "curve": {"radius_mm": 800}}
    answer = asked(ground.steward, "wish-list", body)
    verdicts = {one["name"]: one["verdict"] for one in answer["vehicles"]}
    assert verdicts == {
        "Railcar": "suits",
        "Giant": "does_not_suit",
        "Unknown engine": "cannot_tell",
        "Stiff": "does_not_suit",
    }
    assert (answer["verdict"], answer["suitable"]) == ("suits", ["Railcar"])
    against = {
        one["name"]: [
            at["because"][0]["code"] for at in one["against"] if at["because"]
        ]
        for one in answer["vehicles"]
    }
    assert against["Giant"][0] == "too_high"
    assert against["Stiff"] == ["below_stated_radius", "below_stated_radius"]
    assert [at["place"] for at in answer["vehicles"][0]["against"]] == ["Tunnel", None]


def test_a_wish_suits_a_place_only_if_its_length_is_known_to_go_in(
    steward: Caller,
) -> None:
    """Lengths are given ± 5 mm and stand by themselves, without couplings, in 300 mm:
    up to 295 for certain.
    """
    lengths = {"Surely": 295.0, "Just not": 295.5, "Too long": 305.5, "Not known": None}
    wishes = [
        {
            "name": name,
            "length_mm": length_mm,
            "length_over": "buffers",
            "length_plus_minus_mm": 5,
        }
        for name, length_mm in lengths.items()
    ]
    place = {"kind": "siding", "name": "Dock", "usable_length_mm": 300}
    answer = asked(steward, "wish-list", {"vehicles": wishes, "places": [place]})
    assert {one["name"]: one["verdict"] for one in answer["vehicles"]} == {
        "Surely": "suits",
        "Just not": "marginal",
        "Too long": "does_not_suit",
        "Not known": "cannot_tell",
    }
    reasons = [one["against"][0]["because"] for one in answer["vehicles"][1:]]
    assert [(one[0]["code"], one[0]["vehicle"]) for one in reasons] == [
        ("too_close_to_call", "Just not"),
        ("too_long", "Too long"),
        ("missing_figure", "Not known"),
    ]
    assert (
        reasons[1][0]["message"]
        == "Too long is 5.5 mm too long for Dock, give or take 5 mm"
    )
    assert reasons[2][0]["field"] == "length_mm"
    assert answer["because"][0]["message"] == "1 of 4 suits everything: Surely"


def test_a_wish_is_not_told_to_suit_a_road_that_nobody_measured(
    steward: Caller,
) -> None:
    body = {
        "vehicles": [coach("Railcar", 150)],
        "places": [{"kind": "siding", "name": "Dock"}],
    }
    against = asked(steward, "wish-list", body)["vehicles"][0]["against"][0]
    assert (against["verdict"], against["because"][0]["field"]) == (
        "cannot_tell",
        "usable_length_mm",
    )


def test_a_wish_stands_on_a_turntable_by_its_wheels(steward: Caller) -> None:
    """Of 200 mm of rails 4 are kept free: 196 mm of wheelbase go on, and 220 mm over
    all within the clear circle.
    """
    wishes = [
        coach("Short", 220, total_wheelbase_mm=196, width_mm=30),
        coach("Long", 220, total_wheelbase_mm=197, width_mm=30),
        coach("Unknown", 220, width_mm=30),
    ]
    place = {
        "kind": "turntable",
        "name": "Table",
        "usable_length_mm": 200,
        "clear_circle_mm": 260,
    }
    answer = asked(steward, "wish-list", {"vehicles": wishes, "places": [place]})
    assert [one["verdict"] for one in answer["vehicles"]] == [
        "suits",
        "does_not_suit",
        "cannot_tell",
    ]
    assert (
        answer["vehicles"][1]["against"][0]["because"][0]["message"]
        == "Long, from its first axle to its last, is 1 mm too long for Table"
    )


def test_what_was_taken_off_for_stopping_is_told_with_a_wish(
    ground: Ground, layout: dict[str, Any]
) -> None:
    ground.make(
        "Place",
        layout_id=layout["id"],
        name="Dock",
        kind="siding",
        usable_length_mm=300,
    )
    body = {"vehicles": [coach("Railcar", 150)], "layout_id": layout["id"]}
    told = asked(ground.steward, "wish-list", body)["assumed"]
    assert [
        one["value_mm"] for one in told if one["field"] == "stopping_margin_mm"
    ] == [25]
    assert [
        one["message"][:6] for one in told if one["field"] == "stopping_margin_mm"
    ] == ["Dock: "]


def test_a_wish_needs_something_to_suit(steward: Caller) -> None:
    response = steward.ask(
        "POST", "/v1/checks/wish-list", {"vehicles": [coach("Railcar", 150)]}
    )
    assert faults(response) == {"/layout_id": "missing"}


def test_where_nobody_can_tell_the_vehicles_to_measure_are_named(
    ground: Ground,
) -> None:
    place = ground.make("Place")
    reach = {"reach_mm": 2}
    wagon = ground.make(
        "Vehicle", scale="00", length_mm=None, front_coupling=reach, rear_coupling=reach
    )
    answer = ground.steward.read(f"{one_of('Place', place)}/longest-train?by=number")
    assert answer["verdict"] == "cannot_tell"
    assert [
        (one["code"], one.get("vehicle"), one.get("field")) for one in answer["because"]
    ] == [
        ("nothing_stands", None, None),
        ("missing_figure", wagon["name"], "length_mm"),
    ]


def test_one_wish_or_one_pair_is_spoken_of_as_one(ground: Ground) -> None:
    train = ground.make("Train")
    place = ground.make("Place")
    page = ground.steward.read(f"/v1/layouts/{place['layout_id']}/fits")
    assert page["items"][0]["train_id"] == train["id"]
    assert page["because"][0]["message"].startswith("1 pair of a train and a place")
    wish = {
        "vehicles": [coach("Wide", 100, minimum_radius_mm=600)],
        "curve": {"radius_mm": 438},
    }
    answer = ground.steward.ask("POST", "/v1/checks/wish-list", wish).json()
    assert answer["because"][0]["message"] == "it does not suit everything for certain"


def test_a_vehicle_on_record_is_weighed_against_what_it_ought_to_weigh(
    ground: Ground,
) -> None:
    """NMRA RP-20.1: 4 oz, 113.4 g, for 6 in of body in HO; 85 of them are there."""
    wagon = ground.make(
        "Vehicle",
        name="Box car",
        kind="wagon",
        scale="HO",
        length_mm=152.4,
        length_over="body",
        mass_g=85,
    )
    body = {"vehicle": {"vehicle_id": wagon["id"]}}
    answer = asked(ground.steward, "mass", body)
    assert (answer["verdict"], round(answer["recommended_mass_g"], 1)) == (
        "too_light",
        113.4,
    )
    assert round(answer["add_g"], 1) == 28.4
    unknown = {"vehicle": {"vehicle_id": "nobody"}}
    response = ground.steward.ask("POST", "/v1/checks/mass", unknown)
    assert faults(response) == {"/vehicle/vehicle_id": "no_such_vehicle"}


def test_a_reach_that_was_found_is_recorded_as_it_is_offered(ground: Ground) -> None:
    """Nine wagons of 104 mm, 1009.6 mm long over their outer buffers."""
    wagons = coach("Ore wagon", 104, count=9, scale="N", length_over="buffers")
    body = {
        "vehicles": [wagons],
        "measured_length_mm": 1009.6,
        "length_over": "buffers",
    }
    answer = asked(ground.steward, "couplings-from-train", body)
    assert answer["reach_mm"] == 4.6
    made = ground.steward.made("/v1/coupling-types", answer["record"])
    assert (made["reach_mm"], made["name"]) == (4.6, "Our coupling")
