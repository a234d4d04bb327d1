"""The largest stock of a club: what swings out most on curves, in a scale."""

from collections.abc import Iterable, Iterator
from typing import get_args

from standage.questions.derived import DERIVED, Key
from standage.questions.resolving.lookup import Lookup
from standage.railway.passing.passers import passing_stock
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.scales import ScaleName, same_scale, scale
from standage.railway.track.fouling.spacings import LargestStock

_SIZE_BYTES = 200


def largest_stock(
    records: Lookup, name: ScaleName, types: tuple[CouplingKind, ...]
) -> tuple[LargestStock, ...]:
    """Return those of a club's vehicles of a scale that swing out most on some curve;
    none where nobody knows their figures. They are read anew once any is changed.
    """
    names = [one for one in get_args(ScaleName) if _runs_with(one, name)]
    state = records.state_of_stock(names)
    key = Key(
        records.club_id,
        "largest stock",
        name,
        state,
    )
    kept = DERIVED.get(key)
    if kept is None:
        kept = tuple(largest_of(records.stock_of(names), name, types))
        DERIVED.keep(key, kept, size_bytes=_SIZE_BYTES * len(kept))
    known: tuple[LargestStock, ...] = kept
    return known


def largest_of(
    vehicles: Iterable[Vehicle], name: ScaleName, types: tuple[CouplingKind, ...]
) -> Iterator[LargestStock]:
    """Yield those of ``vehicles`` than which no other swings out more on every curve.

    A body stands out the more at its middle the farther its pivots lie apart; at its
    ends the longer, the narrower and the nearer together its pivots it is.
    """
    sizes = _sizes(vehicles, name, types)
    if not sizes:
        return
    farthest = max(sizes, key=lambda one: one.pivots_mm)
    yield farthest
    kept: list[LargestStock] = []
    for size in sorted(sizes, key=_by_end_throw):
        if any(_outdoes(one, size) for one in kept):
            continue
        kept.append(size)
        if size != farthest:
            yield size


def _sizes(
    vehicles: Iterable[Vehicle], name: ScaleName, types: tuple[CouplingKind, ...]
) -> list[LargestStock]:
    known = passing_stock(vehicles, scale=name, types=CouplingTypes(types))
    found: dict[LargestStock, None] = {}
    for one in known:
        for passer in one.passers(straight=False):
            size = LargestStock(
                length_mm=2 * passer.half_length_mm,
                pivots_mm=passer.pivots_mm,
                width_mm=passer.width_mm,
            )
            found[size] = None
    return list(found)


def _by_end_throw(size: LargestStock) -> tuple[float, float, float]:
    return -size.length_mm, size.pivots_mm, size.width_mm


def _outdoes(one: LargestStock, other: LargestStock) -> bool:
    """Tell whether the ends of the one stand out at least as far on every curve."""
    return (
        one.length_mm >= other.length_mm
        and one.pivots_mm <= other.pivots_mm
        and one.width_mm <= other.width_mm
    )


def _runs_with(one: ScaleName, other: ScaleName) -> bool:
    alike = scale(one).is_narrow == scale(other).is_narrow
    return alike and same_scale(one, other)
