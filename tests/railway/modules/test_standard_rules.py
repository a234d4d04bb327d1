"""A club's rules and waivers as they are sent: what makes sense together."""

from typing import Any, get_args

import pytest

from standage.railway.modules.boards import ModuleFigures
from standage.railway.modules.standard_rules import RuleKind, Rules, Waiver, kind_of
from standage.registry.records.bodies import StandardBody
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

MASS = {"rule": "board_mass", "mass_g": 25_000, "id": "mass"}
LENGTH = {"rule": "longest_train", "length_mm": 2000}
MODULE, TRAIN = (
    {"module_id": "m1", "reason": "oak"},
    {"train_id": "t1", "reason": "guests"},
)


def faults(kind: type, value: Any) -> list[tuple[str, str | None]]:
    with pytest.raises(Faulty) as refused:
        convert(value, kind)
    return [(fault.code, fault.pointer) for fault in refused.value.faults]


def standard(*waivers: dict[str, Any], rules: Any = (MASS, LENGTH)) -> dict[str, Any]:
    return {"name": "Ours", "rules": list(rules), "waivers": list(waivers)}


def test_a_waiver_means_its_rule_by_id_or_by_place() -> None:
    made = convert(
        standard(MODULE | {"rule": "mass"}, TRAIN | {"rule": 2}), StandardBody
    )
    assert [waiver.rule for waiver in made.waivers] == ["mass", 2]


@pytest.mark.parametrize(
    ("waiver", "fault"),
    [
        (MODULE | {"rule": "height"}, ("no_such_rule", "/waivers/0/rule")),
        (MODULE | {"rule": 3}, ("no_such_rule", "/waivers/0/rule")),
        (MODULE | {"rule": 2}, ("contradiction", "/waivers/0/module_id")),
        (TRAIN | {"rule": "mass"}, ("contradiction", "/waivers/0/train_id")),
        (MODULE | {"rule": 1, "reason": " \n "}, ("too_short", "/waivers/0/reason")),
        (MODULE | {"rule": 1, "reason": ""}, ("too_short", "/waivers/0/reason")),
        ({"rule": 1, "module_id": "m1"}, ("missing", "/waivers/0/reason")),
        ({"rule": 1, "reason": "oak"}, ("one_or_the_other", "/waivers/0/module_id")),
        (MODULE | TRAIN | {"rule": 1}, ("one_or_the_other", "/waivers/0/module_id")),
    ],
)
def test_a_waiver_that_makes_no_sense_is_told_at_its_place(
    waiver: dict[str, Any], fault: tuple[str, str]
) -> None:
    assert fault in faults(StandardBody, standard(waiver))


def test_one_rule_is_waived_once_for_one_module_however_it_is_named() -> None:
    twice = standard(MODULE | {"rule": "mass"}, MODULE | {"rule": 1})
    assert faults(StandardBody, twice) == [("repeated", "/waivers/1/rule")]


def test_no_two_rules_share_an_id() -> None:
    assert faults(StandardBody, standard(rules=[MASS, MASS])) == [
        ("repeated", "/rules/1/id")
    ]


def test_the_faults_of_several_rules_are_told_at_once_each_by_its_own_sort() -> None:
    rules = [
        {"rule": "board_mass"},
        {"mass_g": 1},
        {"rule": "weight"},
        MASS | {"mass_g": 0},
        LENGTH | {"mass_g": 1},
    ]
    assert faults(StandardBody, standard(rules=rules)) == [
        ("missing", "/rules/0/mass_g"),
        ("missing", "/rules/1/rule"),
        ("not_a_choice", "/rules/2/rule"),
        ("too_small", "/rules/3/mass_g"),
        ("unknown_field", "/rules/4/mass_g"),
    ]


def test_a_standard_without_rules_is_none() -> None:
    assert faults(StandardBody, standard(rules=[])) == [("too_few", "/rules")]


def test_a_rule_lists_each_pin_once() -> None:
    pins = [{"pin": 1, "carries": "front rail"}, {"pin": "1", "carries": "back rail"}]
    rules = [{"rule": "connector", "type": "9-way D", "pins": pins}]
    assert faults(StandardBody, standard(rules=rules)) == [
        ("repeated", "/rules/0/pins/1/pin")
    ]


def test_every_sort_of_rule_says_what_sort_it_is() -> None:
    least: dict[str, dict[str, Any]] = {
        "least_radius": {"radius_mm": 1},
        "longest_train": {"length_mm": 1},
        "rail_height": {"height_mm": 1},
        "rail_step": {"step_mm": 0},
        "end_straight": {"straight_mm": 1},
        "spacing": {"spacing_mm": 1},
        "connector": {"type": "9-way D"},
        "wire_area": {"area_mm2": 1},
        "board_mass": {"mass_g": 1},
        "track_place": {"offsets_mm": [0]},
        "height_steps": {"height_mm": 1, "step_mm": 1},
        "least_points_number": {"number": 6},
    }
    made = convert([{"rule": kind, **about} for kind, about in least.items()], Rules)
    assert [kind_of(rule) for rule in made] == list(get_args(RuleKind))


def test_a_waiver_may_run_over_several_lines() -> None:
    assert (
        convert(MODULE | {"rule": 1, "reason": "oak,\nand old"}, Waiver).reason
        == "oak,\nand old"
    )


END: dict[str, Any] = {"name": "east", "tracks": [{"name": "up", "offset_mm": 0}]}


@pytest.mark.parametrize(
    ("module", "fault"),
    [
        ({"ends": [END, END | {"name": "EAST"}]}, ("repeated", "/ends/1/name")),
        ({"ends": [END] * 9}, ("too_many", "/ends")),
        ({"ends": [END | {"tracks": []}]}, ("too_few", "/ends/0/tracks")),
        (
            {"ends": [END | {"tracks": END["tracks"] * 2}]},
            ("repeated", "/ends/0/tracks/1/name"),
        ),
        (
            {"ends": [END | {"tracks": END["tracks"] * 2}]},
            ("contradiction", "/ends/0/tracks/1/offset_mm"),
        ),
        (
            {
                "ends": [
                    END
                    | {
                        "connector": {
                            "type": "D",
                            "pins": [{"pin": "", "carries": "x"}],
                        }
                    }
                ]
            },
            None,
        ),
        (
            {"no_curves": True, "minimum_radius_mm": 900},
            ("contradiction", "/minimum_radius_mm"),
        ),
        ({"board": {"outline": [[0, 0], [1, 0]]}}, ("too_few", "/board/outline")),
        (
            {"board": {"outline": [[0, 0], [1, 0], [0]]}},
            ("too_few", "/board/outline/2"),
        ),
        (
            {"board": {"outline": [[0, 0], [1, 0], [0, 1, 2]]}},
            ("too_many", "/board/outline/2"),
        ),
        (
            {"board": {"outline": [[0, 0], [1, 0], [2, 0]]}},
            ("no_area", "/board/outline"),
        ),
        ({"class_of_line": "narrow"}, ("not_a_choice", "/class_of_line")),
    ],
)
def test_a_module_that_makes_no_sense_is_told_at_its_place(
    module: dict[str, Any], fault: Any
) -> None:
    expected = fault or ("too_short", "/ends/0/connector/pins/0/pin")
    assert expected in faults(ModuleFigures, module)
