"""The roads of a yard on record: each measured for itself, or a place of the layout,
which is then measured and changed there alone.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, NamedTuple

import msgspec

from standage.railway.shunting.yard import (
    HEADSHUNT,
    MOST_SIDINGS,
    SIDING_LENGTH,
    SIDINGS,
    SidingFigures,
    YardFigures,
    yard_faults,
)
from standage.railway.terms.figures import (
    IdOrName,
    RoadRoomMm,
    UsableLengthMm,
    says,
)
from standage.shapes.faults import Fault


class YardSiding(SidingFigures, frozen=True, kw_only=True):
    """One siding of a yard on record."""

    usable_length_mm: Annotated[UsableLengthMm | None, SIDING_LENGTH] = None
    place_id: Annotated[
        IdOrName | None,
        says("Instead: the place of the layout that it is, by its id or name."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """It has a length of its own, or is a place."""
        yield from _one_of("usable_length_mm", "place_id", self)


class RoadOfYard(NamedTuple):
    """A road of a yard that is a place of the layout, and where the body says so."""

    pointer: str
    place_id: str


class YardRoads(YardFigures, frozen=True, kw_only=True):
    """The headshunt and the sidings of a yard on record."""

    headshunt_usable_length_mm: Annotated[RoadRoomMm | None, HEADSHUNT] = None
    headshunt_place_id: Annotated[
        IdOrName | None,
        says("Instead: the place of the layout that the headshunt is."),
    ] = None
    sidings: Annotated[
        Annotated[
            tuple[YardSiding, ...],
            msgspec.Meta(min_length=1, max_length=MOST_SIDINGS),
        ],
        SIDINGS,
    ]

    def rules(self) -> Iterable[Fault]:
        """As any yard's; each road has a length or is a place, and no two are one."""
        yield from yard_faults(self.sidings, self.rooms)
        yield from _one_of("headshunt_usable_length_mm", "headshunt_place_id", self)
        seen: set[str] = set()
        for road in self.places():
            if road.place_id in seen:
                message = "is another road of this yard already"
                yield Fault(code="not_unique", message=message, pointer=road.pointer)
            seen.add(road.place_id)

    def places(self) -> Iterator[RoadOfYard]:
        """Yield every road that is a place."""
        if self.headshunt_place_id is not None:
            yield RoadOfYard("/headshunt_place_id", self.headshunt_place_id)
        for number, siding in enumerate(self.sidings):
            # a yard that is made here, and was never sent, may have plain sidings
            place_id = getattr(siding, "place_id", None)
            if place_id is not None:
                yield RoadOfYard(f"/sidings/{number}/place_id", place_id)


def _one_of(figure: str, place: str, road: msgspec.Struct) -> Iterator[Fault]:
    """Yield a fault where a road has neither a length nor a place, or both."""
    has_length = getattr(road, figure) is not None
    has_place = getattr(road, place) is not None
    if has_length and has_place:
        message = f"cannot be given beside {place}: the place's own length counts"
        yield Fault(code="one_or_the_other", message=message, pointer=f"/{figure}")
    if not has_length and not has_place:
        message = f"{figure} is missing: give it, or {place}"
        yield Fault(code="missing", message=message, pointer=f"/{figure}")
