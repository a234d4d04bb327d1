"""What a vehicle ought to weigh, and how long the body is that this goes by."""

from typing import NamedTuple

from msgspec.structs import replace

from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.ends import end_of
from standage.railway.stock.extents import Extent, KnownLength, Missing, length_of
from standage.railway.stock.vehicles import LengthOver, Vehicle, VehicleKind
from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.reasons import Guess
from standage.railway.terms.scales import Practice, full_size_mm, scale

DRIVE_THEMSELVES: frozenset[VehicleKind] = frozenset({"engine", "railcar"})
"""Kinds that the sheet does not speak of: it is for what is hauled."""
BUFFERS_M: dict[Practice, float] = {"british": 0.442, "continental": 0.609}
"""How far full-size buffers stand out beyond the body: 5.8 mm in 00, 7 in H0. American
stock has none. **Source** common practice.
"""
BUFFERS_PLUS_MINUS_MM = 1.0
"""Of one end, in the model. **Source** common practice."""


class BodyLength(NamedTuple):
    """How long a vehicle's body is, as far as it is known, and what was taken to find
    that.
    """

    extent: Extent
    guesses: tuple[Guess, ...] = ()


def body_length_of(vehicle: Vehicle, *, types: CouplingTypes) -> BodyLength:
    """Return how long the body of a vehicle is: as given, else its length less what
    couplings and buffers stand out, else missing.

    In mm; ``types`` are the club's own couplings. Of several bodies that stay joined it
    is missing. **Source** ``BUFFERS_M``, and typical reaches of couplings.
    """
    if vehicle.body_length_mm is not None:
        return BodyLength(Extent(known_mm=vehicle.body_length_mm))
    if vehicle.bodies is not None:
        words = "the length of each of its bodies, and ask for each by itself"
        return _unknown(vehicle, words)
    length = length_of(vehicle)
    found = BodyLength(length.extent, length.guesses)
    if length.over == "couplings":
        found = _less_couplings(vehicle, length, types=types)
    if length.over != "body":
        found = _less_buffers(vehicle, found)
    if found.extent.missing or found.extent.known_mm > 0:
        return found
    return _unknown(vehicle, "its length again: nothing is left for its body")


def _unknown(vehicle: Vehicle, words: str) -> BodyLength:
    missing = Missing(vehicle=vehicle.name, field="body_length_mm", words=words)
    return BodyLength(Extent(known_mm=0.0, missing=(missing,)))


def _less_couplings(
    vehicle: Vehicle, length: KnownLength, *, types: CouplingTypes
) -> BodyLength:
    # American couplings reach from the end of the body
    beyond: LengthOver = "body" if vehicle.is_american else "buffers"
    vehicle = replace(vehicle, length_over=beyond)
    front = end_of(vehicle, at="front", over=beyond, types=types)
    rear = end_of(vehicle, at="rear", over=beyond, types=types)
    reaches = (front.reach, rear.reach)
    extent = length.extent
    for reach in reaches:
        extent = Extent(
            known_mm=extent.known_mm - reach.known_mm,
            plus_minus_mm=extent.plus_minus_mm + reach.plus_minus_mm,
            missing=(*extent.missing, *reach.missing),
        )
    guesses = (*length.guesses, *front.reach_guesses, *rear.reach_guesses)
    return BodyLength(extent, guesses)


def _less_buffers(vehicle: Vehicle, found: BodyLength) -> BodyLength:
    if vehicle.scale is None or found.extent.missing:
        return found
    model = scale(vehicle.scale)
    practice = vehicle.practice or model.practice
    buffer_m = BUFFERS_M.get(practice, 0.0)
    buffer_mm = full_size_mm(buffer_m, ratio=model.ratio)
    body_mm = tidy(found.extent.known_mm - 2 * buffer_mm)
    off_mm = tidy(found.extent.plus_minus_mm)
    about = f"it has no buffers: its body is taken to be {millimetres(body_mm)} long"
    if buffer_mm:
        off_mm += 2 * BUFFERS_PLUS_MINUS_MM
        about = (
            f"its buffers are taken to stand out {millimetres(buffer_mm)} at each end:"
            f" its body is {millimetres(body_mm)} long"
        )
    guess = Guess(
        vehicle=vehicle.name,
        field="body_length_mm",
        about=about,
        source="common_practice",
        value_mm=body_mm,
        plus_minus_mm=off_mm,
    )
    extent = Extent(known_mm=body_mm, plus_minus_mm=off_mm)
    return BodyLength(extent, (*found.guesses, guess))


class Weighed(NamedTuple):
    """A mass beside what is recommended, in grams: what it lacks, and what it has
    more; one of the two is 0.
    """

    add_g: float
    over_g: float


def weighed(mass_g: float, *, recommended_g: float) -> Weighed:
    """Return what a mass lacks, or has more, beside what is recommended, in grams.
    **Source** derived.

    >>> weighed(80.0, recommended_g=113.4), weighed(120.0, recommended_g=113.4)
    (Weighed(add_g=33.4, over_g=0.0), Weighed(add_g=0.0, over_g=6.6))
    """
    lacking_g = tidy(recommended_g - mass_g)
    return Weighed(add_g=max(lacking_g, 0.0), over_g=max(-lacking_g, 0.0))
