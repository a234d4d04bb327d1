"""The records that a caller names by their ids, within one club and one snapshot: what
was read ahead comes first.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec

from standage.questions.resolving.reading_ahead import Ahead
from standage.railway.terms.scales import ScaleName
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.drafts import (
    SavedBeneath,
    Wish,
    bodies_saved,
    draft_of,
    revision_read,
    saved_beneath,
)
from standage.registry.records.kinds import Kind
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import Kept, Record
from standage.registry.records.revisions import Revision
from standage.registry.records.stock_of_scales import state_of_stock, stock_of_scales
from standage.shapes.faults import Fault, Faulty

MOST_AT_ONCE = 10_000
"""So many ids go into one statement: both databases bound what it may hold."""


class Lookup:
    """Finds records by their ids; without a ``reading`` every id is unknown."""

    def __init__(self, reading: Reading | None, club_id: str) -> None:
        self._reading = reading
        self._club_id = club_id
        self._ahead = Ahead()

    def read_ahead(self, train_id: str, *, layout_id: str | None = None) -> None:
        """Read in one statement what a question about a train, and about the places of
        a layout, will ask for.

        What is asked for later is taken from it; what is not in it is asked for as
        ever.
        """
        self._ahead.read(
            self._open, self._club_id, train_id=train_id, layout_id=layout_id
        )

    def asked_for(self, kind: Kind[Any], record_id: str, parameter: str) -> Record:
        """Return a record that a query's parameter names; raises ``Faulty`` where there
        is none.
        """
        record = self.many(kind, [record_id]).get(record_id)
        if record is None:
            raise Faulty([no_such(kind, parameter=parameter)])
        return record

    def page(self, kind: Kind[Any], listing: Listing) -> Sequence[Record]:
        """Return part of the list of the club's records of that kind."""
        return self._open.page(kind, self._club_id, listing)

    @property
    def club_id(self) -> str:
        """The club within which records are found."""
        return self._club_id

    def state_of_stock(self, scales: Iterable[ScaleName]) -> str:
        """Return what names the club's stock of some scales as it is now."""
        return state_of_stock(self._open, self._club_id, scales)

    def stock_of(self, scales: Iterable[ScaleName]) -> list[VehicleBody]:
        """Return the club's stock of some scales: for its sizes, not to be shown."""
        return stock_of_scales(self._open, self._club_id, scales)

    @property
    def _open(self) -> Reading:
        """The reading of a caller who is known; strangers reach nothing that is on
        record.
        """
        if self._reading is None:
            message = "a record was asked for without a club"
            raise RuntimeError(message)
        return self._reading

    def beneath(self, kind: Kind[Any], parent_id: str | None) -> Sequence[Kept]:
        """Return all of that kind beneath a parent, or all of the club's; a stranger
        has none.
        """
        if self._reading is None:
            return ()
        ahead = self._ahead.whole(kind, parent_id)
        if ahead is not None:
            return ahead
        return self._reading.every(kind, self._club_id, parent_id=parent_id)

    def at(
        self, kind: Kind[Any], record_id: str, *, parent_id: str | None = None
    ) -> Kept:
        """Return the record that an address names; raises ``Absent`` where there is
        none.
        """
        ahead = self._ahead.by_id(kind).get(record_id)
        if ahead is not None and parent_id in {None, ahead.parent_id}:
            return ahead
        return self._open.get(kind, self._club_id, record_id, parent_id=parent_id)

    def named(self, kind: Kind[Any], record_id: str, pointer: str) -> Kept:
        """Return a record that a body names; raises ``Faulty`` where there is none."""
        record = self.many(kind, [record_id]).get(record_id)
        if record is None:
            raise Faulty([no_such(kind, pointer=pointer)])
        return record

    def found(self, kind: Kind[Any], ids: Iterable[str]) -> Mapping[str, Kept]:
        """Return those records that there are, by id: from what was read ahead, else as
        ``many`` finds them.
        """
        ahead = self._ahead.by_id(kind)
        wanted = list(ids)
        if all(one in ahead for one in wanted):
            return ahead
        return {**ahead, **self.many(kind, wanted)}

    def many(self, kind: Kind[Any], ids: Iterable[str]) -> Mapping[str, Record]:
        """Return those records that there are, by id; a stranger has none."""
        if self._reading is None:
            return {}
        wanted = list(dict.fromkeys(ids))
        found: dict[str, Record] = {}
        for start in range(0, len(wanted), MOST_AT_ONCE):
            some = wanted[start : start + MOST_AT_ONCE]
            found |= self._reading.many(kind, self._club_id, some)
        return found

    def draft(self, kind: Kind[Any], parent_id: str) -> Record:
        """Return the one record of a kind beneath what an address names; raises
        ``Absent`` where there is none.
        """
        return draft_of(self._open, kind, self._club_id, parent_id)

    def revision(self, kind: Kind[Any], draft: Record, number: int) -> Revision:
        """Return a draft's revision; raises ``Absent`` where there is none."""
        return revision_read(self._open, kind, draft, number)

    def saved_beneath(
        self, kind: Kind[Any], wishes: Iterable[Wish]
    ) -> Mapping[Wish, SavedBeneath]:
        """Return what there is of revisions that are wished for; a stranger has
        none.
        """
        if self._reading is None:
            return {}
        return saved_beneath(self._reading, kind, self._club_id, wishes)

    def bodies_saved(
        self, kind: Kind[Any], saved: Iterable[SavedBeneath]
    ) -> Mapping[tuple[str, int], msgspec.Struct]:
        """Return the bodies of revisions that were found."""
        if self._reading is None:
            return {}
        return bodies_saved(self._reading, kind, self._club_id, saved)


def no_such(
    kind: Kind[Any], *, pointer: str | None = None, parameter: str | None = None
) -> Fault:
    """Return the fault of an id or a name that is not on record: the same words
    whatever became of it.
    """
    message = (
        f"there is no such {kind.one} on record: send an id or a name from GET"
        f" {kind.listed_at}"
    )
    return Fault(
        code=f"no_such_{kind.one}",
        message=message,
        pointer=pointer,
        parameter=parameter,
    )
