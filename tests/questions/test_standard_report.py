"""A page of the report on a club's own standard: where it ends, what it may hold, and
what it warns of.
"""

from typing import Any

from standage.questions.sources import Sources
from standage.questions.standard_report import (
    MOST_FAILURES,
    Asked,
    StandardReportAnswer,
    StandardReportCase,
    Subject,
    case_of,
    reckon,
)
from standage.railway.modules.boards import ModuleFigures
from standage.railway.modules.standard_rules import BoardMass, LongestTrain, Rules
from standage.registry.records.bodies import (
    ModuleBody,
    StandardBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import MODULES, STANDARDS, TRAINS, VEHICLES
from standage.shapes.decoding import convert
from support.clubs import Club


def page(club: Club, standard_id: str, **asked: Any) -> StandardReportCase:
    with club.reading() as reading:
        return case_of(Sources(reading, club.club_id), standard_id, Asked(**asked))


def names(case: StandardReportCase) -> list[str]:
    return [subject.name for subject in case.subjects]


def test_a_page_ends_before_it_takes_too_long_but_holds_one_at_least_and_the_next_goes_on(
    club: Club,
) -> None:
    rules = (BoardMass(mass_g=25_000.0), LongestTrain(length_mm=2000.0))
    standard = club.make(STANDARDS, StandardBody(name="Ours", asks=rules))
    wagon = club.make(VEHICLES, VehicleBody(name="Wagon", count=100))
    for name, count in (("Long", 100), ("Middling", 10), ("Short", 5)):
        club.make(
            TRAINS,
            TrainBody(
                name=name, vehicles=(TrainVehicle(vehicle_id=wagon.id, count=count),)
            ),
        )
    club.make(MODULES, ModuleBody(name="Oak end"))
    first = page(club, standard.id, work=20)
    assert names(first) == ["Oak end"]
    second = page(club, standard.id, work=20, after=first.then)
    assert names(second) == ["Long"]
    third = page(club, standard.id, work=20, after=second.then)
    assert (names(third), third.then) == (["Middling", "Short"], None)


def judged(
    rules: list[dict[str, Any]], module: dict[str, Any], name: str = "Oak end"
) -> StandardReportAnswer:
    subject = Subject(
        kind="module", id="m", name=name, module=convert(module, ModuleFigures)
    )
    return reckon(
        StandardReportCase(
            standard="Ours", rules=convert(rules, Rules), subjects=(subject,)
        )
    )


def test_of_very_many_failures_the_worst_are_told_and_all_are_counted() -> None:
    pins = [{"pin": number, "carries": "bus"} for number in range(60)]
    end = {
        "tracks": [{"name": "up", "offset_mm": 0}],
        "connector": {"type": "D", "pins": [{"pin": 99, "carries": "x"}]},
    }
    ends = [end | {"name": f"end {number}"} for number in range(3)]
    rules: list[dict[str, Any]] = [
        {"rule": "wire_area", "area_mm2": 1.5},
        {"rule": "connector", "type": "D", "pins": pins},
    ]
    (subject,) = judged(rules, {"ends": ends}).subjects
    assert (len(subject.failures), subject.failures_in_all) == (MOST_FAILURES, 181)
    assert {failure.verdict for failure in subject.failures} == {"fails"}


def test_an_area_of_wire_that_is_likely_a_diameter_is_warned_of_and_judged_as_it_stands() -> (
    None
):
    answer = judged([{"rule": "wire_area", "area_mm2": 0.5}], {"wire_area_mm2": 0.6})
    assert answer.verdict == "meets"
    assert [(slip.code, slip.place, slip.likely) for slip in answer.warnings] == [
        ("area_or_diameter", "Oak end", "diameter")
    ]


def test_what_fails_is_told_apart_from_what_is_not_known() -> None:
    rules: list[dict[str, Any]] = [
        {"rule": "wire_area", "area_mm2": 1.5},
        {"rule": "board_mass", "mass_g": 9},
        {"rule": "least_radius", "radius_mm": 600},
    ]

    def said(module: dict[str, object]) -> str:
        return judged(rules, module).because[0].message

    assert (
        said({"wire_area_mm2": 1.0})
        == "Oak end falls short of the standard in one place: wire area; 2 more are not"
        " known yet: board mass and least radius"
    )
    assert (
        said({"wire_area_mm2": 1.0, "no_curves": True})
        == "Oak end falls short of the standard in one place: wire area; 1 more is not"
        " known yet: board mass"
    )
    assert (
        said({"wire_area_mm2": 2.0})
        == "Oak end cannot be judged by the standard yet in 2 places: board mass and"
        " least radius"
    )


def test_what_is_not_known_is_let_off_by_a_waiver_too() -> None:
    subject = Subject(
        kind="module", id="m", name="Oak end", module=ModuleFigures(), waived={0: "old"}
    )
    answer = reckon(
        StandardReportCase(
            standard="Ours", rules=(BoardMass(mass_g=1.0),), subjects=(subject,)
        )
    )
    assert answer.verdict == "waived"
    assert [one.code for one in answer.because] == ["module_waived"]
