"""A train where it stands on a road: each vehicle from where to where, and its bodies
on the track.

The head of the train is at the road's first end; what is to spare is half before it.
"""

from collections.abc import Iterator
from itertools import pairwise

import msgspec

from standage.railway.passing.passers import passing_stock
from standage.railway.stock.bodies import BodyShape
from standage.railway.stock.coupled import Block, Coupled
from standage.railway.stock.extents import lacking
from standage.railway.stock.joints import gap
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import tidy

_PIVOTS = 0.6
"""Of a body's length, where nobody knows what it stands on.

**Source** common practice, no source.
"""
_WIDE = 1.9
"""Of the gauge: a body's width, where nobody knows it. **Source** the same."""


class StoodBody(msgspec.Struct, frozen=True, kw_only=True):
    """One body: where along the road the middle of its pivots is, and its figures.

    ``before_mm`` and ``behind_mm`` are from there to its ends, towards the head and
    towards the tail of the train.
    """

    middle_mm: float
    pivots_mm: float
    bogie_wheelbase_mm: float
    before_mm: float
    behind_mm: float
    width_mm: float


class StoodVehicle(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle by name, from where to where along the road it stands."""

    name: str
    from_mm: float
    to_mm: float
    bodies: tuple[StoodBody, ...]


class StoodTrain(msgspec.Struct, frozen=True, kw_only=True):
    """A train on a road: its vehicles from the head, its length pulled out, and what is
    to spare, less than 0 where it is too long.
    """

    vehicles: tuple[StoodVehicle, ...]
    length_mm: float
    spare_mm: float

    @property
    def names(self) -> list[str]:
        """What its vehicles are called, each name once, from the head."""
        return list(dict.fromkeys(vehicle.name for vehicle in self.vehicles))


class OnTheRoad(msgspec.Struct, frozen=True, kw_only=True):
    """What stands on a road; ``notes`` say why a train does not."""

    train: StoodTrain | None = None
    notes: tuple[str, ...] = ()


EMPTY = OnTheRoad()


def stood_train(
    train: Coupled, *, usable_from_mm: float, usable_mm: float, gauge_mm: float
) -> OnTheRoad:
    """Return a train on a road that it has so much room on, or what has to be measured
    before it can be drawn there.
    """
    pulled_out = train.pulled_out()
    length_mm = pulled_out.length_mm
    if length_mm is None:
        reasons = lacking(pulled_out.missing)
        return OnTheRoad(notes=tuple(reason.message for reason in reasons))
    spare_mm = tidy(usable_mm - length_mm)
    head_mm = usable_from_mm + spare_mm / 2
    stood = StoodTrain(
        vehicles=tuple(_vehicles(train, head_mm, gauge_mm)),
        length_mm=length_mm,
        spare_mm=spare_mm,
    )
    return OnTheRoad(train=stood)


def _vehicles(
    train: Coupled, head_mm: float, gauge_mm: float
) -> Iterator[StoodVehicle]:
    head, _ = train.outer_ends()
    from_mm = head_mm + head.projection.known_mm
    before: Block | None = None
    for block in train.whole:
        if before is not None:
            from_mm += gap(before.tail, block.head).known_mm
        yield from _of_block(
            train,
            block,
            from_mm,
            gauge_mm,
        )
        from_mm += block.extent.known_mm
        before = block


def _of_block(
    train: Coupled, block: Block, from_mm: float, gauge_mm: float
) -> Iterator[StoodVehicle]:
    """Yield the vehicles of a block; of a rake measured whole, each by its share."""
    members = train.members[block.first : block.last + 1]
    lengths_mm = [member.length.extent.known_mm for member in members]
    gaps_mm = [
        gap(
            one.tail,
            two.head,
        ).known_mm
        for one, two in pairwise(members)
    ]
    whole_mm = sum(lengths_mm) + sum(gaps_mm)
    share = block.extent.known_mm / whole_mm if whole_mm > 0 else 1.0
    for number, member in enumerate(members):
        long_mm = lengths_mm[number] * share
        bodies = _bodies(
            train,
            member.vehicle,
            from_mm,
            long_mm,
            gauge_mm,
        )
        yield StoodVehicle(
            name=member.name,
            from_mm=from_mm,
            to_mm=from_mm + long_mm,
            bodies=tuple(bodies),
        )
        after_mm = gaps_mm[number] if number < len(gaps_mm) else 0.0
        from_mm += long_mm + after_mm * share


def _bodies(
    train: Coupled,
    vehicle: Standing,
    from_mm: float,
    long_mm: float,
    gauge_mm: float,
) -> Iterator[StoodBody]:
    (known,) = passing_stock(
        [vehicle],
        scale=vehicle.scale,
        types=train.types,
    )
    shapes = list(known.bodies)
    if vehicle.reversed:
        shapes.reverse()
    lengths_mm = [
        _length_mm(
            shape,
            long_mm / len(shapes),
        )
        for shape in shapes
    ]
    between_mm = 0.0
    if len(shapes) > 1:
        between_mm = (long_mm - sum(lengths_mm)) / (len(shapes) - 1)
        at_mm = from_mm
    else:
        # What the couplings reach beyond the buffers is half at each end.
        at_mm = from_mm + (long_mm - lengths_mm[0]) / 2
    for shape, own_mm in zip(shapes, lengths_mm, strict=True):
        yield _body(
            shape,
            own_mm,
            at_mm,
            gauge_mm,
            is_back=vehicle.reversed,
        )
        at_mm += own_mm + between_mm


def _length_mm(shape: BodyShape, otherwise_mm: float) -> float:
    if shape.half_front_mm is None or shape.half_rear_mm is None:
        return otherwise_mm
    return shape.half_front_mm + shape.half_rear_mm


def _body(
    shape: BodyShape, long_mm: float, at_mm: float, gauge_mm: float, *, is_back: bool
) -> StoodBody:
    front_mm, rear_mm = shape.half_front_mm, shape.half_rear_mm
    if front_mm is None or rear_mm is None:
        front_mm = rear_mm = long_mm / 2
    before_mm, behind_mm = (rear_mm, front_mm) if is_back else (front_mm, rear_mm)
    return StoodBody(
        middle_mm=at_mm + before_mm,
        pivots_mm=shape.pivots_mm or long_mm * _PIVOTS,
        bogie_wheelbase_mm=shape.bogie_wheelbase_mm,
        before_mm=before_mm,
        behind_mm=behind_mm,
        width_mm=shape.width_mm or gauge_mm * _WIDE,
    )
