"""How much of a place's length may be used: the margin for stopping, and the ± of the
survey.

Both go by where the figures come from. ``Provenance`` is the union of all sources there
are: whoever takes it handles each, so that a further one is a further member here.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple, assert_never

import msgspec

from standage.railway.roads.places import Place, PlaceKind, StoppedBy
from standage.railway.terms.figures import listed, millimetres, tidy
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
        if stopped_by == "eye":
            return _BY_EYE
        return _BY_EYE_UNSAID


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


MOST_NAMED = 6
"""So many places are named of which one thing is assumed."""
RAILS_MM = 4.0
"""A turntable's rails must be longer than the wheelbase by so much. **Source** common
practice.
"""
NO_STOPPING: frozenset[PlaceKind] = frozenset({"turntable", "reversing_section"})
"""Places whose length is not one that a train is stopped within, so that no margin is
taken for granted.
"""

_WORDS: dict[PlaceKind, str] = {
    "storage_road": "fiddle-yard road",
    "sector_plate": "sector plate",
    "reversing_section": "reversing section",
}


class Allowance(msgspec.Struct, frozen=True, kw_only=True):
    """What a place gives: its usable length (None if nobody measured it), the ± of
    that, and the margin taken off.

    ``unknown`` is why a plan gives no usable length, in words.
    """

    place: str
    usable_mm: float | None
    plus_minus_mm: float
    margin_mm: float
    assumed: tuple[Assumed, ...]
    unknown: str | None = None

    @property
    def room_mm(self) -> float | None:
        """The usable length less the stopping margin; less than 0 where the margin is
        the longer.
        """
        if self.usable_mm is None:
            return None
        return self.usable_mm - self.margin_mm


def allowance(
    place: Place, *, known_by: Provenance, stopping_margin_mm: float | None
) -> Allowance:
    """Return what ``place`` gives, a ``stopping_margin_mm`` that was asked for before
    its own.

    Where neither says, the margin is the usual one of where its figures come from, and
    so is the ± of its length. Every such default is in ``assumed``. **Source** that of
    each default.
    """
    margin_mm, margin_assumed = _margin(
        place, known_by, stopping_margin_mm=stopping_margin_mm
    )
    plus_minus_mm, doubt_assumed = _plus_minus(place, known_by)
    rails = [_ends_of_the_rails(place)] if place.kind == "turntable" else []
    usable_mm = None if place.usable_length_mm is None else tidy(place.usable_length_mm)
    return Allowance(
        place=called(place),
        usable_mm=usable_mm,
        plus_minus_mm=tidy(plus_minus_mm),
        margin_mm=tidy(margin_mm),
        assumed=(*margin_assumed, *doubt_assumed, *rails, *told_beside(known_by)),
        unknown=_unknown(place, known_by),
    )


def _margin(
    place: Place, known_by: Provenance, *, stopping_margin_mm: float | None
) -> tuple[float, tuple[Assumed, ...]]:
    """Return the room for stopping, and what was assumed of it."""
    for said_mm in (stopping_margin_mm, place.stopping_margin_mm):
        if said_mm is not None:
            return said_mm, ()
    margin = known_by.margin(place.stopped_by)
    if place.kind in NO_STOPPING:
        margin = NO_MARGIN
    return margin.mm, (_default_margin(margin),)


def _plus_minus(
    place: Place, known_by: Provenance
) -> tuple[float, tuple[Assumed, ...]]:
    """Return how far off the usable length may be, and what was assumed of it."""
    if place.plus_minus_mm is not None:
        return place.plus_minus_mm, ()
    if place.usable_length_mm is None:
        return 0.0, ()
    plus_minus_mm = known_by.plus_minus_mm(place.usable_length_mm)
    return plus_minus_mm, (_default_plus_minus(plus_minus_mm, known_by),)


def told_beside(known_by: Provenance) -> tuple[Assumed, ...]:
    """Return what is told beside a length, of the plan that it is by or held against.
    **Source** derived.
    """
    match known_by:
        case Given():
            return ()
        case Surveyed() | FromPlan():
            return known_by.beside
        case _:
            assert_never(known_by)


def _unknown(place: Place, known_by: Provenance) -> str | None:
    """Return why a plan gives no usable length; None for what has one, or no plan."""
    if place.usable_length_mm is not None:
        return None
    match known_by:
        case Given() | Surveyed():
            return None
        case FromPlan():
            return known_by.unknown
        case _:
            assert_never(known_by)


def assumed_of(allowances: Iterable[Allowance]) -> Iterator[Assumed]:
    """Yield what was assumed of several places, each thing once with the places it is
    said of. **Source** derived.
    """
    alike: dict[tuple[str, str], Assumed] = {}
    names: dict[tuple[str, str], list[str]] = {}
    for given in allowances:
        for one in given.assumed:
            same = (one.field, one.message)
            alike.setdefault(same, one)
            names.setdefault(same, []).append(given.place)
    for same, one in alike.items():
        message = f"{_places(names[same])}: {one.message}"
        yield msgspec.structs.replace(one, message=message)


def _places(names: Sequence[str]) -> str:
    """Return the names of places as a sentence begins with them: of a whole layout not
    all, so that it can still be read.
    """
    if len(names) <= MOST_NAMED:
        return listed(names)
    named = ", ".join(names[: MOST_NAMED - 1])
    return f"{named} and {len(names) - MOST_NAMED + 1} more"


def platform_face_mm(place: Place) -> float | None:
    """Return the face that passenger vehicles are held against, in mm; None where it is
    no platform, or has none on record. **Source** the trade's words.
    """
    if place.kind != "platform":
        return None
    return place.face_length_mm


def called(place: Place) -> str:
    """Return what ``place`` is called in a sentence. **Source** the trade's words.

    >>> called(Place(kind="storage_road")), called(Place(kind="loop", name="Up loop"))
    ('the fiddle-yard road', 'Up loop')
    """
    if place.name:
        return place.name
    kind = _WORDS.get(place.kind, place.kind)
    return f"the {kind}"


def _default_margin(margin: Margin) -> Assumed:
    message = (
        "the room left for stopping, both ends together, is taken as"
        f" {millimetres(margin.mm)}, as {margin.why}"
    )
    return Assumed(
        field="stopping_margin_mm",
        message=message,
        source="default",
        value_mm=margin.mm,
    )


def _default_plus_minus(plus_minus_mm: float, known_by: Provenance) -> Assumed:
    how = _how_good(plus_minus_mm, known_by)
    message = f"the usable length is taken as {how}"
    return Assumed(
        field="plus_minus_mm",
        message=message,
        source="default",
        plus_minus_mm=plus_minus_mm,
    )


def _how_good(plus_minus_mm: float, known_by: Provenance) -> str:
    if isinstance(known_by, FromPlan):
        if plus_minus_mm > 0:
            return f"good to {millimetres(plus_minus_mm)} either way, by the plan"
        return "exact, as the plan says nothing of its ±"
    if plus_minus_mm > 0:
        return (
            f"good to {millimetres(plus_minus_mm)} either way, as it goes with a tape:"
            " 1 mm and 1 mm a metre"
        )
    return "exact, as nobody gave its ±"


def _ends_of_the_rails(place: Place) -> Assumed:
    message = (
        f"{millimetres(RAILS_MM)} of the rails of {called(place)} are kept free, both"
        " ends together, by common practice"
    )
    return Assumed(
        field="usable_length_mm",
        message=message,
        source="common_practice",
        value_mm=RAILS_MM,
    )
