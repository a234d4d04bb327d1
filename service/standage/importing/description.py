"""What the general machinery asks of a sort of list: one value for each kind of record
that can be imported.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Generic, TypeVar

import msgspec

from standage.exchange.cells import Sheet
from standage.exchange.headings import Column, SheetMapping
from standage.importing.outcomes import Judged
from standage.railway.terms.figures import says
from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.reading import Reading
from standage.registry.records.record import Permit
from standage.registry.writing.list_imports import RecordText, Sort

M = TypeVar("M", bound=SheetMapping)


class Assumption(msgspec.Struct, frozen=True, kw_only=True):
    """Something that holds for the rows although no cell says it."""

    field: Annotated[str, says("The record's field, or the part of the mapping.")]
    message: Annotated[str, says("What is assumed, and how to say otherwise.")]


class ReadList(msgspec.Struct, Generic[M], frozen=True, kw_only=True):
    """A list once it is read, packed to go from process to process."""

    about: Any
    is_mapped: bool
    """Whether somebody said what the columns hold."""
    mapping: M
    columns: tuple[Column, ...]
    sheet: bytes
    rows: tuple[bytes, ...]
    """Lots of rows as they were read."""
    wanted: bytes
    """What the rows name records by."""
    on_record: tuple[bytes, ...] = ()
    """Lots of records: all that the rows can mean, once that is looked up."""
    others: tuple[bytes, ...] = ()
    """Lots of records whose names may look like those of the rows."""


class Words(msgspec.Struct, frozen=True, kw_only=True):
    """What an import of one kind of list is called, and the records that it changes."""

    called: str
    on_record: str


@dataclass(frozen=True, kw_only=True)
class Described(Generic[M]):
    """What a list of one kind holds, how its rows find their records again, and what
    becomes of them.

    It goes to another process, and so names its functions and its kind.
    """

    kind_name: str
    words: Words
    mapping: type[M]
    """What is said of the columns of such a list, and of all its rows."""
    slips: frozenset[str]
    """The codes of notes that name each row's own figures."""
    is_list: Callable[[Sheet], bool]
    """Tells which of several sheets is such a list."""
    gather: Callable[[Reading, Permit], Any]
    """Returns what rows are judged by besides records, such as the club's members."""
    suggested: Callable[[Sheet, Any], tuple[M, tuple[Column, ...]]]
    """Returns what the columns are taken to hold where nobody says it."""
    found_columns: Callable[[Sheet, M], Sequence[Column]]
    require: Callable[[M, Any], None]
    """Raises ``Faulty`` where a mapping names what the club does not have."""
    rows_read: Callable[[Sheet, M], Sequence[Any]]
    wanted: Callable[[Sequence[Any], Sheet, M, Any], bytes]
    """Returns what the rows name records by."""
    look_up: Callable[[Reading, Permit, ReadList[M]], ReadList[M]]
    """Returns the list with all the records that its rows can mean."""
    meant: Callable[[Reading, str, bytes], Sequence[RecordText]]
    """Returns the records of a club that rows could mean, by what was ``wanted``."""
    judged: Callable[[ReadList[M], Sheet], list[Judged]]
    """Returns what becomes of every row."""
    assumed: Callable[[ReadList[M], Sheet, Sequence[Judged]], Iterable[Assumption]]

    @property
    def kind(self) -> Kind[Any]:
        """The kind of its records."""
        return KINDS[self.kind_name]

    @property
    def sort(self) -> Sort:
        """As what its imports are kept."""
        return Sort(kind=self.kind_name, called=self.words.called)
