"""How long one vehicle is, as far as it is known, and how far off that may be."""

from collections.abc import Iterable
from operator import attrgetter

import msgspec

from standage.railway.stock.nominal_lengths import may_be_either, over_pulling_faces
from standage.railway.stock.vehicles import (
    KEPT_KINDS,
    PASSENGER_KINDS,
    LengthFrom,
    LengthOver,
    Vehicle,
)
from standage.railway.terms.figures import exceeds, millimetres, tidy
from standage.railway.terms.reasons import Guess, Reason
from standage.railway.terms.scales import ScaleName, full_size_mm, scale

PLUS_MINUS_MM: dict[LengthFrom | None, float] = {
    "measured": 0.5,
    "maker": 1.0,
    None: 1.0,
}
"""How far off a length may be by how it was found, in mm; None is not said. **Source**
common practice.
"""
SCALED_PLUS_MINUS = 0.01
LEAST_SCALED_PLUS_MINUS_MM = 2.0
SHORTENED_FROM_M = 24.0
SHORTENED_RATIOS = (86.5, 87.5)
"""Carriages longer than that in full size are commonly shortened in H0: their length
cannot be had by scaling.
"""
_WITHIN_ITS_LENGTH = {
    "body_length_mm": "its body",
    "total_wheelbase_mm": "its wheelbase in all",
    "bogie_centres_mm": "the distance between its bogies",
    "rigid_wheelbase_mm": "its rigid wheelbase",
}
_WHY: dict[LengthFrom | None, str] = {
    "measured": "as it was measured",
    "maker": "as it is the maker's figure",
    None: "as nobody said how it was found",
}


class Missing(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that nobody has measured and that the answer needs.

    ``reason`` is what is told in place of that where the figure is given, but cannot be
    right.
    """

    vehicle: str
    field: str
    words: str
    reason: Reason | None = None


class Unsaid(msgspec.Struct, frozen=True, kw_only=True):
    """A coupling that nobody has named, and between what it may reach, in mm and in
    words.
    """

    vehicle: str
    field: str
    words: str
    between: str


class Extent(msgspec.Struct, frozen=True, kw_only=True):
    """A length along the train: the sum of what is known of it, the ± of that, and what
    is missing.

    Its parts are tidied before they are added up, so that every sum of them is a whole
    number of millionths of a mm. Couplings that nobody has named lie in the middle of
    their span; ``unsaid_mm`` is how much of the ± is theirs.
    """

    known_mm: float
    plus_minus_mm: float = 0.0
    missing: tuple[Missing, ...] = ()
    unsaid_mm: float = 0.0
    unsaid: tuple[Unsaid, ...] = ()

    @property
    def length_mm(self) -> float | None:
        """The length; None while anything is missing."""
        if self.missing:
            return None
        return self.known_mm

    @property
    def least_mm(self) -> float:
        """What is known of it with the shortest of the couplings that nobody has named,
        its ± left out.
        """
        return self.known_mm - self.unsaid_mm

    def shortest(self) -> "Extent":
        """Return the length with the shortest couplings that may be meant."""
        return self._with(-self.unsaid_mm)

    def longest(self) -> "Extent":
        """Return the length with the longest couplings that may be meant."""
        return self._with(self.unsaid_mm)

    def moved(self, by_mm: float) -> "Extent":
        """Return what is as much longer, its ± and what is not known of it the same."""
        known_mm = self.known_mm + by_mm
        return msgspec.structs.replace(self, known_mm=known_mm)

    def _with(self, by_mm: float) -> "Extent":
        if not self.unsaid:
            return self
        return Extent(
            known_mm=self.known_mm + by_mm,
            plus_minus_mm=self.plus_minus_mm - self.unsaid_mm,
            missing=self.missing,
        )


class KnownLength(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle's length, over what it was measured, and what had to be guessed
    for it.
    """

    extent: Extent
    over: LengthOver
    guesses: tuple[Guess, ...] = ()


def length_of(vehicle: Vehicle) -> KnownLength:
    """Return how long ``vehicle`` is: as measured, else the sum of its bodies, else
    scaled down, else missing.

    An American car that is called by its class is as long over its couplings as cars of
    that class. In H0 the length of a carriage of over 24 m full size is never had by
    scaling, since European makers commonly shorten such models; American ones are to
    scale. **Source** of the ±: common practice.
    """
    over = vehicle.length_over or "buffers"
    if vehicle.length_mm is not None:
        if vehicle.length_from == "scaled" and _is_shortened(vehicle):
            return _unknown(vehicle)
        return _as_given(vehicle, vehicle.length_mm, over=over)
    if vehicle.bodies is not None:
        return _of_its_bodies(vehicle)
    if (
        vehicle.full_size_length_m is None
        and vehicle.nominal_length_ft is not None
        and vehicle.scale is not None
    ):
        return _of_its_class(
            vehicle, vehicle.nominal_length_ft, scale_name=vehicle.scale
        )
    if (
        vehicle.full_size_length_m is None
        or vehicle.scale is None
        or _is_shortened(vehicle)
    ):
        return _unknown(vehicle)
    return _scaled_down(vehicle, vehicle.full_size_length_m, scale_name=vehicle.scale)


def is_over_couplings(vehicle: Vehicle) -> bool:
    """Tell whether a vehicle's one length, as far as it is known, runs over its
    couplings: as it says, or as its class has it. **Source** derived.
    """
    return vehicle.bodies is None and length_of(vehicle).over == "couplings"


def scaled_plus_minus_mm(length_mm: float) -> float:
    """Return how far off a length scaled from the full size may be: 1 %, and at least 2
    mm. **Source** common practice.
    """
    part_mm = tidy(length_mm * SCALED_PLUS_MINUS)
    return max(LEAST_SCALED_PLUS_MINUS_MM, part_mm)


def total(extents: Iterable[Extent]) -> Extent:
    """Return the extents laid end to end; their ± add up, as in the worst case.
    **Source** derived.
    """
    known_mm, plus_minus_mm, unsaid_mm = 0.0, 0.0, 0.0
    missing: list[Missing] = []
    unsaid: list[Unsaid] = []
    for extent in extents:
        known_mm += extent.known_mm
        plus_minus_mm += extent.plus_minus_mm
        if extent.missing:
            missing.extend(extent.missing)
        if extent.unsaid:
            unsaid_mm += extent.unsaid_mm
            unsaid.extend(extent.unsaid)
    return Extent(
        known_mm=known_mm,
        plus_minus_mm=plus_minus_mm,
        missing=tuple(missing),
        unsaid_mm=unsaid_mm,
        unsaid=tuple(unsaid),
    )


def lacking(missing: Iterable[Missing]) -> tuple[Reason, ...]:
    """Return one reason for each figure that is missing, naming its vehicle and field.
    **Source** derived.
    """
    # of two that ask for one figure the later says it, in the first one's place
    once: dict[tuple[str, str], Reason] = {}
    for one in missing:
        once[one.vehicle, one.field] = one.reason or _to_measure(one)
    return tuple(once.values())


def _to_measure(missing: Missing) -> Reason:
    return Reason(
        code="missing_figure",
        message=(
            f"{missing.vehicle}: measure {missing.words}; without it nobody can tell"
        ),
        vehicle=missing.vehicle,
        field=missing.field,
    )


def to_name(unsaid: Iterable[Unsaid]) -> tuple[Reason, ...]:
    """Return one reason for each vehicle with couplings that nobody has named and that
    decide. **Source** derived.
    """
    of_vehicle: dict[str, list[Unsaid]] = {}
    for one in unsaid:
        of_vehicle.setdefault(one.vehicle, []).append(one)
    return tuple(
        _to_name(vehicle, min(ends, key=_BY_FIELD))
        for vehicle, ends in of_vehicle.items()
    )


_BY_FIELD = attrgetter("field")


def _to_name(vehicle: str, end: Unsaid) -> Reason:
    message = (
        f"{vehicle}: {end.words}, which decides here: name its type, or measure how far"
        f" it reaches; {end.between}"
    )
    return Reason(
        code="coupling_not_known", message=message, vehicle=vehicle, field=end.field
    )


def _is_shortened(vehicle: Vehicle) -> bool:
    if vehicle.scale is None or vehicle.is_american:
        return False
    if vehicle.kind is not None and vehicle.kind not in PASSENGER_KINDS:
        return False
    ratio = scale(vehicle.scale).ratio
    full_size_m = (
        vehicle.full_size_length_m or (vehicle.length_mm or 0.0) * ratio / 1000
    )
    return (
        SHORTENED_RATIOS[0] < ratio < SHORTENED_RATIOS[1]
        and full_size_m > SHORTENED_FROM_M
    )


def _of_its_class(
    vehicle: Vehicle, class_ft: int, *, scale_name: ScaleName
) -> KnownLength:
    car = over_pulling_faces(class_ft, kind=vehicle.kind)
    if car is None:
        missing = _no_such_class(vehicle, class_ft)
        return KnownLength(
            extent=Extent(known_mm=0.0, missing=(missing,)), over="couplings"
        )
    ratio = scale(scale_name).ratio
    length_mm = tidy(full_size_mm(car.length_m, ratio=ratio))
    off_mm = vehicle.length_plus_minus_mm
    if off_mm is None:
        off_mm = max(
            scaled_plus_minus_mm(length_mm),
            tidy(full_size_mm(car.plus_minus_m, ratio=ratio)),
        )
    longest_mm = tidy(length_mm + off_mm)
    outgrown = _outgrown(vehicle, class_ft, longest_mm=longest_mm)
    if outgrown is not None:
        return KnownLength(
            extent=Extent(known_mm=0.0, missing=(outgrown,)), over="couplings"
        )
    about = (
        f"as a car of the {class_ft} ft class it is taken to be"
        f" {millimetres(length_mm)} long over its couplings: {car.found}"
    )
    guess = Guess(
        vehicle=vehicle.name,
        field="length_mm",
        about=about,
        source="common_practice",
        value_mm=length_mm,
        plus_minus_mm=off_mm,
    )
    extent = Extent(known_mm=length_mm, plus_minus_mm=tidy(off_mm))
    return KnownLength(extent=extent, over="couplings", guesses=(guess,))


def _outgrown(vehicle: Vehicle, class_ft: int, *, longest_mm: float) -> Missing | None:
    """Return that its length is missing where a figure of its own is longer than a car
    of that class can be.
    """
    for field, what in _WITHIN_ITS_LENGTH.items():
        figure_mm = getattr(vehicle, field)
        if figure_mm is not None and exceeds(figure_mm, limit=longest_mm):
            words = (
                f"its length: {what} of {millimetres(figure_mm)} is longer than a car"
                f" of the {class_ft} ft class"
            )
            return Missing(vehicle=vehicle.name, field="length_mm", words=words)
    return None


def _no_such_class(vehicle: Vehicle, class_ft: int) -> Missing:
    words = (
        f"its length: how long cars of the {class_ft} ft class are over their"
        " couplings is not known here"
    )
    if vehicle.kind in KEPT_KINDS:
        words = "its length: only cars are called by a class in feet"
    elif may_be_either(class_ft, kind=vehicle.kind):
        words = (
            f"its length, or say its kind: wagons and coaches of {class_ft} ft are not"
            " equally long"
        )
    return Missing(vehicle=vehicle.name, field="length_mm", words=words)


def _unknown(vehicle: Vehicle) -> KnownLength:
    why = (
        " (long carriages in H0 are commonly made shorter than to scale)"
        if _is_shortened(vehicle)
        else ""
    )
    missing = Missing(vehicle=vehicle.name, field="length_mm", words=f"its length{why}")
    return KnownLength(
        extent=Extent(known_mm=0.0, missing=(missing,)),
        over=vehicle.length_over or "buffers",
    )


def _as_given(vehicle: Vehicle, length_mm: float, *, over: LengthOver) -> KnownLength:
    if vehicle.length_plus_minus_mm is not None:
        extent = Extent(
            known_mm=tidy(length_mm), plus_minus_mm=tidy(vehicle.length_plus_minus_mm)
        )
        return KnownLength(extent=extent, over=over)
    if vehicle.length_from == "scaled":
        plus_minus_mm, why = (
            scaled_plus_minus_mm(length_mm),
            "as it was scaled from the full size",
        )
    else:
        plus_minus_mm, why = (
            PLUS_MINUS_MM[vehicle.length_from],
            _WHY[vehicle.length_from],
        )
    guess = Guess(
        vehicle=vehicle.name,
        field="length_plus_minus_mm",
        about=(
            f"the length is taken as good to {millimetres(plus_minus_mm)} either way,"
            f" {why}"
        ),
        source="default",
        plus_minus_mm=plus_minus_mm,
    )
    extent = Extent(known_mm=tidy(length_mm), plus_minus_mm=plus_minus_mm)
    return KnownLength(extent=extent, over=over, guesses=(guess,))


def _of_its_bodies(vehicle: Vehicle) -> KnownLength:
    bodies = vehicle.bodies or ()
    length_mm = sum(body.length_mm for body in bodies)
    gaps_mm = [body.gap_to_next_mm for body in bodies[:-1]]
    length_mm += sum(gap_mm for gap_mm in gaps_mm if gap_mm is not None)
    plus_minus_mm = vehicle.length_plus_minus_mm
    if plus_minus_mm is None:
        plus_minus_mm = len(bodies) * PLUS_MINUS_MM[None]
    about = (
        f"its length is the sum of its {len(bodies)} bodies and the gaps between them"
    )
    if None in gaps_mm:
        about += ", gaps that are not given counting as 0"
    guess = Guess(
        vehicle=vehicle.name,
        field="length_mm",
        about=about,
        source="default",
        value_mm=tidy(length_mm),
        plus_minus_mm=plus_minus_mm,
    )
    extent = Extent(known_mm=tidy(length_mm), plus_minus_mm=tidy(plus_minus_mm))
    return KnownLength(extent=extent, over="buffers", guesses=(guess,))


def _scaled_down(
    vehicle: Vehicle, full_size_length_m: float, *, scale_name: ScaleName
) -> KnownLength:
    length_mm = full_size_mm(full_size_length_m, ratio=scale(scale_name).ratio)
    plus_minus_mm = vehicle.length_plus_minus_mm
    if plus_minus_mm is None:
        plus_minus_mm = scaled_plus_minus_mm(length_mm)
    guess = Guess(
        vehicle=vehicle.name,
        field="length_mm",
        about=(
            f"its length is scaled from {full_size_length_m:g} m in full size:"
            f" {millimetres(length_mm)}"
        ),
        source="scaled",
        value_mm=tidy(length_mm),
        plus_minus_mm=plus_minus_mm,
    )
    extent = Extent(known_mm=tidy(length_mm), plus_minus_mm=tidy(plus_minus_mm))
    return KnownLength(extent=extent, over="buffers", guesses=(guess,))
