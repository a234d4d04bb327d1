"""Yards at an address that does not name their layout: the same records, rights and
history as beneath it.
"""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, refusal
from api.ground import YARD, Ground, one_of
from standage.registry.records.kinds import YARDS
from standage.registry.records.reading import Reading


def both(yard: dict[str, Any]) -> tuple[str, str]:
    """Return the two addresses of a yard."""
    return one_of("Yard", yard), f"/v1/yards/{yard['id']}"


def test_a_yard_recorded_at_either_address_is_read_the_same_at_both(
    ground: Ground,
) -> None:
    layout_id = ground.make("Layout")["id"]
    beneath = ground.make("Yard", layout_id=layout_id)
    response = ground.steward.ask(
        "POST", "/v1/yards", YARD | {"name": "Coal yard", "layout_id": layout_id}
    )
    assert response.status_code == 201
    alone = response.json()
    assert response.headers["location"] == f"/v1/yards/{alone['id']}"
    for yard in (beneath, alone):
        read = [ground.steward.ask("GET", path) for path in both(yard)]
        assert [one.json() for one in read] == [yard, yard]
        assert read[0].headers["etag"] == read[1].headers["etag"]


def test_the_list_holds_every_layouts_yards_and_narrows_to_one(ground: Ground) -> None:
    one, other = ground.make("Yard"), ground.make("Yard")
    ground.make("Yard", layout_id=one["layout_id"])
    assert len(ground.steward.read("/v1/yards")["items"]) == 3
    narrowed = ground.steward.read(f"/v1/yards?layout_id={one['layout_id']}")["items"]
    assert (
        narrowed
        == ground.steward.read(f"/v1/layouts/{one['layout_id']}/yards")["items"]
    )
    assert ground.steward.read(f"/v1/yards?layout_id={other['layout_id']}")[
        "items"
    ] == [other]
    assert ground.steward.read(f"/v1/yards?layout_id={NOBODY}") == {"items": []}


def test_pages_of_the_list_join_into_the_whole(ground: Ground) -> None:
    made = {ground.make("Yard")["id"] for _ in range(3)}
    seen, path = [], "/v1/yards?limit=2"
    while path:
        page = ground.steward.read(path)
        seen += [yard["id"] for yard in page["items"]]
        path = page.get("next", "")
    assert set(seen) == made
    assert len(seen) == 3


def test_a_cursor_of_one_layouts_list_is_none_of_anothers(ground: Ground) -> None:
    yard = ground.make("Yard")
    ground.make("Yard", layout_id=yard["layout_id"])
    cursor = ground.steward.read(f"/v1/yards?limit=1&layout_id={yard['layout_id']}")[
        "next_cursor"
    ]
    refusal(
        ground.steward.ask("GET", f"/v1/yards?limit=1&cursor={cursor}"), 422, "invalid"
    )


def test_a_change_at_one_address_is_a_version_at_the_other(ground: Ground) -> None:
    yard = ground.make("Yard")
    beneath, alone = both(yard)
    first = ground.steward.tag(alone)
    swept = ground.steward.ask("PATCH", alone, {"notes": "Swept."}, if_match=first)
    assert swept.status_code == 200
    refusal(
        ground.steward.ask("PATCH", beneath, {"notes": "Dusted."}, if_match=first),
        412,
        "stale",
    )
    replaced = ground.steward.ask(
        "PUT", beneath, YARD | {"name": "Coal yard"}, if_match=swept.headers["etag"]
    )
    assert ground.steward.ask("GET", alone).json() == replaced.json()
    assert (
        ground.steward.ask(
            "DELETE", alone, if_match=replaced.headers["etag"]
        ).status_code
        == 204
    )
    assert {
        ground.steward.ask("GET", path).status_code for path in (beneath, alone)
    } == {404}


def test_every_change_is_in_the_yards_one_history_whichever_the_address(
    ground: Ground, service: Service
) -> None:
    yard = ground.make("Yard")
    for path in both(yard):
        changed = ground.steward.ask(
            "PATCH", path, {"notes": "Swept."}, if_match=ground.steward.tag(path)
        )
        assert changed.status_code == 200
    with service.database.read() as connection:
        changes = Reading(connection).changes(YARDS, ground.steward.club_id, yard["id"])
    assert [(one.version, one.action) for one in changes] == [
        (1, "create"),
        (2, "update"),
        (3, "update"),
    ]


def test_a_yard_stays_in_its_layout(ground: Ground) -> None:
    yard, other = ground.make("Yard"), ground.make("Layout")
    for path in both(yard):
        response = ground.steward.ask(
            "PATCH", path, {"layout_id": other["id"]}, if_match="*"
        )
        refusal(response, 422, "invalid")
        assert [fault["code"] for fault in response.json()["faults"]] == ["read_only"]


@pytest.mark.parametrize("layout_id", [NOBODY, "nonsense", "their"])
def test_a_yard_for_no_layout_of_the_club_is_refused_at_its_field(
    service: Service, steward: Caller, layout_id: str
) -> None:
    theirs = Ground(service.club("Millpond Society")).make("Layout")["id"]
    body = YARD | {
        "name": "Coal yard",
        "layout_id": theirs if layout_id == "their" else layout_id,
    }
    response = steward.ask("POST", "/v1/yards", body)
    refusal(response, 422, "invalid")
    assert [(one["pointer"], one["code"]) for one in response.json()["faults"]] == [
        ("/layout_id", "no_such_layout")
    ]


def test_a_yard_without_a_layout_is_refused(steward: Caller) -> None:
    response = steward.ask("POST", "/v1/yards", YARD | {"name": "Coal yard"})
    assert [(one["pointer"], one["code"]) for one in response.json()["faults"]] == [
        ("/layout_id", "missing")
    ]


def test_a_name_is_taken_in_its_layout_whichever_the_address(ground: Ground) -> None:
    yard = ground.make("Yard")
    body = YARD | {"name": yard["name"], "layout_id": yard["layout_id"]}
    refusal(ground.steward.ask("POST", "/v1/yards", body), 422, "invalid")
    assert ground.steward.ask(
        "POST", "/v1/yards", body | {"layout_id": ground.make("Layout")["id"]}
    ).is_success


def test_the_drawing_is_the_same_at_both_addresses(ground: Ground) -> None:
    drawings = {
        ground.steward.ask("GET", f"{path}/drawing").text
        for path in both(ground.make("Yard"))
    }
    assert len(drawings) == 1
    assert "svg" in drawings.pop()
