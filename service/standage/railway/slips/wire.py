"""Slips of the pen in the thickness of wires: the area of the copper, or the diameter across it."""

import math
import re
from collections.abc import Iterator

from standage.railway.slips.slip import Slip

_AREAS_MM2 = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0)
"""**Source** IEC 60228: the nominal areas of conductors."""
_THIN_AREAS_MM2 = (0.05, 0.08, 0.14, 0.22, 0.25, 0.34)
"""Hook-up wire below them; common practice."""
_AMERICAN_NUMBERS = range(6, 31)
_SAME_AREA = 0.015
_SAME_COPPER = 0.03
_OTHER_DIAMETERS_MM = (0.4, 0.6, 0.9, 1.2, 1.6)
"""Solid wire and enamelled wire sold by diameter; common practice."""
_DIAMETER = re.compile(r"(?<![\d.,/])(\d+(?:[.,]\d+)?) ?mm\b(?! ?[2²^]| ?sq)", re.IGNORECASE)
_SQUARE = re.compile(r"mm ?[2²^]|\bsq\b|square", re.IGNORECASE)


def american_area_mm2(number: int) -> float:
    """Return the area of a wire by its American gauge number. **Source** ASTM B258: 0.127 mm × 92^((36 − n)/39) across.

    >>> round(american_area_mm2(18), 3)
    0.823
    """
    return copper_area_mm2(0.127 * 92 ** ((36 - number) / 39))


def copper_area_mm2(diameter_mm: float) -> float:
    """Return the area of one solid round wire so many millimetres across.

    >>> round(copper_area_mm2(0.5), 3)
    0.196
    """
    return math.pi * diameter_mm**2 / 4


def wire_slips(area_mm2: float, *, called: str = "", field: str = "wire_area_mm2") -> Iterator[Slip]:
    """Yield a slip where a wire's area is likely its diameter.

    It is when the wire is called so many mm, not mm², by the same figure; or when the figure is no usual area but is
    the diameter of a usual wire.
    """
    area = copper_area_mm2(area_mm2)
    says = f"a wire {area_mm2:g} mm across has only {area:.2g} mm² of copper"
    if _called_by_diameter(area_mm2, called):
        yield _slip(area_mm2, field=field, message=f"{called!r} says mm, not mm²: {says}; if so, write {area:.2g}")
    elif not _is_usual_area(area_mm2) and _is_usual_diameter(area_mm2):
        message = f"{area_mm2:g} mm² is no usual area, but {area_mm2:g} mm is a usual diameter: {says}"
        yield _slip(area_mm2, field=field, message=f"{message}; if so, write {area:.2g}")


def _slip(area_mm2: float, *, field: str, message: str) -> Slip:
    meant = round(copper_area_mm2(area_mm2), 3)
    return Slip(code="area_or_diameter", field=field, message=message, likely="diameter", likely_value=meant)


def _called_by_diameter(area_mm2: float, called: str) -> bool:
    if _SQUARE.search(called):
        return False
    figures = (float(figure.replace(",", ".")) for figure in _DIAMETER.findall(called))
    return any(abs(figure - area_mm2) < 1e-9 for figure in figures)  # noqa: PLR2004 - the same figure, as written


def _is_usual_area(area_mm2: float) -> bool:
    usual = (*_AREAS_MM2, *_THIN_AREAS_MM2, *(american_area_mm2(number) for number in _AMERICAN_NUMBERS))
    return any(abs(area_mm2 / one - 1) <= _SAME_AREA for one in usual)


def _is_usual_diameter(figure_mm: float) -> bool:
    copper = copper_area_mm2(figure_mm)
    of_usual_area = any(abs(copper / one - 1) <= _SAME_COPPER for one in _AREAS_MM2)
    return of_usual_area or any(abs(figure_mm - one) < 1e-9 for one in _OTHER_DIAMETERS_MM)  # noqa: PLR2004 - as written
