"""The bodies of a vehicle as a curve sees them: pivots, width, and how far each end lies from the pivots' middle.

What nobody measured is taken from common practice where practice is any guide, and said so; a figure that practice
cannot supply is named as lacking.
"""

from collections.abc import Iterator
from typing import Literal

import msgspec

from standage.railway.reasons import Assumed
from standage.railway.scales import Practice, full_size_mm, scale
from standage.railway.vehicles import Body, Running, Vehicle

WIDTH_M: dict[Practice, float] = {"british": 2.8, "continental": 2.9, "american": 3.2}
"""Full-size widths taken where none is known. **Source** common practice."""
WIDTH_PLUS_MINUS_MM = 1.0
COACH_PIVOTS = 0.72
"""Of a coach's body between its pivots, and its bogies' full-size wheelbase. **Source** common practice."""
COACH_BOGIE_M = 2.6
TWO_AXLE_WHEELBASE = 0.5
"""Of a two-axle vehicle's length between its axles. **Source** common practice."""
SHORTENED_FROM_M = 24.0
SHORTENED_RATIOS = (86.5, 87.5)
"""Coaches longer than that are commonly shortened in H0, so that their length cannot be scaled."""


class Lack(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that is not known, or does not agree with the others, and what it is in words."""

    field: str
    words: str
    code: Literal["missing_figure", "figures_disagree"] = "missing_figure"


class BodyShape(msgspec.Struct, frozen=True, kw_only=True):
    """One body as a curve sees it; None is a figure that is not known.

    ``pivots_mm`` is the distance between the bogies' pivots or the end axles; the half-lengths run from midway between
    the pivots to where the body ends; ``pivots_given`` tells whether the pivots were measured rather than assumed.
    """

    name: str
    pivots_mm: float | None
    pivots_given: bool
    bogie_wheelbase_mm: float
    half_front_mm: float | None
    half_rear_mm: float | None
    width_mm: float | None
    width_plus_minus_mm: float
    assumed: tuple[Assumed, ...]
    lacks: tuple[Lack, ...]

    @property
    def half_length_mm(self) -> float | None:
        """To the end that lies farther from the middle of the pivots."""
        if self.half_front_mm is None or self.half_rear_mm is None:
            return None
        return max(self.half_front_mm, self.half_rear_mm)


class _Part(msgspec.Struct, frozen=True, kw_only=True):
    """What is known of one body before anything is taken from practice."""

    vehicle: Vehicle
    running: Running
    name: str
    prefix: str = ""
    length_mm: float | None
    front_mm: float | None
    rear_mm: float | None
    shared: bool = False

    def taken(self, field: str, message: str, **known: float | None) -> Assumed:
        return Assumed(
            field=self.prefix + field,
            message=f"{self.name}: {message}",
            source="common_practice",
            vehicle=self.vehicle.name,
            value_mm=known.get("value_mm"),
            plus_minus_mm=known.get("plus_minus_mm"),
        )

    def lack(self, field: str, words: str) -> Lack:
        return Lack(field=self.prefix + field, words=words)


class _Found(msgspec.Struct, frozen=True, kw_only=True):
    """A figure, with what was assumed to find it or what it lacks."""

    value_mm: float | None = None
    plus_minus_mm: float = 0.0
    assumed: tuple[Assumed, ...] = ()
    lacks: tuple[Lack, ...] = ()


def shapes(vehicle: Vehicle) -> tuple[BodyShape, ...]:
    """Return the bodies of ``vehicle`` from its front, each as a curve sees it; one body where it has no several."""
    if vehicle.bodies is not None:
        return tuple(_shape(part) for part in _parts(vehicle, vehicle.bodies))
    length = length_over_buffers(vehicle)
    part = _Part(
        vehicle=vehicle,
        running=vehicle,
        name=vehicle.name,
        length_mm=length.value_mm,
        front_mm=vehicle.front_overhang_mm,
        rear_mm=vehicle.rear_overhang_mm,
    )
    shape = _shape(part)
    if not any(lack.field == "length_mm" for lack in shape.lacks) and _needs_length(part):
        shape = msgspec.structs.replace(shape, assumed=length.assumed + shape.assumed)
    return (shape,)


def _needs_length(part: _Part) -> bool:
    """Tell whether the length was used at all: two given overhangs and given pivots do without it."""
    return part.front_mm is None or part.rear_mm is None or not _pivots_given(part)


def length_over_buffers(vehicle: Vehicle) -> _Found:
    """Return a vehicle's length over its buffers: as given, less what its couplings reach, or scaled down."""
    if vehicle.length_mm is None:
        return _scaled_length(vehicle)
    if vehicle.length_over != "couplings":
        return _Found(value_mm=vehicle.length_mm)
    reaches = [
        None if coupling is None else coupling.reach_mm for coupling in (vehicle.front_coupling, vehicle.rear_coupling)
    ]
    length_mm = vehicle.length_mm - sum(reach_mm or 0.0 for reach_mm in reaches)
    if None not in reaches:
        return _Found(value_mm=length_mm)
    message = (
        f"{vehicle.name}: its length is over the couplings and a coupling's reach is not given, "
        "so the body is taken to go on to where the couplings meet"
    )
    note = Assumed(field="length_mm", message=message, source="taken_as_read", vehicle=vehicle.name, value_mm=length_mm)
    return _Found(value_mm=length_mm, assumed=(note,))


def _scaled_length(vehicle: Vehicle) -> _Found:
    if vehicle.full_size_length_m is None or vehicle.scale is None:
        return _Found()
    ratio = scale(vehicle.scale).ratio
    low, high = SHORTENED_RATIOS
    if vehicle.kind == "coach" and vehicle.full_size_length_m > SHORTENED_FROM_M and low < ratio < high:
        return _Found()
    length_mm = full_size_mm(vehicle.full_size_length_m, ratio=ratio)
    plus_minus_mm = max(length_mm / 100, 2.0)
    note = Assumed(
        field="length_mm",
        message=f"{vehicle.name}: its length is scaled from the full size, ± {plus_minus_mm:.1f} mm",
        source="scaled",
        vehicle=vehicle.name,
        value_mm=length_mm,
        plus_minus_mm=plus_minus_mm,
    )
    return _Found(value_mm=length_mm, plus_minus_mm=plus_minus_mm, assumed=(note,))


def _parts(vehicle: Vehicle, bodies: tuple[Body, ...]) -> Iterator[_Part]:
    shared_gap_mm: float | None = None
    for position, body in enumerate(bodies):
        gap_mm = (body.gap_to_next_mm or 0.0) / 2 if _shares_on(bodies, position) else None
        yield _Part(
            vehicle=vehicle,
            running=body,
            name=f"{vehicle.name} ({body.name or f'body {position + 1}'})",
            prefix=f"bodies/{position}/",
            length_mm=body.length_mm,
            front_mm=body.front_overhang_mm if shared_gap_mm is None else -shared_gap_mm,
            rear_mm=body.rear_overhang_mm if gap_mm is None else -gap_mm,
            shared=shared_gap_mm is not None or gap_mm is not None,
        )
        shared_gap_mm = gap_mm


def _shares_on(bodies: tuple[Body, ...], position: int) -> bool:
    return bodies[position].shares_bogie_with_next and position + 1 < len(bodies)


def _shape(part: _Part) -> BodyShape:
    pivots = _pivots(part)
    bogie = _bogie_wheelbase(part)
    width = _width(part)
    front, rear = _half_lengths(part, pivots.value_mm)
    return BodyShape(
        name=part.name,
        pivots_mm=pivots.value_mm,
        pivots_given=_pivots_given(part),
        bogie_wheelbase_mm=bogie.value_mm or 0.0,
        half_front_mm=front.value_mm,
        half_rear_mm=rear.value_mm,
        width_mm=width.value_mm,
        width_plus_minus_mm=width.plus_minus_mm,
        assumed=pivots.assumed + bogie.assumed + front.assumed + rear.assumed + width.assumed,
        lacks=pivots.lacks + front.lacks + rear.lacks + width.lacks,
    )


def _between_overhangs(part: _Part) -> float | None:
    """Return the distance between the pivots of a body that shares a bogie, from its length and both overhangs."""
    if not part.shared or part.length_mm is None or part.front_mm is None or part.rear_mm is None:
        return None
    pivots_mm = part.length_mm - part.front_mm - part.rear_mm
    return pivots_mm if pivots_mm > 0 else None


def _pivots_given(part: _Part) -> bool:
    running = part.running
    given = running.bogie_centres_mm is not None or running.rigid_wheelbase_mm is not None
    return given or _between_overhangs(part) is not None


def _pivots(part: _Part) -> _Found:
    running = part.running
    for given_mm in (running.bogie_centres_mm, running.rigid_wheelbase_mm, _between_overhangs(part)):
        if given_mm is not None:
            return _Found(value_mm=given_mm)
    kind = None if part.prefix else part.vehicle.kind
    if kind == "coach":
        return _coach_pivots(part)
    if kind in {"wagon", "brake_van"} and running.bogie_wheelbase_mm is None:
        return _two_axle_wheelbase(part)
    if kind == "engine":
        lack = part.lack("rigid_wheelbase_mm", "its rigid wheelbase, or the distance between its bogies' middles")
        return _Found(lacks=(lack,))
    lack = part.lack("bogie_centres_mm", "the distance between its bogies' middles, or its rigid wheelbase")
    return _Found(lacks=(lack,))


def _coach_pivots(part: _Part) -> _Found:
    body_mm = part.length_mm if part.running.body_length_mm is None else part.running.body_length_mm
    if body_mm is None:
        return _Found(lacks=(part.lack("length_mm", "its length"),))
    pivots_mm = COACH_PIVOTS * body_mm
    message = f"its bogies' middles are taken to be {COACH_PIVOTS:g} of the body, {pivots_mm:.1f} mm, apart"
    return _Found(value_mm=pivots_mm, assumed=(part.taken("bogie_centres_mm", message, value_mm=pivots_mm),))


def _two_axle_wheelbase(part: _Part) -> _Found:
    if part.length_mm is None:
        return _Found(lacks=(part.lack("length_mm", "its length"),))
    wheelbase_mm = TWO_AXLE_WHEELBASE * part.length_mm
    message = f"it is taken to have two axles, half its length, {wheelbase_mm:.1f} mm, apart"
    return _Found(value_mm=wheelbase_mm, assumed=(part.taken("rigid_wheelbase_mm", message, value_mm=wheelbase_mm),))


def _bogie_wheelbase(part: _Part) -> _Found:
    running = part.running
    on_bogies = running.bogie_centres_mm is not None or (running.rigid_wheelbase_mm is None and part.shared)
    assumed_coach = not part.prefix and part.vehicle.kind == "coach" and not _pivots_given(part)
    if not on_bogies and not assumed_coach:
        return _Found(value_mm=0.0)
    if running.bogie_wheelbase_mm is not None:
        return _Found(value_mm=running.bogie_wheelbase_mm)
    if assumed_coach and part.vehicle.scale is not None:
        wheelbase_mm = full_size_mm(COACH_BOGIE_M, ratio=scale(part.vehicle.scale).ratio)
        message = f"its bogies' wheelbase is taken to be {COACH_BOGIE_M:g} m full size, {wheelbase_mm:.1f} mm"
    else:
        wheelbase_mm = 0.0
        message = "its bogies' wheelbase is not given and counts as 0"
    note = part.taken("bogie_wheelbase_mm", message, value_mm=wheelbase_mm)
    if wheelbase_mm == 0:
        note = msgspec.structs.replace(note, source="default")
    return _Found(value_mm=wheelbase_mm, assumed=(note,))


def _width(part: _Part) -> _Found:
    for running in (part.running, part.vehicle):
        if running.width_mm is not None:
            return _Found(value_mm=running.width_mm, plus_minus_mm=running.width_plus_minus_mm or 0.0)
    if part.vehicle.scale is None:
        return _Found(lacks=(part.lack("width_mm", "its width"),))
    known = scale(part.vehicle.scale)
    practice = part.vehicle.practice or known.practice
    width_mm = full_size_mm(WIDTH_M[practice], ratio=known.ratio)
    message = (
        f"its width is taken to be {WIDTH_M[practice]:g} m full size, as {practice} stock mostly is: {width_mm:.1f} mm"
    )
    note = part.taken("width_mm", message, value_mm=width_mm, plus_minus_mm=WIDTH_PLUS_MINUS_MM)
    return _Found(value_mm=width_mm, plus_minus_mm=WIDTH_PLUS_MINUS_MM, assumed=(note,))


def _half_lengths(part: _Part, pivots_mm: float | None) -> tuple[_Found, _Found]:
    """Return how far the front and the rear end of the body lie from the middle of its pivots."""
    if pivots_mm is None:
        return _Found(), _Found()
    body_mm = part.running.body_length_mm
    front_mm, rear_mm = part.front_mm, part.rear_mm
    if part.length_mm is None and (front_mm is None or rear_mm is None):
        if body_mm is None or front_mm is not None or rear_mm is not None:
            return _Found(lacks=(part.lack("length_mm", "its length"),)), _Found()
        return _equal_ends(part, body_mm / 2), _Found(value_mm=body_mm / 2)
    if front_mm is None and rear_mm is None:
        half_mm = (body_mm or part.length_mm or 0.0) / 2
        return _equal_ends(part, half_mm), _Found(value_mm=half_mm)
    spare_mm = (part.length_mm or 0.0) - pivots_mm
    front_mm = spare_mm - (rear_mm or 0.0) if front_mm is None else front_mm
    rear_mm = spare_mm - front_mm if rear_mm is None else rear_mm
    behind = _behind_buffers(part, pivots_mm + front_mm + rear_mm)
    cut_mm = behind.value_mm or 0.0
    halves = (pivots_mm / 2 + front_mm - cut_mm, pivots_mm / 2 + rear_mm - cut_mm)
    if min(halves) <= 0:
        lack = part.lack("front_overhang_mm", "its overhangs, which do not agree with its length and wheels")
        return _Found(lacks=(msgspec.structs.replace(lack, code="figures_disagree"),)), _Found()
    return _Found(value_mm=halves[0], assumed=behind.assumed), _Found(value_mm=halves[1])


def _equal_ends(part: _Part, half_mm: float) -> _Found:
    message = "both its overhangs are taken to be alike"
    return _Found(value_mm=half_mm, assumed=(part.taken("front_overhang_mm", message),))


def _behind_buffers(part: _Part, over_buffers_mm: float) -> _Found:
    """Return how far the body ends behind the buffers at either end."""
    body_mm = part.running.body_length_mm
    if body_mm is None:
        return _Found(value_mm=0.0)
    cut_mm = (over_buffers_mm - body_mm) / 2
    message = f"its body is taken to end {cut_mm:.1f} mm behind the buffers at both ends"
    return _Found(value_mm=cut_mm, assumed=(part.taken("body_length_mm", message),))
