"""Whether the turns of a helix clear each other, and what would clear them."""

from typing import Annotated, Literal

import msgspec

from standage.railway.climbs import gradients
from standage.railway.climbs.gradients import Climb, Helix
from standage.railway.terms.figures import (
    HeadroomMm,
    exceeds,
    millimetres,
    says,
    tidy,
    tidy_if_known,
)
from standage.railway.terms.nem import ample_height_mm
from standage.railway.terms.reasons import Reason
from standage.railway.terms.scales import ScaleName

HelixVerdict = Literal["no_headroom", "clear", "cannot_tell"]


class AskedHelix(Helix, frozen=True, kw_only=True):
    """The helix that the climb is wound into."""

    headroom_needed_mm: Annotated[
        HeadroomMm | None,
        says(
            "How high the turns must be clear, in mm; by NEM 102 if a scale is given"
            " instead."
        ),
    ] = None


class HelixAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The turns of a helix, and how far they clear each other where they clear
    least.
    """

    verdict: HelixVerdict
    turns: Annotated[float, says("How many turns the run makes.")]
    rise_per_turn_mm: Annotated[
        float | None, says("The least rise from a turn to the next, in mm.")
    ]
    headroom_mm: Annotated[
        float | None,
        says("That, less deck and track, in mm; null if no turn lies over another."),
    ]
    headroom_needed_mm: float | None
    turn_rise_needed_mm: Annotated[
        float | None, says("The rise per turn that would do, in mm.")
    ]
    turn_rise_needed_brings: Annotated[
        HelixVerdict | None, says("The helix's verdict with that rise per turn.")
    ]


def helix_answer(
    climb: Climb, helix: AskedHelix, *, needed_mm: float | None
) -> HelixAnswer:
    """Return how far the turns of ``helix`` clear each other, against the headroom that
    is needed: None where nobody says it.
    """
    rise_mm = gradients.least_rise_per_turn_mm(climb, helix)
    headroom_mm = gradients.headroom_mm(climb, helix)
    turn_rise_mm: float | None = None
    brought: HelixVerdict | None = None
    if needed_mm is not None:
        turn_rise_mm = tidy(needed_mm + _taken_up_mm(helix))
        with_that_mm = turn_rise_mm - helix.deck_mm - helix.track_mm
        brought = _helix_verdict(with_that_mm, needed_mm)
    return HelixAnswer(
        verdict=_helix_verdict(headroom_mm, needed_mm),
        turns=tidy(climb.run_mm / helix.turn_mm),
        rise_per_turn_mm=tidy_if_known(rise_mm),
        headroom_mm=tidy_if_known(headroom_mm),
        headroom_needed_mm=needed_mm,
        turn_rise_needed_mm=turn_rise_mm,
        turn_rise_needed_brings=brought,
    )


def headroom_needed_mm(helix: AskedHelix, *, scale: ScaleName | None) -> float | None:
    """Return how high the turns must be clear: as it is said, else by NEM 102 in a
    known scale; None where neither is known.
    """
    if helix.headroom_needed_mm is not None:
        return helix.headroom_needed_mm
    if scale is None:
        return None
    return ample_height_mm(scale)


def headroom_reason(helix: AskedHelix, answer: HelixAnswer) -> Reason:
    """Return in words what the turns leave."""
    if answer.headroom_mm is None:
        message = (
            f"the run makes {answer.turns:.2f} of a turn: no part of it lies over"
            " another"
        )
        return Reason(code="less_than_a_turn", message=message)
    if answer.headroom_mm < 0 and answer.rise_per_turn_mm is not None:
        return _overlapping(
            helix,
            headroom_mm=answer.headroom_mm,
            rise_mm=answer.rise_per_turn_mm,
        )
    if answer.headroom_needed_mm is None:
        message = (
            f"the turns leave {millimetres(answer.headroom_mm)}: say how high your"
            " tallest vehicle is"
        )
        return Reason(
            code="headroom_unjudged",
            message=message,
            field="helix/headroom_needed_mm",
        )
    return _judged(
        headroom_mm=answer.headroom_mm,
        needed_mm=answer.headroom_needed_mm,
    )


def _taken_up_mm(helix: Helix) -> float:
    return helix.deck_mm + helix.track_mm


def _helix_verdict(headroom_mm: float | None, needed_mm: float | None) -> HelixVerdict:
    if headroom_mm is None:
        return "clear"
    if exceeds(needed_mm or 0.0, limit=headroom_mm):
        return "no_headroom"
    if needed_mm is None:
        return "cannot_tell"
    return "clear"


def _overlapping(helix: Helix, *, headroom_mm: float, rise_mm: float) -> Reason:
    rises = millimetres(rise_mm)
    needs = millimetres(_taken_up_mm(helix))
    more = millimetres(-headroom_mm)
    message = (
        f"the turns of the helix cannot be built: a turn rises {rises}, and the deck"
        f" and the track on it need {needs}, {more} more"
    )
    return Reason(
        code="turns_overlap",
        message=message,
        value_mm=headroom_mm,
        amount_mm=-headroom_mm,
    )


def _judged(*, headroom_mm: float, needed_mm: float) -> Reason:
    spare_mm = tidy(headroom_mm - needed_mm)
    code = "headroom"
    how = f"high enough, by {millimetres(spare_mm)}"
    if spare_mm < 0:
        code = "no_headroom"
        how = f"{millimetres(-spare_mm)} too low"
    left = millimetres(headroom_mm)
    return Reason(
        code=code,
        message=f"the turns of the helix leave {left} above the rail: {how}",
        value_mm=headroom_mm,
        limit_mm=needed_mm,
        amount_mm=abs(spare_mm),
    )
