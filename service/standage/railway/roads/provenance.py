"""Where the figures of a place come from, and so how good they are where nobody says.

``Provenance`` is the union of all sources there are: whoever takes it handles each, so
that a further one is a further member here.
"""

from typing import NamedTuple

import msgspec

from standage.railway.roads.places import StoppedBy
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Assumed

MARGIN_BY_EYE_MM = 25.0
MARGIN_AT_STOPS_MM = 10.0
"""Room for stopping on a road on record, both ends together. **Source** common
practice.
"""
TAPE_MM = 1.0
TAPE_MM_PER_METRE = 1.0
"""How far off a length taken with a tape may be: so much, and so much a metre.
**Source** common practice.
"""


class Margin(NamedTuple):
    """Room for stopping, both ends together, and why that much."""

    mm: float
    why: str


NO_MARGIN = Margin(0.0, "none is given")
_AT_STOPS = Margin(MARGIN_AT_STOPS_MM, "trains are stopped at stops")
_BY_EYE = Margin(MARGIN_BY_EYE_MM, "trains are stopped by eye")
_BY_EYE_UNSAID = Margin(
    MARGIN_BY_EYE_MM, "nobody said how trains are stopped, so by eye is assumed"
)


class Given(msgspec.Struct, frozen=True, tag="given"):
    """Given with the question: taken as it is written, with no room for stopping."""

    def plus_minus_mm(self, _length_mm: float) -> float:
        """Return how far off a length may be, either way: not at all. **Source** the
        caller's word.
        """
        return 0.0

    def margin(self, _stopped_by: StoppedBy | None) -> Margin:
        """Return the room for stopping: none. **Source** the caller's word."""
        return NO_MARGIN


class Surveyed(msgspec.Struct, frozen=True, kw_only=True, tag="surveyed"):
    """On record, as it was taken along the track with a tape."""

    tape_mm: float = TAPE_MM
    tape_mm_per_metre: float = TAPE_MM_PER_METRE
    beside: tuple[Assumed, ...] = ()
    """What a plan says of the same road."""

    def plus_minus_mm(self, length_mm: float) -> float:
        """Return how far off a length may be, either way, as it goes with the tape.
        **Source** common practice.

        >>> Surveyed().plus_minus_mm(2000.0)
        3.0
        """
        return tidy(self.tape_mm + length_mm / 1000 * self.tape_mm_per_metre)

    def margin(self, stopped_by: StoppedBy | None) -> Margin:
        """Return the room for stopping, by how trains are stopped there: by eye where
        nobody says. **Source** common practice.

        >>> Surveyed().margin("stops").mm, Surveyed().margin(None).mm
        (10.0, 25.0)
        """
        if stopped_by == "stops":
            return _AT_STOPS
        return _BY_EYE if stopped_by == "eye" else _BY_EYE_UNSAID


class FromPlan(msgspec.Struct, frozen=True, kw_only=True, tag="from_plan"):
    """By a track plan: as far off as the plan says that its lengths are.

    ``unknown`` is why nobody can tell the usable length, in words, where that is so;
    ``beside`` is what the plan itself takes for granted of the road.
    """

    mm: float = 0.0
    mm_per_metre: float = 0.0
    on_record: bool = False
    unknown: str | None = None
    beside: tuple[Assumed, ...] = ()

    def plus_minus_mm(self, length_mm: float) -> float:
        """Return how far off a length of the plan may be, either way. **Source** the
        plan's ``plus_minus``.

        >>> FromPlan(mm=2.0, mm_per_metre=1.0).plus_minus_mm(2000.0)
        4.0
        """
        return tidy(self.mm + length_mm / 1000 * self.mm_per_metre)

    def margin(self, stopped_by: StoppedBy | None) -> Margin:
        """Return the room for stopping: as on any road on record where the plan is on
        record, none where it is given with the question. **Source** common practice,
        or the caller's word.

        >>> FromPlan(on_record=True).margin("stops").mm, FromPlan().margin(None).mm
        (10.0, 0.0)
        """
        if self.on_record:
            return SURVEYED.margin(stopped_by)
        return GIVEN.margin(stopped_by)


Provenance = Given | Surveyed | FromPlan
GIVEN = Given()
SURVEYED = Surveyed()
