"""Every question names the slips in what it was told and in what is on record: each
declares one that it shows, or why it shows none.
"""

from typing import Any

from api.asking import Caller
from api.declared import DECLARED, asked_at, in_body
from api.ground import OPERATIONS, SHUNTING, Ground, id_of, noun_of, placeholders
from standage.questions.question import Asking, Drawing, NeverWarns, Shows
from support.walks import at_each

QUESTIONS = {
    one.id
    for one in OPERATIONS.values()
    if one.guard.rate in {"check", "search"} and one.about.tag != "Files"
}
DECLARING = {
    name: one for name, one in DECLARED.items() if not isinstance(one, Drawing)
}
"""A drawing is looked at; it writes down what the answer of the same request warns
of.
"""
SHOWN = {
    name: one.warns for name, one in DECLARING.items() if isinstance(one.warns, Shows)
}
INLINE = [name for name in SHOWN if in_body(DECLARED[name])]
AT_AN_ADDRESS = [name for name in SHOWN if name not in INLINE]


def test_every_question_declares_what_it_shows() -> None:
    assert set(DECLARED) == QUESTIONS


def test_whoever_shows_no_slip_says_why() -> None:
    silent = {name: one.warns for name, one in DECLARING.items() if name not in SHOWN}
    assert list(silent) == [
        "getLayoutFitsDrawing",
        "getLayoutFitsSheetCsv",
        "readPoints",
        "checkPlan",
        "checkLayoutPlan",
        "getLayoutPlanDrawing",
        "checkModulePlan",
        "getModulePlanDrawing",
        "checkPlanAlteration",
        "getLayoutPlanAlteration",
        "getLayoutPlanAlterationDrawing",
        "checkLayoutPlanAlteration",
        "checkMaterials",
        "getLayoutPlanMaterials",
        "getModulePlanMaterials",
        "getLayoutPlanMaterialsDrawing",
        "getLayoutPlanMaterialsCsv",
        "getModulePlanMaterialsDrawing",
        "getModulePlanMaterialsCsv",
        "checkFoulingPoint",
        "getLayoutPlanBlockedMoves",
    ]
    assert all(isinstance(one, NeverWarns) and one.why for one in silent.values())


@at_each("operation_id", INLINE)
def test_a_slip_in_a_question_is_named_and_refuses_nothing(
    steward: Caller, operation_id: str
) -> None:
    one, slip = DECLARED[operation_id], SHOWN[operation_id]
    sound = steward.ask("POST", one.at, one.example)
    assert sound.json()["warnings"] == []
    answer = steward.ask("POST", one.at, {**one.example, **(slip.asked or {})})
    assert answer.status_code == 200, answer.text
    named = answer.json()["warnings"]
    assert (slip.code, slip.field) in {(each["code"], each["field"]) for each in named}
    assert all(each["message"] for each in named)


@at_each("operation_id", AT_AN_ADDRESS)
def test_a_slip_beside_an_address_or_on_record_is_named(
    ground: Ground, operation_id: str
) -> None:
    one, slip = DECLARED[operation_id], SHOWN[operation_id]
    ids, record = _made(ground, one, slip)
    asked = one.example if slip.asked is None else slip.asked
    (named,) = ground.steward.read(asked_at(one, asked, ids))["warnings"]
    assert (named["code"], named["field"]) == (slip.code, slip.field)
    if slip.recorded is not None and slip.recorded[0] == "Place":
        assert named["place"] == record["name"]


def _made(
    ground: Ground, one: Asking, slip: Shows
) -> tuple[dict[str, str], dict[str, Any]]:
    """Put on record what shows a slip, and all else that is named; return the ids, and
    that record.
    """
    record: dict[str, Any] = {}
    ids: dict[str, str] = {}
    if slip.recorded is not None:
        noun, figures = slip.recorded
        record = ground.make(noun, **figures)
        ids = {id_of(noun): record["id"]}
        ids |= {name: id_ for name, id_ in record.items() if name == "layout_id"}
    names = {*placeholders(one.at), *placeholders(str(dict(one.example)))} - {*ids}
    return ids | {name: ground.make(noun_of(name))["id"] for name in names}, record


def test_a_record_with_several_slips_names_them_all(steward: Caller) -> None:
    layout = steward.made("/v1/layouts", {"name": "Round", "scale": "00"})
    sidings = [
        {"name": "The 7 ft road", "usable_length_mm": 2000.0},
        {"name": "Dock", "usable_length_mm": 0.4},
    ]
    yard = steward.made(
        "/v1/yards",
        SHUNTING["yard"]
        | {
            "name": "Goods",
            "layout_id": layout["id"],
            "sidings": sidings,
        },
    )
    assert [(one["code"], one["place"]) for one in yard["warnings"]] == [
        ("two_lengths", "The 7 ft road"),
        ("unit", "Dock"),
    ]
