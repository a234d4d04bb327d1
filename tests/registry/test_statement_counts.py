"""How many statements a request costs does not depend on how many rows it touches."""

from collections.abc import Callable
from typing import Any

import pytest

from standage.registry.people.credentials import principal_for
from standage.registry.records.bodies import (
    LayoutBody,
    MemberBody,
    PlaceBody,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    LAYOUTS,
    MEMBERS,
    PLACES,
    TOKENS,
    TRAINS,
    VEHICLES,
)
from standage.registry.records.reading import Listing
from standage.registry.records.record import ANY_VERSION
from support.clubs import NOW, Club, renamed
from support.databases import statements


def vans(club: Club, number: int) -> list[str]:
    with club.writing() as writing:
        return [
            writing.create(VEHICLES, club.permit, VehicleBody(name=f"Van {n}")).id
            for n in range(number)
        ]


def train(club: Club, number: int) -> TrainBody:
    return TrainBody(
        name="Goods",
        vehicles=tuple(TrainVehicle(vehicle_id=one) for one in vans(club, number)),
    )


def counted(club: Club, work: Callable[[], object]) -> int:
    with statements(club.database) as sent:
        work()
    return len(sent)


def listing_costs(club: Club, number: int) -> int:
    vans(club, number)
    with club.reading() as reading:
        return counted(
            club, lambda: reading.page(VEHICLES, club.club_id, Listing(limit=200))
        )


def many_cost(club: Club, number: int) -> int:
    ids = vans(club, number)
    with club.reading() as reading:
        return counted(club, lambda: reading.many(VEHICLES, club.club_id, ids))


def creating_a_train_costs(club: Club, number: int) -> int:
    body = train(club, number)
    return counted(club, lambda: club.make(TRAINS, body))


def changing_a_train_costs(club: Club, number: int) -> int:
    made = club.make(TRAINS, train(club, number))

    def change() -> None:
        with club.writing() as writing:
            writing.change(
                TRAINS, club.permit, made.id, renamed("Other"), if_match=ANY_VERSION
            )

    return counted(club, change)


def changing_a_vehicle_in_trains_costs(club: Club, number: int) -> int:
    (van,) = vans(club, 1)
    for position in range(number):
        club.make(
            TRAINS,
            TrainBody(
                name=f"Train {position}", vehicles=(TrainVehicle(vehicle_id=van),)
            ),
        )

    def change() -> None:
        with club.writing() as writing:
            writing.change(
                VEHICLES, club.permit, van, renamed("Other"), if_match=ANY_VERSION
            )

    return counted(club, change)


def deleting_a_layout_costs(club: Club, number: int) -> int:
    layout = club.make(LAYOUTS, LayoutBody(name=f"Layout of {number}"))
    with club.writing() as writing:
        for position in range(number):
            body = PlaceBody(name=f"Road {position}", kind="storage_road")
            writing.create(PLACES, club.permit, body, parent_id=layout.id)

    def remove() -> None:
        with club.writing() as writing:
            writing.remove(LAYOUTS, club.permit, layout.id, if_match=ANY_VERSION)

    return counted(club, remove)


def deleting_a_member_costs(club: Club, number: int) -> int:
    member = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    with club.writing() as writing:
        for position in range(number):
            body = TokenBody(
                label=f"Token {position}", member_id=member.id, scopes=("read",)
            )
            writing.create(TOKENS, club.permit, body)

    def remove() -> None:
        with club.writing() as writing:
            writing.remove(MEMBERS, club.permit, member.id, if_match=ANY_VERSION)

    return counted(club, remove)


@pytest.mark.parametrize(
    "costs",
    [
        listing_costs,
        many_cost,
        creating_a_train_costs,
        changing_a_train_costs,
        changing_a_vehicle_in_trains_costs,
        deleting_a_layout_costs,
        deleting_a_member_costs,
    ],
    ids=lambda costs: costs.__name__,
)
def test_a_hundred_rows_cost_as_many_statements_as_one(
    club: Club, costs: Callable[[Club, int], int]
) -> None:
    assert 0 < costs(club, 1) == costs(club, 100)


def test_letting_somebody_in_costs_one_statement(club: Club) -> None:
    with club.reading() as reading:
        assert counted(club, lambda: principal_for(reading, club.token, NOW)) == 1


def test_fetching_a_record_costs_one_statement(club: Club) -> None:
    (van,) = vans(club, 1)
    found: list[Any] = []
    with club.reading() as reading:
        assert (
            counted(
                club, lambda: found.append(reading.get(VEHICLES, club.club_id, van))
            )
            == 1
        )
    assert found[0].id == van
