"""Several kinds read in one statement are what they are when each is asked for by
itself.
"""

from standage.registry.database.engine import Database
from standage.registry.records.bodies import (
    PlaceBody,
    RakeBody,
    RakeVehicle,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.joint_reading import ALL, BENEATH, ITSELF, Wanted, Way
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    LAYOUTS,
    PLACES,
    RAKES,
    TRAINS,
    VEHICLES,
)
from standage.registry.records.layout_reading import LayoutReading
from standage.registry.records.record import ANY_VERSION, Kept, Record
from support.clubs import Club, new_club
from support.databases import statements


def ids(kept: list[Kept]) -> list[str]:
    return [one.id for one in kept]


def vehicle(club: Club, name: str) -> Record:
    return club.make(VEHICLES, VehicleBody(name=name))


def train_of(club: Club, *vehicles: Record, rake: Record | None = None) -> Record:
    alone = [TrainVehicle(vehicle_id=one.id) for one in vehicles]
    whole = [] if rake is None else [TrainVehicle(rake_id=rake.id)]
    return club.make(TRAINS, TrainBody(name="Goods", vehicles=(*alone, *whole)))


def test_a_train_brings_its_vehicles_and_those_of_its_rakes(club: Club) -> None:
    engine, van, brake, _ = (
        vehicle(club, name) for name in ("Engine", "Van", "Brake", "Not in it")
    )
    rake = club.make(
        RAKES,
        RakeBody(
            name="Pair",
            vehicles=tuple(RakeVehicle(vehicle_id=one.id) for one in (van, brake)),
        ),
    )
    train = train_of(club, engine, rake=rake)
    wanted = [
        Wanted(TRAINS, ITSELF, train.id),
        Wanted(RAKES, Way(named_by=TRAINS), train.id),
        Wanted(VEHICLES, Way(named_by=TRAINS), train.id),
        Wanted(VEHICLES, Way(named_by=TRAINS, through=RAKES), train.id),
    ]
    with club.reading() as reading:
        trains, rakes, alone, in_rakes = reading.together(club.club_id, wanted)
    assert (ids(trains), ids(rakes), ids(alone)) == ([train.id], [rake.id], [engine.id])
    assert ids(in_rakes) == [brake.id, van.id]
    assert [one.body for one in (*trains, *rakes, *alone)] == [
        train.body,
        rake.body,
        engine.body,
    ]


def test_lists_come_whole_and_in_order_of_names_without_what_is_deleted(
    club: Club,
) -> None:
    layout, other = (
        club.make(LAYOUTS, club.sample(LAYOUTS, name)[0]) for name in ("Quay", "Mine")
    )
    places = {
        name: club.make(PLACES, PlaceBody(kind="loop", name=name), parent_id=layout.id)
        for name in ("b", "C", "a", "d")
    }
    club.make(PLACES, PlaceBody(kind="loop", name="elsewhere"), parent_id=other.id)
    club.make(COUPLING_TYPES, club.sample(COUPLING_TYPES, "Staple hook")[0])
    with club.writing() as writing:
        writing.remove(PLACES, club.permit, places["d"].id, if_match=ANY_VERSION)
    with club.reading() as reading:
        wanted = [Wanted(PLACES, BENEATH, layout.id), Wanted(COUPLING_TYPES, ALL)]
        beneath, types = reading.together(club.club_id, wanted)
        assert ids(beneath) == [places[name].id for name in ("a", "b", "C")]
        assert {one.parent_id for one in beneath} == {layout.id}
        assert ids(beneath) == [
            one.id for one in reading.every(PLACES, club.club_id, parent_id=layout.id)
        ]
        assert ids(types) == [
            one.id for one in reading.every(COUPLING_TYPES, club.club_id)
        ]


def test_nothing_of_another_club_comes_along(club: Club, database: Database) -> None:
    theirs = new_club(database, "Upland Light Railway Society")
    train = train_of(theirs, vehicle(theirs, "Theirs"))
    wanted = [
        Wanted(TRAINS, ITSELF, train.id),
        Wanted(VEHICLES, Way(named_by=TRAINS), train.id),
        Wanted(VEHICLES, ALL),
    ]
    with club.reading() as reading:
        assert reading.together(club.club_id, wanted) == [[], [], []]
    with theirs.reading() as reading:
        assert [len(found) for found in reading.together(theirs.club_id, wanted)] == [
            1,
            1,
            1,
        ]


def test_a_visitor_gets_only_what_lies_beneath_their_layout(club: Club) -> None:
    shown, hidden = (
        club.make(LAYOUTS, club.sample(LAYOUTS, name)[0]) for name in ("Quay", "Mine")
    )
    places = [
        club.make(PLACES, PlaceBody(kind="loop", name="Loop"), parent_id=one.id)
        for one in (shown, hidden)
    ]
    train = train_of(club, vehicle(club, "Van"))
    wanted = [
        *(Wanted(LAYOUTS, ITSELF, one.id) for one in (shown, hidden)),
        *(Wanted(PLACES, BENEATH, one.id) for one in (shown, hidden)),
        *(
            Wanted(TRAINS, ITSELF, train.id),
            Wanted(VEHICLES, Way(named_by=TRAINS), train.id),
            Wanted(LAYOUTS, ALL),
        ),
    ]
    with club.database.read() as connection:
        found = LayoutReading(connection, shown.id).together(club.club_id, wanted)
    assert [ids(one) for one in found] == [
        [shown.id],
        [],
        [places[0].id],
        [],
        [],
        [],
        [shown.id],
    ]


def test_it_is_one_statement(club: Club) -> None:
    train = train_of(club, vehicle(club, "Van"))
    with statements(club.database) as sent, club.reading() as reading:
        reading.together(
            club.club_id,
            [
                Wanted(TRAINS, ITSELF, train.id),
                Wanted(VEHICLES, ALL),
                Wanted(LAYOUTS, ALL),
            ],
        )
    assert len(sent) == 1
