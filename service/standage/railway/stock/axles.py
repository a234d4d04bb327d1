"""Where a vehicle's outermost axles stand: what a turntable, a headshunt and a
reversing section turn on.
"""

import msgspec

from standage.railway.stock.extents import KnownLength, Missing, scaled_plus_minus_mm
from standage.railway.stock.practice import (
    COACH_BOGIE_M,
    COACH_PIVOTS,
    TWO_AXLE_WHEELBASE,
    WAGON_KINDS,
    WAGON_PIVOTS,
    wagon_stands,
)
from standage.railway.stock.vehicles import PASSENGER_KINDS, Running, Vehicle
from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.reasons import Guess, Source
from standage.railway.terms.scales import full_size_mm, scale


class Axles(msgspec.Struct, frozen=True, kw_only=True):
    """The distance between the outermost axles and how far each lies behind the end of
    the vehicle's length, in mm.

    None is a figure that is not known; ``missing`` then says what to measure.
    ``plus_minus_mm`` is of the wheelbase.
    """

    wheelbase_mm: float | None = None
    plus_minus_mm: float = 0.0
    front_mm: float | None = None
    rear_mm: float | None = None
    guesses: tuple[Guess, ...] = ()
    missing: tuple[Missing, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether both axles' places are known, with nothing guessed."""
        return (
            self.front_mm is not None and self.rear_mm is not None and not self.guesses
        )


class _Wheelbase(msgspec.Struct, frozen=True, kw_only=True):
    length_mm: float | None = None
    guesses: tuple[Guess, ...] = ()
    lacks: str = "total_wheelbase_mm"

    @property
    def plus_minus_mm(self) -> float:
        """How far off it may be, in mm: 0 where measured or not known, as for a scaled
        length where guessed.
        """
        if self.length_mm is None or not any(
            guess.source == "common_practice" for guess in self.guesses
        ):
            return 0.0
        return scaled_plus_minus_mm(self.length_mm)


def axles_of(vehicle: Vehicle, length: KnownLength) -> Axles:
    """Return where the outermost axles of ``vehicle`` stand.

    Its total wheelbase counts, else its rigid one, else what its bogies or several
    bodies come to. For a wagon, brake van or carriage of which nothing is known the
    proportions of common practice are taken, and said; an engine's wheelbase is never
    guessed. Ends that nobody measured are taken to be alike. **Source** common
    practice.
    """
    length_mm = length.extent.length_mm
    if vehicle.total_wheelbase_mm is None and vehicle.bodies is not None:
        return _of_bodies(vehicle, vehicle.bodies[0], vehicle.bodies[-1], length_mm)
    wheelbase = _wheelbase(vehicle, length_mm)
    if wheelbase.length_mm is None:
        words = (
            "its length"
            if wheelbase.lacks == "length_mm"
            else "its wheelbase, from the first axle to the last"
        )
        return Axles(
            missing=(Missing(vehicle=vehicle.name, field=wheelbase.lacks, words=words),)
        )
    return _placed(vehicle, wheelbase, wheelbase.length_mm, length_mm)


def _placed(
    vehicle: Vehicle,
    wheelbase: _Wheelbase,
    wheelbase_mm: float,
    length_mm: float | None,
) -> Axles:
    front_mm, rear_mm = vehicle.first_axle_mm, None
    if vehicle.total_wheelbase_mm is None:
        half_bogie_mm = (
            wheelbase_mm / 2 - (vehicle.bogie_centres_mm or wheelbase_mm) / 2
        )
        if front_mm is None and vehicle.front_overhang_mm is not None:
            front_mm = vehicle.front_overhang_mm - half_bogie_mm
        if vehicle.rear_overhang_mm is not None:
            rear_mm = vehicle.rear_overhang_mm - half_bogie_mm
    guesses = wheelbase.guesses
    if length_mm is not None:
        both_mm = length_mm - wheelbase_mm
        if front_mm is None and rear_mm is None:
            front_mm = both_mm / 2
            guesses = (
                *guesses,
                _guess(
                    vehicle,
                    "first_axle_mm",
                    "its wheels are taken to stand in the middle",
                    both_mm / 2,
                ),
            )
        if front_mm is None and rear_mm is not None:
            front_mm = both_mm - rear_mm
        if rear_mm is None and front_mm is not None:
            rear_mm = both_mm - front_mm
    missing: tuple[Missing, ...] = ()
    if front_mm is None or rear_mm is None:
        missing = (
            Missing(vehicle=vehicle.name, field="length_mm", words="its length"),
        )
    return Axles(
        wheelbase_mm=wheelbase_mm,
        plus_minus_mm=wheelbase.plus_minus_mm,
        front_mm=front_mm,
        rear_mm=rear_mm,
        guesses=guesses,
        missing=missing,
    )


def _wheelbase(vehicle: Vehicle, length_mm: float | None) -> _Wheelbase:
    if vehicle.total_wheelbase_mm is not None:
        return _Wheelbase(length_mm=vehicle.total_wheelbase_mm)
    if vehicle.rigid_wheelbase_mm is not None:
        about = "its rigid wheelbase is taken to be its whole wheelbase"
        guess = _guess(
            vehicle, "total_wheelbase_mm", about, vehicle.rigid_wheelbase_mm, read=True
        )
        return _Wheelbase(
            length_mm=vehicle.rigid_wheelbase_mm,
            guesses=(guess,) if vehicle.kind in {"engine", None} else (),
        )
    if vehicle.bogie_centres_mm is not None:
        return _on_bogies(vehicle, vehicle.bogie_centres_mm)
    if vehicle.kind in WAGON_KINDS:
        return _as_wagons_are(vehicle, length_mm)
    if vehicle.kind in PASSENGER_KINDS:
        return _as_carriages_are(vehicle, length_mm)
    return _Wheelbase()


def _on_bogies(vehicle: Vehicle, centres_mm: float) -> _Wheelbase:
    if vehicle.bogie_wheelbase_mm is not None:
        return _Wheelbase(length_mm=centres_mm + vehicle.bogie_wheelbase_mm)
    if vehicle.kind in {"engine", None} or vehicle.scale is None:
        return _Wheelbase(lacks="bogie_wheelbase_mm")
    bogie_mm = full_size_mm(COACH_BOGIE_M, ratio=scale(vehicle.scale).ratio)
    about = (
        f"its bogies' wheelbase is taken to be {COACH_BOGIE_M:g} m full size,"
        f" {millimetres(bogie_mm)}"
    )
    return _Wheelbase(
        length_mm=centres_mm + bogie_mm,
        guesses=(_guess(vehicle, "bogie_wheelbase_mm", about, bogie_mm),),
    )


def _as_wagons_are(vehicle: Vehicle, length_mm: float | None) -> _Wheelbase:
    """Return what a wagon's wheels span: on bogies, where it may have them, since they
    stand farther apart.
    """
    if length_mm is None:
        return _Wheelbase(lacks="length_mm")
    stands = wagon_stands(vehicle, length_mm=length_mm)
    if "bogies" not in stands:
        return _half_the_length(vehicle, length_mm)
    pivots_mm = WAGON_PIVOTS * (vehicle.body_length_mm or length_mm)
    span = _on_bogies(vehicle, pivots_mm)
    if span.length_mm is None:
        return span
    doubt = "" if len(stands) == 1 else "may have two axles, but "
    about = (
        f"it {doubt}is taken to stand on bogies, {millimetres(span.length_mm)} from"
        " first axle to last"
    )
    return _Wheelbase(
        length_mm=span.length_mm,
        guesses=(_guess(vehicle, "total_wheelbase_mm", about, span.length_mm),),
    )


def _half_the_length(vehicle: Vehicle, length_mm: float) -> _Wheelbase:
    wheelbase_mm = TWO_AXLE_WHEELBASE * length_mm
    about = f"its wheelbase is taken to be half its length, {millimetres(wheelbase_mm)}"
    return _Wheelbase(
        length_mm=wheelbase_mm,
        guesses=(_guess(vehicle, "total_wheelbase_mm", about, wheelbase_mm),),
    )


def _as_carriages_are(vehicle: Vehicle, length_mm: float | None) -> _Wheelbase:
    body_mm = vehicle.body_length_mm or length_mm
    if body_mm is None:
        return _Wheelbase(lacks="length_mm")
    if vehicle.scale is None:
        return _Wheelbase()
    wheelbase_mm = COACH_PIVOTS * body_mm + full_size_mm(
        COACH_BOGIE_M, ratio=scale(vehicle.scale).ratio
    )
    about = (
        f"its wheelbase is taken as carriages commonly are, {millimetres(wheelbase_mm)}"
        " from first axle to last"
    )
    return _Wheelbase(
        length_mm=wheelbase_mm,
        guesses=(_guess(vehicle, "total_wheelbase_mm", about, wheelbase_mm),),
    )


def _of_bodies(
    vehicle: Vehicle, first: Running, last: Running, length_mm: float | None
) -> Axles:
    bodies = vehicle.bodies or ()
    front, rear = (
        _end_of_body(
            first, first.front_overhang_mm, first.rear_overhang_mm, bodies[0].length_mm
        ),
        _end_of_body(
            last, last.rear_overhang_mm, last.front_overhang_mm, bodies[-1].length_mm
        ),
    )
    if vehicle.first_axle_mm is not None:
        front = (vehicle.first_axle_mm, False)
    if front is None or rear is None or length_mm is None:
        words = "its wheelbase, from the first axle to the last"
        return Axles(
            missing=(
                Missing(vehicle=vehicle.name, field="total_wheelbase_mm", words=words),
            )
        )
    guesses: tuple[Guess, ...] = ()
    if front[1] or rear[1]:
        guesses = (
            _guess(
                vehicle,
                "first_axle_mm",
                "its outer bodies' wheels are taken to stand in the middle",
                front[0],
            ),
        )
    return Axles(
        wheelbase_mm=length_mm - front[0] - rear[0],
        front_mm=front[0],
        rear_mm=rear[0],
        guesses=guesses,
    )


def _end_of_body(
    body: Running, overhang_mm: float | None, other_mm: float | None, length_mm: float
) -> tuple[float, bool] | None:
    """Return how far the outermost axle lies behind the body's end, and whether that
    was guessed.
    """
    pivots_mm = (
        body.bogie_centres_mm
        if body.rigid_wheelbase_mm is None
        else body.rigid_wheelbase_mm
    )
    half_bogie_mm = (body.bogie_wheelbase_mm or 0.0) / 2
    if body.bogie_centres_mm is not None and body.bogie_wheelbase_mm is None:
        return None
    if overhang_mm is not None:
        return overhang_mm - half_bogie_mm, False
    if pivots_mm is None:
        return None
    if other_mm is not None:
        return length_mm - pivots_mm - other_mm - half_bogie_mm, False
    return (length_mm - pivots_mm) / 2 - half_bogie_mm, True


def _guess(
    vehicle: Vehicle, field: str, about: str, value_mm: float, *, read: bool = False
) -> Guess:
    source: Source = "taken_as_read" if read else "common_practice"
    return Guess(
        vehicle=vehicle.name,
        field=field,
        about=about,
        source=source,
        value_mm=tidy(value_mm),
    )
