"""Lists beneath a drawing: headed, in columns, over as many pages as they need."""

from collections.abc import Iterator, Sequence
from math import ceil
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.plans.lettering import Words, words, wrapped, write
from standage.drawings.plans.sheets import Paper, moved
from standage.drawings.plans.signs import draw_sample
from standage.railway.track.plans.plan import FittingKind

_COLUMN_MM = 85.0
"""A column is at least so wide."""
_BETWEEN_MM = 5.0
_SIGN_MM = 6.0
_FEW = 6
MOST_OF_A_LIST = 300


class Listing(msgspec.Struct, frozen=True, kw_only=True):
    """Entries under a heading; of more than there is room for the rest is counted."""

    heading: str
    entries: tuple[str, ...]
    signs: tuple[FittingKind, ...] = ()


class ListLine(msgspec.Struct, frozen=True, kw_only=True):
    """A line of a list, with the sign that it explains."""

    said: Words
    is_heading: bool = False
    sign: FittingKind | None = None


class Columns(msgspec.Struct, frozen=True, kw_only=True):
    """Lines of words, and how they stand on paper: in so many columns."""

    paper: Paper
    lines: tuple[ListLine, ...]
    across: int
    column_mm: float

    @property
    def deep(self) -> int:
        """How many lines the first column has, where they are about equally long.

        No column ends with a heading.
        """
        deep = max(1, ceil(len(self.lines) / self.across))
        while any(one.is_heading for one in self.lines[deep - 1 :: deep]):
            deep += 1
        return deep

    def high_mm(self) -> float:
        """How high they are where they stand all side by side."""
        return self.deep * self.paper.line_mm

    def per_page(self, high_mm: float) -> int:
        """How many lines a page of that height holds."""
        deep = int(high_mm / self.paper.line_mm)
        return max(1, deep) * self.across

    def draw(self, group: ET.Element, lines: Sequence[ListLine], *, deep: int) -> None:
        """Write lines down the columns, so many in each."""
        for number, one in enumerate(lines):
            column, row = divmod(number, deep)
            left_mm = column * (self.column_mm + _BETWEEN_MM)
            top_mm = row * self.paper.line_mm
            if one.sign is not None:
                middle_mm = top_mm + one.said.above_mm / 2
                draw_sample(
                    moved(group, left_mm + _SIGN_MM / 2, middle_mm),
                    one.sign,
                )
                left_mm += _SIGN_MM
            write(
                group,
                left_mm,
                top_mm + one.said.above_mm,
                one.said,
            )


def columns(paper: Paper, listings: Sequence[Listing]) -> Columns:
    """Return lists as lines of words, in as many columns as go on the paper."""
    across = max(1, int((paper.wide_mm + _BETWEEN_MM) / (_COLUMN_MM + _BETWEEN_MM)))
    free_mm = paper.wide_mm - (across - 1) * _BETWEEN_MM
    column_mm = free_mm / across
    lines: list[ListLine] = []
    for listing in listings:
        if listing.entries:
            lines += _lines(listing, paper, column_mm)
    # Few lines are read more easily below each other than side by side.
    needed = max(1, ceil(len(lines) / _FEW))
    return Columns(
        paper=paper,
        lines=tuple(lines),
        across=min(across, needed),
        column_mm=column_mm,
    )


def _lines(listing: Listing, paper: Paper, column_mm: float) -> Iterator[ListLine]:
    size_mm = paper.text_mm
    head = words(
        listing.heading,
        size_mm=size_mm,
        most_mm=column_mm,
        is_bold=True,
    )
    yield ListLine(said=head, is_heading=True)
    signs = dict(zip(listing.entries, listing.signs, strict=False))
    for entry in listing.entries[:MOST_OF_A_LIST]:
        sign = signs.get(entry)
        for one in wrapped(entry, size_mm=size_mm, most_mm=column_mm):
            yield ListLine(said=one, sign=sign)
    left = len(listing.entries) - MOST_OF_A_LIST
    if left > 0:
        more = words(
            f"… and {left} more",
            size_mm=size_mm,
            most_mm=column_mm,
        )
        yield ListLine(said=more)
    yield ListLine(
        said=Words(
            text="",
            size_mm=size_mm,
            width_mm=0.0,
        )
    )
