"""Kinds of place whose names mean another thing where practice is American: which is
meant is said, not asked.
"""

from collections.abc import Iterator

from standage.railway.roads.places import LimitKind, PlaceFigures
from standage.railway.terms.reasons import Assumed
from standage.railway.terms.synonyms import TWO_WAYS
from standage.railway.terms.understanding import taken_as

_TOLD_BY_ENDS: dict[str, frozenset[LimitKind]] = {
    "siding": frozenset({"buffer_stop", "rail_end"}),
    "loop": frozenset({"fouling_point", "blade_tips"}),
}
"""The limits at its ends that say themselves which sort of road it is."""
_ENDS = 2


def place_words(place: PlaceFigures, *, name: str | None) -> Iterator[Assumed]:
    """Yield how the kind of a place is taken, whose practice is American, unless its
    ends tell. **Source** common practice, as the words themselves.
    """
    kind = getattr(place, "kind", None)
    if kind not in _TOLD_BY_ENDS:
        return
    if _told_by_ends(place, kind):
        return
    called = "" if name is None else f"{name}: "
    yield taken_as(
        kind,
        TWO_WAYS[kind],
        field="kind",
        place=called,
    )


def _told_by_ends(place: PlaceFigures, kind: str) -> bool:
    """Tell whether the ends say it: one end of a siding is enough, a loop has two."""
    telling = 0
    for end in place.ends or ():
        telling += end.limit in _TOLD_BY_ENDS[kind]
    if kind == "siding":
        return telling > 0
    return telling == _ENDS
