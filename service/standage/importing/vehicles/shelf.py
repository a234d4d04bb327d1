"""The vehicles on record, and which of them a row of a list means: numbers may have
lost their noughts on the way.
"""

from collections import defaultdict
from collections.abc import Iterable

import msgspec

from standage.registry.database.tables import name_key
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.stock_keys import without_noughts
from standage.registry.writing.list_imports import RecordText

KEY_FIELDS = ("external_key", "number", "name")


class Present(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle on record."""

    id: str
    version: int
    owner_id: str
    body: VehicleBody


def _present(text: RecordText) -> Present:
    body = msgspec.json.decode(text.body, type=VehicleBody)
    return Present(
        id=text.id,
        version=text.version,
        owner_id=text.owner_id,
        body=body,
    )


class Shelf:
    """Vehicles on record, by all that a row may name them by."""

    def __init__(self, vehicles: Iterable[RecordText]) -> None:
        self.by_id: dict[str, Present] = {}
        self._keyed: defaultdict[tuple[str, str, str], list[Present]] = defaultdict(
            list
        )
        self._bare: defaultdict[tuple[str, str, str], list[Present]] = defaultdict(list)
        for one in vehicles:
            self._put(_present(one))

    def _put(self, present: Present) -> None:
        self.by_id[present.id] = present
        body, owner_id = present.body, present.owner_id
        fields = KEY_FIELDS if body.external_key is None else KEY_FIELDS[:1]
        for field in fields:
            value = getattr(body, field)
            if value is None:
                continue
            self._keyed[owner_id, field, name_key(value)].append(present)
            bare = without_noughts(value)
            if bare is not None:
                self._bare[owner_id, field, bare].append(present)

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
        by_key = self._bare[owner_id, "external_key", bare]
        near = by_key or self._bare[owner_id, field, bare]
        same = name_key(key)
        keys = [name_key(key_of(one.body, field) or "") for one in near]
        return [one for one, own in zip(near, keys, strict=True) if own != same]


def key_of(body: VehicleBody, field: str) -> str | None:
    """Return what a vehicle on record is found again by: its key, else what it has in
    that field.
    """
    return body.external_key or getattr(body, field)


def lost_noughts(short: str | None, whole: str | None) -> bool:
    """Tell whether one number is the other without some of the noughts before it."""
    if short is None or whole is None:
        return False
    is_shorter = len(short.strip()) < len(whole.strip())
    if not is_shorter:
        return False
    bare = without_noughts(short)
    if bare is None:
        return False
    return bare == without_noughts(whole)
