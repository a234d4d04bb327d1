"""The demo club: as large as it says, with the troubles that are planned in it, and a remedy printed for each."""

from typing import Any, cast

import httpx

from api.asking import Caller, Service
from standage.demo.caller import Club
from standage.demo.plans import LAYOUTS, MEMBERS, MODULES, STEWARD, TRAINS
from standage.demo.questions import questions
from standage.demo.remedies import advice
from standage.demo.stock import OWNERS, VEHICLES

PLANNED = [
    ("fish dock?", "does_not_fit", "Leave off"),
    ("salt wagon", "does_not_fit", "Leave off: Salt wagon"),
    ("what passes what?", "fouls", "Lay the tracks"),
    ("how many fish vans", "holds", "Make it up of"),
    ("one road stays free", "all_stand", "Quay loop"),
    ("reverse curve", "does_not_run", "straight track between"),
    ("into the headshunt?", "does_not_fit", "Leave off: 2 × Slate wagon"),
    ("slate wharf", "tight", "Measure the train whole"),
    ("How steep", "steep", "Give it a run"),
    ("own standard", "fails", "Viaduct"),
]
"""A part of each question, its verdict, and a part of what to do about it."""


class AsSteward:
    """A client that sends the steward's token with what the demo sends."""

    def __init__(self, steward: Caller) -> None:
        self._steward = steward

    def get(self, path: str, *, params: dict[str, Any]) -> httpx.Response:
        return self._steward.ask("GET", f"{path}?{httpx.QueryParams(params)}" if params else path)

    def post(self, path: str, *, json: Any) -> httpx.Response:
        return self._steward.ask("POST", path, json)


def test_the_club_is_as_large_as_was_asked_for() -> None:
    assert (len(VEHICLES), len(TRAINS), len(MODULES), len(LAYOUTS)) == (60, 10, 6, 3)
    assert len({body["scale"] for body in VEHICLES.values()}) == len({one["scale"] for one in LAYOUTS.values()}) == 3
    assert len({body["owner"] for body in MODULES.values()}) == 1 + len(MEMBERS) == 4
    assert set(OWNERS) <= {member["name"] for member in MEMBERS}


def test_every_planned_trouble_has_its_remedy_and_the_club_makes_no_slips(service: Service) -> None:
    steward = service.club("The Saltmarsh Branch Modellers")
    club = Club(cast("httpx.Client", AsSteward(steward)), steward=STEWARD, member_id=steward.member_id)
    club.register()
    asked = list(questions(club))
    told = [(text, answer["verdict"], " ".join(" ".join(advice(answer)).split())) for text, answer in asked]
    for part, verdict, remedy in PLANNED:
        found = next(one for one in told if part in one[0])
        assert found[1] == verdict, part
        assert remedy in found[2], part
    viaduct = next(answer for text, answer in asked if "viaduct" in text)
    assert viaduct["verdict"] == "does_not_join"
    assert "raise its feet" in " ".join(reason["message"] for reason in viaduct["because"])
    assert {slip["message"] for _, answer in asked for slip in answer["warnings"]} == set()
