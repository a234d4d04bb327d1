"""The likely slips in all the figures that an answer rests on, or that a record holds,
each named once.
"""

from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from itertools import islice
from typing import NamedTuple, TypeVar

import msgspec
from msgspec.structs import replace

from standage.railway.roads.places import PlaceFigures
from standage.railway.slips.judges import slips_in
from standage.railway.slips.parts import Apart, Part
from standage.railway.slips.place import place_slips, place_words
from standage.railway.slips.slip import Slip
from standage.railway.slips.vehicle import vehicle_slips
from standage.railway.stock.vehicles import VehicleFigures
from standage.railway.terms.reasons import Assumed
from standage.railway.terms.scales import ScaleName, scale

N = TypeVar("N", bound=str)

MOST_SLIPS = 20


class Remarks(NamedTuple):
    """What there is to say of the figures and the words within a whole."""

    slips: tuple[Slip, ...]
    words: tuple[Assumed, ...]
    """How words are taken that mean another thing across the ocean."""


def likely_slips(whole: msgspec.Struct) -> tuple[Slip, ...]:
    """Return the likely slips in every figure within ``whole``, twenty at most.
    **Source** that of each judge.
    """
    return remarks_on(whole).slips


def remarks_on(whole: msgspec.Struct) -> Remarks:
    """Return the likely slips within ``whole``, and how its words are taken, twenty of
    each at most.

    What names no scale is taken to be of the nearest one around it, then of the only
    one that roads name, then of the only one that vehicles name. A radius is held
    against the longest vehicle there is. **Source** that of each judge.
    """
    apart = Apart(whole)
    of_roads = _only(apart.scales)
    of_vehicles = _only(apart.vehicle_scales)
    around = of_roads or of_vehicles
    slips = _first(_all_slips(apart, around))
    words = _first(_all_words(apart, around))
    return Remarks(slips, words)


T = TypeVar("T")


def _first(many: Iterable[T]) -> tuple[T, ...]:
    """Return the first twenty that are unlike each other."""
    unlike = _unlike(many)
    return tuple(islice(unlike, MOST_SLIPS))


def _unlike(many: Iterable[T]) -> Iterator[T]:
    seen: set[T] = set()
    for one in many:
        if one not in seen:
            seen.add(one)
            yield one


def _all_slips(apart: Apart, around: ScaleName | None) -> Iterator[Slip]:
    for part in apart.parts:
        of = part.of or around
        if isinstance(part.figures, VehicleFigures):
            yield from vehicle_slips(part.figures, name=part.name, of=of)
        elif isinstance(part.figures, PlaceFigures):
            yield from place_slips(part.figures, name=part.name, of=of)
        else:
            yield from _slips_in(part, of, longest_mm=apart.longest_mm)


def _slips_in(
    part: Part, of: ScaleName | None, *, longest_mm: float | None
) -> Iterator[Slip]:
    model = None if of is None else scale(of)
    slips = slips_in(part.figures, model=model, longest_mm=longest_mm)
    for slip in slips:
        path = (*part.path, slip.field)
        field = "/".join(path)
        yield replace(slip, field=field, place=part.name)


def _all_words(apart: Apart, around: ScaleName | None) -> Iterator[Assumed]:
    """Yield how words are taken, where practice is American.

    H0 alone is continental; stock that is said to be American is so in any scale.
    """
    stock_is_american = _only(apart.practices) == "american"
    for part in apart.parts:
        if not isinstance(part.figures, PlaceFigures):
            continue
        of = part.of or around
        scale_is_american = of is not None and scale(of).practice == "american"
        if stock_is_american or scale_is_american:
            yield from place_words(part.figures, name=part.name)


def _only(names: AbstractSet[N]) -> N | None:
    if len(names) != 1:
        return None
    return next(iter(names))
