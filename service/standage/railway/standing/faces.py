"""A train along a platform's face: from its first passenger vehicle to its last,
whatever lies between.
"""

import msgspec

from standage.railway.standing.verdicts import (
    Fit,
    FitVerdict,
    Wording,
    ends_of,
    fit,
    verdict_in,
)
from standage.railway.stock.coupled import Coupled
from standage.railway.stock.extents import Extent
from standage.railway.stock.vehicles import PASSENGER_KINDS
from standage.railway.terms.reasons import Guess, Reason


class Alongside(msgspec.Struct, frozen=True, kw_only=True):
    """The passenger part of a train against the face, and what was guessed for it."""

    fit: Fit
    guesses: tuple[Guess, ...] = ()


class Carrying(msgspec.Struct, frozen=True, kw_only=True):
    """The stretch of a train that carries passengers: at most ``most``, and at least
    ``least``; ``unsaid`` are the vehicles of which nobody says what they are.
    """

    most: Extent
    least: Extent
    unsaid: tuple[str, ...]

    @property
    def is_sure(self) -> bool:
        """Whether it is as long whatever those are."""
        return self.most == self.least

    def shortest(self) -> "Carrying":
        """Return the stretch with the shortest couplings that may be meant."""
        return Carrying(
            most=self.most.shortest(),
            least=self.least.shortest(),
            unsaid=self.unsaid,
        )


def alongside(
    train: Coupled, *, face_mm: float, plus_minus_mm: float, place: str
) -> Alongside | None:
    """Return how the passenger vehicles of ``train`` go along a face of ``face_mm``;
    None where it has none.

    Doors are behind the buffers, so the free couplings do not count. A vehicle of which
    nobody says what it is may carry passengers: it counts as if it did where the train
    fits all the same, and is named where it decides. Lengths in mm. **Source** common
    practice: doors, not buffers, stand at a face.
    """
    carrying = carrying_of(train)
    if carrying is None:
        return None
    wording = _wording(place)

    def along(extent: Extent) -> Fit:
        return fit(
            extent, room_mm=face_mm, room_plus_minus_mm=plus_minus_mm, wording=wording
        )

    at_most, at_least = along(carrying.most), along(carrying.least)
    names = carrying.unsaid
    if at_most.verdict == "fits" or carrying.is_sure:
        guesses = tuple(map(_taken_to_carry, names))
        return Alongside(
            fit=at_most,
            guesses=guesses,
        )
    if at_least.verdict == "does_not_fit":
        return Alongside(fit=at_least)
    asked = dict.fromkeys(map(_may_carry, names))
    unknown = Fit(
        verdict="cannot_tell", spare_mm=None, plus_minus_mm=None, because=tuple(asked)
    )
    return Alongside(fit=unknown)


def carrying_of(train: Coupled) -> Carrying | None:
    """Return the stretch of ``train`` that stands at a face; None where none of it
    does. **Source** common practice.
    """
    carries: list[int] = []
    unsaid: list[int] = []
    for position, member in enumerate(train.members):
        if member.vehicle.kind is None:
            unsaid.append(position)
        elif member.vehicle.kind in PASSENGER_KINDS:
            carries.append(position)
    may_carry = sorted(carries + unsaid)
    if not may_carry:
        return None
    names = [train.members[position].name for position in unsaid]
    return Carrying(
        most=_span(train, may_carry),
        least=_span(train, carries),
        unsaid=tuple(names),
    )


def _span(train: Coupled, positions: list[int]) -> Extent:
    if not positions:
        return Extent(known_mm=0.0)
    return train.span(positions[0], positions[-1])


def held_along(
    carrying: Carrying, *, face_mm: float, plus_minus_mm: float
) -> FitVerdict:
    """Return the verdict of ``alongside`` without its words. Lengths in mm. **Source**
    as there.
    """
    at_most = verdict_in(
        ends_of(carrying.most), room_mm=face_mm, room_plus_minus_mm=plus_minus_mm
    )
    if at_most == "fits" or carrying.is_sure:
        return at_most
    at_least = verdict_in(
        ends_of(carrying.least), room_mm=face_mm, room_plus_minus_mm=plus_minus_mm
    )
    if at_least == "does_not_fit":
        return "does_not_fit"
    return "cannot_tell"


def _wording(place: str) -> Wording:
    return Wording(
        subject="the train, from its first passenger vehicle to its last,",
        place=f"the face of {place}",
        stands="stands",
        where="along",
        fits_code="within_platform_face",
        too_long_code="longer_than_platform_face",
    )


def _may_carry(name: str) -> Reason:
    message = (
        f"{name}: say what kind of vehicle it is; without it nobody can tell whether it"
        " must stand at the face"
    )
    return Reason(code="missing_figure", message=message, vehicle=name, field="kind")


def _taken_to_carry(name: str) -> Guess:
    about = "it is taken to carry passengers, as nobody said what it is"
    return Guess(vehicle=name, field="kind", about=about, source="taken_as_read")
