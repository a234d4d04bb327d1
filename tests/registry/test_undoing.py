"""Undo of many writes that one action bound together, as of an import: whole or not at
all.
"""

from datetime import timedelta

import msgspec
import pytest

from standage.registry.records.bodies import (
    LayoutBody,
    PlaceBody,
    RakeBody,
    RakeVehicle,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    KINDS,
    LAYOUTS,
    PLACES,
    RAKES,
    TRAINS,
    VEHICLES,
)
from standage.registry.records.reading import Listing
from standage.registry.records.record import ANY_VERSION, Record
from standage.registry.writing.store import Writing
from standage.registry.writing.undoing import KEPT_FOR, Undoing
from standage.shapes.refusals import Absent, InTheWay
from support.clubs import NOW, Club, renamed
from support.databases import statements

LATER = NOW + timedelta(hours=1)


def everything(club: Club) -> dict[str, msgspec.Struct]:
    """Return the body of every record of the club that is there, places aside, by
    id.
    """
    with club.reading() as reading:
        flat = [kind for kind in KINDS.values() if kind.parent is None]
        records: list[Record] = [
            one
            for kind in flat
            for one in reading.page(kind, club.club_id, Listing(limit=200))
        ]
    return {record.id: record.body for record in records}


def imported(
    club: Club, own: Record, *, vans: int = 3, action_id: str | None = None
) -> str:
    """Write what an import writes, change ``own`` twice on the way, and delete nothing;
    return the action's id.
    """
    with club.database.write() as connection:
        writing = Writing(connection, LATER, action_id=action_id)
        ids = [
            writing.create(VEHICLES, club.permit, VehicleBody(name=f"Van {n}")).id
            for n in range(vans)
        ]
        rake = writing.create(
            RAKES,
            club.permit,
            RakeBody(
                name="Vans", vehicles=tuple(RakeVehicle(vehicle_id=one) for one in ids)
            ),
        )
        writing.create(
            TRAINS,
            club.permit,
            TrainBody(name="Goods", vehicles=(TrainVehicle(rake_id=rake.id),)),
        )
        layout = writing.create(LAYOUTS, club.permit, LayoutBody(name="Harbour"))
        writing.create(
            PLACES, club.permit, PlaceBody(name="Bay", kind="loop"), parent_id=layout.id
        )
        for name in ("On the way", "As imported"):
            writing.change(
                VEHICLES, club.permit, own.id, renamed(name), if_match=ANY_VERSION
            )
    return writing.action_id


def undo(club: Club, action_id: str, *, hours: int = 2) -> str:
    with club.database.write() as connection:
        undoing = Undoing(connection, NOW + timedelta(hours=hours))
        undoing.undo_action(
            club.permit.principal, action_id, lambda _kind, _verb: club.permit
        )
    return undoing.action_id


def test_all_that_one_action_wrote_is_undone_together_and_comes_back_together(
    club: Club,
) -> None:
    own = club.make(VEHICLES, VehicleBody(name="Brake van"))
    before = everything(club)
    action_id = imported(club, own)
    after = everything(club)
    assert len(after) == len(before) + 6
    undone = undo(club, action_id)
    assert everything(club) == before
    undo(club, undone)
    assert everything(club) == after
    with club.reading() as reading:
        rows = reading.changes(VEHICLES, club.club_id, own.id)
    assert [row.version for row in rows] == [1, 2, 3, 4, 5]
    assert [row.undoes for row in rows] == [None, None, None, rows[2].id, rows[3].id]


def test_an_action_can_be_handed_on_from_one_writing_to_another(club: Club) -> None:
    own = club.make(VEHICLES, VehicleBody(name="Brake van"))
    before = everything(club)
    first = imported(club, own)
    with club.database.write() as connection:
        Writing(connection, LATER, action_id=first).create(
            VEHICLES, club.permit, VehicleBody(name="Straggler")
        )
    undo(club, first)
    assert everything(club) == before


@pytest.mark.parametrize("changed", ["imported", "own"])
def test_one_record_changed_since_keeps_the_whole_action_from_being_undone(
    club: Club, changed: str
) -> None:
    own = club.make(VEHICLES, VehicleBody(name="Brake van"))
    action_id = imported(club, own)
    with club.reading() as reading:
        (layout,) = reading.page(LAYOUTS, club.club_id)
    kind, record = (LAYOUTS, layout) if changed == "imported" else (VEHICLES, own)
    with club.writing(LATER) as writing:
        writing.change(
            kind, club.permit, record.id, renamed("Mended since"), if_match=ANY_VERSION
        )
    after = everything(club)
    with pytest.raises(
        InTheWay,
        match=(
            "Harbour has been changed"
            if changed == "imported"
            else "As imported has been"
        ),
    ):
        undo(club, action_id)
    assert everything(club) == after


def test_what_is_in_the_way_of_many_is_told_of_the_first_few(club: Club) -> None:
    own = club.make(VEHICLES, VehicleBody(name="Brake van"))
    action_id = imported(club, own, vans=9)
    with club.reading() as reading:
        vans = reading.page(VEHICLES, club.club_id)
    with club.writing(LATER) as writing:
        for van in vans:
            writing.change(
                VEHICLES, club.permit, van.id, renamed("Mended"), if_match=ANY_VERSION
            )
    with pytest.raises(InTheWay, match=r"^(the vehicle [^;]+; ){5}and 5 more$"):
        undo(club, action_id)


def test_what_a_record_was_created_and_deleted_by_leaves_nothing_to_undo(
    club: Club,
) -> None:
    with club.writing() as writing:
        made = writing.create(VEHICLES, club.permit, VehicleBody(name="Blot"))
        writing.remove(VEHICLES, club.permit, made.id, if_match=ANY_VERSION)
    with pytest.raises(InTheWay, match="left nothing"):
        undo(club, writing.action_id)


def test_a_deletion_is_undone_within_thirty_days_and_not_after(club: Club) -> None:
    with club.writing() as writing:
        made = writing.create(VEHICLES, club.permit, VehicleBody(name="Crane"))
    with club.writing() as writing:
        writing.remove(VEHICLES, club.permit, made.id, if_match=ANY_VERSION)
    hours = KEPT_FOR // timedelta(hours=1)
    assert hours == 30 * 24
    with pytest.raises(
        InTheWay,
        match=(
            "the vehicle Crane was deleted more than 30 days ago and is gone for good"
        ),
    ):
        undo(club, writing.action_id, hours=hours)
    undo(club, writing.action_id, hours=hours - 1)
    assert made.id in everything(club)


def test_there_is_no_undo_of_what_never_was(club: Club) -> None:
    for action_id in ("01932000-0000-7000-8000-00000000dead", "nonsense"):
        with pytest.raises(Absent):
            undo(club, action_id)


def test_an_undo_finds_what_it_touches_in_one_statement_a_kind(club: Club) -> None:
    costs = []
    for vans in (2, 12):
        own = club.make(VEHICLES, VehicleBody(name="Brake van"))
        layouts = everything(club)
        action_id = imported(club, own, vans=vans)
        with statements(club.database) as sent:
            undo(club, action_id)
        costs.append(len([one for one in sent if "vehicles.deleted_at \nFROM" in one]))
        assert everything(club) == layouts
    assert costs == [1, 1]
