"""How much of a place's length may be used: the margin for stopping, and the ± of the
survey.
"""

from collections.abc import Iterable, Iterator

import msgspec

from standage.railway.roads.places import Place, PlaceKind
from standage.railway.terms.figures import tidy
from standage.railway.terms.phrases import listed, millimetres
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
    """

    place: str
    usable_mm: float | None
    plus_minus_mm: float
    margin_mm: float
    assumed: tuple[Assumed, ...]

    @property
    def room_mm(self) -> float | None:
        """The usable length less the stopping margin; less than 0 where the margin is
        the longer.
        """
        return None if self.usable_mm is None else self.usable_mm - self.margin_mm


def allowance(
    place: Place, *, on_record: bool, stopping_margin_mm: float | None
) -> Allowance:
    """Return what ``place`` gives, a ``stopping_margin_mm`` that was asked for before
    its own.

    Where neither says, the margin is 0 for a place given inline and the common one for
    a road on record; where the survey's ± is not given it is 0 inline and a tape's on
    record. Every such default is in ``assumed``. **Source** that of each default.
    """
    margin_mm = (
        place.stopping_margin_mm if stopping_margin_mm is None else stopping_margin_mm
    )
    assumed: tuple[Assumed, ...] = ()
    if margin_mm is None:
        margin = _default_margin(place, on_record=on_record)
        margin_mm, assumed = margin.value_mm or 0.0, (margin,)
    plus_minus_mm = place.plus_minus_mm
    if plus_minus_mm is None:
        plus_minus_mm = 0.0
        if on_record and place.usable_length_mm is not None:
            plus_minus_mm = tidy(
                TAPE_MM + place.usable_length_mm / 1000 * TAPE_MM_PER_METRE
            )
        if place.usable_length_mm is not None:
            assumed = (*assumed, _default_plus_minus(plus_minus_mm))
    if place.kind == "turntable":
        assumed = (*assumed, _ends_of_the_rails(place))
    usable_mm = None if place.usable_length_mm is None else tidy(place.usable_length_mm)
    return Allowance(
        place=called(place),
        usable_mm=usable_mm,
        plus_minus_mm=tidy(plus_minus_mm),
        margin_mm=tidy(margin_mm),
        assumed=assumed,
    )


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
        of_places = listed(names[same])
        message = f"{of_places}: {one.message}"
        yield msgspec.structs.replace(one, message=message)


def called(place: Place) -> str:
    """Return what ``place`` is called in a sentence. **Source** the trade's words.

    >>> called(Place(kind="storage_road")), called(Place(kind="loop", name="Up loop"))
    ('the fiddle-yard road', 'Up loop')
    """
    if place.name:
        return place.name
    kind = _WORDS.get(place.kind, place.kind)
    return f"the {kind}"


def _default_margin(place: Place, *, on_record: bool) -> Assumed:
    if not on_record or place.kind in NO_STOPPING:
        margin_mm, why = 0.0, "none is given"
    elif place.stopped_by == "stops":
        margin_mm, why = MARGIN_AT_STOPS_MM, "trains are stopped at stops"
    elif place.stopped_by == "eye":
        margin_mm, why = MARGIN_BY_EYE_MM, "trains are stopped by eye"
    else:
        margin_mm, why = (
            MARGIN_BY_EYE_MM,
            "nobody said how trains are stopped, so by eye is assumed",
        )
    message = (
        "the room left for stopping, both ends together, is taken as"
        f" {millimetres(margin_mm)}, as {why}"
    )
    return Assumed(
        field="stopping_margin_mm",
        message=message,
        source="default",
        value_mm=margin_mm,
    )


def _default_plus_minus(plus_minus_mm: float) -> Assumed:
    if plus_minus_mm > 0:
        how = (
            f"good to {millimetres(plus_minus_mm)} either way, as it goes with a tape:"
            " 1 mm and 1 mm a metre"
        )
    else:
        how = "exact, as nobody gave its ±"
    message = f"the usable length is taken as {how}"
    return Assumed(
        field="plus_minus_mm",
        message=message,
        source="default",
        plus_minus_mm=plus_minus_mm,
    )


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
