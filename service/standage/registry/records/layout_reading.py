"""What whoever holds a share link can see: one layout and what lies beneath it; all
else is as if it were not there.

What the club's coupling types say is read for the questions that are asked about it, so
that the same question has the same answer for a visitor; nobody is shown the types
themselves.
"""

from collections.abc import Iterable, Sequence
from typing import Any, ClassVar

from sqlalchemy import Connection

from standage.registry.records.joint_reading import Wanted
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    LAYOUT_PLANS,
    LAYOUTS,
    PLACES,
    YARDS,
    Kind,
)
from standage.registry.records.names_found import Called, called
from standage.registry.records.reading import Hold, Listing, Reading
from standage.registry.records.record import Change, Kept, Record
from standage.shapes.refusals import Absent

_BENEATH = (PLACES, YARDS, LAYOUT_PLANS)


class LayoutReading(Reading):
    """Reading as it is open to the holder of a link to one layout: every way to read is
    narrowed here, one by one.
    """

    shows_revisions: ClassVar[bool] = False

    def __init__(self, connection: Connection, layout_id: str) -> None:
        super().__init__(connection)
        self._layout_id = layout_id

    def get(
        self,
        kind: Kind[Any],
        club_id: str,
        record_id: str,
        *,
        parent_id: str | None = None,
        hold: Hold = "not",
    ) -> Record:
        """Return the record where it is the layout or lies beneath it; raise ``Absent``
        in the same words else.
        """
        record = super().get(
            kind,
            club_id,
            record_id,
            parent_id=parent_id,
            hold=hold,
        )
        if not self._shows(kind, record):
            raise Absent(f"there is no such {kind.one}")
        return record

    def many(
        self, kind: Kind[Any], club_id: str, record_ids: Iterable[str]
    ) -> dict[str, Record]:
        """Return those records that there are and that can be seen."""
        found = (
            super().many(kind, club_id, record_ids)
            if kind in (LAYOUTS, *_BENEATH)
            else {}
        )
        return {
            record_id: record
            for record_id, record in found.items()
            if self._shows(kind, record)
        }

    def called(
        self, kind: Kind[Any], club_id: str, names: Iterable[str]
    ) -> dict[str, Called]:
        """Return what bears each of these names and can be seen; nobody else's counts
        among those who bear it.
        """
        if kind is LAYOUTS:
            return called(
                self.connection,
                kind,
                club_id,
                names,
                kind.table.c.id == self._layout_id,
            )
        if kind in _BENEATH:
            return called(
                self.connection,
                kind,
                club_id,
                names,
                kind.table.c.parent_id == self._layout_id,
            )
        return {}

    def together(self, club_id: str, wanted: Sequence[Wanted]) -> list[list[Kept]]:
        """Return, of records of several kinds, those that can be seen, and the figures
        of the club's couplings.
        """
        found = super().together(club_id, wanted)
        return [
            [
                record
                for record in records
                if one.kind is COUPLING_TYPES or self._shows(one.kind, record)
            ]
            for one, records in zip(wanted, found, strict=True)
        ]

    def first(
        self, kind: Kind[Any], club_id: str, most: int, *, parent_id: str | None = None
    ) -> list[Record]:
        """Return the first of what lies beneath the layout; of any other kind there is
        nothing.
        """
        if kind not in _BENEATH or parent_id != self._layout_id:
            return []
        return super().first(kind, club_id, most, parent_id=parent_id)

    def page(
        self,
        kind: Kind[Any],
        club_id: str,
        listing: Listing | None = None,
        *,
        parent_id: str | None = None,
    ) -> list[Record]:
        """Return part of the list of what lies beneath the layout; of any other kind
        there is nothing.
        """
        if kind not in _BENEATH:
            return []
        return super().page(
            kind,
            club_id,
            listing,
            parent_id=self._layout_id if parent_id is None else parent_id,
        )

    def every(
        self, kind: Kind[Any], club_id: str, *, parent_id: str | None = None
    ) -> list[Record]:
        """Return the whole list of what lies beneath the layout, or the club's
        couplings; of any other kind nothing.
        """
        if kind is COUPLING_TYPES:
            return Reading(self.connection).every(kind, club_id)
        if kind not in _BENEATH or parent_id != self._layout_id:
            return []
        return super().every(kind, club_id, parent_id=parent_id)

    def changes(self, kind: Kind[Any], club_id: str, record_id: str) -> list[Change]:  # noqa: ARG002 - as any reading's
        """Return nothing: what was before is the club's own."""
        return []

    def _shows(self, kind: Kind[Any], record: Kept) -> bool:
        if kind is LAYOUTS:
            return record.id == self._layout_id
        return kind in _BENEATH and record.parent_id == self._layout_id
