"""The reasons of a mark beyond points, in words."""

from collections.abc import Iterator

import msgspec

from standage.railway.pointwork.marks import (
    HeldRoads,
    Marks,
    MarkWanted,
    WayBack,
    centres_at_mark_mm,
    curve_begins_mm,
    greatest_radius_mm,
    least_parallel_mm,
    marks,
)
from standage.railway.terms.figures import (
    LONGEST_MM,
    at_least,
    at_most,
    beside,
    exceeds,
    millimetres,
    tidy,
    tidy_down,
    tidy_up,
)
from standage.railway.terms.reasons import Reason

_SHOWN_MM = 0.05


def because_clear(
    wanted: MarkWanted, found: Marks, roads: HeldRoads
) -> Iterator[Reason]:
    """Yield where the mark is, on what that rests, and what comes of it."""
    from_crossing_mm = tidy(found.from_crossing_mm)
    if wanted.back is None:
        message = (
            f"that holds as long as both legs stay straight to {at_least(from_crossing_mm)}:"
            " one that curves back before is clear farther out; then give the curve's radius"
            " and how far apart the roads run"
        )
        yield Reason(code="stays_straight", message=message, limit_mm=from_crossing_mm)
    message = (
        f"either road is clear from {at_least(from_crossing_mm)} beyond where the lines"
        f" cross, {at_least(found.from_nose_mm)} beyond the nose, along the leg"
    )
    yield Reason(code="mark", message=message, value_mm=from_crossing_mm)
    yield from _farther(wanted, found)
    if found.squaring_mm >= _SHOWN_MM:
        message = (
            f"measure along both legs: squared across from one, the mark would stand"
            f" {millimetres(found.squaring_mm)} too near"
        )
        yield Reason(
            code="not_squared", message=message, amount_mm=tidy(found.squaring_mm)
        )
    yield from _noses(roads.nose_to_nose_mm, roads.nose_to_stop_mm)


def _farther(wanted: MarkWanted, found: Marks) -> Iterator[Reason]:
    """Yield by how much a leg that curves back is clear farther out than a straight
    one.
    """
    if wanted.back is None:
        return
    straight = marks(msgspec.structs.replace(wanted, back=None))
    farther_mm = tidy(found.from_crossing_mm - straight.from_crossing_mm)
    begins = millimetres(curve_begins_mm(wanted.parting, wanted.back))
    if farther_mm <= 0:
        message = (
            f"the curve back begins {begins} beyond where the lines cross: both legs are"
            " straight up to the mark"
        )
        yield Reason(code="straight_to_mark", message=message)
        return
    message = (
        f"that is {at_least(farther_mm)} farther out than if the leg went straight on: it"
        f" curves back from {begins}"
    )
    yield Reason(code="curves_back", message=message, amount_mm=farther_mm)


def _noses(
    nose_to_nose_mm: float | None, nose_to_stop_mm: float | None
) -> Iterator[Reason]:
    if nose_to_nose_mm is not None:
        message = (
            f"with points at both ends, {at_least(nose_to_nose_mm)} from nose to nose"
        )
        yield Reason(
            code="nose_to_nose", message=message, value_mm=tidy(nose_to_nose_mm)
        )
    if nose_to_stop_mm is not None:
        message = (
            f"with a stop at one end, {at_least(nose_to_stop_mm)} from the nose to the"
            " stop"
        )
        yield Reason(
            code="nose_to_stop", message=message, value_mm=tidy(nose_to_stop_mm)
        )


_WORDS = {
    "parallel_spacing_mm": "how far apart the roads run parallel",
    "curve_back_radius_mm": "the radius of its curve back",
}


def because_half_known(wanted: MarkWanted, *, missing: str) -> Iterator[Reason]:
    """Yield what is missing of the way back to parallel."""
    straight_mm = marks(wanted).from_crossing_mm
    message = (
        f"the leg curves back, and is clear no nearer than the {at_least(straight_mm)} of a"
        f" straight one: give {_WORDS[missing]}, or nobody can tell how much farther out"
    )
    yield Reason(
        code="missing_figure",
        message=message,
        field=missing,
        limit_mm=tidy(straight_mm),
    )


def because_no_mark(
    wanted: MarkWanted, *, parallel_mm: float | None, radius_mm: float | None
) -> Iterator[Reason]:
    """Yield why a road back to parallel has no mark, and what would give it one."""
    needed_mm = centres_at_mark_mm(wanted)
    if parallel_mm is not None and exceeds(needed_mm, limit=parallel_mm):
        shown = beside(parallel_mm, limit=needed_mm)
        message = (
            f"never clear: parallel at {shown} mm the roads stay closer than the"
            f" {millimetres(needed_mm)} of the mark"
        )
        yield Reason(
            code="never_clear",
            message=message,
            value_mm=parallel_mm,
            limit_mm=tidy(needed_mm),
        )
    elif wanted.back is not None:
        yield _curve_at_nose(wanted, wanted.back)
    yield from _wider(wanted, radius_mm)
    if wanted.back is not None and not exceeds(
        needed_mm, limit=wanted.back.parallel_mm
    ):
        yield from _sharper(wanted, wanted.back)


def _curve_at_nose(wanted: MarkWanted, back: WayBack) -> Reason:
    nose_mm = wanted.parting.nose_mm(wanted.gauge_mm)
    before_mm = tidy(nose_mm - curve_begins_mm(wanted.parting, back))
    message = (
        f"the curve back would begin {at_least(before_mm)} before the nose, within the"
        " points"
    )
    return Reason(code="curve_at_nose", message=message, amount_mm=before_mm)


def _wider(wanted: MarkWanted, radius_mm: float | None) -> Iterator[Reason]:
    if radius_mm is None:
        least_mm = tidy_up(centres_at_mark_mm(wanted))
        brings = "cannot_tell"
    else:
        least_mm = tidy_up(least_parallel_mm(wanted, radius_mm=radius_mm))
        brings = "clear"
    if least_mm > LONGEST_MM:
        return
    message = f"lay the roads parallel at {at_least(least_mm)} or more"
    yield Reason(
        code="lay_wider",
        message=message,
        field="parallel_spacing_mm",
        limit_mm=least_mm,
        brings=brings,
    )


def _sharper(wanted: MarkWanted, back: WayBack) -> Iterator[Reason]:
    radius_mm = greatest_radius_mm(wanted, parallel_mm=back.parallel_mm)
    most_mm = tidy_down(radius_mm)
    if most_mm <= wanted.gauge_mm / 2:
        return
    message = f"or curve back by a radius of {at_most(most_mm)} or less"
    yield Reason(
        code="curve_sharper",
        message=message,
        field="curve_back_radius_mm",
        limit_mm=most_mm,
        brings="clear",
    )
