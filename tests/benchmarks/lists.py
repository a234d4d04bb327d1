"""Whether lists stay as quick with a hundred times the records: every filter and sort
of vehicles, on both databases.

Each way to ask is timed among 1,000 and among 100,000 vehicles of one club, other clubs
aside, in turns within one run. Run with ``PYTHONPATH=service:tests python -m
benchmarks.lists [MANY]``.
"""

import itertools
import os
import statistics
import sys
import tempfile
from collections.abc import Iterator, Mapping
from datetime import timedelta
from pathlib import Path
from time import perf_counter

import msgspec
from sqlalchemy import insert, text
from uuid_utils import uuid7

from benchmarks.asking import addresses
from standage.railway.stock.vehicles import VehicleKind
from standage.railway.terms.scales import ScaleName
from standage.registry.database.engine import Database, open_database
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import VEHICLES
from standage.registry.records.reading import Listing, Reading, position
from support.clubs import NOW, Club, new_club

FEW, MANY = 1_000, 100_000
TIMES = 9
KINDS: tuple[VehicleKind, ...] = ("engine", "coach", "wagon", "brake_van")
SCALES: tuple[ScaleName, ...] = ("00", "N", "H0", "0")


def filled(database: Database, name: str, *, vehicles: int) -> Club:
    """Return a new club with so many vehicles; a hundred of their names, however many
    there are, begin with 0001.
    """
    club = new_club(database, name)
    owners = [club.steward_id, *(str(uuid7()) for _ in range(9))]
    rows = []
    for number in range(vehicles):
        body = VehicleBody(
            name=f"{number * 7919 % vehicles:06} wagon",
            kind=KINDS[number % 4],
            scale=SCALES[number // 4 % 4],
            length_mm=80.0 + number % 50,
            length_over="buffers",
            owner_id=owners[number % 10],
        )
        at = {
            "created_at": NOW + timedelta(seconds=number),
            "updated_at": NOW + timedelta(seconds=2 * number),
        }
        about = {"id": str(uuid7()), "club_id": club.club_id, "version": 1, **at}
        rows.append(
            about | {"body": msgspec.json.encode(body).decode()} | VEHICLES.filing(body)
        )
    with database.write() as connection:
        for start in range(0, vehicles, 5_000):
            connection.execute(insert(VEHICLES.table), rows[start : start + 5_000])
    return club


def ways(club: Club) -> Iterator[tuple[str, Listing]]:
    """Yield every filter that the list declares, alone and none, with every way to sort
    it.
    """
    values = {
        "kind": "wagon",
        "scale": "H0",
        "owner_id": club.steward_id,
        "name_begins": "0001",
    }
    chosen: list[Mapping[str, str]] = [
        {},
        *({name: values[name]} for name in VEHICLES.filters),
    ]
    for filters, sort, descending in itertools.product(
        chosen, VEHICLES.sorts, (False, True)
    ):
        told = ", ".join(filters) or "no filter"
        yield (
            f"{told}, by {sort}{' downwards' if descending else ''}",
            Listing(filters=filters, sort=sort, descending=descending),
        )


def once_ms(club: Club, listing: Listing) -> float:
    """Return how long the first page and the one after it take together."""
    before = perf_counter()
    with club.database.read() as connection:
        reading = Reading(connection)
        page = reading.page(VEHICLES, club.club_id, listing)
        if page:
            after = position(VEHICLES, page[-1], sort=listing.sort)
            reading.page(
                VEHICLES, club.club_id, msgspec.structs.replace(listing, after=after)
            )
    return (perf_counter() - before) * 1000


def measured(dialect: str, url: str, *, many: int) -> None:
    database = open_database(url)
    few_club, many_club = (
        filled(database, "Few", vehicles=FEW),
        filled(database, "Many", vehicles=many),
    )
    with database.write() as connection:
        connection.execute(text("ANALYZE"))
    worst = (0.0, "")
    for (what, few), (_, more) in zip(ways(few_club), ways(many_club), strict=True):
        taken = [
            (once_ms(few_club, few), once_ms(many_club, more)) for _ in range(TIMES)
        ]
        short, long = (statistics.median(side) for side in zip(*taken, strict=True))
        worst = max(worst, (long / short, what))
        print(
            f"{dialect:10} {what:38} {short:6.1f} ms among {FEW}, {long:6.1f} among"
            f" {many}: {long / short:4.1f} times"
        )
    print(f"{dialect:10} the worst: {worst[0]:.1f} times, {worst[1]}")
    database.dispose()


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else MANY
    print(f"load of the machine before: {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as name, addresses(Path(name)) as urls:
        for dialect, url in urls.items():
            measured(dialect, url, many=many)


if __name__ == "__main__":
    main()
