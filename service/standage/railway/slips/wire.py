"""How much copper a wire has by what it is called, and slips of the pen in its area, or
the diameter across it.
"""

import math
import re
from collections.abc import Iterable, Iterator

from standage.railway.slips.slip import Slip, shown
from standage.railway.terms.figures import tidy

_AREAS_MM2 = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0)
"""**Source** IEC 60228: the nominal areas of conductors."""
_THIN_AREAS_MM2 = (0.05, 0.08, 0.14, 0.22, 0.25, 0.34)
"""Hook-up wire below them; common practice."""
_NUMBERS_SOLD = range(6, 31)
_SAME_AREA = 0.015
_SAME_IMPERIAL_AREA = 0.005
"""Nearer, since 0.81 mm² is No. 19 and 0.8 mm a usual diameter."""
_SAME_COPPER = 0.03
_AS_SOLD = 1.25
"""A wire has so much less or more copper than its nominal area: 14 AWG, 2.08 mm², is
sold as 2.5, and 16 AWG, 1.31 mm², as 1.5. Common practice.
"""
_LEAST_MM2, _MOST_MM2 = 0.001, 1000.0
_DUST_MM2 = 1e-9
_SAME_AS_WRITTEN = 1e-9
"""Within this two figures are the same one, written twice."""
_OTHER_DIAMETERS_MM = (0.4, 0.6, 0.9, 1.2, 1.6)
"""Solid wire and enamelled wire sold by diameter; common practice."""
_IMPERIAL_INCHES = (
    *(0.324, 0.300, 0.276, 0.252, 0.232, 0.212, 0.192, 0.176, 0.160, 0.144),
    *(0.128, 0.116, 0.104, 0.092, 0.080, 0.072, 0.064, 0.056, 0.048, 0.040),
    *(0.036, 0.032, 0.028, 0.024, 0.022, 0.020, 0.018, 0.0164, 0.0148, 0.0136),
    *(
        0.0124,
        0.0116,
        0.0108,
        0.0100,
        0.0092,
        0.0084,
        0.0076,
        0.0068,
        0.0060,
        0.0052,
        0.0048,
    ),
)
"""Diameters by the imperial standard wire gauge, from No. 0 on. **Source** BS 3737,
from memory.
"""
_NUMBER = r"(?:no\.? ?|# ?)?(\d{1,2})"
_AMERICAN = re.compile(
    rf"(?<![\d.,/]){_NUMBER} ?awg\b|\bawg ?{_NUMBER}\b", re.IGNORECASE
)
_IMPERIAL = re.compile(
    rf"(?<![\d.,/]){_NUMBER} ?swg\b|\bswg ?{_NUMBER}\b", re.IGNORECASE
)
_EITHER_GAUGE = re.compile(
    rf"(?<![\d.,/]){_NUMBER} ?(?:gauge|ga)\b|\bgauge ?{_NUMBER}\b", re.IGNORECASE
)
_AREA = re.compile(r"(\d+(?:[.,]\d+)?) ?(?:mm ?[2²^]|mm ?sq|sq\.? ?mm)", re.IGNORECASE)
_STRANDS = re.compile(r"(?<![\d.,])(\d{1,3}) ?[/x×] ?(0?[.,]\d+)", re.IGNORECASE)
_DIAMETER = re.compile(
    r"(?<![\d.,/])(\d+(?:[.,]\d+)?) ?mm\b(?! ?[2²^]| ?sq)", re.IGNORECASE
)
_SQUARE = re.compile(r"mm ?[2²^]|\bsq\b|square", re.IGNORECASE)


def american_area_mm2(number: int) -> float:
    """Return the area of a wire by its American gauge number. **Source** ASTM B258:
    0.127 mm × 92^((36 − n)/39) across.

    >>> round(american_area_mm2(18), 3)
    0.823
    """
    steps = (36 - number) / 39
    across_mm = 0.127 * 92**steps
    return copper_area_mm2(across_mm)


def imperial_area_mm2(number: int) -> float:
    """Return the area of a wire by its number in the imperial standard wire gauge, from
    0 to 40.

    **Source** BS 3737, from memory.

    >>> round(imperial_area_mm2(22), 3)
    0.397
    """
    across_inches = _IMPERIAL_INCHES[number]
    return copper_area_mm2(across_inches * 25.4)


def wire_areas_mm2(called: str) -> tuple[float, ...]:
    """Return the copper that a wire so called has, in mm²; several where it may be
    either, none where it does not say.

    By its area, its strands (16/0.2 are sixteen of 0.2 mm), its number with the gauge
    named, or the diameter across it. A number without its gauge may be American or
    imperial; mm alone may mean mm² where that is a usual area. **Source** that of each
    gauge.

    >>> [round(area, 2) for area in wire_areas_mm2("22 gauge")], wire_areas_mm2("16/0.2")
    ([0.33, 0.4], (0.502655,))
    """
    for read in (
        _by_area,
        _by_strands,
        _by_named_gauge,
        _by_either_gauge,
        _by_diameter,
    ):
        areas = sorted({tidy(area) for area in read(called)})
        if areas:
            return tuple(areas)
    return ()


def _by_area(called: str) -> Iterator[float]:
    written = _AREA.findall(called)
    return map(_figure, written)


def _by_strands(called: str) -> Iterator[float]:
    for count, across in _STRANDS.findall(called):
        strand_mm2 = copper_area_mm2(_figure(across))
        yield int(count) * strand_mm2


def _by_named_gauge(called: str) -> Iterator[float]:
    for number in _numbers(_AMERICAN, called):
        yield american_area_mm2(number)
    for number in _numbers(_IMPERIAL, called):
        yield imperial_area_mm2(number)


def _by_either_gauge(called: str) -> Iterator[float]:
    for number in _numbers(_EITHER_GAUGE, called):
        yield american_area_mm2(number)
        yield imperial_area_mm2(number)


def _by_diameter(called: str) -> Iterator[float]:
    for figure in map(_figure, _DIAMETER.findall(called)):
        yield copper_area_mm2(figure)
        if _is_usual_area(figure):
            yield figure


def _numbers(gauge: re.Pattern[str], called: str) -> Iterator[int]:
    for before, after in gauge.findall(called):
        number = int(before or after)
        if number < len(_IMPERIAL_INCHES):
            yield number


def _figure(written: str) -> float:
    with_point = written.replace(",", ".")
    return float(with_point)


def copper_area_mm2(diameter_mm: float) -> float:
    """Return the area of one solid round wire so many millimetres across. **Source**
    derived.

    >>> round(copper_area_mm2(0.5), 3)
    0.196
    """
    square_mm2 = diameter_mm**2
    return math.pi * square_mm2 / 4


def wire_slips(area_mm2: float, *, called: str = "", field: str = "") -> Iterator[Slip]:
    """Yield a slip where a wire's area is likely its diameter, that squared, or of
    another gauge of the same number.

    It is its diameter when the wire is called so many mm, not mm², by the same figure;
    or when the figure is no usual area but is the diameter of a usual wire. **Source**
    IEC 60228 for the usual areas; the mistakes are common practice.
    """
    if _is_called_so(area_mm2, called):
        return
    area, meant = copper_area_mm2(area_mm2), _meant_mm2(area_mm2)
    less = "only " if area < area_mm2 else ""
    says = f"a wire {area_mm2:g} mm across has {less}{area:.2g} mm² of copper"
    words = _called_by_diameter(area_mm2, called)
    if words is not None:
        yield _slip(
            area_mm2,
            field=field,
            message=f"“{words}” says mm, not mm²: {says}; if so, write {_written(meant)}",
        )
    elif not _is_usual_area(area_mm2) and _is_usual_diameter(area_mm2):
        message = (
            f"{area_mm2:g} mm² is no usual area, but {area_mm2:g} mm is a usual"
            f" diameter: {says}"
        )
        yield _slip(
            area_mm2, field=field, message=f"{message}; if so, write {_written(meant)}"
        )
    elif (across_mm := _squared(area_mm2)) is not None:
        yield _squared_slip(area_mm2, across_mm=across_mm, field=field)
    else:
        yield from _of_the_other_gauge(area_mm2, called, field=field)


def _is_called_so(area_mm2: float, called: str) -> bool:
    """Tell whether a wire's name has that area in words of one meaning only."""
    for read in (_by_area, _by_strands, _by_named_gauge):
        areas = filter(None, read(called))
        if _is_one_of(areas, area_mm2, within=_SAME_COPPER):
            return True
    return False


def other_copper_slips(
    area_mm2: float, *, called: str, field: str = ""
) -> Iterator[Slip]:
    """Yield a slip where a wire is called by what has far less or more copper than the
    area, in mm², that is given beside it: the strands of 16/0.2 counted, or the figure
    of another wire.

    What the name has no copper for, or more than any wire, is no figure of it.
    **Source** derived.
    """
    areas = [one for one in wire_areas_mm2(called) if _LEAST_MM2 <= one <= _MOST_MM2]
    if not areas or any(_is_sold_as(area_mm2, copper_mm2=one) for one in areas):
        return
    if len(areas) > 1:
        least, most = _written(areas[0]), _written(areas[-1])
        message = (
            f"{area_mm2:g} mm² is no area that its name has: that says {least} to"
            f" {most} mm² of copper"
        )
        meant_mm2 = None
    else:
        meant_mm2 = round(areas[0], 3)
        written = _written(meant_mm2)
        message = (
            f"a wire of that name has {written} mm² of copper, not {area_mm2:g}: if it"
            f" is that wire, write {written}"
        )
    yield Slip(
        code="area_or_diameter",
        field=field,
        message=message,
        likely="unknown",
        likely_value=meant_mm2,
    )


def _is_sold_as(area_mm2: float, *, copper_mm2: float) -> bool:
    is_enough = area_mm2 * _AS_SOLD >= copper_mm2
    return is_enough and area_mm2 <= copper_mm2 * _AS_SOLD


def which_wire_slips(called: str, *, field: str = "") -> Iterator[Slip]:
    """Yield a slip where a wire is called by a number without its gauge, or by mm that
    may be mm². **Source** common practice.
    """
    areas = wire_areas_mm2(called)
    if len(areas) < 2:  # noqa: PLR2004 - one meaning is no question
        return
    least, most = shown(areas[0]), shown(areas[-1])
    if any(_numbers(_EITHER_GAUGE, called)):
        message = (
            f"{called!r} does not say which gauge: AWG or SWG? Its copper is {least}"
            f" mm² by one, {most} by the other"
        )
        yield Slip(code="unit", field=field, message=message, likely="unknown")
    elif not _SQUARE.search(called):
        message = f"it may have {least} or {most} mm² of copper: say mm², or mm across"
        yield Slip(
            code="area_or_diameter", field=field, message=message, likely="unknown"
        )


def _squared(area_mm2: float) -> float | None:
    """Return the whole number of mm that an unusual area is the square of; None where
    it is no such square.
    """
    if _is_usual_area(area_mm2):
        return None
    across_mm = math.sqrt(area_mm2)
    is_whole = abs(across_mm - round(across_mm)) < _SAME_AS_WRITTEN
    return across_mm if is_whole and across_mm > 1 else None


def _squared_slip(area_mm2: float, *, across_mm: float, field: str) -> Slip:
    meant_mm2 = _meant_mm2(across_mm)
    written = _written(meant_mm2)
    message = (
        f"{area_mm2:g} mm² is no usual area, but {across_mm:g} × {across_mm:g}: a wire"
        f" {across_mm:g} mm across has {written} mm² of copper; if that is meant,"
        f" write {written}"
    )
    return Slip(
        code="area_or_diameter",
        field=field,
        message=message,
        likely="diameter",
        likely_value=meant_mm2,
    )


def _of_the_other_gauge(area_mm2: float, called: str, *, field: str) -> Iterator[Slip]:
    """Yield a slip where the copper of a wire called by its gauge is that of the same
    number by the other one.
    """
    for name, gauge, area_of, other_area_of in (
        ("AWG", _AMERICAN, american_area_mm2, imperial_area_mm2),
        ("SWG", _IMPERIAL, imperial_area_mm2, american_area_mm2),
    ):
        for number in _numbers(gauge, called):
            own_mm2 = area_of(number)
            if (
                abs(area_mm2 / other_area_of(number) - 1)
                <= _SAME_COPPER
                < abs(area_mm2 / own_mm2 - 1)
            ):
                message = (
                    f"{area_mm2:g} mm² is No. {number} by the other gauge: {number}"
                    f" {name} has {own_mm2:.3g} mm²"
                )
                yield Slip(
                    code="area_or_diameter",
                    field=field,
                    message=message,
                    likely="unknown",
                    likely_value=round(own_mm2, 3),
                )


def _slip(area_mm2: float, *, field: str, message: str) -> Slip:
    meant_mm2 = _meant_mm2(area_mm2)
    return Slip(
        code="area_or_diameter",
        field=field,
        message=message,
        likely="diameter",
        likely_value=meant_mm2,
    )


def _meant_mm2(across_mm: float) -> float:
    """Return the copper of a wire so many mm across as it is proposed: to a
    thousandth.
    """
    copper_mm2 = copper_area_mm2(across_mm)
    return round(copper_mm2, 3)


def _written(meant_mm2: float) -> str:
    """Return a proposed area as somebody would write it: in full, since 2.7e+06 is
    nobody's figure, and read as 2.7 is another one.
    """
    figure = f"{meant_mm2:.3f}"
    without_noughts = figure.rstrip("0")
    return without_noughts.rstrip(".")


def _called_by_diameter(area_mm2: float, called: str) -> str | None:
    """Return the words that say so many mm, not mm², by the same figure; None where
    there are none.
    """
    if _SQUARE.search(called):
        return None
    said = (
        found
        for found in _DIAMETER.finditer(called)
        if abs(_figure(found[1]) - area_mm2) < _SAME_AS_WRITTEN
    )
    return next((found[0] for found in said), None)


def _is_usual_area(area_mm2: float) -> bool:
    american = map(american_area_mm2, _NUMBERS_SOLD)
    usual = (*_AREAS_MM2, *_THIN_AREAS_MM2, *american)
    imperial = map(imperial_area_mm2, _NUMBERS_SOLD)
    return _is_one_of(usual, area_mm2, within=_SAME_AREA) or _is_one_of(
        imperial, area_mm2, within=_SAME_IMPERIAL_AREA
    )


def _is_one_of(usual: Iterable[float], figure: float, *, within: float) -> bool:
    """Tell whether a figure is a usual one, but for so small a part of it."""
    for one in usual:
        apart = figure / one - 1
        if abs(apart) <= within:
            return True
    return False


def _is_usual_diameter(figure_mm: float) -> bool:
    """Tell whether a figure is the diameter of a usual wire, and no area that was
    itself found from a diameter.
    """
    copper = copper_area_mm2(figure_mm)
    across_mm = round(2 * math.sqrt(figure_mm / math.pi), 2)
    if abs(_meant_mm2(across_mm) - figure_mm) < _DUST_MM2:
        return False
    if _is_one_of(_AREAS_MM2, copper, within=_SAME_COPPER):
        return True
    return any(
        abs(figure_mm - sold_mm) < _SAME_AS_WRITTEN for sold_mm in _OTHER_DIAMETERS_MM
    )
