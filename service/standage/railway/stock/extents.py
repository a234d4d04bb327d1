"""How long one vehicle is, as far as it is known, and how far off that may be."""

from collections.abc import Iterable

import msgspec

from standage.railway.stock.vehicles import PASSENGER_KINDS, LengthFrom, LengthOver, Vehicle
from standage.railway.terms.figures import tidy
from standage.railway.terms.guesses import Guess
from standage.railway.terms.phrases import millimetres
from standage.railway.terms.reasons import Reason
from standage.railway.terms.scales import ScaleName, full_size_mm, scale

PLUS_MINUS_MM: dict[LengthFrom | None, float] = {"measured": 0.5, "maker": 1.0, None: 1.0}
"""How far off a length may be by how it was found, in mm; None is not said. **Source** common practice."""
SCALED_PLUS_MINUS = 0.01
LEAST_SCALED_PLUS_MINUS_MM = 2.0
SHORTENED_FROM_M = 24.0
SHORTENED_RATIOS = (86.5, 87.5)
"""Carriages longer than that in full size are commonly shortened in H0: their length cannot be had by scaling."""
_WHY: dict[LengthFrom | None, str] = {
    "measured": "as it was measured",
    "maker": "as it is the maker's figure",
    None: "as nobody said how it was found",
}


class Missing(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that nobody has measured and that the answer needs.

    ``reason`` is what is told in place of that where the figure is given, but cannot be right.
    """

    vehicle: str
    field: str
    words: str
    reason: Reason | None = None


class Extent(msgspec.Struct, frozen=True, kw_only=True):
    """A length along the train: the sum of what is known of it, the ± of that, and what is missing.

    Its parts are tidied before they are added up, so that every sum of them is a whole number of millionths of a mm.
    """

    known_mm: float
    plus_minus_mm: float = 0.0
    missing: tuple[Missing, ...] = ()

    @property
    def length_mm(self) -> float | None:
        """The length; None while anything is missing."""
        return None if self.missing else self.known_mm


class KnownLength(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle's length, over what it was measured, and what had to be guessed for it."""

    extent: Extent
    over: LengthOver
    guesses: tuple[Guess, ...] = ()


def length_of(vehicle: Vehicle) -> KnownLength:
    """Return how long ``vehicle`` is: as measured, else the sum of its bodies, else scaled down, else missing.

    In H0 the length of a carriage of over 24 m full size is never had by scaling, since such models are commonly
    shortened. **Source** of the ±: common practice.
    """
    over = vehicle.length_over or "buffers"
    if vehicle.length_mm is not None:
        if vehicle.length_from == "scaled" and _is_shortened(vehicle):
            return _unknown(vehicle)
        return _as_given(vehicle, vehicle.length_mm, over=over)
    if vehicle.bodies is not None:
        return _of_its_bodies(vehicle)
    if vehicle.full_size_length_m is None or vehicle.scale is None or _is_shortened(vehicle):
        return _unknown(vehicle)
    return _scaled_down(vehicle, vehicle.full_size_length_m, scale_name=vehicle.scale)


def scaled_plus_minus_mm(length_mm: float) -> float:
    """Return how far off a length scaled from the full size may be: 1 %, and at least 2 mm."""
    return max(LEAST_SCALED_PLUS_MINUS_MM, tidy(length_mm * SCALED_PLUS_MINUS))


def total(extents: Iterable[Extent]) -> Extent:
    """Return the extents laid end to end; their ± add up, as in the worst case."""
    known_mm, plus_minus_mm = 0.0, 0.0
    missing: list[Missing] = []
    for extent in extents:
        known_mm += extent.known_mm
        plus_minus_mm += extent.plus_minus_mm
        if extent.missing:
            missing.extend(extent.missing)
    return Extent(known_mm=known_mm, plus_minus_mm=plus_minus_mm, missing=tuple(missing))


def lacking(missing: Iterable[Missing]) -> tuple[Reason, ...]:
    """Return one reason for each figure that is missing, naming its vehicle and field."""
    once = {(one.vehicle, one.field): one for one in missing}
    return tuple(one.reason or _to_measure(one) for one in once.values())


def _to_measure(missing: Missing) -> Reason:
    return Reason(
        code="missing_figure",
        message=f"{missing.vehicle}: measure {missing.words}; without it nobody can tell",
        vehicle=missing.vehicle,
        field=missing.field,
    )


def _is_shortened(vehicle: Vehicle) -> bool:
    if vehicle.scale is None or (vehicle.kind is not None and vehicle.kind not in PASSENGER_KINDS):
        return False
    ratio = scale(vehicle.scale).ratio
    full_size_m = vehicle.full_size_length_m or (vehicle.length_mm or 0.0) * ratio / 1000
    return SHORTENED_RATIOS[0] < ratio < SHORTENED_RATIOS[1] and full_size_m > SHORTENED_FROM_M


def _unknown(vehicle: Vehicle) -> KnownLength:
    why = " (long carriages in H0 are commonly made shorter than to scale)" if _is_shortened(vehicle) else ""
    missing = Missing(vehicle=vehicle.name, field="length_mm", words=f"its length{why}")
    return KnownLength(extent=Extent(known_mm=0.0, missing=(missing,)), over=vehicle.length_over or "buffers")


def _as_given(vehicle: Vehicle, length_mm: float, *, over: LengthOver) -> KnownLength:
    if vehicle.length_plus_minus_mm is not None:
        extent = Extent(known_mm=tidy(length_mm), plus_minus_mm=tidy(vehicle.length_plus_minus_mm))
        return KnownLength(extent=extent, over=over)
    if vehicle.length_from == "scaled":
        plus_minus_mm, why = scaled_plus_minus_mm(length_mm), "as it was scaled from the full size"
    else:
        plus_minus_mm, why = PLUS_MINUS_MM[vehicle.length_from], _WHY[vehicle.length_from]
    guess = Guess(
        vehicle=vehicle.name,
        field="length_plus_minus_mm",
        about=f"the length is taken as good to {millimetres(plus_minus_mm)} either way, {why}",
        source="default",
        plus_minus_mm=plus_minus_mm,
    )
    extent = Extent(known_mm=tidy(length_mm), plus_minus_mm=plus_minus_mm)
    return KnownLength(extent=extent, over=over, guesses=(guess,))


def _of_its_bodies(vehicle: Vehicle) -> KnownLength:
    bodies = vehicle.bodies or ()
    gaps_mm = [body.gap_to_next_mm for body in bodies[:-1]]
    length_mm = sum(body.length_mm for body in bodies) + sum(gap_mm or 0.0 for gap_mm in gaps_mm)
    plus_minus_mm = vehicle.length_plus_minus_mm
    if plus_minus_mm is None:
        plus_minus_mm = len(bodies) * PLUS_MINUS_MM[None]
    closed_up = ", gaps that are not given counting as 0" if None in gaps_mm else ""
    guess = Guess(
        vehicle=vehicle.name,
        field="length_mm",
        about=f"its length is the sum of its {len(bodies)} bodies and the gaps between them{closed_up}",
        source="default",
        value_mm=tidy(length_mm),
        plus_minus_mm=plus_minus_mm,
    )
    extent = Extent(known_mm=tidy(length_mm), plus_minus_mm=tidy(plus_minus_mm))
    return KnownLength(extent=extent, over="buffers", guesses=(guess,))


def _scaled_down(vehicle: Vehicle, full_size_length_m: float, *, scale_name: ScaleName) -> KnownLength:
    length_mm = full_size_mm(full_size_length_m, ratio=scale(scale_name).ratio)
    plus_minus_mm = vehicle.length_plus_minus_mm
    if plus_minus_mm is None:
        plus_minus_mm = scaled_plus_minus_mm(length_mm)
    guess = Guess(
        vehicle=vehicle.name,
        field="length_mm",
        about=f"its length is scaled from {full_size_length_m:g} m in full size: {millimetres(length_mm)}",
        source="scaled",
        value_mm=tidy(length_mm),
        plus_minus_mm=plus_minus_mm,
    )
    extent = Extent(known_mm=tidy(length_mm), plus_minus_mm=tidy(plus_minus_mm))
    return KnownLength(extent=extent, over="buffers", guesses=(guess,))
