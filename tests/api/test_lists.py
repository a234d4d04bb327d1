"""Lists: pages joined by cursors, filters, orders."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from api.asking import Caller, Service, faults
from api.ground import GETS, LOOP, OWN_REVISIONS, Ground, noun_in, one_of
from support.walks import at_each

LISTS = [one for one in GETS if one.startswith("list") and one != "listSessions"]
"""The lists that come in pages; a member's sessions are few, and come all at once."""


def pages(caller: Caller, path: str) -> Iterator[dict[str, Any]]:
    """Yield the pages of a list, following ``next``; each must stand in the header Link
    as well.
    """
    address: str | None = path
    while address is not None:
        response = caller.ask("GET", address)
        assert response.status_code == 200, response.text
        page = response.json()
        address = page.get("next")
        assert response.headers.get("link") == (
            None if address is None else f'<{address}>; rel="next"'
        )
        assert ("next_cursor" in page) == (address is not None)
        yield page


def names(caller: Caller, path: str) -> list[str]:
    return [item["name"] for page in pages(caller, path) for item in page["items"]]


@pytest.fixture
def wagons(service: Service, ground: Ground) -> list[str]:
    """Put eight vehicles on record, at three different moments; return their names as
    they were recorded.
    """
    recorded = [f"Wagon {letter}" for letter in "DAHCFBGE"]
    for position, name in enumerate(recorded):
        if position % 3 == 0:
            service.clock.move(timedelta(minutes=1))
        ground.make(
            "Vehicle", name=name, kind="brake_van" if name == "Wagon C" else "wagon"
        )
    return recorded


@pytest.mark.parametrize("limit", [1, 2, 3, 7, 8, 9, 200])
def test_a_walk_meets_every_record_once_in_order(
    steward: Caller, wagons: list[str], limit: int
) -> None:
    assert names(steward, f"/v1/vehicles?limit={limit}") == sorted(wagons)
    assert names(steward, f"/v1/vehicles?limit={limit}&sort=-name") == sorted(
        wagons, reverse=True
    )


@pytest.mark.parametrize("limit", [1, 2, 5])
def test_records_of_one_moment_are_walked_through_without_loss(
    steward: Caller, wagons: list[str], limit: int
) -> None:
    assert names(steward, f"/v1/vehicles?limit={limit}&sort=created_at") == wagons
    assert (
        names(steward, f"/v1/vehicles?limit={limit}&sort=-created_at") == wagons[::-1]
    )


def test_pages_are_as_full_as_may_be(steward: Caller, wagons: list[str]) -> None:
    assert [len(page["items"]) for page in pages(steward, "/v1/vehicles?limit=3")] == [
        3,
        3,
        2,
    ]
    assert [len(page["items"]) for page in pages(steward, "/v1/vehicles?limit=4")] == [
        4,
        4,
    ]
    assert len(wagons) == 8


def test_fifty_make_a_page_unless_said(steward: Caller) -> None:
    for number in range(51):
        steward.made("/v1/layouts", {"name": f"Layout {number:02}"})
    assert [len(page["items"]) for page in pages(steward, "/v1/layouts")] == [50, 1]


def test_what_is_recorded_on_the_way_neither_repeats_nor_hides_another(
    steward: Caller, wagons: list[str]
) -> None:
    walk = pages(steward, "/v1/vehicles?limit=3")
    met = [item["name"] for item in next(walk)["items"]]
    steward.made("/v1/vehicles", {"name": "Wagon A bis"})
    steward.made("/v1/vehicles", {"name": "Wagon D bis"})
    met += [item["name"] for page in walk for item in page["items"]]
    assert met == sorted([*wagons, "Wagon D bis"])


def test_what_is_deleted_on_the_way_hides_nothing_else(
    steward: Caller, wagons: list[str]
) -> None:
    walk = pages(steward, "/v1/vehicles?limit=3")
    last = next(walk)["items"][-1]
    assert (
        steward.ask("DELETE", one_of("Vehicle", last), if_match="*").status_code == 204
    )
    assert [item["name"] for page in walk for item in page["items"]] == sorted(wagons)[
        3:
    ]


@at_each("operation_id", LISTS)
def test_an_empty_or_short_list_has_no_next_page(
    ground: Ground, operation_id: str
) -> None:
    response = ground.request(operation_id).by(ground.steward)
    assert set(response.json()) == {"items"}
    assert "link" not in response.headers


@pytest.mark.parametrize(
    ("limit", "code"),
    [
        ("0", "too_small"),
        ("-1", "too_small"),
        ("201", "too_large"),
        ("99999999999999999999", "too_large"),
        ("9" * 400, "wrong_type"),
        ("1.5", "wrong_type"),
        ("1e1", "wrong_type"),
        ("ten", "wrong_type"),
        ("", "wrong_type"),
        ("%D9%A1", "wrong_type"),
        ("true", "wrong_type"),
    ],
)
def test_a_page_holds_one_to_two_hundred(ground: Ground, limit: str, code: str) -> None:
    for operation_id in LISTS:
        path = ground.request(operation_id).path
        assert faults(ground.steward.ask("GET", f"{path}?limit={limit}")) == {
            "limit": code
        }, operation_id


def test_a_cursor_belongs_to_its_list_its_filters_and_its_order(
    service: Service, steward: Caller, wagons: list[str]
) -> None:
    page = steward.read("/v1/vehicles?limit=3&kind=wagon&sort=created_at")
    cursor = page["next_cursor"]
    same = f"kind=wagon&sort=created_at&cursor={cursor}"
    assert steward.ask("GET", f"/v1/vehicles?limit=5&{same}").status_code == 200
    assert steward.ask("GET", f"/v1/vehicles?{same}").status_code == 200
    for elsewhere in (
        f"/v1/vehicles?kind=wagon&cursor={cursor}",
        f"/v1/vehicles?kind=wagon&sort=-created_at&cursor={cursor}",
        f"/v1/vehicles?kind=coach&sort=created_at&cursor={cursor}",
        f"/v1/vehicles?sort=created_at&cursor={cursor}",
        f"/v1/vehicles?kind=wagon&name_begins=W&sort=created_at&cursor={cursor}",
        f"/v1/trains?sort=created_at&cursor={cursor}",
    ):
        assert faults(steward.ask("GET", elsewhere)) == {"cursor": "bad_cursor"}, (
            elsewhere
        )
    other = service.club("Millpond Society")
    assert faults(other.ask("GET", f"/v1/vehicles?{same}")) == {"cursor": "bad_cursor"}
    assert len(wagons) == 8


def test_a_cursor_of_one_layout_is_none_of_anothers(ground: Ground) -> None:
    one, other = ground.make("Layout"), ground.make("Layout")
    for name in ("Up loop", "Down loop"):
        ground.make("Place", layout_id=one["id"], name=name)
        ground.make("Place", layout_id=other["id"], name=name)
    cursor = ground.steward.read(f"/v1/layouts/{one['id']}/places?limit=1")[
        "next_cursor"
    ]
    response = ground.steward.ask(
        "GET", f"/v1/layouts/{other['id']}/places?cursor={cursor}"
    )
    assert faults(response) == {"cursor": "bad_cursor"}


def test_a_cursor_changed_in_any_one_place_is_refused(
    steward: Caller, wagons: list[str]
) -> None:
    cursor = steward.read("/v1/vehicles?limit=3")["next_cursor"]
    accepted = []
    for position, letter in enumerate(cursor):
        changed = (
            cursor[:position] + ("A" if letter != "A" else "B") + cursor[position + 1 :]
        )
        if steward.ask("GET", f"/v1/vehicles?cursor={changed}").status_code != 422:
            accepted.append(changed)
    assert accepted == []
    assert len(wagons) == 8


@pytest.mark.parametrize(
    "cursor", ["x", "e30", "W10", "WyJhIl0", "%00", "%ff", "💤", "AAAA====", "x" * 1000]
)
def test_what_never_was_a_cursor_is_refused(steward: Caller, cursor: str) -> None:
    assert faults(steward.ask("GET", f"/v1/vehicles?cursor={cursor}")) in (
        {"cursor": "bad_cursor"},
        {"cursor": "not_text"},
    )


@pytest.mark.parametrize(
    ("cursor", "code"), [("", "too_short"), ("x" * 1001, "too_long")]
)
def test_a_cursor_has_its_bounds(steward: Caller, cursor: str, code: str) -> None:
    assert faults(steward.ask("GET", f"/v1/vehicles?cursor={cursor}")) == {
        "cursor": code
    }


def test_a_list_can_be_narrowed(steward: Caller, ground: Ground) -> None:
    member = steward.with_member("member")
    mine = member.made(
        "/v1/vehicles", {"name": "Éclair", "kind": "engine", "scale": "00"}
    )
    ground.make("Vehicle", name="ÉCOLE", kind="coach", scale="N")
    ground.make("Vehicle", name="Eagle", kind="engine", scale="N")
    assert names(steward, "/v1/vehicles?kind=engine") == ["Eagle", "Éclair"]
    assert names(steward, "/v1/vehicles?scale=N") == ["Eagle", "ÉCOLE"]
    assert names(steward, "/v1/vehicles?kind=engine&scale=N") == ["Eagle"]
    assert names(steward, "/v1/vehicles?name_begins=éc") == ["Éclair", "ÉCOLE"]
    assert names(steward, "/v1/vehicles?name_begins=%25") == []
    assert names(steward, f"/v1/vehicles?owner_id={member.member_id}") == [mine["name"]]
    assert names(steward, "/v1/members?role=steward") == ["Robin Vale"]


def test_the_next_page_keeps_filter_and_order(
    steward: Caller, wagons: list[str]
) -> None:
    wanted = sorted(set(wagons) - {"Wagon C"}, reverse=True)
    assert (
        names(
            steward, "/v1/vehicles?limit=2&kind=wagon&name_begins=wAGON%20&sort=-name"
        )
        == wanted
    )


def test_the_places_of_one_layout_are_listed_apart(ground: Ground) -> None:
    layout, other = ground.make("Layout"), ground.make("Layout")
    ground.make("Place", layout_id=layout["id"], name="Up loop")
    ground.make("Place", layout_id=layout["id"], name="Coal road", kind="siding")
    ground.make("Place", layout_id=other["id"], name="Bay")
    assert names(ground.steward, f"/v1/layouts/{layout['id']}/places") == [
        "Coal road",
        "Up loop",
    ]
    assert names(ground.steward, f"/v1/layouts/{layout['id']}/places?kind=siding") == [
        "Coal road"
    ]


WHOLE = [one for one in LISTS if noun_in(one) not in {"", *OWN_REVISIONS}]
"""The lists that show each record as it is read; a revision's plan is left out."""


@at_each("operation_id", WHOLE)
def test_an_item_of_a_list_is_what_reading_it_gives(
    ground: Ground, operation_id: str
) -> None:
    noun = noun_in(operation_id)
    record = ground.make(noun)
    path = one_of(noun, record)
    listed = ground.steward.read(path.rpartition("/")[0])["items"]
    assert [item for item in listed if item["id"] == record["id"]] == [
        ground.steward.read(path)
    ]


def test_a_place_lies_beneath_its_own_layout_only(ground: Ground) -> None:
    place, other = ground.make("Place"), ground.make("Layout")
    astray = f"/v1/layouts/{other['id']}/places/{place['id']}"
    for method in ("GET", "PUT", "PATCH", "DELETE"):
        body = LOOP | {"name": "Up loop"} if method in {"PUT", "PATCH"} else None
        assert ground.steward.ask(method, astray, body, if_match="*").status_code == 404
