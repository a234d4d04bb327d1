"""Vehicles are found by what a row of a list names, and by nothing else is any read."""

from collections.abc import Iterator
from itertools import product

import pytest

from standage.registry.database.tables import name_key
from standage.registry.records.bodies import MemberBody, VehicleBody
from standage.registry.records.kinds import MEMBERS, VEHICLES
from standage.registry.records.record import ANY_VERSION
from standage.registry.records.stock_keys import stock_key, stock_key_of
from standage.registry.writing.stock_found import (
    Wanted,
    packed,
    unpacked,
    vehicles_meant,
)
from support.clubs import Club
from support.databases import statements

NOBODY = "01932000-0000-7000-8000-00000000dead"
NUMBERS = (
    "47",
    "047",
    " 47",
    "0",
    "000",
    "S 12",
    "s  12",
    "Straße",
    "STRASSE",
    "é",
    "e\u0301",
    "４７",
    "4 7",
)
"""Numbers that some would call the same: by case, spacing, noughts, and how their
characters are put together.
"""


def meant(club: Club, *wanted: Wanted) -> list[str]:
    with club.reading() as reading:
        return [one.id for one in vehicles_meant(reading, club.club_id, wanted)]


def by_number(club: Club, number: str, *, owner_id: str | None = None) -> Wanted:
    return Wanted(owner_id=owner_id or club.steward_id, stock_key=stock_key(number))


def are_one_number(one: str, other: str) -> bool:
    """Tell whether two numbers can be one in a list, the plain way."""
    one, other = (
        " ".join(text.replace("e\u0301", "é").casefold().split())
        for text in (one, other)
    )
    if all(set(text) <= set("0123456789") for text in (one, other)):
        return int(one) == int(other)
    return one == other


def test_numbers_share_a_key_just_where_people_call_them_the_same() -> None:
    pairs = list(product(NUMBERS, repeat=2))
    assert [stock_key(one) == stock_key(other) for one, other in pairs] == [
        are_one_number(*pair) for pair in pairs
    ]


def test_an_owner_s_own_key_is_what_a_vehicle_is_found_by_and_else_its_number() -> None:
    assert stock_key_of(VehicleBody(name="Van")) is None
    assert stock_key_of(VehicleBody(name="Van", number="0047")) == stock_key("47")
    assert stock_key_of(
        VehicleBody(name="Van", number="47", external_key="Shelf 3")
    ) == stock_key("shelf 3")


def test_what_rows_name_is_the_same_once_it_was_kept() -> None:
    wanted = [
        Wanted(owner_id=NOBODY),
        Wanted(owner_id=NOBODY, record_id="x", stock_key="47", name_key="van"),
    ]
    assert unpacked(packed(wanted)) == wanted


@pytest.mark.parametrize("number", NUMBERS)
def test_a_vehicle_is_found_by_every_spelling_of_its_number(
    club: Club, number: str
) -> None:
    made = {
        one: club.make(VEHICLES, VehicleBody(name="Van", number=one)).id
        for one in NUMBERS
        if one == one.strip()
    }
    expected = sorted(
        record_id for one, record_id in made.items() if are_one_number(one, number)
    )
    assert meant(club, by_number(club, number)) == expected


def test_a_vehicle_without_a_number_is_found_by_its_name(club: Club) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Harbour  Van"))
    club.make(VEHICLES, VehicleBody(name="Harbour Vans"))
    assert meant(
        club, Wanted(owner_id=club.steward_id, name_key=name_key("harbour van"))
    ) == [van.id]


def test_a_row_that_names_a_record_of_the_club_means_that_one_alone(club: Club) -> None:
    named, other = (
        club.make(VEHICLES, VehicleBody(name="Van", number="47")).id for _ in range(2)
    )
    both = by_number(club, "47")
    asked = Wanted(owner_id=both.owner_id, record_id=named, stock_key=both.stock_key)
    assert meant(club, asked) == [named]
    unknown = Wanted(owner_id=both.owner_id, record_id=NOBODY, stock_key=both.stock_key)
    assert meant(club, unknown) == sorted([named, other])


def test_nobody_else_s_vehicle_is_found_nor_one_that_is_deleted(club: Club) -> None:
    other = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    theirs = club.make(
        VEHICLES, VehicleBody(name="Van", number="47", owner_id=other.id)
    )
    gone = club.make(VEHICLES, VehicleBody(name="Van", number="47"))
    with club.writing() as writing:
        writing.remove(VEHICLES, club.permit, gone.id, if_match=ANY_VERSION)
    assert (
        meant(club, by_number(club, "47"), Wanted(owner_id=NOBODY, record_id=gone.id))
        == []
    )
    assert meant(club, by_number(club, "47", owner_id=other.id)) == [theirs.id]


@pytest.mark.parametrize(
    "text", ["\x00", "4\x007", "\ud800", "' OR '1'='1", "%", "_", "x" * 40_000]
)
def test_whatever_stands_in_a_cell_can_be_asked_for_and_finds_nothing(
    club: Club, text: str
) -> None:
    club.make(VEHICLES, VehicleBody(name="Van", number="47"))
    asked = Wanted(
        owner_id=club.steward_id,
        record_id=text,
        stock_key=stock_key(text),
        name_key=name_key(text),
    )
    assert meant(club, asked) == []


def test_a_vehicle_is_found_by_the_number_that_it_has_now(club: Club) -> None:
    van = club.make(VEHICLES, VehicleBody(name="Van", number="47"))
    with club.writing() as writing:
        changed = VehicleBody(name="Van", number="48")
        writing.change(
            VEHICLES, club.permit, van.id, lambda _: changed, if_match=ANY_VERSION
        )
    assert [meant(club, by_number(club, number)) for number in ("47", "48")] == [
        [],
        [van.id],
    ]


def costs(club: Club, wanted: list[Wanted]) -> Iterator[int]:
    with club.reading() as reading, statements(club.database) as sent:
        yield len(vehicles_meant(reading, club.club_id, wanted))
    yield len(sent)


def test_however_much_stock_there_is_a_row_costs_as_many_statements_and_brings_no_more(
    club: Club,
) -> None:
    club.make(VEHICLES, VehicleBody(name="Van 47", number="47"))
    wanted = [Wanted(owner_id=club.steward_id, stock_key="47", name_key="van 47")]
    few = list(costs(club, wanted))
    others = {
        f"01932000-0000-7000-8000-{n:012}": VehicleBody(name=f"Van {n}", number=str(n))
        for n in range(100, 400)
    }
    with club.writing() as writing:
        writing.create_all(VEHICLES, club.permit, others)
    assert list(costs(club, wanted)) == few == [1, 2]


def test_three_thousand_rows_cost_as_many_statements_as_one(club: Club) -> None:
    one, many = (
        [by_number(club, str(n)) for n in range(count)] for count in (1, 3_000)
    )
    assert list(costs(club, one)) == list(costs(club, many)) == [0, 1]
