"""The migration that gives vehicles their keys, over stock that was put down without
them.
"""

from collections.abc import Mapping

import msgspec
from sqlalchemy import select

from standage.registry.database.engine import Database
from standage.registry.database.migrate import downgrade, migrate
from standage.registry.database.tables import list_imports, vehicles
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import VEHICLES
from standage.registry.records.record import ANY_VERSION
from standage.registry.writing.list_imports import Looked, Sort, keep, wanted_of
from support.clubs import Club, new_club

NUMBERS = (None, "47", "0047", "000", "S  12", "Straße 7", "E\u0301toile", "４７")
MANY = 1_200
"""More than the migration takes at once."""


def keys(database: Database) -> Mapping[str, str | None]:
    with database.read() as connection:
        rows = connection.execute(select(vehicles.c.id, vehicles.c.stock_key)).all()
    return {row.id: row.stock_key for row in rows}


def stocked(database: Database) -> Club:
    """Return a club whose vehicles have numbers, keys of their owner's, both or
    neither; one of them is deleted.
    """
    club = new_club(database)
    awkward = [
        VehicleBody(name="Van", number=one, external_key=other)
        for one in NUMBERS
        for other in NUMBERS
    ]
    plain = [VehicleBody(name="Van", number=str(number)) for number in range(MANY)]
    bodies = {
        f"01932000-0000-7000-8000-{n:012}": body
        for n, body in enumerate([*awkward, *plain])
    }
    with club.writing() as writing:
        gone, *_ = writing.create_all(VEHICLES, club.permit, bodies)
        writing.remove(VEHICLES, club.permit, gone.id, if_match=ANY_VERSION)
    return club


def test_every_vehicle_has_the_key_that_writing_it_gives_it(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    stocked(bare_database)
    written = keys(bare_database)
    assert len(written) == len(NUMBERS) ** 2 + MANY
    downgrade(bare_database, "0008")
    migrate(bare_database)
    assert keys(bare_database) == written


def test_a_list_that_was_looked_at_outlives_going_down_and_up_and_is_then_looked_at_anew(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    told = {"seen": "a digest", "counts": {"create": 1}}
    looked = Looked(
        head=msgspec.json.encode(told).decode(), sheet=b"", wanted=b"", rows=()
    )
    with club.writing() as writing:
        sort = Sort(kind=VEHICLES.name, called="stock import")
        kept = keep(writing, club.permit, sort, looked)
    downgrade(bare_database, "0008")
    migrate(bare_database)
    with club.reading() as reading:
        text = reading.connection.scalar(select(list_imports.c.head))
        assert wanted_of(reading, kept) is None
    assert msgspec.json.decode(text or "") == told | {"owners": [], "seen": ""}
