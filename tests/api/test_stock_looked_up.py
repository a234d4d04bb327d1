"""Of the stock on record a list is judged by what its rows can mean: as if all of it
were read, and no more is.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from itertools import product
from random import Random
from typing import Any

import msgspec
import pytest
from sqlalchemy import event, select

from api.asking import Caller, Service, refusal
from api.sheets import CSV, counted, imported, previewed, rows, vehicles
from standage.importing import preview
from standage.importing.preview import Case
from standage.importing.vehicles.description import VEHICLE_LIST
from standage.registry.database.ids import new_id
from standage.registry.database.tables import vehicles as vehicles_table
from standage.registry.records.bodies import MemberBody, VehicleBody
from standage.registry.records.kinds import MEMBERS, VEHICLES
from standage.registry.records.stock_keys import stock_key_of
from standage.registry.writing.list_imports import KeptRow, from_lots, in_lots
from standage.registry.writing.stock_found import vehicle_texts
from support.clubs import Club
from support.databases import statements

NAMES = ("Ore wagon", "ore  WAGON", "Van")
KEYS = (None, "47", "047", "S 12", "s  12")
HEAD = "Record id,Key,Number,Name,Scale,Owner"
LISTED = "Key,Number,Name,Scale\n,47,Ore wagon,00\n,,Van,00\nS 12,,Tank,00\n"
MANY = 400


def stocks(club: Club, chance: Random) -> dict[str, list[str]]:
    """Put down, for each of many members, up to two vehicles that are called much
    alike; return their ids.
    """
    members = {new_id(): MemberBody(name=f"Member {number}") for number in range(MANY)}
    bodies = list(product(NAMES, KEYS, KEYS[:-1]))
    owned: dict[str, list[str]] = {owner_id: [] for owner_id in members}
    made: dict[str, VehicleBody] = {}
    for owner_id, ids in owned.items():
        for name, number, external_key in chance.sample(bodies, chance.randrange(3)):
            body = VehicleBody(
                name=name,
                number=number,
                external_key=external_key,
                owner_id=owner_id,
                scale="00",
            )
            ids.append(new_id())
            made[ids[-1]] = body
    with club.writing() as writing:
        writing.create_all(MEMBERS, club.permit, members)
        writing.create_all(VEHICLES, club.permit, made)
    return owned


def lines(owned: dict[str, list[str]], chance: Random) -> Iterator[str]:
    """Yield a row for each member, which may name one of the member's vehicles or what
    is like one.
    """
    spellings = ("", *filter(None, KEYS))
    for number, ids in enumerate(owned.values()):
        record_id = chance.choice(["", "", "", "nonsense", *ids])
        named = (
            record_id,
            chance.choice(spellings),
            chance.choice(spellings),
            chance.choice(("", *NAMES)),
        )
        yield ",".join((*named, "00", f"member {number}"))


def test_a_list_is_judged_as_if_all_the_stock_were_read(club: Club) -> None:
    """The whole shelf is the second mechanism: every vehicle of the club, with no
    look-up between.
    """
    chance = Random(20_000)
    owned = stocks(club, chance)
    raw = "\n".join([HEAD, *lines(owned, chance)]).encode()
    with club.reading() as reading:
        about = VEHICLE_LIST.gather(reading, club.permit)
        listed = preview.read(VEHICLE_LIST, Case(about=about, raw=raw))
        looked_up = VEHICLE_LIST.look_up(reading, club.permit, listed)
        everything = msgspec.structs.replace(
            listed, on_record=in_lots(vehicle_texts(reading, club.club_id))
        )
    found, expected = (
        list(from_lots(preview.reckon(VEHICLE_LIST, one).rows, KeptRow))
        for one in (looked_up, everything)
    )
    assert found == expected
    outcomes = Counter(row.outcome for row in found)
    assert (
        min(outcomes[one] for one in ("create", "update", "unchanged", "fault"))
        > MANY / 50
    )


def given(service: Service, ask: Callable[[], object]) -> int:
    """Return how many rows the database gives while ``ask`` is done: every question is
    put to it once more.
    """
    asked: list[tuple[str, Any]] = []

    def note(*arguments: Any) -> None:
        if arguments[2].startswith("SELECT"):
            asked.append((arguments[2], arguments[3]))

    database = service.database
    # on PostgreSQL the reading engine tells the writing one's listeners
    engines = (
        {database._writing, database._reading}
        if database.dialect == "sqlite"
        else {database._writing}
    )
    for engine in engines:
        event.listen(engine, "before_cursor_execute", note)
    ask()
    for engine in engines:
        event.remove(engine, "before_cursor_execute", note)
    assert asked
    with database.write() as connection:
        return sum(len(connection.exec_driver_sql(*one).all()) for one in asked)


def test_a_row_takes_as_many_statements_and_brings_as_many_rows_however_much_stock_there_is(
    service: Service, steward: Caller
) -> None:
    steward.made("/v1/vehicles", {"name": "Ore wagon", "number": "47"})

    def look() -> dict[str, Any]:
        return previewed(steward, LISTED)

    def cost() -> tuple[int, int]:
        with statements(service.database) as sent:
            look()
        return len(sent), given(service, look)

    few = cost()
    many = "Number,Name,Scale\n" + "".join(
        f"{n},Wagon {n},00\n" for n in range(1000, 1300)
    )
    assert imported(steward, previewed(steward, many)).status_code == 200
    assert cost() == few


def changed(steward: Caller, name: str, **fields: Any) -> None:
    path = f"/v1/vehicles/{vehicles(steward)[name]['id']}"
    assert steward.ask("PATCH", path, fields, if_match="*").status_code == 200


def deleted(steward: Caller, name: str) -> None:
    path = f"/v1/vehicles/{vehicles(steward)[name]['id']}"
    assert steward.ask("DELETE", path, if_match="*").status_code == 204


def made(steward: Caller, **fields: Any) -> None:
    steward.made("/v1/vehicles", {"name": "Other", **fields})


@pytest.mark.parametrize(
    "meanwhile",
    [
        lambda steward: made(steward, number="47"),
        lambda steward: made(steward, number="0047"),
        lambda steward: made(steward, name="VAN"),
        lambda steward: made(steward, external_key="s  12"),
        lambda steward: changed(steward, "Old tank", notes="Loose wheel."),
        lambda steward: changed(steward, "Old tank", external_key="S 13"),
        lambda steward: changed(steward, "Bystander", number="47"),
        lambda steward: deleted(steward, "Old tank"),
    ],
    ids=[
        "number",
        "noughts",
        "name",
        "key",
        "changed",
        "another key",
        "renumbered",
        "deleted",
    ],
)
def test_what_changes_a_preview_lets_no_import_go_on_until_it_is_looked_at_anew(
    steward: Caller, meanwhile: Callable[[Caller], None]
) -> None:
    made(steward, name="Old tank", external_key="S 12")
    made(steward, name="Bystander", number="99")
    preview = previewed(steward, LISTED)
    assert counted(preview) == {"create": 2, "update": 1}
    meanwhile(steward)
    refusal(imported(steward, preview), 409, "outdated")
    path = f"/v1/stock-imports/{preview['id']}"
    put = steward.ask(
        "PUT", f"{path}/mapping", preview["mapping"], if_match=steward.tag(path)
    )
    assert put.status_code == 200, put.text
    assert imported(steward, preview, "good").status_code == 200


@pytest.mark.parametrize(
    "meanwhile",
    [
        lambda steward: made(steward, name="Other", number="48"),
        lambda steward: changed(steward, "Bystander", notes="Loose wheel."),
        lambda steward: deleted(steward, "Bystander"),
        lambda steward: made(
            steward,
            number="47",
            owner_id=steward.with_member("member", "Kit Marsh").member_id,
        ),
    ],
    ids=["made", "changed", "deleted", "somebody else's"],
)
def test_what_no_row_can_mean_stops_no_import(
    steward: Caller, meanwhile: Callable[[Caller], None]
) -> None:
    made(steward, name="Bystander", number="99")
    preview = previewed(steward, LISTED)
    meanwhile(steward)
    assert imported(steward, preview).status_code == 200


@pytest.mark.parametrize(("number", "status"), [("47", 200), ("12", 409)])
def test_where_a_mapping_has_numbers_elsewhere_what_those_mean_counts(
    steward: Caller, number: str, status: int
) -> None:
    preview = previewed(steward, "Number,Former,Name,Scale\n47,12,Ore wagon,00\n")
    path = f"/v1/stock-imports/{preview['id']}"
    columns = [
        {"column": 2, "field": "number"},
        {"column": 3, "field": "name"},
        {"column": 4, "field": "scale"},
    ]
    put = steward.ask(
        "PUT",
        f"{path}/mapping",
        preview["mapping"] | {"columns": columns},
        if_match=steward.tag(path),
    )
    assert put.status_code == 200, put.text
    made(steward, number=number)
    assert imported(steward, preview).status_code == status


def test_the_vehicles_of_each_owner_that_a_list_names_are_looked_up(
    steward: Caller,
) -> None:
    kit = steward.with_member("member", "Kit Marsh")
    made(steward, name="Ore wagon", number="47", scale="00")
    made(steward, name="Ore wagon", number="47", scale="00", owner_id=kit.member_id)
    text = (
        "Number,Name,Scale,Owner,Notes\n47,Ore wagon,00,Robin Vale,Blue\n47,Ore"
        " wagon,00,kit marsh,Red\n"
    )
    preview = previewed(steward, text)
    assert counted(preview) == {"update": 2}
    assert len({row["vehicle_id"] for row in rows(steward, preview)}) == 2
    assert imported(steward, preview).status_code == 200


def test_every_way_of_writing_a_vehicle_keeps_the_key_that_it_is_found_by(
    service: Service, steward: Caller
) -> None:
    made(steward, name="Made", number="0047")
    changed(steward, "Made", external_key="Shelf 3")
    changed(steward, "Made", external_key=None)
    made(steward, name="Gone", number="5")
    deleted(steward, "Gone")
    latest = steward.read("/v1/history?action=delete")["items"][0]
    assert steward.ask("POST", f"/v1/history/{latest['id']}/undo").is_success
    done = imported(
        steward, previewed(steward, "Number,Name,Scale\n47,Made,00\n12,Taken in,00\n")
    )
    assert done.status_code == 200
    undone = previewed(steward, "Number,Name,Scale\n12,Taken in,0\n77,Undone,00\n")
    assert imported(steward, undone).status_code == 200
    assert (
        steward.ask("POST", f"/v1/stock-imports/{undone['id']}/undo").status_code == 200
    )
    kit = steward.with_member("member", "Quillfeather")
    made(steward, name="Theirs", external_key="Quillfeather 9", owner_id=kit.member_id)
    assert steward.ask("POST", f"/v1/members/{kit.member_id}/erase").is_success
    with service.database.read() as connection:
        kept = connection.execute(select(vehicles_table)).all()
    assert len(kept) == 5
    assert {row.id: row.stock_key for row in kept} == {
        row.id: stock_key_of(VEHICLES.decode(row.body)) for row in kept
    }
    assert not any("quill" in (row.stock_key or "") for row in kept)


@pytest.mark.parametrize("cell", ["4\x007", "\ufeff47", "%", "\u2028"])
def test_whatever_stands_where_numbers_do_is_answered(
    steward: Caller, cell: str
) -> None:
    response = steward.send(
        "POST",
        "/v1/stock-imports",
        f"Number,Name,Scale\n{cell},Van,00\n".encode(),
        content_type=CSV,
    )
    assert response.status_code in {201, 422}, response.text
