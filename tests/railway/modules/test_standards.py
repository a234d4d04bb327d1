"""Modules and trains against a club's own rules, one rule at a time."""

from typing import Any

import pytest

from standage.railway.modules.boards import ModuleFigures
from standage.railway.modules.shortfalls import Shortfall, standard_verdict, weighed
from standage.railway.modules.standard_rules import (
    BoardMass,
    LongestTrain,
    Rules,
    StandardRule,
)
from standage.railway.modules.standards import module_shortfalls, train_shortfalls
from standage.railway.stock.extents import Extent, Missing
from standage.shapes.decoding import convert

PINS = [{"pin": 1, "carries": "front rail"}, {"pin": 2, "carries": "back rail"}]
EAST: dict[str, Any] = {
    "name": "east",
    "tracks": [{"name": "up", "offset_mm": -23}, {"name": "down", "offset_mm": 23}],
    "rail_height_mm": 1000,
    "straight_mm": 150,
    "connector": {"type": "9-way D", "pins": PINS},
}
WEST = EAST | {"name": "west"}
SOUND: dict[str, Any] = {
    "board": {"mass_g": 18_000},
    "minimum_radius_mm": 900,
    "class_of_line": "main",
    "wire_area_mm2": 1.5,
    "ends": [EAST, WEST],
}
RULES: dict[str, dict[str, Any]] = {
    "least_radius": {"radius_mm": 900},
    "rail_height": {"height_mm": 1000, "plus_minus_mm": 2},
    "rail_step": {"step_mm": 1},
    "end_straight": {"straight_mm": 150},
    "spacing": {"spacing_mm": 46, "plus_minus_mm": 0.5},
    "connector": {"type": "9-way D", "pins": PINS},
    "wire_area": {"area_mm2": 1.5},
    "board_mass": {"mass_g": 25_000},
}


def rule(kind: str, **about: Any) -> StandardRule:
    (made,) = convert([{"rule": kind, **RULES.get(kind, {}), **about}], Rules)
    return made


def found(kind: str, module: dict[str, Any], **about: Any) -> list[Shortfall]:
    return [
        shortfall
        for _, shortfall in module_shortfalls(
            [rule(kind, **about)], convert(module, ModuleFigures)
        )
    ]


def only(kind: str, module: dict[str, Any], **about: Any) -> Shortfall:
    (shortfall,) = found(kind, module, **about)
    return shortfall


def figures(shortfall: Shortfall) -> tuple[float | None, float | None, float | None]:
    return shortfall.value_mm, shortfall.limit_mm, shortfall.amount_mm


def ended(**about: Any) -> dict[str, Any]:
    """Return the sound module with its west end changed."""
    return SOUND | {"ends": [EAST, WEST | about]}


@pytest.mark.parametrize("kind", RULES)
def test_a_module_that_just_keeps_to_a_rule_meets_it(kind: str) -> None:
    assert found(kind, SOUND) == []


@pytest.mark.parametrize(
    ("kind", "field"),
    [
        ("least_radius", "minimum_radius_mm"),
        ("rail_height", "ends"),
        ("rail_step", "ends"),
        ("end_straight", "ends"),
        ("spacing", "ends"),
        ("connector", "ends"),
        ("wire_area", "wire_area_mm2"),
        ("board_mass", "board.mass_g"),
    ],
)
def test_of_a_module_of_which_nothing_is_known_nobody_can_tell(
    kind: str, field: str
) -> None:
    shortfall = only(kind, {})
    assert (shortfall.verdict, shortfall.code, shortfall.field) == (
        "cannot_tell",
        "missing_figure",
        field,
    )


@pytest.mark.parametrize(
    ("kind", "unknown", "field"),
    [
        ("rail_height", "rail_height_mm", "rail_height_mm"),
        ("rail_step", "rail_height_mm", "rail_height_mm"),
        ("end_straight", "straight_mm", "straight_mm"),
        ("connector", "connector", "connector"),
    ],
)
def test_a_figure_missing_at_one_end_is_named(
    kind: str, unknown: str, field: str
) -> None:
    shortfall = only(kind, ended(**{unknown: None}))
    assert (shortfall.verdict, shortfall.field) == ("cannot_tell", field)
    assert "west" in shortfall.message


def test_a_curve_too_sharp_names_by_how_much() -> None:
    shortfall = only("least_radius", SOUND | {"minimum_radius_mm": 750})
    assert (shortfall.verdict, shortfall.code) == ("fails", "curve_too_sharp")
    assert figures(shortfall) == (750, 900, 150)


def test_a_curve_too_sharp_towards_one_end_names_the_end() -> None:
    shortfall = only("least_radius", ended(minimum_radius_mm=600))
    assert (shortfall.end, shortfall.amount_mm) == ("west", 300)


def test_a_radius_for_one_class_of_line_says_nothing_of_another() -> None:
    assert (
        found(
            "least_radius", SOUND | {"minimum_radius_mm": 400}, class_of_line="branch"
        )
        == []
    )


def test_where_the_class_decides_and_is_not_known_nobody_can_tell() -> None:
    module = SOUND | {"class_of_line": None}
    assert found("least_radius", module, class_of_line="main") == []
    shortfall = only(
        "least_radius", module | {"minimum_radius_mm": 400}, class_of_line="main"
    )
    assert (shortfall.verdict, shortfall.field) == ("cannot_tell", "class_of_line")


def test_a_module_without_curves_keeps_to_every_radius() -> None:
    assert found("least_radius", {"no_curves": True}) == []


@pytest.mark.parametrize(
    ("height_mm", "word", "amount_mm"), [(1003.5, "high", 1.5), (997, "low", 1)]
)
def test_rails_out_of_height_say_which_way_and_by_how_much_beyond_what_is_allowed(
    height_mm: float, word: str, amount_mm: float
) -> None:
    shortfall = only("rail_height", ended(rail_height_mm=height_mm))
    assert (shortfall.code, shortfall.end) == ("rail_height_off", "west")
    assert figures(shortfall) == (height_mm, 1000, amount_mm)
    assert f"too {word}" in shortfall.message


def test_rails_that_fall_from_end_to_end_are_a_step() -> None:
    shortfall = only("rail_step", ended(rail_height_mm=998.5))
    assert (shortfall.code, *figures(shortfall)) == ("rails_step", 1.5, 1, 0.5)
    assert shortfall.message.startswith(
        "the rails at west lie 1.5 mm below those at east"
    )


def test_a_step_that_is_certain_is_told_though_a_third_end_is_not_measured() -> None:
    third = WEST | {"name": "south", "rail_height_mm": None}
    assert (
        only(
            "rail_step", SOUND | {"ends": [EAST, WEST | {"rail_height_mm": 990}, third]}
        ).verdict
        == "fails"
    )


def test_a_module_of_one_end_makes_no_step() -> None:
    assert found("rail_step", SOUND | {"ends": [WEST | {"rail_height_mm": None}]}) == []


def test_a_straight_too_short_names_its_end() -> None:
    shortfall = only("end_straight", ended(straight_mm=90))
    assert (shortfall.code, shortfall.end, *figures(shortfall)) == (
        "straight_too_short",
        "west",
        90,
        150,
        60,
    )


@pytest.mark.parametrize(
    ("offset_mm", "word", "amount_mm"), [(25, "far", 1.5), (21, "near", 1.5)]
)
def test_spacing_is_held_to_the_rule_between_neighbours(
    offset_mm: float, word: str, amount_mm: float
) -> None:
    tracks = [
        {"name": "up", "offset_mm": -23},
        {"name": "down", "offset_mm": offset_mm},
    ]
    shortfall = only("spacing", ended(tracks=tracks))
    assert (shortfall.code, *figures(shortfall)) == (
        "spacing_off",
        23 + offset_mm,
        46,
        amount_mm,
    )
    assert f"too {word}" in shortfall.message


def test_spacing_is_taken_between_neighbours_and_not_across_the_track_between() -> None:
    tracks = [
        {"name": name, "offset_mm": mm}
        for name, mm in (("a", 46), ("b", -46), ("c", 0))
    ]
    assert found("spacing", ended(tracks=tracks)) == []


def test_a_single_track_has_no_spacing() -> None:
    assert found("spacing", ended(tracks=[{"name": "line", "offset_mm": 0}])) == []


def test_another_sort_of_connector_fails() -> None:
    shortfall = only("connector", ended(connector={"type": "5-pin DIN"}))
    assert (shortfall.verdict, shortfall.code, shortfall.end) == (
        "fails",
        "connector_differs",
        "west",
    )


def test_a_connector_whose_pins_nobody_wrote_down_cannot_be_told_unless_no_pin_is_asked_for() -> (
    None
):
    module = ended(connector={"type": "9-WAY  D"})
    assert (only("connector", module).verdict, only("connector", module).field) == (
        "cannot_tell",
        "connector.pins",
    )
    assert found("connector", module, pins=[]) == []


def test_pins_that_are_missing_or_carry_something_else_fail_one_by_one() -> None:
    module = ended(
        connector={"type": "9-way D", "pins": [{"pin": "1", "carries": "bell"}]}
    )
    assert [one.code for one in found("connector", module)] == [
        "pin_differs",
        "pin_missing",
    ]


def test_a_thin_wire_fails_in_square_millimetres() -> None:
    shortfall = only("wire_area", SOUND | {"wire_area_mm2": 0.5})
    assert (shortfall.value_mm2, shortfall.limit_mm2, shortfall.amount_mm2) == (
        0.5,
        1.5,
        1.0,
    )
    assert figures(shortfall) == (None, None, None)


def test_a_heavy_board_fails_in_grams_and_speaks_of_kilograms() -> None:
    shortfall = only("board_mass", SOUND | {"board": {"mass_g": 27_400}})
    assert (shortfall.value_g, shortfall.limit_g, shortfall.amount_g) == (
        27_400,
        25_000,
        2_400,
    )
    assert shortfall.message == "its board weighs 27.4 kg; 25 kg is the most"


def test_each_shortfall_names_the_place_of_its_rule() -> None:
    rules = [rule("wire_area"), rule("longest_train", length_mm=1), rule("board_mass")]
    assert [place for place, _ in module_shortfalls(rules, ModuleFigures())] == [0, 2]


TRAIN = [LongestTrain(length_mm=2000.0)]


def of_train(
    known_mm: float, plus_minus_mm: float = 0.0, *, missing: bool = False
) -> list[Shortfall]:
    unknown = (
        (Missing(vehicle="Van", field="length_mm", words="its length"),)
        if missing
        else ()
    )
    extent = Extent(known_mm=known_mm, plus_minus_mm=plus_minus_mm, missing=unknown)
    return [
        shortfall
        for _, shortfall in train_shortfalls([*TRAIN, BoardMass(mass_g=1.0)], extent)
    ]


@pytest.mark.parametrize(("known_mm", "plus_minus_mm"), [(2000.0, 0.0), (1990.0, 10.0)])
def test_a_train_that_is_certainly_short_enough_meets_the_rule(
    known_mm: float, plus_minus_mm: float
) -> None:
    assert of_train(known_mm, plus_minus_mm) == []


def test_a_train_that_is_certainly_too_long_fails_by_its_length() -> None:
    (shortfall,) = of_train(2031.5, 10.0)
    assert (shortfall.verdict, shortfall.code, *figures(shortfall)) == (
        "fails",
        "train_too_long",
        2031.5,
        2000,
        31.5,
    )


def test_a_train_within_its_plus_minus_of_the_limit_cannot_be_told() -> None:
    (shortfall,) = of_train(2005.0, 10.0)
    assert (shortfall.verdict, shortfall.code, shortfall.plus_minus_mm) == (
        "cannot_tell",
        "too_close_to_call",
        10.0,
    )


def test_a_train_with_a_vehicle_not_measured_cannot_be_told_unless_the_rest_is_too_long() -> (
    None
):
    (unknown,) = of_train(500.0, missing=True)
    assert (unknown.verdict, unknown.field) == ("cannot_tell", "length_mm")
    (certain,) = of_train(2500.0, missing=True)
    assert (certain.verdict, certain.amount_mm) == ("fails", 500.0)
    assert certain.message.startswith("it is at least 2500 mm")


def test_failures_come_worst_first_and_a_waiver_gives_its_reason() -> None:
    rules = [rule("wire_area"), rule("board_mass", id="mass"), rule("least_radius")]
    module = convert(
        {"board": {"mass_g": 27_000}, "minimum_radius_mm": 400}, ModuleFigures
    )
    failures = weighed(rules, module_shortfalls(rules, module), {1: "two carry it"})
    assert [
        (one.verdict, one.rule, one.rule_number, one.rule_id, one.waived_because)
        for one in failures
    ] == [
        ("fails", "least_radius", 3, None, None),
        ("cannot_tell", "wire_area", 1, None, None),
        ("waived", "board_mass", 2, "mass", "two carry it"),
    ]
    assert standard_verdict(failures) == "fails"
    assert standard_verdict(failures[2:]) == "waived"
    assert standard_verdict([]) == "meets"
