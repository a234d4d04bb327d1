"""Yards on record whose roads are places of their layout: one figure, measured and
changed in one place.
"""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults, refusal
from api.ground import Ground, one_of
from api.test_plans_on_record import sent
from api.test_roads_on_record import SIDING as ON_PLAN
from standage.questions.derived import DERIVED

Body = dict[str, Any]
WAGONS = [{"name": name, "length_mm": 80, "length_over": "couplings"} for name in "ABC"]
ASKED: Body = {
    "engine_length_mm": 100,
    "wagons": WAGONS,
    "start": {"sidings": [["A", "B", "C"], []]},
    "goal": {"siding": "Short", "train": ["C", "A"]},
}


class Yards:
    """A layout with places, and a yard whose roads are these."""

    def __init__(self, steward: Caller) -> None:
        DERIVED.forget_all()
        self.steward = steward
        self.ground = Ground(steward)
        self.layout = self.ground.make("Layout")
        self.places = {
            name: self.place(name, **about)
            for name, about in {
                "Neck": {"kind": "headshunt", "usable_length_mm": 285},
                "Long": {"usable_length_mm": 265, "stopped_by": "eye"},
                "Short": {"usable_length_mm": 170, "stopped_by": "stops"},
            }.items()
        }

    def place(self, name: str, **about: Any) -> Body:
        body = {"name": name, "kind": "siding", **about}
        return self.steward.made(f"{one_of('Layout', self.layout)}/places", body)

    def body(self, **changes: Any) -> Body:
        return {
            "name": "Goods",
            "headshunt_place_id": self.places["Neck"]["id"],
            "sidings": [
                {"name": name, "place_id": self.places[name]["id"]}
                for name in ("Long", "Short")
            ],
            **changes,
        }

    @property
    def path(self) -> str:
        return f"{one_of('Layout', self.layout)}/yards"

    def made(self, **changes: Any) -> Body:
        return self.steward.made(self.path, self.body(**changes))

    def refused(self, **changes: Any) -> set[str]:
        answer = self.steward.ask("POST", self.path, self.body(**changes))
        assert answer.status_code == 422, answer.text
        return set(faults(answer))

    def measured(self, name: str, **figures: Any) -> None:
        changed = self.steward.ask(
            "PATCH", one_of("Place", self.places[name]), figures, if_match="*"
        )
        assert changed.status_code == 200, changed.text


@pytest.fixture
def yards(steward: Caller) -> Yards:
    return Yards(steward)


def asked(caller: Caller, yard: Body, question: str = "shunting-plan") -> Body:
    answer = caller.ask("POST", f"/v1/checks/{question}", {**ASKED, "yard": yard})
    assert answer.status_code == 200, answer.text
    told: Body = answer.json()
    return told


def figures(headshunt_mm: float, long_mm: float, short_mm: float) -> Body:
    return {
        "headshunt_usable_length_mm": headshunt_mm,
        "sidings": [
            {"name": "Long", "usable_length_mm": long_mm},
            {"name": "Short", "usable_length_mm": short_mm},
        ],
    }


def without(told: Body) -> Body:
    return {key: told[key] for key in told if key != "assumed"}


def test_each_road_is_as_long_as_its_place_less_the_room_for_stopping(
    yards: Yards,
) -> None:
    """25 mm by eye, which is assumed where nobody says, and 10 at stops."""
    yard = yards.made()
    told = asked(yards.steward, {"yard_id": yard["id"]})
    inline = asked(yards.steward, figures(285 - 25, 265 - 25, 170 - 10))
    assert (told["verdict"], without(told)) == ("solved", without(inline))
    lengths = {one["field"]: one for one in told["assumed"] if "value_mm" in one}
    short = lengths["yard/sidings/1/usable_length_mm"]
    assert short["value_mm"] == 160
    assert short["message"] == (
        "Short is the place Short: 170 mm, of which 10 mm are left for stopping"
    )


def test_a_place_that_is_measured_again_changes_the_yard_and_keeps_its_margin(
    yards: Yards,
) -> None:
    yard_id = yards.made()["id"]
    before = asked(yards.steward, {"yard_id": yard_id})
    assert before["verdict"] == "solved"
    # the engine and one wagon are 180; of 204.9 there are 25 for stopping
    yards.measured("Neck", usable_length_mm=204.9)
    after = asked(yards.steward, {"yard_id": yard_id})
    assert after["verdict"] == "impossible"
    inline = asked(yards.steward, figures(179.9, 240, 160))
    assert without(after) == without(inline)
    yards.measured("Neck", stopping_margin_mm=0)
    again = asked(yards.steward, {"yard_id": yard_id})
    assert without(again) == without(asked(yards.steward, figures(204.9, 240, 160)))


def test_its_own_headshunt_is_told_with_its_margin_where_its_length_is_asked(
    yards: Yards,
) -> None:
    yard_id = yards.made()["id"]
    told = asked(yards.steward, {"yard_id": yard_id}, "headshunt-length")
    least_mm = told["least_mm"]
    assert told["own"]["length_mm"] == 260
    assert told["own"]["spare_mm"] == 260 - least_mm
    yards.measured("Neck", usable_length_mm=least_mm + 25 - 0.1)
    short = asked(yards.steward, {"yard_id": yard_id}, "headshunt-length")
    assert (short["own"]["is_enough"], short["own"]["spare_mm"]) == (False, -0.1)
    assert short["because"][0]["message"] == (
        "the yard's own headshunt is 0.1 mm too short"
    )
    assert short["steps"] == told["steps"]
    # 3 mm to spare, and one wagon of 1 mm either way on the engine at most
    yards.measured("Neck", usable_length_mm=least_mm + 25 + 3, plus_minus_mm=5)
    rough = asked(yards.steward, {"yard_id": yard_id}, "headshunt-length")
    assert rough["because"][0]["message"].startswith(
        "the yard's own headshunt has only 3 mm"
    )
    yards.measured("Neck", plus_minus_mm=0)
    sure = asked(yards.steward, {"yard_id": yard_id}, "headshunt-length")
    assert sure["because"][0]["code"] == "least"


def test_places_may_be_named_and_are_kept_by_their_ids(yards: Yards) -> None:
    named = yards.made(
        headshunt_place_id="neck",
        sidings=[
            {"name": "Long", "place_id": "LONG"},
            {"name": "Short", "usable_length_mm": 160},
        ],
    )
    assert named["headshunt_place_id"] == yards.places["Neck"]["id"]
    assert named["sidings"][0]["place_id"] == yards.places["Long"]["id"]
    told = asked(yards.steward, {"yard_id": "Goods"})
    assert without(told) == without(asked(yards.steward, figures(260, 240, 160)))


def test_a_road_has_a_length_or_is_a_place_and_no_two_are_one(yards: Yards) -> None:
    long_id = yards.places["Long"]["id"]
    both = {"name": "Long", "place_id": long_id, "usable_length_mm": 9}
    neither = {"name": "Short"}
    assert yards.refused(sidings=[both, neither]) == {
        "/sidings/0/usable_length_mm",
        "/sidings/1/usable_length_mm",
    }
    twice = [{"name": name, "place_id": long_id} for name in ("Long", "Short")]
    assert yards.refused(sidings=twice) == {"/sidings/1/place_id"}
    assert yards.refused(headshunt_place_id=long_id) == {"/sidings/0/place_id"}
    assert yards.refused(headshunt_usable_length_mm=300) == {
        "/headshunt_usable_length_mm"
    }
    assert yards.refused(headshunt_place_id=None) == {"/headshunt_usable_length_mm"}


def test_only_places_of_the_same_layout_are_taken(
    yards: Yards, service: Service
) -> None:
    elsewhere = yards.ground.make("Place")["id"]
    foreign = Ground(service.club("Coal Tar Lane Club")).make("Place")["id"]
    gone = yards.place("Gone", usable_length_mm=100)
    path = one_of("Place", gone)
    assert yards.steward.ask("DELETE", path, if_match="*").is_success
    words = set()
    for wrong in (elsewhere, foreign, gone["id"], NOBODY):
        answer = yards.steward.ask(
            "POST", yards.path, yards.body(headshunt_place_id=wrong)
        )
        assert answer.status_code == 422
        words.add(faults(answer)["/headshunt_place_id"])
    assert len(words) == 1


def test_a_yard_may_go_back_to_figures_of_its_own(yards: Yards) -> None:
    yard = yards.made()
    changed = yards.steward.ask(
        "PATCH",
        f"/v1/yards/{yard['id']}",
        {"headshunt_place_id": None, "headshunt_usable_length_mm": 300},
        if_match="*",
    )
    assert changed.status_code == 200, changed.text
    assert changed.json()["headshunt_usable_length_mm"] == 300
    path = one_of("Place", yards.places["Neck"])
    assert yards.steward.ask("DELETE", path, if_match="*").is_success


def test_a_place_that_is_a_road_of_a_yard_stays_while_it_is(yards: Yards) -> None:
    yard = yards.made()
    path = one_of("Place", yards.places["Short"])
    problem = refusal(yards.steward.ask("DELETE", path, if_match="*"), 409, "in_use")
    assert "the yard Goods" in problem["detail"]
    gone = yards.steward.ask("DELETE", f"/v1/yards/{yard['id']}", if_match="*")
    assert gone.is_success
    assert yards.steward.ask("DELETE", path, if_match="*").is_success


def test_a_layout_takes_both_with_it_and_an_undo_brings_both_back(
    yards: Yards,
) -> None:
    yard = yards.made()
    steward = yards.steward
    path = one_of("Layout", yards.layout)
    assert steward.ask("DELETE", path, if_match="*").is_success
    [change, *_] = steward.read(f"/v1/history?record_id={yards.layout['id']}")["items"]
    undone = steward.ask("POST", f"/v1/actions/{change['action_id']}/undo")
    assert undone.status_code == 200, undone.text
    assert asked(steward, {"yard_id": yard["id"]})["verdict"] == "solved"


def test_a_yard_is_not_brought_back_to_a_place_that_is_gone(yards: Yards) -> None:
    yard = yards.made()
    steward = yards.steward
    path = f"/v1/yards/{yard['id']}"
    assert steward.ask("DELETE", path, if_match="*").is_success
    short = one_of("Place", yards.places["Short"])
    assert steward.ask("DELETE", short, if_match="*").is_success
    [change, *_] = steward.read(f"/v1/history?record_id={yard['id']}")["items"]
    refused = steward.ask("POST", f"/v1/history/{change['id']}/undo")
    assert refused.status_code == 409
    assert "names the place Short, which is deleted" in refused.text


def test_a_visitor_of_the_layout_is_answered_as_a_member_is(yards: Yards) -> None:
    yard = {"yard_id": yards.made()["id"]}
    visitor = yards.steward.visiting(yards.layout["id"])
    for question in ("shunting-plan", "headshunt-length"):
        told = asked(visitor, yard, question)
        assert told == asked(yards.steward, yard, question)


def test_a_place_that_follows_the_layouts_plan_takes_the_yard_with_it(
    yards: Yards,
) -> None:
    """The plan's siding is 1,000 mm; 25 are left for stopping, as of any place."""
    sent(yards.steward, one_of("Layout", yards.layout), ON_PLAN)
    pinned = yards.place("Coal", road="siding S")
    yard = yards.made(
        sidings=[
            {"name": "Long", "place_id": pinned["id"]},
            {"name": "Short", "usable_length_mm": 160},
        ]
    )
    told = asked(yards.steward, {"yard_id": yard["id"]})
    assert without(told) == without(asked(yards.steward, figures(260, 975, 160)))


def test_a_place_that_nobody_measured_is_told_and_the_yard_is_drawn_all_the_same(
    yards: Yards,
) -> None:
    yard = yards.made()
    yards.measured("Short", usable_length_mm=None)
    body = {**ASKED, "yard": {"yard_id": yard["id"]}}
    answer = yards.steward.ask("POST", "/v1/checks/shunting-plan", body)
    assert answer.status_code == 422
    assert faults(answer) == {"/yard/yard_id": "missing"}
    assert "measure the usable length of Short" in answer.text
    for path in (f"/v1/yards/{yard['id']}", f"{yards.path}/{yard['id']}"):
        drawn = yards.steward.ask("GET", f"{path}/drawing")
        assert drawn.status_code == 200
        assert "Short is the place Short: measure the usable" in drawn.text
        assert "240 mm" in drawn.text
