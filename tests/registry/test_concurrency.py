"""Writers at the same moment: no change is lost, nothing is left leaning on what is
gone.
"""

from collections.abc import Callable
from threading import Barrier, Thread

import msgspec
import pytest

from standage.railway.stock.couplings import Coupling
from standage.registry.database.engine import Database
from standage.registry.people.credentials import issue_token
from standage.registry.records.bodies import (
    CouplingTypeBody,
    LayoutBody,
    MemberBody,
    PlaceBody,
    RakeBody,
    RakeVehicle,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    LAYOUTS,
    MEMBERS,
    PLACES,
    RAKES,
    TRAINS,
    VEHICLES,
)
from standage.registry.records.reading import Listing
from standage.registry.records.record import ANY_VERSION, IfMatch, Record
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Absent, Busy, InUse, Stale
from support.clubs import Club, new_club
from support.patience import PATIENCE_S

ROUNDS = 12


@pytest.fixture
def club(no_hurry: None, database: Database) -> Club:
    return new_club(database)


def together(*jobs: Callable[[], object]) -> list[object]:
    """Run the jobs at the same moment; return what each returned or raised."""
    results: list[object] = [None] * len(jobs)
    start = Barrier(len(jobs))

    def run(position: int) -> None:
        start.wait(PATIENCE_S)
        try:
            results[position] = jobs[position]()
        except Exception as error:  # noqa: BLE001 - the test judges what was raised
            results[position] = error

    threads = [Thread(target=run, args=(position,)) for position in range(len(jobs))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def sent_back(body: msgspec.Struct) -> Callable[[Record], msgspec.Struct]:
    return lambda _present: body


def test_no_change_is_lost_among_those_who_fetch_change_and_send_back(
    club: Club,
) -> None:
    counter = club.make(VEHICLES, VehicleBody(name="Counter", notes="0"))

    def one_more(record: Record) -> msgspec.Struct:
        assert isinstance(record.body, VehicleBody)
        return msgspec.structs.replace(
            record.body, notes=str(int(record.body.notes) + 1)
        )

    def edit() -> int:
        accepted = 0
        for _ in range(15):
            with club.reading() as reading:
                seen = reading.get(VEHICLES, club.club_id, counter.id)
            try:
                with club.writing() as writing:
                    if_match = IfMatch(given=True, tags=frozenset({seen.etag}))
                    writing.change(
                        VEHICLES,
                        club.permit,
                        counter.id,
                        sent_back(one_more(seen)),
                        if_match=if_match,
                    )
                accepted += 1
            except Stale:
                pass
        return accepted

    results = together(*[edit] * 6)
    assert all(isinstance(result, int) for result in results), results
    accepted = sum(result for result in results if isinstance(result, int))
    with club.reading() as reading:
        last = reading.get(VEHICLES, club.club_id, counter.id)
        rows = reading.changes(VEHICLES, club.club_id, counter.id)
    assert isinstance(last.body, VehicleBody)
    assert (int(last.body.notes), last.version, len(rows)) == (
        accepted,
        accepted + 1,
        accepted + 1,
    )
    assert accepted >= 15


def test_changes_that_do_not_say_what_they_saw_are_made_one_after_the_other(
    club: Club,
) -> None:
    counter = club.make(VEHICLES, VehicleBody(name="Counter", notes="0"))

    def one_more(record: Record) -> msgspec.Struct:
        assert isinstance(record.body, VehicleBody)
        return msgspec.structs.replace(
            record.body, notes=str(int(record.body.notes) + 1)
        )

    def edit() -> None:
        for _ in range(10):
            with club.writing() as writing:
                writing.change(
                    VEHICLES, club.permit, counter.id, one_more, if_match=ANY_VERSION
                )

    assert together(*[edit] * 4) == [None] * 4
    with club.reading() as reading:
        last = reading.get(VEHICLES, club.club_id, counter.id)
    assert isinstance(last.body, VehicleBody)
    assert last.body.notes == "40"


def test_a_vehicle_is_not_deleted_while_a_train_is_made_of_it(club: Club) -> None:
    for round_ in range(ROUNDS):
        van = club.make(VEHICLES, VehicleBody(name="Van"))
        body = TrainBody(
            name=f"Train {round_}", vehicles=(TrainVehicle(vehicle_id=van.id),)
        )

        def make(body: TrainBody = body) -> str:
            return club.make(TRAINS, body).id

        def delete(van: Record = van) -> None:
            with club.writing() as writing:
                writing.remove(VEHICLES, club.permit, van.id, if_match=ANY_VERSION)

        made, deleted = together(make, delete)
        with club.reading() as reading:
            left = reading.many(VEHICLES, club.club_id, [van.id])
        if isinstance(made, str):
            assert isinstance(deleted, InUse)
            assert left
        else:
            assert isinstance(made, Faulty)
            assert (deleted, left) == (None, {})


def test_a_vehicle_does_not_become_fewer_while_a_train_is_made_of_all(
    club: Club,
) -> None:
    for round_ in range(ROUNDS):
        vans = club.make(VEHICLES, VehicleBody(name="Van", count=2))
        body = TrainBody(
            name=f"Train {round_}",
            vehicles=(TrainVehicle(vehicle_id=vans.id, count=2),),
        )

        def make(body: TrainBody = body) -> str:
            return club.make(TRAINS, body).id

        def fewer(vans: Record = vans) -> int:
            with club.writing() as writing:
                one = msgspec.structs.replace(vans.body, count=1)
                return writing.change(
                    VEHICLES, club.permit, vans.id, lambda _: one, if_match=ANY_VERSION
                ).version

        results = together(make, fewer)
        assert sum(isinstance(result, Faulty) for result in results) == 1, results


def test_two_rakes_of_a_train_do_not_both_take_the_last_vehicle_nor_lock_each_other_out(
    club: Club,
) -> None:
    def longer(rake: Record) -> Callable[[], Record]:
        def make() -> Record:
            body = RakeBody(
                name="Set", vehicles=(RakeVehicle(vehicle_id=vans.id, count=2),)
            )
            with club.writing() as writing:
                return writing.change(
                    RAKES, club.permit, rake.id, sent_back(body), if_match=ANY_VERSION
                )

        return make

    for _ in range(ROUNDS):
        vans = club.make(VEHICLES, VehicleBody(name="Van", count=3))
        one = RakeBody(name="Set", vehicles=(RakeVehicle(vehicle_id=vans.id),))
        rakes = [club.make(RAKES, one) for _ in range(2)]
        club.make(
            TRAINS,
            TrainBody(
                name="Milk",
                vehicles=tuple(TrainVehicle(rake_id=rake.id) for rake in rakes),
            ),
        )
        changed, refused = sorted(
            together(*map(longer, rakes)),
            key=lambda result: isinstance(result, Exception),
        )
        assert isinstance(changed, Record), changed
        assert isinstance(refused, Faulty), refused


def test_a_coupling_type_is_not_deleted_while_a_vehicle_comes_to_name_it(
    club: Club,
) -> None:
    for round_ in range(ROUNDS):
        name = f"Hook {round_}"
        hook = club.make(COUPLING_TYPES, CouplingTypeBody(name=name))
        body = VehicleBody(name="Van", front_coupling=Coupling(type=hook.id))

        def make(body: VehicleBody = body) -> str:
            return club.make(VEHICLES, body).id

        def delete(hook: Record = hook) -> None:
            with club.writing() as writing:
                writing.remove(
                    COUPLING_TYPES, club.permit, hook.id, if_match=ANY_VERSION
                )

        made, deleted = together(make, delete)
        assert (isinstance(made, str), isinstance(deleted, InUse)) in {
            (True, True),
            (False, False),
        }, (made, deleted)


def test_a_layout_does_not_go_from_under_a_place(club: Club) -> None:
    for round_ in range(ROUNDS):
        layout = club.make(LAYOUTS, LayoutBody(name=f"Layout {round_}"))

        def make(layout: Record = layout) -> str:
            return club.make(
                PLACES, PlaceBody(name="Up loop", kind="loop"), parent_id=layout.id
            ).id

        def delete(layout: Record = layout) -> None:
            with club.writing() as writing:
                writing.remove(LAYOUTS, club.permit, layout.id, if_match=ANY_VERSION)

        made, deleted = together(make, delete)
        assert deleted is None
        assert isinstance(made, str | Absent)
        with club.reading() as reading:
            assert (
                reading.many(
                    PLACES, club.club_id, [made] if isinstance(made, str) else []
                )
                == {}
            )


def test_two_records_never_take_one_name(club: Club) -> None:
    for round_ in range(ROUNDS):
        body = LayoutBody(name=f"Layout {round_}")
        results = together(*[lambda body=body: club.make(LAYOUTS, body)] * 4)
        refused = [result for result in results if isinstance(result, Faulty)]
        assert [[fault.code for fault in one.faults] for one in refused] == [
            ["name_taken"]
        ] * 3, results


def test_two_stewards_do_not_demote_each_other(club: Club) -> None:
    other = club.make(MEMBERS, MemberBody(name="Ash Fenner", role="steward"))
    with club.writing() as writing:
        issue_token(
            writing,
            club.permit,
            TokenBody(label="Own", member_id=other.id, scopes=("read", "write")),
        )

    def role(member_id: str, role: str) -> int:
        def new(record: Record) -> msgspec.Struct:
            return msgspec.structs.replace(record.body, role=role)

        with club.writing() as writing:
            return writing.change(
                MEMBERS, club.permit, member_id, new, if_match=ANY_VERSION
            ).version

    for _ in range(ROUNDS):
        results = together(
            lambda: role(other.id, "member"),
            lambda: role(club.steward_id, "member"),
        )
        assert [type(result) for result in results if not isinstance(result, int)] == [
            InUse
        ], results
        with club.reading() as reading:
            stewards = reading.page(
                MEMBERS, club.club_id, Listing(filters={"role": "steward"})
            )
        assert len(stewards) == 1
        demoted = other.id if stewards[0].id == club.steward_id else club.steward_id
        role(demoted, "steward")


def test_a_member_is_not_deleted_while_recording_stock(club: Club) -> None:
    for round_ in range(ROUNDS):
        kit = club.make(MEMBERS, MemberBody(name=f"Kit {round_}"))

        def make(kit: Record = kit) -> str:
            return club.make(VEHICLES, VehicleBody(name="Van", owner_id=kit.id)).id

        def delete(kit: Record = kit) -> None:
            with club.writing() as writing:
                writing.remove(MEMBERS, club.permit, kit.id, if_match=ANY_VERSION)

        made, deleted = together(make, delete)
        assert not isinstance(made, Busy), made
        assert (isinstance(made, str), isinstance(deleted, InUse)) in {
            (True, True),
            (False, False),
        }, (made, deleted)
