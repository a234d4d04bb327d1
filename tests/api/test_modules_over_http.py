"""Modules and a club's own standard as a caller meets them, on both databases."""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults, refusal
from api.ground import Ground, one_of
from support.databases import statements

VEHICLE: dict[str, Any] = {
    "length_mm": 100,
    "length_over": "couplings",
    "length_plus_minus_mm": 0,
}
EAST: dict[str, Any] = {
    "name": "east",
    "tracks": [{"name": "up", "offset_mm": -23}, {"name": "down", "offset_mm": 23}],
    "rail_height_mm": 1000,
    "connector": {
        "type": "9-way D",
        "pins": [{"pin": 1, "carries": "front rail"}, {"pin": 2, "carries": "bus"}],
    },
}
RULES: list[dict[str, Any]] = [
    {"rule": "board_mass", "id": "carry", "mass_g": 25_000},
    {"rule": "longest_train", "length_mm": 350},
]


def module(ground: Ground, called: str, **end: Any) -> dict[str, Any]:
    return ground.make("Module", name=called, scale="H0", ends=[EAST | end])


def test_ends_on_record_join_and_every_figure_taken_for_granted_is_named(
    ground: Ground,
) -> None:
    hill, dale = module(ground, "Hill"), module(ground, "Dale", name="west")
    body = {
        "one": {"module_id": hill["id"], "end": "east"},
        "other": {"module_id": dale["id"], "end": "WEST"},
    }
    answer = ground.steward.ask("POST", "/v1/checks/module-join", body).json()
    assert (answer["verdict"], answer["mechanical"], answer["electrical"]) == (
        "joins",
        "joins",
        "joins",
    )
    assert [(pair["one"], pair["other"]) for pair in answer["tracks"]] == [
        ("up", "down"),
        ("down", "up"),
    ]
    assert [one["field"] for one in answer["assumed"]] == [
        "tolerances.offset_mm",
        "tolerances.step_mm",
    ]
    assert answer["not_compared"] == ["wheels"]
    assert "licensed electrician" in answer["cautions"][0]


def test_ends_that_do_not_join_say_why_and_by_how_much(ground: Ground) -> None:
    hill = module(ground, "Hill")
    low = {name: value for name, value in EAST.items() if name != "connector"} | {
        "rail_height_mm": 996,
        "name": "low",
    }
    body = {
        "one": {"module_id": hill["id"], "end": "east"},
        "other": low,
        "tolerances": {"offset_mm": 0.5, "step_mm": 1},
    }
    answer = ground.steward.ask("POST", "/v1/checks/module-join", body).json()
    assert (answer["verdict"], answer["mechanical"], answer["electrical"]) == (
        "does_not_join",
        "does_not_join",
        "cannot_tell",
    )
    assert [(one["code"], one.get("amount_mm")) for one in answer["because"][:2]] == [
        ("rails_step", 3),
        ("missing_figure", None),
    ]
    assert answer["step_mm"] == 4
    assert answer["assumed"][0]["field"] == "gauge_mm"


@pytest.mark.parametrize(
    ("one", "fault"),
    [
        ({"module_id": NOBODY}, {"/one/end": "missing"}),
        ({"module_id": NOBODY, "end": "east"}, {"/one/module_id": "no_such_module"}),
        ({"end": "east", "tracks": EAST["tracks"]}, {"/one/end": "one_or_the_other"}),
        ({"name": "low"}, {"/one/tracks": "missing"}),
        (
            {
                "module_id": NOBODY,
                "end": "east",
                "tracks": EAST["tracks"],
                "rail_height_mm": 3,
            },
            {
                "/one/rail_height_mm": "one_or_the_other",
                "/one/tracks": "one_or_the_other",
            },
        ),
    ],
)
def test_an_end_is_inline_or_on_record(
    steward: Caller, one: Any, fault: dict[str, str]
) -> None:
    body = {"one": one, "other": {"tracks": EAST["tracks"]}}
    assert faults(steward.ask("POST", "/v1/checks/module-join", body)) == fault


def test_an_end_that_the_module_does_not_have_is_told_with_those_it_has(
    ground: Ground,
) -> None:
    hill = module(ground, "Hill")
    body = {
        "one": {"module_id": hill["id"], "end": "south"},
        "other": {"tracks": EAST["tracks"]},
    }
    response = ground.steward.ask("POST", "/v1/checks/module-join", body)
    assert faults(response) == {"/one/end": "no_such_end"}
    assert "its ends: east" in response.json()["faults"][0]["message"]


@pytest.mark.parametrize(
    ("joints", "said", "allowed", "assumed"),
    [
        ({"offset_mm": 0.4, "step_mm": 2}, {}, (0.4, 2), []),
        ({"step_mm": 2}, {"step_mm": 0.1}, (1, 0.1), ["tolerances.offset_mm"]),
        (None, {}, (1, 0.5), ["tolerances.offset_mm", "tolerances.step_mm"]),
    ],
)
def test_a_standard_says_what_passes_where_the_question_does_not(
    ground: Ground,
    joints: Any,
    said: Any,
    allowed: tuple[float, float],
    assumed: list[str],
) -> None:
    body = {"name": "Joints", "rules": RULES} | (
        {} if joints is None else {"joints": joints}
    )
    kept = ground.steward.made("/v1/standards", body)
    ends = {"one": {**EAST, "name": "one"}, "other": {**EAST, "name": "other"}}
    asked = ends | {"tolerances": said, "standard_id": kept["id"]}
    answer = ground.steward.ask("POST", "/v1/checks/module-join", asked).json()
    assert (answer["offset_allowed_mm"], answer["step_allowed_mm"]) == allowed
    assert [
        one["field"] for one in answer["assumed"] if "tolerances" in one["field"]
    ] == assumed
    assert faults(
        ground.steward.ask(
            "POST", "/v1/checks/module-join", ends | {"standard_id": NOBODY}
        )
    ) == {"/standard_id": "no_such_standard"}


def standard(ground: Ground, *waivers: dict[str, Any], rules: Any = RULES) -> str:
    made = ground.steward.made(
        "/v1/standards", {"name": "Ours", "rules": rules, "waivers": list(waivers)}
    )
    return f"/v1/standards/{made['id']}/report"


def test_a_report_goes_through_modules_then_trains_and_names_what_falls_short(
    ground: Ground,
) -> None:
    heavy = ground.make("Module", name="Oak end", board={"mass_g": 31_000})
    ground.make("Module", name="Pine end", board={"mass_g": 9_000})
    ground.make("Module", name="Ash end")
    vehicle = ground.make("Vehicle", count=4, **VEHICLE)
    for name, count in (("Long", 4), ("Short", 3)):
        ground.steward.made(
            "/v1/trains",
            {"name": name, "vehicles": [{"vehicle_id": vehicle["id"], "count": count}]},
        )
    answer = ground.steward.read(
        standard(
            ground, {"rule": "carry", "module_id": heavy["id"], "reason": "Two carry."}
        )
    )
    assert [
        (one["kind"], one["name"], one["verdict"]) for one in answer["subjects"]
    ] == [
        ("module", "Ash end", "cannot_tell"),
        ("module", "Oak end", "waived"),
        ("module", "Pine end", "meets"),
        ("train", "Long", "fails"),
        ("train", "Short", "meets"),
    ]
    (waived,) = answer["subjects"][1]["failures"]
    assert (waived["rule"], waived["rule_number"], waived["rule_id"]) == (
        "board_mass",
        1,
        "carry",
    )
    assert (waived["value_g"], waived["limit_g"], waived["amount_g"]) == (
        31_000,
        25_000,
        6_000,
    )
    assert waived["waived_because"] == "Two carry."
    (failed,) = answer["subjects"][3]["failures"]
    assert (failed["value_mm"], failed["limit_mm"], failed["amount_mm"]) == (
        400,
        350,
        50,
    )
    assert [one["code"] for one in answer["because"]] == [
        "train_fails",
        "module_cannot_tell",
        "module_waived",
    ]
    assert answer["verdict"] == "fails"
    assert "next" not in answer


def test_a_report_of_one_module_or_one_train_speaks_of_nothing_else(
    ground: Ground,
) -> None:
    path = standard(ground)
    ours, _ = ground.make("Module"), ground.make("Module")
    train = ground.make("Train")
    assert [
        one["id"]
        for one in ground.steward.read(f"{path}?module_id={ours['id']}")["subjects"]
    ] == [ours["id"]]
    assert [
        one["id"]
        for one in ground.steward.read(f"{path}?train_id={train['id']}")["subjects"]
    ] == [train["id"]]
    both = ground.steward.read(f"{path}?train_id={train['id']}&module_id={ours['id']}")
    assert [one["id"] for one in both["subjects"]] == [ours["id"], train["id"]]


def test_a_report_leaves_out_what_no_rule_is_about(ground: Ground) -> None:
    ground.make("Module")
    ground.make("Train")
    about_trains = ground.steward.read(standard(ground, rules=RULES[1:]))
    assert {one["kind"] for one in about_trains["subjects"]} == {"train"}


def test_a_report_with_nothing_to_judge_says_so(ground: Ground) -> None:
    answer = ground.steward.read(standard(ground))
    assert (answer["verdict"], answer["subjects"]) == ("meets", [])
    assert [one["code"] for one in answer["because"]] == ["nothing_to_judge"]


@pytest.mark.parametrize("limit", [1, 2, 3, 7])
def test_pages_of_a_report_join_without_gap_or_repeat(
    ground: Ground, limit: int
) -> None:
    path = standard(ground)
    for _ in range(3):
        ground.make("Module", name="Same name")
        ground.make("Train", name="Same name")
    whole = [one["id"] for one in ground.steward.read(path)["subjects"]]
    told: list[str] = []
    following: str | None = f"{path}?limit={limit}"
    while following is not None:
        response = ground.steward.ask("GET", following)
        answer = response.json()
        assert 1 <= len(answer["subjects"]) <= limit
        told += [one["id"] for one in answer["subjects"]]
        following = answer.get("next")
        assert response.headers.get("link") == (
            f'<{following}>; rel="next"' if following else None
        )
    assert told == whole
    assert len(whole) == 6


@pytest.mark.parametrize("cursor", ["x", "W10", "bW9kdWxlcw"])
def test_a_cursor_that_the_report_did_not_give_is_refused(
    ground: Ground, cursor: str
) -> None:
    assert faults(ground.steward.ask("GET", f"{standard(ground)}?cursor={cursor}")) == {
        "cursor": "bad_cursor"
    }


def test_a_cursor_of_one_report_is_none_of_another(ground: Ground) -> None:
    for _ in range(2):
        ground.make("Module")
    cursor = ground.steward.read(f"{standard(ground)}?limit=1")["next_cursor"]
    other = one_of("Standard", ground.make("Standard"))
    assert faults(ground.steward.ask("GET", f"{other}/report?cursor={cursor}")) == {
        "cursor": "bad_cursor"
    }


@pytest.mark.parametrize(
    ("name", "code"), [("module_id", "no_such_module"), ("train_id", "no_such_train")]
)
def test_a_report_of_what_is_not_there_is_refused(
    ground: Ground, name: str, code: str
) -> None:
    assert faults(ground.steward.ask("GET", f"{standard(ground)}?{name}={NOBODY}")) == {
        name: code
    }


def test_a_report_of_many_takes_as_many_statements_as_one_of_one(
    service: Service, ground: Ground
) -> None:
    path = f"{standard(ground)}?limit=200"

    def sent() -> int:
        with statements(service.database) as told:
            ground.steward.read(path)
        return len(told)

    def make() -> None:
        rake = ground.make("Rake")
        ground.steward.made(
            "/v1/trains", {"name": "Milk", "vehicles": [{"rake_id": rake["id"]}]}
        )
        ground.make("Module")

    make()
    few = sent()
    for _ in range(9):
        make()
    assert len(ground.steward.read(path)["subjects"]) == 20
    assert sent() == few


def test_a_module_with_a_waiver_stays_until_the_standard_lets_go_of_it(
    ground: Ground,
) -> None:
    ours = ground.make("Module")
    path = standard(
        ground, {"rule": 1, "module_id": ours["id"], "reason": "old"}
    ).removesuffix("/report")
    refusal(
        ground.steward.ask("DELETE", one_of("Module", ours), if_match="*"),
        409,
        "in_use",
    )
    assert (
        ground.steward.ask("PATCH", path, {"waivers": None}, if_match="*").status_code
        == 200
    )
    assert (
        ground.steward.ask("DELETE", one_of("Module", ours), if_match="*").status_code
        == 204
    )


def test_a_standard_is_given_back_as_it_was_sent_and_its_rules_can_be_changed(
    ground: Ground,
) -> None:
    made = ground.steward.made("/v1/standards", {"name": "Ours", "rules": RULES})
    assert made["rules"] == RULES
    path = one_of("Standard", made)
    patched = ground.steward.ask("PATCH", path, {"rules": RULES[1:]}, if_match="*")
    assert (patched.status_code, patched.json()["rules"]) == (200, RULES[1:])
    assert (
        ground.steward.ask("PUT", path, patched.json(), if_match="*").json()["rules"]
        == RULES[1:]
    )
    refused = ground.steward.ask(
        "PATCH", path, {"rules": None, "asks": RULES}, if_match="*"
    )
    assert faults(refused) == {"/rules": "missing", "/asks": "unknown_field"}


def test_faults_in_rules_waivers_and_ends_are_told_at_once(steward: Caller) -> None:
    body = {
        "rules": [
            {"rule": "board_mass", "mass_g": -1},
            {"rule": "paint"},
            {"rule": "connector", "type": "x", "pin": 1},
        ],
        "waivers": [{"rule": [], "module_id": 1, "reason": ""}],
    }
    assert faults(steward.ask("POST", "/v1/standards", body)) == {
        "/name": "missing",
        "/rules/0/mass_g": "too_small",
        "/rules/1/rule": "not_a_choice",
        "/rules/2/pin": "unknown_field",
        "/waivers/0/rule": "wrong_type",
        "/waivers/0/module_id": "wrong_type",
        "/waivers/0/reason": "too_short",
    }
    ends = [{"name": "e", "tracks": [{"name": "up", "offset_mm": 1e9}]}, 3]
    assert faults(steward.ask("POST", "/v1/modules", {"name": " x", "ends": ends})) == {
        "/name": "bad_characters",
        "/ends/0/tracks/0/offset_mm": "too_large",
        "/ends/1": "wrong_type",
    }


@pytest.mark.parametrize(
    ("step_mm", "aside_mm", "verdict"),
    [(0.5, 1.0, "joins"), (0.6, 1.0, "does_not_join"), (0.5, 1.1, "does_not_join")],
)
def test_by_common_practice_rails_meet_within_half_a_millimetre_up_and_one_aside(
    steward: Caller, step_mm: float, aside_mm: float, verdict: str
) -> None:
    flat = {
        "name": "one",
        "tracks": [{"name": "up", "offset_mm": 0}],
        "rail_height_mm": 1000,
        "gauge_mm": 16.5,
    }
    other = flat | {
        "tracks": [{"name": "up", "offset_mm": aside_mm}],
        "rail_height_mm": 1000 + step_mm,
    }
    answer = steward.ask(
        "POST", "/v1/checks/module-join", {"one": flat, "other": other}
    ).json()
    assert answer["mechanical"] == verdict


NEW_RULES = [
    {"rule": "track_place", "id": "place", "offsets_mm": [0], "plus_minus_mm": 1},
    {
        "rule": "height_steps",
        "id": "steps",
        "height_mm": 1000,
        "step_mm": 20,
        "plus_minus_mm": 0.5,
    },
    {"rule": "least_points_number", "id": "points", "number": 6},
]


def test_tracks_off_their_place_heights_between_steps_and_sharp_points_fail_a_standard(
    ground: Ground,
) -> None:
    off = {
        "name": "east",
        "tracks": [{"name": "up", "offset_mm": 50}],
        "rail_height_mm": 1010,
    }
    ground.make("Module", name="Off", least_points_number=4, ends=[off])
    sound = off | {"tracks": [{"name": "up", "offset_mm": 0}], "rail_height_mm": 1040}
    ground.make("Module", name="Sound", no_points=True, ends=[sound])
    answer = ground.steward.read(standard(ground, rules=NEW_RULES))
    told = {
        one["name"]: (one["verdict"], [each["rule_id"] for each in one["failures"]])
        for one in answer["subjects"]
    }
    assert told == {
        "Off": ("fails", ["place", "steps", "points"]),
        "Sound": ("meets", []),
    }


def test_the_new_rules_are_kept_and_waived_like_any_other(ground: Ground) -> None:
    ours = ground.make("Module", name="Ours", least_points_number=4, ends=[])
    waiver = {"rule": "points", "module_id": ours["id"], "reason": "An old yard."}
    path = standard(ground, waiver, rules=NEW_RULES)
    assert [
        one["rule"]
        for one in ground.steward.read(path.removesuffix("/report"))["rules"]
    ] == [
        "track_place",
        "height_steps",
        "least_points_number",
    ]
    (told,) = ground.steward.read(path)["subjects"]
    assert [each["verdict"] for each in told["failures"]] == [
        "cannot_tell",
        "cannot_tell",
        "waived",
    ]


def test_two_ends_off_their_place_alike_join_each_other_and_are_pointed_out(
    ground: Ground,
) -> None:
    off = {"tracks": [{"name": "up", "offset_mm": 50}], "rail_height_mm": 1010}
    facing = {"tracks": [{"name": "up", "offset_mm": -50}], "rail_height_mm": 1010}
    kept = ground.steward.made("/v1/standards", {"name": "Ours", "rules": NEW_RULES})
    asked = {"one": {"name": "Ash", **off}, "other": {"name": "Oak", **facing}}
    alone = ground.steward.ask("POST", "/v1/checks/module-join", asked).json()
    answer = ground.steward.ask(
        "POST", "/v1/checks/module-join", asked | {"standard_id": kept["id"]}
    ).json()
    assert alone["verdict"] == answer["verdict"] == "joins"
    noted = [
        one["code"]
        for one in answer["because"]
        if one["code"] not in {each["code"] for each in alone["because"]}
    ]
    assert noted == ["track_off_place", "height_between_steps"] * 2
    assert "not every other of the standard" in answer["because"][-1]["message"]


@pytest.mark.parametrize(
    ("aside_mm", "shift_mm", "brings"),
    [
        ((3.0, 3.0), 3.0, "joins"),
        ((-2.5, -2.5), -2.5, "joins"),
        ((4.0, 9.0), 6.5, "does_not_join"),
    ],
)
def test_the_shift_that_is_advised_brings_the_verdict_that_it_says(
    steward: Caller, aside_mm: tuple[float, float], shift_mm: float, brings: str
) -> None:
    def end(first_mm: float, second_mm: float) -> dict[str, Any]:
        tracks = [
            {"name": "first", "offset_mm": first_mm},
            {"name": "second", "offset_mm": second_mm},
        ]
        return {"tracks": tracks, "rail_height_mm": 1000}

    def asked(shifted_mm: float) -> dict[str, Any]:
        ends = {
            "one": end(shifted_mm, shifted_mm - 46),
            "other": end(-aside_mm[0], 46 - aside_mm[1]),
        }
        answer: dict[str, Any] = steward.ask(
            "POST", "/v1/checks/module-join", ends
        ).json()
        return answer

    first = asked(0)
    assert (first["verdict"], first["shift_mm"]) == (
        "does_not_join",
        pytest.approx(shift_mm),
    )
    assert asked(first["shift_mm"])["verdict"] == first["shift_brings"] == brings
