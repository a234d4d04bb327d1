"""The end of a vehicle whose coupling nobody has named: between the least and the most
that it may reach.
"""

from standage.railway.stock.couplings import Coupling, Span
from standage.railway.stock.extents import Extent, Unsaid
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.guesses import Guess
from standage.railway.terms.phrases import millimetres
from standage.railway.terms.scales import ScaleName


def reach_within(
    vehicle: Vehicle, at: str, own: Coupling, span: Span
) -> tuple[Extent, tuple[Guess, ...]]:
    """Return what the end reaches, half of its span as ± that is not known, and what is
    taken of it.
    """
    extent = _halfway(
        vehicle, at, own, least_mm=span.least_mm, greatest_mm=span.greatest_mm
    )
    about = (
        f"{_whose_coupling(own)}: it is taken to reach {_between(span, vehicle.scale)}"
    )
    guess = Guess(
        vehicle=vehicle.name,
        field=f"{at}_coupling.reach_mm",
        about=about,
        source="typical",
        value_mm=extent.known_mm,
        plus_minus_mm=extent.plus_minus_mm,
    )
    return extent, (guess,)


def free_within(
    vehicle: Vehicle, at: str, own: Coupling, span: Span
) -> tuple[Extent, tuple[Guess, ...]]:
    """Return what stands out beyond the end when it is free, in the same way."""
    extent = _halfway(
        vehicle, at, own, least_mm=span.free_least_mm, greatest_mm=span.free_greatest_mm
    )
    about = (
        f"{_whose_coupling(own)}: when free it is taken to stand out"
        f" {_between(span, vehicle.scale, free=True)}"
    )
    guess = Guess(
        vehicle=vehicle.name,
        field=f"{at}_coupling.projection_mm",
        about=about,
        source="typical",
        value_mm=extent.known_mm,
        plus_minus_mm=extent.plus_minus_mm,
    )
    return extent, (guess,)


def _halfway(
    vehicle: Vehicle, at: str, own: Coupling, *, least_mm: float, greatest_mm: float
) -> Extent:
    off_mm = (greatest_mm - least_mm) / 2
    span = f"it may reach from {millimetres(least_mm)} to {millimetres(greatest_mm)}"
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


def _between(span: Span, scale: ScaleName | None, *, free: bool = False) -> str:
    least_mm = span.free_least_mm if free else span.least_mm
    greatest_mm = span.free_greatest_mm if free else span.greatest_mm
    return (
        f"between {millimetres(least_mm)} ({span.shortest}) and"
        f" {millimetres(greatest_mm)} ({span.longest}), as couplings of {scale}"
        " typically do"
    )
