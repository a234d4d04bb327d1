"""What a column of a list of stock holds by its cells: scales under Gauge, inches under
Length.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from statistics import median

import msgspec

from standage.exchange.cells import Cell
from standage.exchange.column_cells import (
    FEWEST,
    Held,
    Sheetwide,
    if_of_the_sort,
    telling,
)
from standage.exchange.fields import UNIT_WORDS, Field, Unit
from standage.exchange.numbers import Decimal, Trouble, number
from standage.exchange.stock.scale_cells import ONLY_GAUGES_MM, named_scale
from standage.exchange.values import shown_cell
from standage.railway.terms.lengths import Unread, read_length
from standage.railway.terms.scales import ScaleName

_PLURALS = frozenset(
    {
        "cars",
        "coaches",
        "carriages",
        "wagons",
        "vehicles",
        "vans",
        "engines",
        "locos",
        "locomotives",
    }
)
_MOST_FIGURES = 3
_YES_OR_NO = frozenset({"y", "n", "yes", "no", "true", "false", "x", "1", "0"})
_LOOSE_HEADS = frozenset({"class", "category", "group"})
"""Heads under which a kind may stand, and anything else as well."""


class _Bounds(msgspec.Struct, frozen=True, kw_only=True):
    """What figures of one sort are, each of them, and the middle one of a list: in
    metres of the full size.

    Masses are in grams of a model at 1:76.2, others heavier or lighter as the square of
    their size: thin shells are.
    """

    least: float
    most: float
    usual_from: float
    usual_to: float


_LENGTHS = _Bounds(least=3.5, most=45.0, usual_from=5.0, usual_to=27.0)
_RADII = _Bounds(least=9.0, most=400.0, usual_from=20.0, usual_to=200.0)
_MASSES = _Bounds(least=8.0, most=2500.0, usual_from=15.0, usual_to=700.0)
"""Wide on purpose. **Source** common practice; UIC 571 and NEM 103 (2016) for the
lengths of wagons and coaches.
"""

_BOUNDS = {
    "length_mm": _LENGTHS,
    "length_over_buffers_mm": _LENGTHS,
    "length_over_couplings_mm": _LENGTHS,
    "minimum_radius_mm": _RADII,
    "mass_g": _MASSES,
}
_METRES_A_UNIT: dict[Unit, float] = {
    "mm": 0.001,
    "cm": 0.01,
    "in": 0.0254,
    "ft": 0.3048,
    "m": 1.0,
}
_GRAMS_A_UNIT: dict[Unit, float] = {
    "g": 1.0,
    "oz": 28.349523125,
    "kg": 1000.0,
    "lb": 453.59237,
}
_RATIO_OF_MASSES = 76.2
_OF_THE_FULL_SIZE: frozenset[Unit] = frozenset({"ft", "m"})
"""Lengths of vehicles in these are the full size's, as in a single cell; radii are
always the model's.
"""

_IN_WORDS: dict[Unit, str] = {
    "in": "inches",
    "ft": "feet",
    "m": "metres",
    "oz": "ounces",
    "lb": "pounds",
}
_SAID = re.compile(r"\d\s*(?P<unit>[a-z]+|[\"'″′])\.?")
_BROKEN = re.compile(r"(?:\d+[ -])?\d+/\d+")
_ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_SAMPLES = 3
_LONGEST_SAMPLE = 60


def scales_named(field: Field, cells: Sequence[Cell]) -> Iterator[ScaleName]:
    """Yield the scales that the cells of a column name."""
    if field.name not in {"scale", "gauge_mm"}:
        return
    for cell in cells:
        name = named_scale(shown_cell(cell))
        if name is not None:
            yield name


def held(
    field: Field,
    unit: Unit | None,
    cells: Sequence[Cell],
    sheet: Sheetwide,
    *,
    head: str,
) -> Held:
    """Return what a column headed as ``field`` holds by its cells, those with nothing
    in them left out.
    """
    if field.name == "id" and _is_of_another(cells):
        return Held(field="external_key", unit=unit)
    told = telling(cells)
    if field.name == "owner" and _say_yes_or_no(told):
        return Held(field=None, remark="is left out: it says yes or no, and no owner")
    as_headed = Held(field=field.name, unit=unit)
    if field.name == "name" and _counts(told, head) and "count" not in sheet.named:
        return Held(
            field="count",
            remark="is taken for how many there are: whole numbers stand in it",
        )
    otherwise: Held | None = None
    if field.name in {"scale", "gauge_mm"}:
        otherwise = _scale_or_gauge(field, unit, told, sheet)
    elif field.name in _BOUNDS and unit is None:
        otherwise = _in_unit(as_headed, told, sheet)
    fewest = 1 if head.casefold().strip() in _LOOSE_HEADS else FEWEST
    return otherwise or if_of_the_sort(field, unit, told, sheet, fewest=fewest)


def _is_of_another(cells: Sequence[Cell]) -> bool:
    """Tell whether ids are the list's own, and not the service's."""
    samples = [shown_cell(cell)[:_LONGEST_SAMPLE] for cell in cells[:_SAMPLES]]
    return bool(samples) and not any(map(_ID.fullmatch, samples))


def _say_yes_or_no(cells: Sequence[Cell]) -> bool:
    said = {shown_cell(cell).casefold().strip() for cell in cells}
    return bool(said) and said <= _YES_OR_NO


def _counts(cells: Sequence[Cell], head: str) -> bool:
    """Tell whether a column headed by vehicles in the plural says how many there
    are.
    """
    if head.casefold().strip(" .:") not in _PLURALS:
        return False
    texts = [shown_cell(cell).strip() for cell in cells]
    return bool(texts) and all(map(_is_a_count, texts))


def _is_a_count(text: str) -> bool:
    if len(text) > _MOST_FIGURES:
        return False
    return text.isascii() and text.isdigit()


def _scale_or_gauge(
    field: Field, unit: Unit | None, cells: Sequence[Cell], sheet: Sheetwide
) -> Held | None:
    """Return the other one of the two where the cells say so and no other column is
    headed as that.
    """
    other = "gauge_mm" if field.name == "scale" else "scale"
    if other in sheet.named:
        return None
    names = figures = 0
    for cell in cells:
        names += named_scale(shown_cell(cell)) is not None
        figures += _is_gauge(cell, sheet)
    if field.name == "gauge_mm" and names > figures:
        return Held(
            field="scale", remark="is taken for the scale: names of scales stand in it"
        )
    if field.name == "scale" and figures > names:
        return Held(
            field="gauge_mm",
            unit=unit,
            remark="is taken for the gauge in mm: figures of gauges stand in it",
        )
    return None


def _is_gauge(cell: Cell, sheet: Sheetwide) -> bool:
    """Tell whether a cell holds the figure of a gauge and of no scale: 16.5, but not
    32, which is a ratio too.
    """
    return (
        named_scale(shown_cell(cell)) is None and _figure(cell, sheet) in ONLY_GAUGES_MM
    )


def _figure(cell: Cell, sheet: Sheetwide) -> float | None:
    # a number in a workbook has its point, whatever the texts beside it are written with
    decimal: Decimal = "either" if isinstance(cell, float) else sheet.decimal
    found = number(shown_cell(cell), decimal)
    if isinstance(found, Trouble):
        return None
    return float(found)


def _in_unit(as_headed: Held, cells: Sequence[Cell], sheet: Sheetwide) -> Held | None:
    """Return the unit of the bare figures where mm make no sense and the cells leave
    one other only.
    """
    bare: list[float] = []
    for cell in cells:
        figure = _bare(cell, sheet)
        if figure is not None:
            bare.append(figure)
    if sheet.scale is None or not bare:
        return None
    figures = _Figures(tuple(bare), _BOUNDS[as_headed.field or ""], sheet.scale.ratio)
    if figures.mostly_suit_as_they_are():
        return None
    possible = [unit for unit in figures.units if figures.suit(unit)]
    if not possible:
        return None
    settled = _settled_by(cells, possible, are_masses=figures.are_masses)
    if settled is not None:
        remark = (
            f"has its bare figures taken in {_in_words(settled)}, since in"
            f" {figures.own} they make no sense"
        )
        return msgspec.structs.replace(as_headed, unit=settled, remark=remark)
    *units, last = map(_in_words, possible)
    either = f"{', '.join(units)} or {last}" if units else last
    remark = (
        f"has bare figures that make no sense in {figures.own}, but in {either}: say"
        " which, as the column's unit"
    )
    return msgspec.structs.replace(as_headed, remark=remark)


def _settled_by(
    cells: Sequence[Cell], possible: Sequence[Unit], *, are_masses: bool
) -> Unit | None:
    """Return the one unit that is left of those ``possible``, by what other cells of
    the column say.
    """
    said: set[Unit] = set()
    for cell in cells:
        unit = _said(cell)
        if unit is not None:
            said.add(unit)
    # nobody writes other lengths in broken numbers
    if not said and not are_masses and any(map(_is_broken, cells)):
        said = {"in"}
    settled = list(possible)
    if said:
        settled = [unit for unit in possible if unit in said]
    if len(settled) != 1:
        return None
    return settled[0]


def _is_broken(cell: Cell) -> bool:
    return isinstance(cell, str) and _BROKEN.fullmatch(cell.strip()) is not None


def _bare(cell: Cell, sheet: Sheetwide) -> float | None:
    """Return a figure without a unit, a broken one included."""
    text = shown_cell(cell).strip()
    if _BROKEN.fullmatch(text):
        read = read_length(f"{text} mm")
        return None if isinstance(read, Unread) else float(read.mm)
    return _figure(cell, sheet)


def _said(cell: Cell) -> Unit | None:
    """Return the unit that a cell names, where it names one only."""
    if not isinstance(cell, str):
        return None
    named = _SAID.finditer(cell.casefold())
    found = {UNIT_WORDS.get(one["unit"]) for one in named}
    if len(found) != 1:
        return None
    return found.pop()


class _Figures(msgspec.Struct, frozen=True):
    """Bare figures of one column, and what they can be."""

    bare: tuple[float, ...]
    bounds: _Bounds
    ratio: float

    @property
    def are_masses(self) -> bool:
        """Whether they weigh, and do not measure."""
        return self.bounds is _MASSES

    @property
    def units(self) -> Mapping[Unit, float]:
        """What each unit that they can be in comes to, the service's own first."""
        return _GRAMS_A_UNIT if self.are_masses else _METRES_A_UNIT

    @property
    def own(self) -> Unit:
        """The service's own unit."""
        return "g" if self.are_masses else "mm"

    def suit(self, unit: Unit) -> bool:
        """Tell whether all of them make sense in a unit, and the middle one is a usual
        figure.
        """
        figures, bounds = self._in(unit), self.bounds
        if not bounds.usual_from <= median(figures) <= bounds.usual_to:
            return False
        return bounds.least <= min(figures) and max(figures) <= bounds.most

    def mostly_suit_as_they_are(self) -> bool:
        """Tell whether at least half of them make sense in the service's own unit."""
        figures, bounds = self._in(self.own), self.bounds
        within = 0
        for figure in figures:
            within += bounds.least <= figure <= bounds.most
        return within * 2 >= len(figures)

    def _in(self, unit: Unit) -> list[float]:
        """Return them as the bounds are given."""
        times = self.units[unit]
        if self.are_masses:
            times *= (self.ratio / _RATIO_OF_MASSES) ** 2
        elif self.bounds is not _LENGTHS or unit not in _OF_THE_FULL_SIZE:
            times *= self.ratio
        return [one * times for one in self.bare]


def _in_words(unit: Unit) -> str:
    return _IN_WORDS.get(unit, unit)
