"""The vehicles on record, and which of them a row of a list means: numbers may have
lost their noughts on the way.
"""

from collections import defaultdict
from collections.abc import Iterable

import msgspec

from standage.registry.database.tables import name_key
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.stock_keys import without_noughts
from standage.registry.writing.stock_imports import VehicleText

KEY_FIELDS = ("external_key", "number", "name")


class Present(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle on record."""

    id: str
    version: int
    owner_id: str
    body: VehicleBody


class Shelf:
    """Vehicles on record, by all that a row may name them by."""

    def __init__(self, vehicles: Iterable[VehicleText]) -> None:
        self.by_id: dict[str, Present] = {}
        self._keyed: defaultdict[tuple[str, str, str], list[Present]] = defaultdict(
            list
        )
        self._bare: defaultdict[tuple[str, str, str], list[Present]] = defaultdict(list)
        for one in vehicles:
            body = msgspec.json.decode(one.body, type=VehicleBody)
            present = Present(
                id=one.id, version=one.version, owner_id=one.owner_id, body=body
            )
            self.by_id[one.id] = present
            for field in KEY_FIELDS if body.external_key is None else KEY_FIELDS[:1]:
                value = getattr(body, field)
                if value is not None:
                    self._keyed[one.owner_id, field, name_key(value)].append(present)
                    if (bare := without_noughts(value)) is not None:
                        self._bare[one.owner_id, field, bare].append(present)

    def named(self, owner_id: str, field: str, key: str) -> list[Present]:
        """Return the owner's vehicles known by that key; those without one by their
        number, else by their name.
        """
        return (
            self._keyed[owner_id, "external_key", key]
            or self._keyed[owner_id, field, key]
        )

    def apart_by_noughts(self, owner_id: str, field: str, key: str) -> list[Present]:
        """Return the owner's vehicles whose number is another, but only by the noughts
        before it.
        """
        bare = without_noughts(key)
        if bare is None or field == "name":
            return []
        near = (
            self._bare[owner_id, "external_key", bare]
            or self._bare[owner_id, field, bare]
        )
        return [
            one
            for one in near
            if name_key(key_of(one.body, field) or "") != name_key(key)
        ]


def key_of(body: VehicleBody, field: str) -> str | None:
    """Return what a vehicle on record is found again by: its key, else what it has in
    that field.
    """
    return body.external_key or getattr(body, field)


def lost_noughts(short: str | None, whole: str | None) -> bool:
    """Tell whether one number is the other without some of the noughts before it."""
    if short is None or whole is None or len(short.strip()) >= len(whole.strip()):
        return False
    bare = without_noughts(short)
    return bare is not None and bare == without_noughts(whole)
