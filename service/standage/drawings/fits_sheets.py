"""A table of trains against places on paper: trains down, places across, in each cell a
sign for the verdict and what is left over.

Everything is in mm of paper. A table that is longer or wider than a page goes on over
as many pages as it takes: all the trains of the first places, then the next places.
"""

from math import ceil, floor
from typing import NamedTuple
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import line
from standage.drawings.plans.lettering import (
    Words,
    width_mm,
    words,
    wrapped,
    write,
)
from standage.drawings.plans.listings import Columns, Listing, columns
from standage.drawings.plans.sheets import PAPERS, Pages, Paper, PaperName, Told, moved
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.standing.verdicts import FitVerdict
from standage.railway.terms.figures import counted, tidy

_LENGTH_MM = 9.5
_LEAST_NAME_MM = 31.0
_MOST_NAME_MM = 90.0
"""Of a train: how long it is, and its name, which has what room is left."""
_LEAST_CELL_MM = 10.8
_MOST_CELL_MM = 14.0
_ROW_MM = 4.5
_TITLE_MM = 9.0
_NAMES_MM = 32.0
"""Names of places run upwards so far."""
_HEAD_MM = _TITLE_MM + _NAMES_MM + _ROW_MM
_KEY_LINE_MM = 3.9
_KEY_MM = 14.0
_TEXT_MM = 2.6
_SMALL_MM = 1.95
"""Of names that go on two lines."""
_LEAST_TEXT_MM = 1.4
_SIGN_AT_MM = 1.9
_SIGN_MM = 1.15
_REACH_MM = 1.9
_PAD_MM = 0.5
_HEAVY_EVERY = 5
"""So many rows or columns are kept together by a heavier line."""

_REACHING: dict[CurveVerdict, str] = {
    "does_not_run": "×",
    "cannot_tell": "?",
    "marginal": "~",
    "runs": "",
}
_VERDICTS: tuple[tuple[FitVerdict, str], ...] = (
    ("fits", "fits"),
    ("tight", "too close to call"),
    ("does_not_fit", "does not fit"),
    ("cannot_tell", "cannot be told"),
)
_BEST = "frame: where the train stands best"
_OF_NUMBERS = (
    "number: mm to spare, rounded down; minus: too little · beside a train its length,"
    " beneath a place its usable length"
)
_OF_REACHING = (
    "behind the number, whether it gets there: × does not run, ~ marginal, ? cannot be"
    " told"
)
_KEY = (_OF_NUMBERS, _OF_REACHING)


class DrawnPair(NamedTuple):
    """What a cell shows; ``spare_mm`` is None where it is not known."""

    verdict: FitVerdict
    reaching: CurveVerdict
    spare_mm: float | None


class DrawnHead(msgspec.Struct, frozen=True, kw_only=True):
    """A train or a place with its length; None where that is not known."""

    name: str
    length_mm: float | None


class DrawnTable(msgspec.Struct, frozen=True, kw_only=True):
    """A whole table: a row of ``pairs`` for each train, and which place is its best."""

    title: str
    trains: tuple[DrawnHead, ...]
    places: tuple[DrawnHead, ...]
    pairs: tuple[tuple[DrawnPair, ...], ...]
    best: tuple[int | None, ...]
    notes: tuple[str, ...]


def table_pages(table: DrawnTable, paper: PaperName) -> Pages:
    """Return a table on pages, upright or across, whichever are fewer; what is said of
    it stands beneath, or on pages of its own.
    """
    upright = PAPERS[paper]
    across, along = _Grid(table, upright.across), _Grid(table, upright)
    grid = along if along.count < across.count else across
    sheet = _Sheet(grid)
    told = Told(
        title=table.title,
        description=" ".join(table.notes),
    )
    return Pages(
        paper=grid.paper,
        told=told,
        count=sheet.count,
        draw=sheet.draw,
    )


class _Part(NamedTuple):
    """The rows and the columns of one page."""

    rows: range
    columns: range


class _Grid:
    """How a table is divided among pages of a paper, about equally."""

    def __init__(self, table: DrawnTable, paper: Paper) -> None:
        self.table = table
        self.paper = paper
        high_mm = paper.high_mm - _HEAD_MM - _KEY_MM
        most_down = int(high_mm / _ROW_MM)
        free_mm = paper.wide_mm - _LENGTH_MM - _LEAST_NAME_MM
        most_across = int(free_mm / _LEAST_CELL_MM)
        self._rows = _parts(len(table.trains), most_down)
        self._columns = _parts(len(table.places), most_across)
        self.count = len(self._rows) * len(self._columns)

    def part(self, page: int) -> _Part:
        """Return what stands on a page, counted from 1."""
        across, down = divmod(page - 1, len(self._rows))
        return _Part(self._rows[down], self._columns[across])

    @property
    def foot_mm(self) -> float:
        """How far down the last page's table and its key reach."""
        rows = self.part(self.count).rows
        return _HEAD_MM + len(rows) * _ROW_MM + _KEY_MM


def _parts(count: int, most: int) -> list[range]:
    """Return so many rows or columns in as few parts as go on pages, about alike."""
    pages = max(1, ceil(count / most))
    each = ceil(count / pages)
    return [range(page * each, min(count, (page + 1) * each)) for page in range(pages)]


class _Sheet:
    """The pages of a table, and of what is said of it."""

    def __init__(self, grid: _Grid) -> None:
        self._grid = grid
        self._paper = grid.paper
        listing = Listing(heading="What is said of it", entries=grid.table.notes)
        self._lists = columns(self._paper, [listing])
        beneath_mm = self._paper.high_mm - grid.foot_mm
        self._is_beneath = self._lists.high_mm() <= beneath_mm
        self._per_page = self._lists.per_page(self._paper.high_mm - _TITLE_MM)
        more = 0
        if not self._is_beneath:
            more = ceil(len(self._lists.lines) / self._per_page)
        self.count = grid.count + more

    def draw(self, page: int) -> ET.Element:
        """Return one page."""
        drawn = ET.Element("g")
        within = moved(drawn, self._paper.margin_mm, self._paper.margin_mm)
        if page > self._grid.count:
            self._notes(within, page)
            return drawn
        part = self._grid.part(page)
        self._title(within, _said(part, self._grid.table, page, self.count))
        _Drawn(within, self._grid.table, part, wide_mm=self._paper.wide_mm).draw()
        if page == self._grid.count and self._is_beneath:
            beneath = moved(within, 0, self._grid.foot_mm)
            self._lists.draw(beneath, self._lists.lines, deep=self._lists.deep)
        return drawn

    def _notes(self, group: ET.Element, page: int) -> None:
        self._title(group, f"page {page} of {self.count}")
        lists: Columns = self._lists
        first = (page - self._grid.count - 1) * self._per_page
        lines = lists.lines[first : first + self._per_page]
        deep = self._per_page // lists.across
        lists.draw(moved(group, 0, _TITLE_MM), lines, deep=deep)

    def _title(self, group: ET.Element, said: str) -> None:
        wide_mm = self._paper.wide_mm
        beside = words(said, size_mm=_TEXT_MM, most_mm=wide_mm / 2)
        left_mm = wide_mm - beside.width_mm
        name = words(
            self._grid.table.title,
            size_mm=4.5,
            most_mm=left_mm - 4.0,
            is_bold=True,
        )
        write(group, 0, 4.5, name)
        write(group, left_mm, 4.5, beside)


def _said(part: _Part, table: DrawnTable, page: int, pages: int) -> str:
    """Return what a page holds, and which it is."""
    whole = [
        counted(len(table.trains), "train"),
        counted(len(table.places), "place"),
    ]
    if len(part.rows) < len(table.trains):
        whole[0] = f"trains {_from_to(part.rows)} of {len(table.trains)}"
    if len(part.columns) < len(table.places):
        whole[1] = f"places {_from_to(part.columns)} of {len(table.places)}"
    held = ", ".join(whole)
    return held if pages == 1 else f"{held} · page {page} of {pages}"


def _from_to(part: range) -> str:
    if len(part) == 1:
        return f"{part.start + 1}"
    return f"{part.start + 1} to {part.stop}"


class _Drawn:
    """One part of a table, drawn about the group's own 0."""

    def __init__(
        self, group: ET.Element, table: DrawnTable, part: _Part, *, wide_mm: float
    ) -> None:
        self._group = group
        self._table = table
        self._part = part
        across = len(part.columns)
        free_mm = wide_mm - _LENGTH_MM
        even_mm = (free_mm - _LEAST_NAME_MM) / max(1, across)
        self._cell_mm = min(_MOST_CELL_MM, even_mm)
        left_mm = free_mm - across * self._cell_mm
        self._name_mm = min(_MOST_NAME_MM, left_mm)
        self._first_mm = self._name_mm + _LENGTH_MM
        self._wide_mm = self._first_mm + across * self._cell_mm
        self._high_mm = len(part.rows) * _ROW_MM

    def draw(self) -> None:
        """Draw names, lines, cells and the key."""
        for column, place in enumerate(self._part.columns):
            left_mm = self._first_mm + column * self._cell_mm
            self._place(left_mm, self._table.places[place])
        for row, train in enumerate(self._part.rows):
            top_mm = _HEAD_MM + row * _ROW_MM
            self._train(top_mm, self._table.trains[train])
        self._lines()
        for row, train in enumerate(self._part.rows):
            self._row(_HEAD_MM + row * _ROW_MM, train)
        self._key()

    def _place(self, left_mm: float, place: DrawnHead) -> None:
        foot_mm = _TITLE_MM + _NAMES_MM
        lines = wrapped(
            place.name,
            size_mm=_TEXT_MM,
            most_mm=_NAMES_MM - 2 * _PAD_MM,
            most_lines=2,
        )
        deep_mm = 1.25 * _TEXT_MM
        base_mm = (self._cell_mm - len(lines) * deep_mm) / 2 + _TEXT_MM
        for number, one in enumerate(lines):
            upwards = ET.SubElement(
                self._group,
                "g",
                _upwards(left_mm + base_mm + number * deep_mm, foot_mm - _PAD_MM),
            )
            write(upwards, 0, 0, one)
        length = _number(place.length_mm, most_mm=self._cell_mm - 2 * _PAD_MM)
        middle_mm = left_mm + (self._cell_mm - length.width_mm) / 2
        write(self._group, middle_mm, _HEAD_MM - 1.2, length)

    def _train(self, top_mm: float, train: DrawnHead) -> None:
        base_mm = _base_mm(top_mm)
        self._name(top_mm, train.name)
        length = _number(train.length_mm, most_mm=_LENGTH_MM - 2 * _PAD_MM)
        right_mm = self._first_mm - _PAD_MM
        write(self._group, right_mm - length.width_mm, base_mm, length)

    def _name(self, top_mm: float, name: str) -> None:
        """Write a train's name; a long one in small letters on two lines."""
        room_mm = self._name_mm - _PAD_MM
        one = words(name, size_mm=_TEXT_MM, most_mm=room_mm)
        if one.whole is None:
            write(self._group, 0, _base_mm(top_mm), one)
            return
        lines = wrapped(name, size_mm=_SMALL_MM, most_mm=room_mm, most_lines=2)
        each_mm = _ROW_MM / len(lines)
        for number, line_ in enumerate(lines):
            middle_mm = top_mm + (number + 0.5) * each_mm
            write(self._group, 0, middle_mm + 0.36 * _SMALL_MM, line_)

    def _lines(self) -> None:
        foot_mm = _HEAD_MM + self._high_mm
        for row in range(len(self._part.rows) + 1):
            down_mm = _HEAD_MM + row * _ROW_MM
            width = _weight(row, len(self._part.rows))
            line(self._group, (0, down_mm), (self._wide_mm, down_mm), width=width)
        for column in range(len(self._part.columns) + 1):
            left_mm = self._first_mm + column * self._cell_mm
            width = _weight(column, len(self._part.columns))
            line(self._group, (left_mm, _TITLE_MM), (left_mm, foot_mm), width=width)

    def _row(self, top_mm: float, train: int) -> None:
        best = self._table.best[train]
        for column, place in enumerate(self._part.columns):
            left_mm = self._first_mm + column * self._cell_mm
            self._cell(left_mm, top_mm, self._table.pairs[train][place])
            if place == best:
                _frame(self._group, left_mm, top_mm, wide_mm=self._cell_mm)

    def _cell(self, left_mm: float, top_mm: float, pair: DrawnPair) -> None:
        middle_mm = top_mm + _ROW_MM / 2
        sign(self._group, left_mm + _SIGN_AT_MM, middle_mm, pair.verdict)
        base_mm = _base_mm(top_mm)
        number_mm = self._cell_mm - 2 * _SIGN_AT_MM - _REACH_MM + _PAD_MM
        if pair.spare_mm is not None:
            number = _number(pair.spare_mm, most_mm=number_mm)
            right_mm = left_mm + self._cell_mm - _REACH_MM
            write(self._group, right_mm - number.width_mm, base_mm, number)
        reaching = _REACHING[pair.reaching]
        if reaching:
            mark = words(reaching, size_mm=2.2, most_mm=_REACH_MM)
            write(self._group, left_mm + self._cell_mm - _REACH_MM + 0.3, base_mm, mark)

    def _key(self) -> None:
        key = moved(self._group, 0, _HEAD_MM + self._high_mm + 1.0)
        left_mm = 0.0
        for verdict, said in _VERDICTS:
            sign(key, left_mm + _SIGN_MM, 2.2, verdict)
            one = words(said, size_mm=_TEXT_MM, most_mm=40.0)
            write(key, left_mm + 3.2, 3.1, one)
            left_mm += 3.2 + one.width_mm + 3.0
        best = words(_BEST, size_mm=_TEXT_MM, most_mm=80.0)
        write(key, left_mm, 3.1, best)
        for number, said in enumerate(_KEY, 1):
            one = words(said, size_mm=_TEXT_MM, most_mm=190.0)
            write(key, 0, 3.1 + number * _KEY_LINE_MM, one)


def _upwards(left_mm: float, foot_mm: float) -> dict[str, str]:
    return {"transform": f"translate({left_mm:.2f} {foot_mm:.2f}) rotate(-90)"}


def _base_mm(top_mm: float) -> float:
    return top_mm + _ROW_MM / 2 + 0.36 * _TEXT_MM


def _weight(number: int, last: int) -> str:
    return "0.3" if number % _HEAVY_EVERY == 0 or number == last else "0.1"


def _number(value_mm: float | None, *, most_mm: float) -> Words:
    """Return whole mm, never more than there are, as small as they must be to stand in
    so much room.
    """
    said = "?" if value_mm is None else f"{floor(tidy(value_mm))}".replace("-", "−")
    whole_mm = width_mm(said, size_mm=_TEXT_MM)
    size_mm = _TEXT_MM
    if whole_mm > most_mm:
        size_mm = max(_LEAST_TEXT_MM, floor(10 * _TEXT_MM * most_mm / whole_mm) / 10)
    return words(said, size_mm=size_mm, most_mm=most_mm)


def sign(parent: ET.Element, x_mm: float, y_mm: float, verdict: FitVerdict) -> None:
    """Draw the sign of a verdict about a place: a black disc, one half black, a cross,
    or a question mark.
    """
    if verdict == "does_not_fit":
        arm_mm = 0.9 * _SIGN_MM
        for up_mm in (arm_mm, -arm_mm):
            one = (x_mm - arm_mm, y_mm - up_mm)
            other = (x_mm + arm_mm, y_mm + up_mm)
            line(parent, one, other, width="0.4")
        return
    if verdict == "cannot_tell":
        mark = words("?", size_mm=3.0, most_mm=3.0, is_bold=True)
        write(parent, x_mm - mark.width_mm / 2, y_mm + 1.05, mark)
        return
    disc = {
        "cx": f"{x_mm:.2f}",
        "cy": f"{y_mm:.2f}",
        "r": f"{_SIGN_MM:g}",
        "fill": "black" if verdict == "fits" else "white",
        "stroke": "black",
        "stroke-width": "0.25",
    }
    ET.SubElement(parent, "circle", disc)
    if verdict == "tight":
        top, foot = f"{y_mm - _SIGN_MM:.2f}", f"{y_mm + _SIGN_MM:.2f}"
        half = f"M{x_mm:.2f} {top}A{_SIGN_MM:g} {_SIGN_MM:g} 0 0 0 {x_mm:.2f} {foot}Z"
        ET.SubElement(parent, "path", {"d": half, "fill": "black"})


def _frame(
    parent: ET.Element, left_mm: float, top_mm: float, *, wide_mm: float
) -> None:
    box = {
        "x": f"{left_mm + 0.35:.2f}",
        "y": f"{top_mm + 0.35:.2f}",
        "width": f"{wide_mm - 0.7:.2f}",
        "height": f"{_ROW_MM - 0.7:.2f}",
        "fill": "none",
        "stroke": "black",
        "stroke-width": "0.5",
    }
    ET.SubElement(parent, "rect", box)
