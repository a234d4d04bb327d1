"""British and American words mean the same wherever they are sent; what is kept and
told is the service's own word.
"""

from typing import Any

import pytest

from api.asking import Caller, faults
from api.ground import CHECKS, LOOP, QUERIES, WAGON, YARD, Ground, one_of

HOOKED = {"front_coupling": {"reach_mm": 2.0}, "rear_coupling": {"reach_mm": 2.0}}


def asked(caller: Caller, path: str, body: dict[str, Any]) -> dict[str, Any]:
    answer = caller.ask("POST", f"/v1/checks/{path}", body)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def words(answer: dict[str, Any]) -> list[tuple[str, str]]:
    """Return how words were taken that mean two things: where, and for what."""
    return [
        (one["field"], one["value"])
        for one in answer.get("assumed", [])
        if "is taken for" in one["message"]
    ]


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        *(
            ("locomotive", "engine"),
            ("Loco", "engine"),
            ("carriage", "coach"),
            ("passenger car", "coach"),
        ),
        *(
            ("freight car", "wagon"),
            ("goods wagon", "wagon"),
            ("freight_car", "wagon"),
            ("caboose", "brake_van"),
        ),
        *(("brake van", "brake_van"), ("Brake-Van", "brake_van"), ("ENGINE", "engine")),
    ],
)
def test_a_vehicle_is_kept_by_our_own_word(
    ground: Ground, word: str, kind: str
) -> None:
    made = ground.steward.made("/v1/vehicles", WAGON | {"kind": word})
    assert (made["kind"], words(made)) == (kind, [])
    path = one_of("Vehicle", made)
    assert (
        ground.steward.ask("PATCH", path, {"kind": word}, if_match="*").json()["kind"]
        == kind
    )
    assert (
        ground.steward.ask("PUT", path, WAGON | {"kind": word}, if_match="*").json()[
            "kind"
        ]
        == kind
    )
    spoken = word.replace(" ", "%20")
    assert [
        one["id"] for one in ground.steward.read(f"/v1/vehicles?kind={spoken}")["items"]
    ] == [made["id"]]


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        *(
            ("passing siding", "loop"),
            ("passing loop", "loop"),
            ("spur", "siding"),
            ("switching lead", "headshunt"),
        ),
        *(
            ("staging track", "storage_road"),
            ("storage road", "storage_road"),
            ("return loop", "reversing_section"),
        ),
    ],
)
def test_a_place_is_kept_by_our_own_word(ground: Ground, word: str, kind: str) -> None:
    layout = ground.make("Layout")
    made = ground.steward.made(
        f"{one_of('Layout', layout)}/places", LOOP | {"name": "Back road", "kind": word}
    )
    assert (made["kind"], words(made)) == (kind, [])
    ours, theirs = (
        asked(
            ground.steward,
            "train-fit",
            {"train": {"vehicles": [WAGON]}, "place": LOOP | {"kind": one}},
        )
        for one in (kind, word)
    )
    assert ours == theirs


def test_a_coupler_is_a_coupling_and_a_truck_a_bogie(ground: Ground) -> None:
    ours = WAGON | HOOKED | {"length_over": "couplings"}
    theirs = {
        name.replace("coupling", "coupler"): value for name, value in ours.items()
    } | {"length_over": "couplers"}
    answers = [
        asked(
            ground.steward, "train-fit", {"train": {"vehicles": [one]}, "place": LOOP}
        )
        for one in (ours, theirs)
    ]
    assert answers[0] == answers[1]
    made = ground.steward.made("/v1/vehicles", theirs)
    assert (made["front_coupling"], made["length_over"]) == (
        {"reach_mm": 2.0},
        "couplings",
    )
    path = one_of("Vehicle", made)
    patch = {
        "rear_coupler": {"projection_mm": 1.0, "mounting": "truck"},
        "buffer_centers_mm": 23,
    }
    changed = ground.steward.ask("PATCH", path, patch, if_match="*").json()
    assert changed["rear_coupling"] == {
        "reach_mm": 2.0,
        "projection_mm": 1.0,
        "mounting": "bogie",
    }
    assert changed["buffer_centres_mm"] == 23
    assert (
        "front_coupling"
        not in ground.steward.ask(
            "PATCH", path, {"front_coupler": None}, if_match="*"
        ).json()
    )


def test_a_yard_is_described_in_american_words(ground: Ground) -> None:
    plan = CHECKS["checkShuntingPlan"]
    theirs: dict[str, Any] = {
        "locomotive_length_mm": plan["engine_length_mm"],
        "freight_cars": plan["wagons"],
    }
    theirs["start"] = {"spurs": plan["start"]["sidings"]}
    theirs["goal"] = {"spur": plan["goal"]["siding"], "train": plan["goal"]["train"]}
    theirs["yard"] = {
        "switching_lead_usable_length_mm": 300.0,
        "spurs": YARD["sidings"],
    }
    assert asked(ground.steward, "shunting-plan", plan) == asked(
        ground.steward, "shunting-plan", theirs
    )


def test_faults_point_to_the_words_that_were_sent(ground: Ground) -> None:
    wagon = WAGON | {"front_coupler": {"reach_mm": "long"}}
    answer = ground.steward.ask(
        "POST", "/v1/checks/train-fit", {"train": {"vehicles": [wagon]}, "place": LOOP}
    )
    assert faults(answer) == {"/train/vehicles/0/front_coupler/reach_mm": "wrong_type"}
    path = one_of("Vehicle", ground.make("Vehicle"))
    for method, body in (
        ("PATCH", {"rear_coupler": {"reach_mm": "x"}}),
        ("PUT", WAGON | {"rear_coupler": 3}),
    ):
        refused = ground.steward.ask(method, path, body, if_match="*")
        assert all(where.startswith("/rear_coupler") for where in faults(refused)), (
            method
        )
    both = WAGON | HOOKED | {"front_coupler": {"reach_mm": 3.0}}
    assert faults(ground.steward.ask("POST", "/v1/vehicles", both)) == {
        "/front_coupler": "one_or_the_other"
    }


@pytest.mark.parametrize(
    ("about", "told"),
    [
        ({}, True),
        ({"scale": "HO"}, True),
        ({"practice": "american", "scale": "N"}, True),
        ({"scale": "00"}, False),
        ({"practice": "british"}, False),
    ],
)
def test_a_car_is_a_coach_which_is_said_where_it_might_carry_freight(
    ground: Ground, about: dict[str, str], *, told: bool
) -> None:
    car = WAGON | {"kind": "car"} | about
    made = ground.steward.made("/v1/vehicles", car)
    assert made["kind"] == "coach"
    assert words(made) == ([("kind", "coach")] if told else [])
    path = one_of("Vehicle", made)
    assert words(ground.steward.ask("PUT", path, car, if_match="*").json()) == words(
        made
    )
    body = {"train": {"vehicles": [car | HOOKED]}, "place": LOOP | {"kind": "platform"}}
    assert words(asked(ground.steward, "train-fit", body)) == (
        [("train/vehicles/0/kind", "coach")] if told else []
    )


def test_what_was_said_of_a_word_may_come_back_and_counts_for_nothing(
    ground: Ground,
) -> None:
    made = ground.steward.made("/v1/vehicles", WAGON | {"kind": "car"})
    path = one_of("Vehicle", made)
    for method, body in (("PUT", made), ("PATCH", {"assumed": made["assumed"]})):
        answer = ground.steward.ask(method, path, body, if_match="*")
        assert (answer.status_code, answer.json()["kind"], words(answer.json())) == (
            200,
            "coach",
            [],
        )


def test_points_at_the_end_of_a_road_are_the_tips_of_the_blades(ground: Ground) -> None:
    layout = ground.make("Layout")
    lead = {
        "name": "Lead",
        "kind": "lead",
        "usable_length_mm": 900,
        "ends": [{"limit": "points"}],
    }
    made = ground.steward.made(f"{one_of('Layout', layout)}/places", lead)
    assert (made["kind"], made["ends"][0]["limit"]) == ("headshunt", "blade_tips")
    assert words(made) == [("ends/0/limit", "blade_tips")]
    assert "fouling_point" in made["assumed"][0]["message"]


@pytest.mark.parametrize("kind", ["siding", "loop"])
@pytest.mark.parametrize(
    ("about", "told"),
    [
        ({"scale": "HO"}, True),
        ({"scale": "00"}, False),
        ({"scale": "H0"}, False),
        ({}, False),
        (
            {
                "scale": "O",
                "ends": [{"limit": "fouling_point"}, {"limit": "fouling_point"}],
            },
            "siding",
        ),
        (
            {
                "scale": "O",
                "ends": [{"limit": "fouling_point"}, {"limit": "buffer_stop"}],
            },
            "loop",
        ),
    ],
)
def test_a_siding_or_a_loop_is_told_apart_where_practice_is_american(
    ground: Ground, kind: str, about: dict[str, Any], told: Any
) -> None:
    is_told = told in {True, kind}
    place = LOOP | {"kind": kind} | about
    made = ground.steward.made(
        f"{one_of('Layout', ground.make('Layout'))}/places", place | {"name": "Back"}
    )
    assert words(made) == ([("kind", kind)] if is_told else [])
    assert words(ground.steward.read(one_of("Place", made))) == words(made)
    body = {"train": {"vehicles": [WAGON | HOOKED]}, "place": place}
    assert words(asked(ground.steward, "train-fit", body)) == words(made)


@pytest.mark.parametrize(
    ("scale", "told"), [({}, []), ({"scale": "HO"}, [("kind", "siding")])]
)
def test_our_own_word_in_capitals_is_told_no_more_than_in_small_letters(
    ground: Ground, scale: dict[str, str], told: list[tuple[str, str]]
) -> None:
    place = LOOP | {"kind": "Siding"} | scale
    body = {"train": {"vehicles": [WAGON | HOOKED]}, "place": place}
    assert words(asked(ground.steward, "train-fit", body)) == told
    made = ground.steward.made(
        f"{one_of('Layout', ground.make('Layout'))}/places", place | {"name": "Back"}
    )
    assert (made["kind"], words(made)) == ("siding", told)


def test_a_siding_of_an_american_layout_or_train_is_told_too(ground: Ground) -> None:
    place = ground.make(
        "Place", layout_id=ground.make("Layout", scale="HO")["id"], kind="siding"
    )
    car = WAGON | HOOKED | {"scale": "HO"}
    on_record = {"train": {"vehicles": [car]}, "place": {"place_id": place["id"]}}
    assert words(asked(ground.steward, "train-fit", on_record)) == [("kind", "siding")]
    inline = {"train": {"vehicles": [car]}, "place": LOOP | {"kind": "siding"}}
    assert words(asked(ground.steward, "train-fit", inline)) == [("kind", "siding")]


@pytest.mark.parametrize("scale", [{}, {"scale": "H0"}])
def test_a_siding_is_told_too_where_the_stock_is_said_to_be_american(
    ground: Ground, scale: dict[str, str]
) -> None:
    car = WAGON | HOOKED | {"scale": "H0", "practice": "american"}
    body = {"train": {"vehicles": [car]}, "place": LOOP | {"kind": "siding"} | scale}
    assert words(asked(ground.steward, "train-fit", body)) == [("kind", "siding")]
    visitor = (
        WAGON | HOOKED | {"scale": "H0", "practice": "continental", "name": "Visitor"}
    )
    mixed = body | {"train": {"vehicles": [car, visitor]}}
    assert words(asked(ground.steward, "train-fit", mixed)) == []


def test_a_mere_word_is_the_type_of_a_coupling(ground: Ground) -> None:
    wagon = WAGON | {"front_coupling": "hook", "rear_coupler": "three-link"}
    made = ground.steward.made("/v1/vehicles", wagon)
    assert (made["front_coupling"], made["rear_coupling"]) == (
        {"type": "hook"},
        {"type": "three-link"},
    )
    path = one_of("Vehicle", ground.steward.made("/v1/vehicles", WAGON | HOOKED))
    changed = ground.steward.ask(
        "PATCH", path, {"front_coupling": "hook"}, if_match="*"
    ).json()
    assert changed["front_coupling"] == {"type": "hook"}, (
        "the reach was that of another coupling"
    )
    spelt_out = {
        "front_coupling": {"type": "hook"},
        "rear_coupling": {"type": "three-link"},
    }
    bodies: list[dict[str, Any]] = [
        {"train": {"vehicles": [WAGON | one]}, "place": LOOP}
        for one in (wagon, spelt_out)
    ]
    assert asked(ground.steward, "train-fit", bodies[0]) == asked(
        ground.steward, "train-fit", bodies[1]
    )
    refused = ground.steward.ask("POST", "/v1/vehicles", WAGON | {"front_coupling": ""})
    assert faults(refused) == {"/front_coupling": "too_short"}


@pytest.mark.parametrize(
    ("path", "sent", "field"),
    [
        ("places", {"length": 900}, "usable_length_mm"),
        ("places", {"length_mm": 900}, "usable_length_mm"),
        ("places", {"radius": 900}, "minimum_radius_mm"),
        ("places", {"headroom": 60}, "headroom_mm"),
        ("vehicles", {"length": 900}, "length_mm"),
        ("vehicles", {"width_in": 3}, "width_mm"),
        ("vehicles", {"truck_wheelbase": 3}, "bogie_wheelbase_mm"),
        (
            "vehicles",
            {"wheelbase": 40},
            "bogie_wheelbase_mm, rigid_wheelbase_mm or total_wheelbase_mm",
        ),
        ("vehicles", {"lenght_mm": 40}, "length_mm"),
    ],
)
def test_who_writes_a_field_nearly_right_is_told_which_it_is(
    ground: Ground, path: str, sent: dict[str, Any], field: str
) -> None:
    body = {"name": "x"} | sent
    if path == "places":
        answer = ground.steward.ask(
            "POST",
            f"{one_of('Layout', ground.make('Layout'))}/places",
            body | {"kind": "loop"},
        )
    else:
        answer = ground.steward.ask("POST", f"/v1/{path}", body)
    (fault,) = answer.json()["faults"]
    (name,) = sent
    assert (fault["code"], fault["message"]) == (
        "unknown_field",
        f"'{name}' is not known here; did you mean {field}?",
    )


def test_a_parameter_may_be_called_by_another_word(ground: Ground) -> None:
    train = ground.make("Train")
    path = f"{one_of('Train', train)}/curve?{QUERIES['getTrainCurve']}"
    assert ground.steward.read(f"{path}&couplings=true") == ground.steward.read(
        f"{path}&couplers=true"
    )
    twice = ground.steward.ask("GET", f"{path}&couplings=true&couplers=true")
    assert faults(twice) == {"couplers": "one_or_the_other"}
