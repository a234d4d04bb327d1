"""The demo club: as large as it says, with the troubles that are planned in it, and a remedy printed for each."""

from typing import Any, cast

import httpx
import pytest

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


@pytest.fixture
def club(service: Service) -> Club:
    steward = service.club("The Saltmarsh Branch Modellers")
    made = Club(cast("httpx.Client", AsSteward(steward)), steward=STEWARD, member_id=steward.member_id)
    made.register()
    return made


def test_the_club_is_as_large_as_was_asked_for() -> None:
    assert (len(VEHICLES), len(TRAINS), len(MODULES), len(LAYOUTS)) == (60, 10, 6, 3)
    assert len({body["scale"] for body in VEHICLES.values()}) == len({one["scale"] for one in LAYOUTS.values()}) == 3
    assert len({body["owner"] for body in MODULES.values()}) == 1 + len(MEMBERS) == 4
    assert set(OWNERS) <= {member["name"] for member in MEMBERS}


def test_every_planned_trouble_is_asked_about_and_has_its_remedy(club: Club) -> None:
    told = [(text, answer["verdict"], " ".join(advice(answer))) for text, answer in questions(club)]
    for part, verdict, remedy in PLANNED:
        found = [one for one in told if part in one[0]]
        assert [one[1] for one in found][:1] == [verdict], part
        assert remedy in " ".join(found[0][2].split()), part
    joins = [answer for text, answer in questions(club) if "viaduct" in text]
    assert [answer["verdict"] for answer in joins] == ["does_not_join"]
    assert "raise its feet" in " ".join(reason["message"] for reason in joins[0]["because"])


def test_the_club_s_own_figures_hold_no_slip(club: Club) -> None:
    slips = {slip["message"] for _, answer in questions(club) for slip in answer["warnings"]}
    assert slips == set()
