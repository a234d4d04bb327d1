"""The bodies of a vehicle as a curve sees them: pivots, width, and how far each end
lies from the pivots' middle.
"""

from collections.abc import Iterator
from itertools import chain

import msgspec

from standage.railway.stock.couplings import Coupling
from standage.railway.stock.extents import Missing, length_of
from standage.railway.stock.practice import (
    Found,
    Part,
    Stand,
    bogie_wheelbase_of,
    pivots_of,
    width_of,
)
from standage.railway.stock.vehicles import Body, Vehicle
from standage.railway.terms.figures import millimetres
from standage.railway.terms.reasons import Guess


class BodyShape(msgspec.Struct, frozen=True, kw_only=True):
    """One body as a curve sees it; None is a figure that is not known, and then
    ``missing`` names it.

    ``pivots_mm`` is the distance between the bogies' pivots or the end axles; the
    half-lengths run from midway between the pivots to where the body ends;
    ``pivots_given`` tells whether the pivots were measured rather than guessed.
    ``also`` is the same body on bogies, where it may stand on two axles or on those:
    what is worse counts.
    """

    name: str
    pivots_mm: float | None
    pivots_given: bool
    bogie_wheelbase_mm: float
    half_front_mm: float | None
    half_rear_mm: float | None
    width_mm: float | None
    width_plus_minus_mm: float
    guesses: tuple[Guess, ...]
    missing: tuple[Missing, ...]
    also: "BodyShape | None" = None

    @property
    def ways(self) -> tuple["BodyShape", ...]:
        """Every way in which it may stand on its wheels: mostly this one alone."""
        if self.also is None:
            return (self,)
        return (self, self.also)

    @property
    def half_length_mm(self) -> float | None:
        """To the end that lies farther from the middle of the pivots."""
        if self.half_front_mm is None or self.half_rear_mm is None:
            return None
        return max(self.half_front_mm, self.half_rear_mm)


def shapes(vehicle: Vehicle) -> tuple[BodyShape, ...]:
    """Return the bodies of ``vehicle`` from its front, each as a curve sees it; one
    where it has no several.

    A body that shares a bogie with its neighbour has its pivot there midway in the gap
    between them. Lengths in mm. What practice supplies is told as a guess, and what
    nobody knows is missing. **Source** derived.
    """
    if vehicle.bodies is not None:
        return tuple(
            _shape(part, Found(value_mm=part.length_mm), on=None)
            for part in _parts(vehicle, vehicle.bodies)
        )
    length = length_over_buffers(vehicle)
    part = Part(
        vehicle=vehicle,
        running=vehicle,
        length_mm=length.value_mm,
        front_mm=vehicle.front_overhang_mm,
        rear_mm=vehicle.rear_overhang_mm,
    )
    first, *others = part.wagon_stands or (None,)
    shape = _shape(part, length, on=first)
    if others:
        shape = _on_either(part, shape, _shape(part, length, on="bogies"))
    return (shape,)


def length_over_buffers(vehicle: Vehicle) -> Found:
    """Return a vehicle's length over its buffers: as given or scaled, less what its
    couplings reach beyond them.

    A reach that is not given counts as 0, so that the body is rather taken too long
    than too short. In mm. **Source** derived.
    """
    known = length_of(vehicle)
    length_mm = known.extent.length_mm
    if length_mm is None:
        return Found(missing=known.extent.missing)
    guesses = tuple(guess for guess in known.guesses if guess.field == "length_mm")
    if known.over != "couplings":
        return Found(value_mm=length_mm, guesses=guesses)
    reaches = reaches_mm(vehicle)
    known_mm = [reach_mm for reach_mm in reaches if reach_mm is not None]
    length_mm -= sum(known_mm)
    if None in reaches:
        about = (
            "its length is over the couplings, and how far they reach is not given: "
            f"the body is taken to be {millimetres(length_mm)} long"
        )
        taken = Guess(
            vehicle=vehicle.name,
            field="length_mm",
            about=about,
            source="taken_as_read",
            value_mm=length_mm,
        )
        guesses += (taken,)
    return Found(value_mm=length_mm, guesses=guesses)


def reaches_mm(vehicle: Vehicle) -> tuple[float | None, float | None]:
    """Return how far its front and its rear coupling reach beyond the buffers; None
    where that is not known. Behind them is less than 0. **Source** derived.
    """
    front, rear = vehicle.front_coupling, vehicle.rear_coupling
    return _reach_mm(front), _reach_mm(rear)


def _reach_mm(coupling: Coupling | None) -> float | None:
    if coupling is None:
        return None
    return coupling.reach_mm


def _parts(vehicle: Vehicle, bodies: tuple[Body, ...]) -> Iterator[Part]:
    shares_with_one_before = False
    gap_before_mm = 0.0
    for position, body in enumerate(bodies):
        front_mm, rear_mm = body.front_overhang_mm, body.rear_overhang_mm
        is_last = position + 1 == len(bodies)
        shares_on = body.shares_bogie_with_next and not is_last
        gap_behind_mm = body.gap_to_next_mm or 0.0
        # a shared bogie's pivot stands in the middle of the gap, beyond the body's end
        if shares_with_one_before:
            front_mm = -gap_before_mm / 2
        if shares_on:
            rear_mm = -gap_behind_mm / 2
        yield Part(
            vehicle=vehicle,
            running=body,
            name=body.name or f"body {position + 1}",
            field=f"bodies[{position}].",
            length_mm=body.length_mm,
            front_mm=front_mm,
            rear_mm=rear_mm,
            shares_bogie=shares_with_one_before or shares_on,
        )
        shares_with_one_before, gap_before_mm = shares_on, gap_behind_mm


def _on_either(part: Part, axles: BodyShape, bogies: BodyShape) -> BodyShape:
    """Return a body that may stand on two axles or on bogies, with one guess that says
    so of both.
    """
    if axles.pivots_mm is None or bogies.pivots_mm is None:
        return axles
    field = "rigid_wheelbase_mm"
    about = (
        f"it may stand on two axles, {millimetres(axles.pivots_mm)} apart, or on bogies"
        f" whose middles are {millimetres(bogies.pivots_mm)} apart: both are reckoned,"
        " and the worse counts"
    )
    either = part.guess(field, about, value_mm=axles.pivots_mm)
    guesses = list(axles.guesses)
    for place, guess in enumerate(guesses):
        if guess.field == field:
            guesses[place] = either
    return msgspec.structs.replace(axles, guesses=tuple(guesses), also=bogies)


def _shape(part: Part, length: Found, *, on: Stand | None) -> BodyShape:
    pivots = pivots_of(part, on=on)
    bogie = bogie_wheelbase_of(part, on=on)
    width = width_of(part)
    front, rear = Found(), Found()
    if pivots.value_mm is not None:
        front, rear = _half_lengths(part, pivots.value_mm)
    found = [pivots, bogie, front, rear, width]
    overhangs_given = part.front_mm is not None and part.rear_mm is not None
    if part.length_mm is not None and not overhangs_given:
        # the ends were found by the length, so what is guessed of that counts too
        found.insert(0, length)
    guesses = chain.from_iterable(each.guesses for each in found)
    missing = chain.from_iterable(each.missing for each in found)
    name = part.vehicle.name
    if part.name is not None:
        name = f"{name} ({part.name})"
    return BodyShape(
        name=name,
        pivots_mm=pivots.value_mm,
        pivots_given=part.pivots_mm is not None,
        bogie_wheelbase_mm=bogie.value_mm or 0.0,
        half_front_mm=front.value_mm,
        half_rear_mm=rear.value_mm,
        width_mm=width.value_mm,
        width_plus_minus_mm=width.plus_minus_mm,
        guesses=tuple(guesses),
        missing=tuple(missing),
    )


def _half_lengths(part: Part, pivots_mm: float) -> tuple[Found, Found]:
    """Return how far the front and the rear end of the body lie from the middle of its
    pivots.
    """
    front_mm, rear_mm = part.front_mm, part.rear_mm
    if front_mm is None and rear_mm is None:
        body_mm = part.running.body_length_mm or part.length_mm
        if body_mm is not None:
            return _alike(part, body_mm / 2)
    if part.length_mm is not None:
        overhangs_mm = part.length_mm - pivots_mm
        if front_mm is None:
            front_mm = overhangs_mm - (rear_mm or 0.0)
        if rear_mm is None:
            rear_mm = overhangs_mm - front_mm
    if front_mm is None or rear_mm is None:
        missing = part.missing("length_mm", "its length")
        return Found(missing=(missing,)), Found()
    half_mm = pivots_mm / 2
    return _behind_buffers(part, half_mm + front_mm, half_mm + rear_mm)


def _alike(part: Part, half_mm: float) -> tuple[Found, Found]:
    guess = part.guess(
        "front_overhang_mm", "its two overhangs are taken to be alike", value_mm=None
    )
    return _sound(
        part, Found(value_mm=half_mm, guesses=(guess,)), Found(value_mm=half_mm)
    )


def _behind_buffers(part: Part, front_mm: float, rear_mm: float) -> tuple[Found, Found]:
    """Return the half-lengths to where the body ends: at the buffers, or equally far
    behind both.
    """
    body_mm = part.running.body_length_mm
    if body_mm is None:
        return _sound(part, Found(value_mm=front_mm), Found(value_mm=rear_mm))
    behind_mm = (front_mm + rear_mm - body_mm) / 2
    about = (
        "its body is taken to end equally far behind its buffers at both ends:"
        f" {millimetres(behind_mm)}"
    )
    guess = part.guess("body_length_mm", about, value_mm=None)
    front = Found(
        value_mm=front_mm - behind_mm,
        guesses=(guess,),
    )
    return _sound(part, front, Found(value_mm=rear_mm - behind_mm))


def _sound(part: Part, front: Found, rear: Found) -> tuple[Found, Found]:
    """Return the half-lengths if the middle of the pivots lies within the body, else
    what is wrong.
    """
    if min(front.value_mm or 0.0, rear.value_mm or 0.0) > 0:
        return front, rear
    words = "its overhangs again, which do not agree with its length and wheels"
    missing = part.missing("front_overhang_mm", words)
    return Found(missing=(missing,)), Found()
