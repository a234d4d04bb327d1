"""What of a plan a sheet of track cannot hold."""

import re
from collections.abc import Iterator, Mapping, Sequence

from standage.railway.terms.figures import counted
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.plain_pieces import Flexible
from standage.railway.track.plans.flat import End, end_of
from standage.railway.track.plans.plan import Plan

_END_NAME = re.compile(r"\w{1,9}", re.ASCII)
_HEAD_FIELDS = (
    *("name", "scale", "gauge_mm", "plus_minus", "fouling_spacing_mm"),
    *("slack_mm", "slack_deg", "board", "operating_space_mm", "room_mm"),
)
_LISTED = {
    "placed": "place where a part lies",
    "module_ends": "module end",
    "heights": "height",
    "fittings": "fitting",
    "obstacles": "obstacle",
    "modules": "module",
    "module_joins": "join of modules",
}
_WORDS = {
    "gauge_mm": "gauge",
    "plus_minus": "how far lengths may be off",
    "fouling_spacing_mm": "fouling spacing",
    "slack_mm": "slack in mm",
    "slack_deg": "slack in degrees",
    "operating_space_mm": "operating space",
    "room_mm": "room",
}


def is_end(end: End, pieces: Mapping[str, AnyPiece]) -> bool:
    """Tell whether there is such an end."""
    piece = pieces.get(end[0])
    if piece is None:
        return False
    return end[1] in piece.ends


def is_beyond(join: Sequence[str], pieces: Mapping[str, AnyPiece]) -> bool:
    """Tell whether a join is one that no row can tell: neither of its ends is a row's,
    or one is called as no end is.
    """
    ends = [end_of(text) for text in join]
    if not any(is_end(end, pieces) for end in ends):
        return True
    return not all(_END_NAME.fullmatch(end) for _, end in ends)


def beyond_a_sheet(plan: Plan, *, with_places: bool) -> Iterator[str]:
    """Yield what of a plan is not in its sheet, in words; ``with_places`` says that its
    places are.
    """
    usual = Plan()
    for field in _HEAD_FIELDS:
        if getattr(plan, field) != getattr(usual, field):
            yield f"its {_WORDS.get(field, field)}"
    for field, one in _LISTED.items():
        held = len(getattr(plan, field))
        if held:
            yield counted(held, one)
    bent = [name for name, piece in plan.pieces.items() if _is_bent(piece)]
    if bent:
        yield f"the parts of {counted(len(bent), 'piece')} of flexible track"
    if plan.places and not with_places:
        yield counted(len(plan.places), "place")
    lost = len(plan.joins) - len({frozenset(join) for join in plan.joins})
    beyond = sum(is_beyond(join, plan.pieces) for join in plan.joins)
    if lost + beyond:
        yield counted(lost + beyond, "join")


def _is_bent(piece: AnyPiece) -> bool:
    if not isinstance(piece, Flexible):
        return False
    return bool(piece.segments)
