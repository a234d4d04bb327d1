"""A published standard, and what looking a figure up in it can come to: held, not
held, or not allowed.
"""

from collections.abc import Mapping
from typing import Annotated, Generic, Literal, TypeVar

import msgspec

from standage.railway.terms.figures import millimetres, says, tidy

Row = TypeVar("Row")


class Standard(msgspec.Struct, frozen=True, kw_only=True):
    """A standard by its name and edition; ``as_quoted`` where only a quotation of it,
    of that year, was read.
    """

    name: str
    edition: str | None = None
    as_quoted: bool = False

    @property
    def called(self) -> str:
        """Its name as messages have it.

        >>> Standard(name="NEM 112", as_quoted=True).called
        'NEM 112 as quoted'
        >>> Standard(name="NEM 103", edition="2016").called
        'NEM 103 (2016)'
        """
        if self.as_quoted:
            when = "" if self.edition is None else f" in {self.edition}"
            return f"{self.name} as quoted{when}"
        edition = "" if self.edition is None else f" ({self.edition})"
        return f"{self.name}{edition}"


class Held(msgspec.Struct, frozen=True, kw_only=True):
    """A row that is just what was asked: its words, and its figure in mm."""

    standard: Standard
    row: str
    value_mm: float


class NotHeld(msgspec.Struct, frozen=True, kw_only=True):
    """No row is just what was asked; ``row`` has the words of what was looked for."""

    standard: Standard
    row: str


class NotAllowed(msgspec.Struct, frozen=True, kw_only=True):
    """The row is there and says that this is not to be built."""

    standard: Standard
    row: str


Found = Held | NotHeld | NotAllowed
Outcome = Literal["held", "not_held", "not_allowed"]


class Table(Generic[Row]):
    """The rows of one standard, by what they are looked up by; a row of None is not
    allowed.
    """

    def __init__(self, standard: Standard, rows: Mapping[Row, float | None]) -> None:
        self.standard = standard
        self._rows = rows

    def found(self, row: Row, *, words: str) -> Found:
        """Return the row that is just ``row``, called by ``words`` in messages.

        >>> sheet = Table(Standard(name="Sheet"), {("H0", 400.0): 64.0})
        >>> sheet.found(("H0", 400.0), words="H0, R 400").value_mm
        64.0
        >>> type(sheet.found(("H0", 401.0), words="H0, R 401")).__name__
        'NotHeld'
        """
        if row not in self._rows:
            return NotHeld(standard=self.standard, row=words)
        value_mm = self._rows[row]
        if value_mm is None:
            return NotAllowed(standard=self.standard, row=words)
        return Held(standard=self.standard, row=words, value_mm=value_mm)


class ByTable(msgspec.Struct, frozen=True, kw_only=True):
    """What a published table says, beside what geometry does: in mm, null where
    nothing is held.
    """

    standard: Annotated[str, says("The standard by its name.")]
    as_quoted: Annotated[bool, says("Whether only a quotation of it was read.")]
    row: Annotated[str, says("The row that was looked for.")]
    outcome: Annotated[Outcome, says("Whether the table has just that row.")]
    table_mm: Annotated[float | None, says("The row's figure, in mm.")]
    geometry_mm: Annotated[float | None, says("What the answer reckons, in mm.")] = None
    difference_mm: Annotated[
        float | None, says("How much more geometry asks for than the table, in mm.")
    ] = None
    message: Annotated[str, says("The same in words.")]


def beside(found: Found, *, geometry_mm: float | None = None) -> ByTable:
    """Return what a table says beside what geometry asks for, in mm. **Source**
    derived.

    >>> row = Held(standard=Standard(name="Sheet"), row="R 400", value_mm=64.0)
    >>> beside(row, geometry_mm=65.5).difference_mm
    1.5
    >>> beside(row, geometry_mm=65.5).message
    'Sheet has 64 mm for R 400, 1.5 mm less than is reckoned here'
    """
    table_mm = found.value_mm if isinstance(found, Held) else None
    difference_mm = None
    if table_mm is not None and geometry_mm is not None:
        difference_mm = tidy(geometry_mm - table_mm)
    return ByTable(
        standard=found.standard.name,
        as_quoted=found.standard.as_quoted,
        row=found.row,
        outcome=outcome(found),
        table_mm=table_mm,
        geometry_mm=geometry_mm,
        difference_mm=difference_mm,
        message=_said(found, difference_mm),
    )


def outcome(found: Found) -> Outcome:
    """Return what looking a figure up came to, in a word. **Source** derived."""
    if isinstance(found, Held):
        return "held"
    return "not_allowed" if isinstance(found, NotAllowed) else "not_held"


def _said(found: Found, difference_mm: float | None) -> str:
    called = found.standard.called
    if isinstance(found, NotHeld):
        return f"no figure of {called} is at hand for {found.row}"
    if isinstance(found, NotAllowed):
        return f"{called} does not allow {found.row}"
    has = f"{called} has {millimetres(found.value_mm)} for {found.row}"
    if difference_mm is None:
        return has
    if difference_mm == 0:
        return f"{has}, just what is reckoned here"
    amount = millimetres(abs(difference_mm))
    than = "less" if difference_mm > 0 else "more"
    return f"{has}, {amount} {than} than is reckoned here"
