"""Going back to before there were rakes: every train keeps its vehicles, and nothing
speaks of what is gone.
"""

import json

from sqlalchemy import Connection, or_, select, text

from standage.railway.modules.standard_rules import BoardMass, Waiver
from standage.railway.stock.trains import MeasuredRake
from standage.registry.database.engine import Database
from standage.registry.database.migrate import downgrade, migrate
from standage.registry.database.tables import history, links, trains
from standage.registry.records.bodies import (
    ModuleBody,
    RakeBody,
    RakeVehicle,
    StandardBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import MODULES, RAKES, STANDARDS, TRAINS, VEHICLES
from standage.registry.records.record import ANY_VERSION
from support.clubs import Club, new_club


def made_up(club: Club) -> tuple[dict[str, str], dict[str, str]]:
    """Put vehicles and trains with rakes on record; return the ids of both by name."""
    vehicles = {
        name: club.make(VEHICLES, VehicleBody(name=name, count=9)).id
        for name in ("Engine", "Coach", "Brake")
    }
    entries = (
        RakeVehicle(vehicle_id=vehicles["Coach"], count=2),
        RakeVehicle(vehicle_id=vehicles["Brake"], reversed=True),
    )
    plain = club.make(RAKES, RakeBody(name="Grüne Garnitur", vehicles=entries))
    whole = club.make(
        RAKES,
        RakeBody(
            name="Whole",
            vehicles=entries,
            measured_length_mm=512.5,
            measured_over="couplings",
        ),
    )
    engine = TrainVehicle(vehicle_id=vehicles["Engine"])
    there, back = (
        TrainVehicle(rake_id=whole.id),
        TrainVehicle(rake_id=plain.id, reversed=True),
    )
    stretch = MeasuredRake(first=1, last=3, length_mm=900.0, length_over="buffers")
    bodies = {
        "Apart": TrainBody(name="Apart", vehicles=(engine, there, back)),
        "Measured": TrainBody(
            name="Mésuré",
            vehicles=(engine, there, back, engine),
            measured_rakes=(stretch,),
        ),
        "Plain": TrainBody(name="Plain", vehicles=(engine,)),
        "Gone": TrainBody(name="Gone", vehicles=(there,)),
    }
    trains = {name: club.make(TRAINS, body).id for name, body in bodies.items()}
    with club.writing() as writing:
        writing.remove(TRAINS, club.permit, trains["Gone"], if_match=ANY_VERSION)
    return vehicles, trains


def body_of(connection: Connection, train_id: str) -> dict[str, object]:
    row = connection.execute(
        text("SELECT body FROM trains WHERE id = :id"), {"id": train_id}
    ).one()
    body: dict[str, object] = json.loads(row.body)
    return body


def test_trains_keep_their_vehicles_where_rakes_are_taken_away_and_can_lean_on_them(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    vehicles, trains = made_up(club)
    coach, brake = (
        {"vehicle_id": vehicles["Coach"], "count": 2},
        {"vehicle_id": vehicles["Brake"], "reversed": True},
    )
    turned = [
        {"vehicle_id": vehicles["Brake"], "reversed": False},
        coach | {"reversed": True},
    ]
    engine = {"vehicle_id": vehicles["Engine"]}
    downgrade(bare_database, "0001")
    with bare_database.read() as connection:
        apart, measured = (
            body_of(connection, trains[name]) for name in ("Apart", "Measured")
        )
        assert apart["vehicles"] == [engine, coach, brake, *turned]
        assert apart["measured_rakes"] == [
            {"first": 2, "last": 3, "length_mm": 512.5, "length_over": "couplings"}
        ]
        assert (measured["name"], measured["vehicles"]) == (
            "Mésuré",
            [engine, coach, brake, *turned, engine],
        )
        assert measured["measured_rakes"] == [
            {"first": 1, "last": 5, "length_mm": 900.0, "length_over": "buffers"}
        ]
        assert body_of(connection, trains["Plain"]) == {
            "name": "Plain",
            "owner_id": club.steward_id,
            "vehicles": [engine],
        }
        assert body_of(connection, trains["Gone"])["vehicles"] == [coach, brake]
        links = connection.execute(
            text(
                "SELECT pointer, target_kind, target_id FROM links WHERE source_id ="
                " :id ORDER BY pointer"
            ),
            {"id": trains["Apart"]},
        ).all()
    assert [tuple(link) for link in links] == [
        ("/owner_id", "members", club.steward_id),
        ("/vehicles/0/vehicle_id", "vehicles", vehicles["Engine"]),
        ("/vehicles/1/vehicle_id", "vehicles", vehicles["Coach"]),
        ("/vehicles/2/vehicle_id", "vehicles", vehicles["Brake"]),
        ("/vehicles/3/vehicle_id", "vehicles", vehicles["Brake"]),
        ("/vehicles/4/vehicle_id", "vehicles", vehicles["Coach"]),
    ]


def test_nothing_speaks_of_rakes_modules_and_standards_after_they_are_taken_away(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    made_up(club)
    module = club.make(MODULES, ModuleBody(name="Oak end"))
    waiver = Waiver(rule=1, module_id=module.id, reason="old")
    club.make(
        STANDARDS,
        StandardBody(name="Ours", asks=(BoardMass(mass_g=1.0),), waivers=(waiver,)),
    )
    downgrade(bare_database, "0001")
    gone = ["rakes", "modules", "standards"]
    with bare_database.read() as connection:
        for speaking in (
            select(links.c.source_id).where(
                or_(links.c.source_kind.in_(gone), links.c.target_kind.in_(gone))
            ),
            select(history.c.id).where(history.c.kind.in_(gone)),
            select(trains.c.id).where(trains.c.body.contains("rake_id")),
        ):
            assert connection.execute(speaking).first() is None


def test_trains_that_went_down_come_up_again_as_they_then_were(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    vehicles, trains = made_up(club)
    downgrade(bare_database, "0001")
    migrate(bare_database)
    with club.reading() as reading:
        train = reading.get(TRAINS, club.club_id, trains["Apart"]).body
        assert isinstance(train, TrainBody)
        assert [one.vehicle_id for one in train.vehicles][:2] == [
            vehicles["Engine"],
            vehicles["Coach"],
        ]
        assert reading.page(RAKES, club.club_id) == []
    with club.writing() as writing:
        writing.remove(TRAINS, club.permit, trains["Apart"], if_match=ANY_VERSION)
