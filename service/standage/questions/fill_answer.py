"""What the question of how full roads are answers, and how full in words."""

from typing import Annotated

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.storing.fill import (
    CROWDED_UP_TO,
    WORKS_UP_TO,
    Fill,
    FillVerdict,
)
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason


class HowFull(msgspec.Struct, frozen=True, kw_only=True):
    """How much of a length is taken."""

    verdict: Annotated[
        FillVerdict,
        says(
            "works: at most half; crowded: at most four-fifths; full: beyond that;"
            " over_full: more than there is."
        ),
    ]
    held_mm: Annotated[
        float, says("What the trains take up, the gaps between them included, in mm.")
    ]
    usable_mm: Annotated[
        float | None,
        says("The usable length, in mm; null where not all of it is known."),
    ]
    part: Annotated[
        float | None,
        says("The part of it that is taken: 0.5 is half; null where not known."),
    ]
    left_mm: Annotated[
        float | None,
        says("What is left, in mm; less than 0 where more is asked than there is."),
    ]


class RoadFill(HowFull, frozen=True, kw_only=True):
    """How full one road is."""

    road: Annotated[str, says("What the road is called.")]
    place_id: Annotated[str | None, says("Its id, where it is on record.")]
    trains: Annotated[tuple[str, ...], says("The trains in it.")]


class FillAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How full each road is, the fiddle yard, and all of it, against half and
    four-fifths (common practice).
    """

    verdict: Annotated[FillVerdict, says("How full all of it is.")]
    roads: Annotated[
        tuple[RoadFill, ...],
        says("Every road; none where there are too many to be allotted."),
    ]
    yard: Annotated[
        HowFull | None,
        says("The fiddle-yard roads together; null where there are none or not told."),
    ]
    layout: Annotated[
        HowFull,
        says("All roads together, with every train, those that have no road too."),
    ]
    left_over: Annotated[tuple[str, ...], says("The trains that have no road.")]
    works_up_to: Annotated[float, says("Up to this part a yard works.")]
    crowded_up_to: Annotated[
        float, says("Beyond this part there is no room to work in.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


def how_full(full: Fill) -> HowFull:
    return HowFull(
        verdict=full.verdict,
        held_mm=full.held_mm,
        usable_mm=full.usable_mm,
        part=full.part,
        left_mm=full.left_mm,
    )


def _share(part: float) -> str:
    """Return a part in per cent, where what is just over a limit is not told as the
    limit itself.
    """
    shown = f"{part:.0%}"
    for limit in (WORKS_UP_TO, CROWDED_UP_TO, 1.0):
        if part > limit and shown == f"{limit:.0%}":
            return f"just over {shown}"
    return shown


def in_all(whole: Fill) -> Reason:
    if whole.part is None:
        return Reason(
            code="not_all_known",
            message="not every length is known, so nobody can tell how full it is",
        )
    words = {
        "works": "it can be worked",
        "crowded": "it is crowded: a yard works at half of what it holds",
        "full": "it is full: beyond four-fifths there is no room to work in",
        "over_full": "there is more than it holds",
    }
    message = (
        f"{_share(whole.part)} of the length is taken;"
        f" {words.get(whole.verdict, 'nobody can tell')}"
    )
    return Reason(
        code=whole.verdict,
        message=message,
        value_mm=whole.held_mm,
        limit_mm=whole.usable_mm,
    )
