"""Into which group of long vehicles of the published tables stock goes."""

from collections.abc import Iterable
from typing import get_args

from standage.railway.published.nem_103_groups import Group, group
from standage.railway.stock.bodies import BodyShape
from standage.railway.terms.nem import Size
from standage.railway.terms.scales import ScaleName

_SIZES: dict[str, Size] = {size: size for size in get_args(Size)}


def size_of(scale: ScaleName) -> Size | None:
    """Return the size that the tables have a scale as; None where they have none.
    **Source** NEM 103 (2016): N, TT, H0 and 0, and none that is nearly the same.
    """
    return _SIZES.get(scale)


def greatest_group(bodies: Iterable[BodyShape], *, scale: ScaleName) -> Group | None:
    """Return the group that all the bodies go into; None where one goes into none, or
    its length or pivots are not known.

    One that may stand on its wheels in two ways goes into the later of both groups.
    **Source** NEM 103 (2016).
    """
    size = size_of(scale)
    greatest: Group | None = None
    for body in bodies:
        for way in body.ways:
            found = None if size is None else _group(way, size)
            if found is None:
                return None
            greatest = max(found, greatest or found)
    return greatest


def _group(body: BodyShape, size: Size) -> Group | None:
    front_mm, rear_mm = body.half_front_mm, body.half_rear_mm
    if body.pivots_mm is None or front_mm is None or rear_mm is None:
        return None
    return group(size, body_mm=front_mm + rear_mm, pivots_mm=body.pivots_mm)
