"""Links to one layout: what they show, and that the rest of the club is as if it were
not there.
"""

from datetime import timedelta
from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults, refusal
from api.ground import CHECKS, LOOP, WAGON, YARD, Ground, one_of
from api.test_isolation import bodies, said
from standage.registry.records.layout_reading import LayoutReading
from standage.registry.records.reading import Reading
from support.clubs import NOW


@pytest.fixture
def layout(ground: Ground) -> dict[str, Any]:
    """Give a layout with a place and a yard, in a club that has one of everything
    besides.
    """
    return ground.make("Layout", name="Staithe Lane", notes="Ask for the key.")


@pytest.fixture
def visitor(steward: Caller, layout: dict[str, Any]) -> Caller:
    return steward.visiting(layout["id"])


def test_a_visitor_reads_the_layout_with_its_places_and_yards(
    ground: Ground, visitor: Caller, layout: dict[str, Any]
) -> None:
    place = ground.make("Place", layout_id=layout["id"], name="Up loop")
    yard = ground.make("Yard", layout_id=layout["id"], name="Coal yard")
    ground.make("Place", name="Hidden road")
    path = one_of("Layout", layout)
    assert visitor.read(path)["notes"] == "Ask for the key."
    assert [one["name"] for one in visitor.read(f"{path}/places")["items"]] == [
        "Up loop"
    ]
    assert [one["name"] for one in visitor.read(f"{path}/yards")["items"]] == [
        "Coal yard"
    ]
    assert visitor.read(one_of("Place", place))["name"] == "Up loop"
    assert (
        visitor.ask("GET", f"{one_of('Yard', yard)}/drawing")
        .headers["content-type"]
        .startswith("image/svg+xml")
    )
    assert visitor.read(f"{path}/limits")["layout"] == "Staithe Lane"


def test_a_link_has_bits_enough_and_is_shown_once(
    ground: Ground, layout: dict[str, Any]
) -> None:
    path = f"{one_of('Layout', layout)}/share-links"
    made = [ground.steward.made(path, ground.body("ShareLink")) for _ in range(5)]
    assert len({one["link"] for one in made}) == 5
    assert all(
        one["link"].startswith("stl_") and len(one["link"]) >= len("stl_") + 120 / 6
        for one in made
    )
    assert "stl_" not in ground.steward.ask("GET", path).text


@pytest.mark.parametrize("hours", [-1, 0, 400 * 24 + 1])
def test_a_link_ends_within_reason(
    ground: Ground, layout: dict[str, Any], hours: int
) -> None:
    body = {
        "label": "visitors",
        "expires_at": (NOW + timedelta(hours=hours)).isoformat(),
    }
    path = f"{one_of('Layout', layout)}/share-links"
    assert faults(ground.steward.ask("POST", path, body)) == {
        "/expires_at": "out_of_range"
    }


def test_who_is_refused_is_told_whom_to_ask(steward: Caller, visitor: Caller) -> None:
    def told(caller: Caller, method: str, path: str) -> str:
        return str(
            caller.ask(method, path, {} if method == "POST" else None).json()["detail"]
        )

    member = steward.with_member("member")
    assert (
        told(visitor, "GET", "/v1/vehicles")
        == "Whoever holds a share link may not do this; ask somebody of the club."
    )
    assert (
        told(member, "POST", "/v1/layouts")
        == "A member may not do this; ask a layout keeper or a steward."
    )
    assert (
        told(member, "GET", "/v1/tokens") == "A member may not do this; ask a steward."
    )


def test_every_answer_to_a_link_keeps_out_of_indexes_and_referrers(
    visitor: Caller, layout: dict[str, Any]
) -> None:
    answers = [
        visitor.ask("GET", one_of("Layout", layout)),
        visitor.ask("POST", "/v1/checks/train-fit", CHECKS["checkTrainFit"]),
        visitor.ask("GET", f"/v1/layouts/{NOBODY}"),
        visitor.ask("GET", "/v1/vehicles"),
        visitor.ask("POST", "/v1/checks/train-fit", {}),
    ]
    assert [one.status_code for one in answers] == [200, 200, 404, 403, 422]
    for answer in answers:
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert "noindex" in answer.headers["x-robots-tag"]


def own_ids(ground: Ground) -> dict[str, str]:
    """Return ids of the club's own records, none of which is the visitor's layout or
    beneath it.
    """
    nouns = {
        "vehicle_id": "Vehicle",
        "train_id": "Train",
        "rake_id": "Rake",
        "module_id": "Module",
        "standard_id": "Standard",
    }
    nouns |= {
        "place_id": "Place",
        "yard_id": "Yard",
        "member_id": "Member",
        "coupling_type_id": "CouplingType",
    }
    return {name: ground.make(noun)["id"] for name, noun in nouns.items()}


def test_to_a_visitor_what_the_club_has_besides_is_as_random_ids(
    ground: Ground, visitor: Caller
) -> None:
    ids = own_ids(ground)
    for real, random in zip(
        bodies(ids), bodies(dict.fromkeys(ids, NOBODY)), strict=True
    ):
        method, path, body, pointer = real
        if path.startswith("/v1/checks/"):
            answers = [visitor.ask(method, path, sent) for sent in (body, random[2])]
            assert [fault["pointer"] for fault in answers[0].json()["faults"]] == [
                pointer
            ]
            assert said(answers[0], ids) == said(
                answers[1], dict.fromkeys(ids, NOBODY)
            ), path


def test_a_visitor_asks_about_the_places_and_yards_of_the_layout_by_their_ids(
    ground: Ground, visitor: Caller, layout: dict[str, Any]
) -> None:
    place = ground.make("Place", layout_id=layout["id"])
    yard = ground.make("Yard", layout_id=layout["id"])
    coupled = WAGON | {
        "front_coupling": {"reach_mm": 2.0},
        "rear_coupling": {"reach_mm": 2.0},
    }
    fit = {"train": {"vehicles": [coupled]}, "place": {"place_id": place["id"]}}
    answer = visitor.ask("POST", "/v1/checks/train-fit", fit)
    assert (answer.status_code, answer.json()["train_length_mm"]) == (
        200,
        104,
    ), answer.text
    puzzle = CHECKS["checkShuntingPlan"] | {"yard": {"yard_id": yard["id"]}}
    assert visitor.ask("POST", "/v1/checks/shunting-plan", puzzle).status_code == 200


def coupled_by(hook: str) -> dict[str, Any]:
    """Return the question whether a wagon of 100 mm with such couplings stands in a
    loop.
    """
    wagon = WAGON | {"front_coupling": {"type": hook}, "rear_coupling": {"type": hook}}
    return {"train": {"vehicles": [wagon]}, "place": LOOP}


@pytest.mark.parametrize("by", ["name", "id"])
def test_a_visitors_question_has_the_same_answer_as_a_members(
    ground: Ground, visitor: Caller, by: str
) -> None:
    ours = ground.make(
        "CouplingType", name="Staple hook", reach_mm=9, reach_plus_minus_mm=0
    )
    body = coupled_by(ours[by])
    answers = [
        one.ask("POST", "/v1/checks/train-fit", body).json()
        for one in (ground.steward, visitor)
    ]
    assert answers[0]["train_length_mm"] == 118
    assert answers[1] == answers[0]


def test_the_coupling_types_themselves_are_not_shown_to_a_visitor(
    ground: Ground, visitor: Caller
) -> None:
    ours = ground.make("CouplingType", name="Staple hook", reach_mm=9)
    refusal(visitor.ask("GET", "/v1/coupling-types"), 403, "forbidden")
    refusal(visitor.ask("GET", f"/v1/coupling-types/{ours['id']}"), 403, "forbidden")


def test_another_clubs_coupling_types_lend_a_visitor_no_figures(
    service: Service, ground: Ground, visitor: Caller
) -> None:
    theirs = Ground(service.club("Another club")).make(
        "CouplingType", name="Staple hook", reach_mm=9
    )
    for hook in ("Staple hook", theirs["id"]):
        ours = [
            one.ask("POST", "/v1/checks/train-fit", coupled_by(hook)).json()
            for one in (ground.steward, visitor)
        ]
        assert ours[0] == ours[1]
        assert ours[1]["train_length_mm"] is None


def test_every_way_to_read_is_narrowed_for_a_visitor() -> None:
    ways = {name for name in vars(Reading) if not name.startswith("_")}
    assert ways >= {"get", "many", "page"}
    assert {name for name in ways if name not in vars(LayoutReading)} == set()


def test_links_of_a_layout_are_listed_and_ended_by_those_who_plan(
    service: Service, ground: Ground, visitor: Caller, layout: dict[str, Any]
) -> None:
    keeper = ground.steward.with_member("layout_keeper")
    path = f"{one_of('Layout', layout)}/share-links"
    (link,) = keeper.read(path)["items"]
    assert (link["label"], link["layout_id"]) == ("visitors", layout["id"])
    refusal(ground.steward.with_member("member").ask("GET", path), 403, "forbidden")
    assert visitor.ask("GET", one_of("Layout", layout)).status_code == 200
    tag = keeper.tag(f"{path}/{link['id']}")
    assert keeper.ask("DELETE", f"{path}/{link['id']}", if_match=tag).status_code == 204
    refusal(visitor.ask("GET", one_of("Layout", layout)), 401, "unauthenticated")
    assert keeper.read(path)["items"] == []
    assert service.stranger().ask("GET", path).status_code == 401


def test_a_link_ends_with_whoever_made_it(
    steward: Caller, layout: dict[str, Any]
) -> None:
    keeper = steward.with_member("layout_keeper")
    visitor = keeper.visiting(layout["id"])
    assert visitor.ask("GET", one_of("Layout", layout)).status_code == 200
    assert (
        steward.ask(
            "DELETE", f"/v1/members/{keeper.member_id}", if_match="*"
        ).status_code
        == 204
    )
    refusal(visitor.ask("GET", one_of("Layout", layout)), 401, "unauthenticated")


def test_a_link_is_to_its_own_layout_also_for_yards_of_any_layout(
    ground: Ground, visitor: Caller
) -> None:
    yard = ground.steward.made(
        "/v1/yards", YARD | {"name": "Goods", "layout_id": ground.make("Layout")["id"]}
    )
    for path in (
        "/v1/yards",
        f"/v1/yards/{yard['id']}",
        "/v1/layouts",
        "/v1/history",
        "/v1/deleted-records",
    ):
        refusal(visitor.ask("GET", path), 403, "forbidden")
