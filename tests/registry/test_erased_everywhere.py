"""No string of what a member owns keeps the name: every one that the types allow is
filled with it, then looked for.
"""

import zlib
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import msgspec
import pytest
from msgspec import inspect
from sqlalchemy import select

from standage.registry.database.engine import Database
from standage.registry.database.tables import metadata
from standage.registry.forgetting.erasing import Erasing
from standage.registry.records.bodies import (
    CouplingTypeBody,
    MemberBody,
    RakeBody,
    RakeVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    KINDS,
    MEMBERS,
    RAKES,
    VEHICLES,
    Kind,
)
from standage.registry.records.record import ANY_VERSION, Permit, Record
from support.clubs import NOW, Club

NAME = "Quillfeather"
LATER = NOW + timedelta(hours=1)
OWNED = [kind for kind in KINDS.values() if kind.rights.owned]


class Filling:
    """Builds bodies by their types, with the name in every string that is neither an id
    nor one of a few choices.
    """

    def __init__(self, ids: dict[str, str]) -> None:
        self.ids = ids
        self.planted: list[str] = []

    def value(self, of: inspect.Type, at: str) -> Any:
        match of:
            case inspect.Metadata(type=inner):
                found = self.value(inner, at)
            case inspect.UnionType(types=types):
                text_first = sorted(
                    types, key=lambda one: not isinstance(one, inspect.StrType)
                )
                found = self.value(
                    next(
                        one
                        for one in text_first
                        if not isinstance(one, inspect.NoneType)
                    ),
                    at,
                )
            case inspect.StructType(fields=fields):
                found = {
                    one.encode_name: self.field(one, f"{at}/{one.encode_name}")
                    for one in fields
                }
            case inspect.VarTupleType(item_type=inner, min_length=least):
                found = [self.value(inner, f"{at}/0") for _ in range(least or 1)]
            case inspect.DictType(value_type=inner):
                found = {self.text(f"{at}/key"): self.value(inner, f"{at}/value")}
            case inspect.StrType():
                found = self.text(at)
            case _:
                found = simple(of)
        return found

    def field(self, field: inspect.Field, at: str) -> Any:
        """Return a field's value; none where a record is named, but the ones that it
        must name.
        """
        if field.encode_name.endswith("_id"):
            return self.ids.get(field.encode_name)
        return self.value(field.type, at)

    def text(self, at: str) -> str:
        self.planted.append(at)
        return f"{NAME}-{len(self.planted)}"


def simple(of: inspect.Type) -> Any:
    match of:
        case inspect.LiteralType(values=values):
            return values[0]
        case inspect.BoolType():
            return False
        case inspect.IntType(ge=least) | inspect.FloatType(ge=least):
            return max(least or 1, 1)
    raise TypeError(f"there is no example of {of}")


def bare_text(of: inspect.Type, at: str) -> Iterator[str]:
    """Yield every path at which the types allow a string: what the planting is counted
    against.
    """
    if isinstance(of, inspect.StrType):
        yield at
    for name in ("type", "item_type", "value_type", "key_type"):
        inner = getattr(of, name, None)
        if isinstance(inner, inspect.Type):
            yield from bare_text(inner, at)
    for one in (*getattr(of, "types", ()), *getattr(of, "item_types", ())):
        yield from bare_text(one, at)
    for field in getattr(of, "fields", ()):
        yield from bare_text(field.type, f"{at}/{field.encode_name}")


def full_body(kind: Kind[Any], ids: dict[str, str]) -> tuple[msgspec.Struct, list[str]]:
    """Return a body of that kind with the name in every text, and where the name was
    planted.
    """
    filling = Filling(ids)
    value = filling.value(inspect.type_info(kind.body), "")
    body: msgspec.Struct = msgspec.convert(value, kind.body, strict=False)
    return body, [at.replace("/0", "") for at in filling.planted]


def found_in(database: Database) -> set[str]:
    """Return the tables in which the name stands, squeezed or not."""
    found = set()
    with database.read() as connection:
        for table in metadata.sorted_tables:
            for row in connection.execute(select(table)):
                text = " ".join(map(readable, row)).casefold()
                found |= {table.name} if NAME.casefold() in text else set()
    return found


def readable(value: object) -> str:
    if not isinstance(value, bytes | memoryview):
        return str(value)
    try:
        return zlib.decompress(value).decode()
    except zlib.error:
        return bytes(value).decode()


class Owner:
    """A member of a club with a vehicle and a rake to name in trains."""

    def __init__(self, club: Club) -> None:
        self.club = club
        self.record = club.make(
            MEMBERS, MemberBody(name=NAME, contact=f"{NAME}'s shed")
        )
        vehicle = club.make(
            VEHICLES, VehicleBody(name="Van", owner_id=self.record.id, count=9)
        )
        entries = (RakeVehicle(vehicle_id=vehicle.id),)
        rake = club.make(
            RAKES, RakeBody(name="Ore", owner_id=self.record.id, vehicles=entries)
        )
        self.ids = {
            "owner_id": self.record.id,
            "vehicle_id": vehicle.id,
            "rake_id": rake.id,
        }

    def fill(self, kind: Kind[Any]) -> Record:
        body, _ = full_body(kind, self.ids)
        return self.club.make(kind, body)

    def erase(self, permit: Permit) -> None:
        with self.club.database.write() as connection:
            Erasing(connection, LATER).erase_member(permit, self.record.id)


@pytest.fixture
def owner(club: Club) -> Owner:
    return Owner(club)


@pytest.mark.parametrize("kind", OWNED, ids=lambda kind: kind.name)
def test_the_name_is_planted_in_every_text_that_a_body_has(kind: Kind[Any]) -> None:
    _, planted = full_body(kind, {"owner_id": "1", "vehicle_id": "2", "rake_id": "3"})
    there = {
        at
        for at in bare_text(inspect.type_info(kind.body), "")
        if not at.endswith("_id")
    }
    assert set(planted) == there
    assert {"/name", "/notes"} <= there


@pytest.mark.parametrize("kind", OWNED, ids=lambda kind: kind.name)
@pytest.mark.parametrize("fate", ["kept", "changed", "deleted"])
def test_no_text_of_what_a_member_owned_keeps_the_name(
    club: Club, owner: Owner, kind: Kind[Any], fate: str
) -> None:
    record = owner.fill(kind)
    with club.writing() as writing:
        if fate == "changed":
            writing.change(
                kind,
                club.permit,
                record.id,
                lambda old: msgspec.structs.replace(old.body, notes=NAME),
                if_match=ANY_VERSION,
            )
        if fate == "deleted":
            writing.remove(kind, club.permit, record.id, if_match=ANY_VERSION)
    assert found_in(club.database) >= {"members", "history", kind.table.name}
    owner.erase(club.permit)
    assert found_in(club.database) == set()


def test_an_external_key_and_the_parts_of_a_vehicle_are_struck(
    club: Club, owner: Owner
) -> None:
    vehicle = owner.fill(VEHICLES)
    owner.erase(club.permit)
    with club.reading() as reading:
        left = reading.get(VEHICLES, club.club_id, vehicle.id)
    assert (left.version, left.updated_at) == (2, LATER)
    external_key, front = (
        getattr(left.body, "external_key", ""),
        getattr(left.body, "front_coupling", None),
    )
    assert external_key.startswith("*-")
    assert front is not None
    assert front.type.startswith("*-")


def test_a_coupling_type_that_is_called_after_a_member_still_supplies_its_figures(
    club: Club, owner: Owner
) -> None:
    hook = club.make(
        COUPLING_TYPES, CouplingTypeBody(name=f"{NAME}'s hook", reach_mm=3.0)
    )
    named = {
        "front_coupling": {"type": f"{NAME.upper()}'S  HOOK"},
        "rear_coupling": {"type": f"{NAME}'s wire"},
    }
    body = msgspec.convert(
        {"name": "Wagon", "owner_id": owner.record.id, **named}, VehicleBody
    )
    vehicle = club.make(VEHICLES, body)
    owner.erase(club.permit)
    with club.reading() as reading:
        left = reading.get(VEHICLES, club.club_id, vehicle.id).body
    assert isinstance(left, VehicleBody)
    assert left.front_coupling is not None
    assert left.rear_coupling is not None
    assert (left.front_coupling.type, left.rear_coupling.type) == (hook.id, "*'s wire")
    assert found_in(club.database) == {
        "coupling_types",
        "history",
    }  # the club's own, which the answer says
    with (
        club.writing() as writing,
        pytest.raises(Exception, match="still needed by the vehicle Wagon"),
    ):
        writing.remove(COUPLING_TYPES, club.permit, hook.id, if_match=ANY_VERSION)
