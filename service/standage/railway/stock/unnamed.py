"""The end of a vehicle whose coupling nobody has named: between the least and the most
that it may reach.
"""

from typing import NamedTuple

from standage.railway.stock.couplings import Coupling, Span
from standage.railway.stock.extents import Extent, Unsaid
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import millimetres
from standage.railway.terms.reasons import Guess


class Within(NamedTuple):
    """Between what a coupling reaches, or stands out when it is free."""

    field: str
    words: str
    least_mm: float
    greatest_mm: float


def reaching(span: Span) -> Within:
    """Return between what it reaches when it is coupled, in mm from the buffer face.
    **Source** derived from what is typical of the scale.
    """
    return Within(
        "reach_mm",
        "it is taken to reach",
        span.least_mm,
        span.greatest_mm,
    )


def standing_out(span: Span) -> Within:
    """Return between what it stands out when it is free, in mm from the buffer face.
    **Source** derived from what is typical of the scale.
    """
    return Within(
        "projection_mm",
        "when free it is taken to stand out",
        span.free_least_mm,
        span.free_greatest_mm,
    )


def halfway(
    vehicle: Vehicle, at: str, own: Coupling, *, span: Span, within: Within
) -> tuple[Extent, tuple[Guess, ...]]:
    """Return the middle of what the coupling at one end may reach or stand out, in mm,
    half of that as ± that is not known, and what is guessed of it.

    Where the least and the most are one, the ± is 0. **Source** derived; the span is
    common practice.
    """
    extent = _extent(vehicle, at, own, within)
    between = (
        f"between {millimetres(within.least_mm)} ({span.shortest}) and"
        f" {millimetres(within.greatest_mm)} ({span.longest})"
    )
    about = (
        f"{_whose_coupling(own)}: {within.words} {between}, as couplings of"
        f" {vehicle.scale} typically do"
    )
    guess = Guess(
        vehicle=vehicle.name,
        field=f"{at}_coupling.{within.field}",
        about=about,
        source="typical",
        value_mm=extent.known_mm,
        plus_minus_mm=extent.plus_minus_mm,
    )
    return extent, (guess,)


def _extent(vehicle: Vehicle, at: str, own: Coupling, within: Within) -> Extent:
    least_mm = within.least_mm
    off_mm = (within.greatest_mm - least_mm) / 2
    span = (
        f"it may reach from {millimetres(least_mm)} to"
        f" {millimetres(within.greatest_mm)}"
    )
    unsaid = Unsaid(
        vehicle=vehicle.name,
        field=f"{at}_coupling.type",
        words=_whose_coupling(own),
        between=span,
    )
    return Extent(
        known_mm=least_mm + off_mm,
        plus_minus_mm=off_mm,
        unsaid_mm=off_mm,
        unsaid=(unsaid,),
    )


def _whose_coupling(own: Coupling) -> str:
    if own.type is None:
        return "nobody says which coupling it has"
    return f"nobody has recorded how far {own.type} reaches"
