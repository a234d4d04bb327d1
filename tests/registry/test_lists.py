"""Lists: every record once, in order, whatever is added meanwhile; filters and
beginnings taken literally.
"""

from datetime import timedelta
from itertools import pairwise, product
from typing import Any

import pytest
from sqlalchemy import Connection, event

from standage.registry.database.engine import Database
from standage.registry.database.tables import name_key
from standage.registry.records.bodies import (
    LayoutBody,
    MemberBody,
    PlaceBody,
    VehicleBody,
)
from standage.registry.records.kinds import LAYOUTS, MEMBERS, PLACES, VEHICLES, Kind
from standage.registry.records.reading import Listing, Reading, position
from standage.registry.records.record import ANY_VERSION, Record
from standage.registry.writing.names_listed import listed
from standage.shapes.faults import Faulty
from support.clubs import MADE, NOW, Club

NAMES = [
    "alpha",
    "Beta",
    "béta",
    "BETA 2",
    "Ärger",
    "zug",
    "Zug",
    "zug",
    "%",
    "_x",
    "\\",
    "Ω",
    "🚂",
    "緑",
]


def walk(
    club: Club, kind: Kind[Any], listing: Listing, *, parent_id: str | None = None
) -> list[Record]:
    """Return the whole list, fetched three at a time."""
    found: list[Record] = []
    after = None
    while True:
        window = Listing(
            filters=listing.filters,
            sort=listing.sort,
            descending=listing.descending,
            after=after,
            limit=3,
        )
        with club.reading() as reading:
            page = reading.page(kind, club.club_id, window, parent_id=parent_id)
        if not page:
            return found
        found += page
        after = position(kind, page[-1], sort=listing.sort)


def stocked(club: Club) -> list[Record]:
    made = []
    for minute, name in enumerate(NAMES):
        with club.writing(NOW + timedelta(minutes=minute // 2)) as writing:
            made.append(
                writing.create(
                    VEHICLES, club.permit, VehicleBody(name=name, kind="wagon")
                )
            )
    return made


@pytest.mark.parametrize(
    ("sort", "descending"),
    [*product(["name", "created_at", "updated_at"], [False, True])],
)
def test_a_walk_meets_every_record_once_in_order(
    club: Club,
    sort: str,
    descending: bool,  # noqa: FBT001 - pytest passes it by name
) -> None:
    made = stocked(club)
    found = walk(club, VEHICLES, Listing(sort=sort, descending=descending))
    assert sorted(record.id for record in found) == sorted(record.id for record in made)

    def order(record: Record) -> tuple[Any, str]:
        assert isinstance(record.body, VehicleBody)
        return (
            name_key(record.body.name) if sort == "name" else record.created_at
        ), record.id

    assert [record.id for record in found] == [
        record.id for record in sorted(made, key=order, reverse=descending)
    ]


def test_what_is_added_behind_or_deleted_ahead_disturbs_no_walk(club: Club) -> None:
    made = {record.id for record in stocked(club)}
    listing = Listing(sort="name", limit=4)
    with club.reading() as reading:
        first = reading.page(VEHICLES, club.club_id, listing)
    club.make(VEHICLES, VehicleBody(name="   a very early one".strip()))
    with club.reading() as reading:
        ahead = reading.page(
            VEHICLES, club.club_id, Listing(sort="name", descending=True, limit=1)
        )[0]
    with club.writing() as writing:
        writing.remove(VEHICLES, club.permit, ahead.id, if_match=ANY_VERSION)
    after = position(VEHICLES, first[-1], sort="name")
    with club.reading() as reading:
        rest = reading.page(
            VEHICLES, club.club_id, Listing(sort="name", after=after, limit=100)
        )
    seen = [record.id for record in [*first, *rest]]
    assert len(seen) == len(set(seen))
    assert set(seen) == made - {ahead.id}


@pytest.mark.parametrize(
    ("beginning", "expected"),
    [
        ("b", {"Beta", "béta", "BETA 2"}),
        ("BETA", {"Beta", "BETA 2"}),
        ("bé", {"béta"}),
        ("be\u0301", {"béta"}),
        ("ä", {"Ärger"}),
        ("%", {"%"}),
        ("_", {"_x"}),
        ("\\", {"\\"}),
        ("ω", {"Ω"}),
        ("🚂", {"🚂"}),
        ("緑", {"緑"}),
        ("\uffff", set()),
        ("\ud7ff", set()),
        ("\U0010ffff", set()),
        ("a%", set()),
        ("' OR 1=1 --", set()),
        ("\x00", set()),
        ("\ud800", set()),
    ],
)
def test_a_beginning_is_taken_literally_letter_case_aside(
    club: Club, beginning: str, expected: set[str]
) -> None:
    stocked(club)
    found = walk(club, VEHICLES, Listing(filters={"name_begins": beginning}))
    assert {VEHICLES.title(record.body) for record in found} == expected


def test_each_filter_narrows_the_list_and_all_of_them_together(club: Club) -> None:
    kit = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    bodies = [
        VehicleBody(name="one", kind="wagon", scale="00"),
        VehicleBody(name="two", kind="wagon", scale="N"),
        VehicleBody(name="three", kind="coach", scale="00", owner_id=kit.id),
        VehicleBody(name="four"),
    ]
    for body in bodies:
        club.make(VEHICLES, body)
    asked: list[tuple[dict[str, str], list[str]]] = [
        ({"kind": "wagon"}, ["one", "two"]),
        ({"scale": "00"}, ["one", "three"]),
        ({"owner_id": kit.id}, ["three"]),
        ({"kind": "wagon", "scale": "00"}, ["one"]),
        ({"kind": "wagon", "name_begins": "t"}, ["two"]),
        ({"kind": "coach", "scale": "N"}, []),
    ]
    for filters, names in asked:
        found = walk(club, VEHICLES, Listing(filters=filters, sort="created_at"))
        assert [VEHICLES.title(record.body) for record in found] == names


@pytest.mark.parametrize("kind", MADE, ids=lambda kind: kind.name)
def test_every_declared_sort_and_filter_is_a_question_the_database_understands(
    club: Club, kind: Kind[Any]
) -> None:
    made = club.make_sample(kind)
    for sort in kind.sorts:
        found = walk(
            club, kind, Listing(sort=sort, descending=True), parent_id=made.parent_id
        )
        assert made.id in [one.id for one in found]
    for name, wanted in kind.filters.items():
        own = (
            kind.title(made.body)
            if wanted.begins
            else getattr(made.body, wanted.column)
        )
        if own is not None:
            assert made in walk(
                club, kind, Listing(filters={name: own}), parent_id=made.parent_id
            )
        assert made not in walk(
            club,
            kind,
            Listing(filters={name: "nothing such"}),
            parent_id=made.parent_id,
        )


def test_places_are_listed_layout_by_layout(club: Club) -> None:
    north, south = (
        club.make(LAYOUTS, LayoutBody(name=name)).id for name in ("North", "South")
    )
    for parent_id, name in (
        (north, "Up loop"),
        (south, "Up loop"),
        (north, "Down loop"),
    ):
        club.make(PLACES, PlaceBody(name=name, kind="loop"), parent_id=parent_id)
    found = walk(club, PLACES, Listing(), parent_id=north)
    assert [PLACES.title(place.body) for place in found] == ["Down loop", "Up loop"]


@pytest.mark.parametrize(
    "after", [("yesterday", "x"), ("", ""), ("2026\x00", "x"), ("2026-05-01", "\ud800")]
)
def test_a_position_that_is_none_is_a_fault_of_the_cursor(
    club: Club, after: tuple[str, str]
) -> None:
    with club.reading() as reading, pytest.raises(Faulty) as refused:
        reading.page(VEHICLES, club.club_id, Listing(sort="created_at", after=after))
    assert [fault.parameter for fault in refused.value.faults] == ["cursor"]


@pytest.mark.parametrize("sort", ["name", "created_at", "updated_at"])
@pytest.mark.parametrize(
    "filters", [{}, {"kind": "wagon"}, {"owner_id": "x"}], ids=["all", "kind", "owner"]
)
def test_a_page_is_found_by_an_index_without_sorting(
    sqlite_database: Database, sort: str, filters: dict[str, str]
) -> None:
    """SQLite's plan does not depend on how full its tables are; both databases have the
    same indexes.
    """
    plans: list[str] = []

    def explain(
        connection: Connection,
        _cursor: object,
        statement: str,
        parameters: Any,
        *_: object,
    ) -> None:
        if statement.startswith("SELECT"):
            plans.extend(
                str(row)
                for row in connection.exec_driver_sql(
                    f"EXPLAIN QUERY PLAN {statement}", parameters
                )
            )

    listing = Listing(
        sort=sort, filters=filters, after=("2026-05-01T00:00:00+00:00", "x")
    )
    with sqlite_database.read() as connection:
        event.listen(connection, "before_cursor_execute", explain)
        Reading(connection).page(VEHICLES, "some club", listing)
    assert "USING INDEX ix_vehicles_club_id_" in " ".join(plans)
    assert "TEMP B-TREE" not in " ".join(plans)


def test_pairs_in_a_walk_never_stand_equal(club: Club) -> None:
    stocked(club)
    found = walk(club, VEHICLES, Listing(sort="name"))
    assert all(
        position(VEHICLES, one) < position(VEHICLES, next_one)
        for one, next_one in pairwise(found)
    )


@pytest.mark.parametrize(
    ("names", "expected"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_names_are_listed_as_a_person_would(names: list[str], expected: str) -> None:
    assert listed(names, most=3) == expected
