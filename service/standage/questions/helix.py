"""A helix: what it is wound out of, whether its turns clear each other, and what would
clear them.
"""

from collections.abc import Iterator
from typing import Annotated, Literal

import msgspec
from msgspec.structs import replace

from standage.railway.climbs.gradients import (
    Climb,
    Helix,
    least_rise_per_turn_mm,
    steepest_percent,
)
from standage.railway.climbs.winding import (
    Winding,
    Wound,
    disagreeing,
    is_enough,
    turn_rises_mm,
    wound,
)
from standage.railway.terms.figures import (
    LONGEST_MM,
    HeadroomMm,
    Length,
    Room,
    exceeds,
    millimetres,
    says,
    tidy,
    tidy_if_known,
)
from standage.railway.terms.nem import ample_height_mm
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import sense
from standage.shapes.faults import Fault, Ruled

Limit = Annotated[
    float,
    msgspec.Meta(
        ge=0.01, le=100, description="A gradient in per cent: rise for 100 of run."
    ),
    sense("gradient"),
]
OneIn = Annotated[
    float,
    msgspec.Meta(ge=1, le=100_000, description="A gradient as the run for 1 of rise."),
]
HelixVerdict = Literal["no_headroom", "clear", "cannot_tell"]


LEAST_RADIUS_MM = 10.0
ClimbRise = Annotated[Length, sense("climb_rise")]
TurnRise = Annotated[Length, sense("turn_rise")]
Turns = Annotated[float, msgspec.Meta(gt=0, le=20_000), sense("turns")]


class AskedHelix(Ruled, frozen=True, kw_only=True):
    """The helix that the climb is wound into: its radius and as much of the rest as
    gives it.
    """

    radius_mm: Annotated[
        Annotated[
            float, msgspec.Meta(ge=LEAST_RADIUS_MM, le=LONGEST_MM), sense("radius")
        ]
        | None,
        says("Of its track, to the centre line, in mm; else what the rest makes it."),
    ] = None
    turns: Annotated[
        Turns | None, says("How many turns; 1 if nothing says how many.")
    ] = None
    percent: Annotated[
        Limit | None, says("The gradient between its vertical curves, in per cent.")
    ] = None
    rise_mm: Annotated[
        ClimbRise | None,
        says("How much it rises in all, in mm, as rise_mm of the climb."),
    ] = None
    rise_per_turn_mm: Annotated[
        TurnRise | None, says("The least rise from a turn to the next, in mm.")
    ] = None
    deck_mm: Annotated[
        Room | None, says("How thick the deck under the track is, in mm.")
    ] = None
    track_mm: Annotated[
        Room | None,
        says("How thick the track is, from the deck to the rail's top, in mm."),
    ] = None
    headroom_needed_mm: Annotated[
        HeadroomMm | None,
        says(
            "How high the turns must be clear, in mm; by NEM 102 if a scale is given"
            " instead."
        ),
    ] = None

    def of_radius(self, radius_mm: float) -> "AskedHelix":
        """Return it by its radius alone, where the climb is known."""
        return replace(
            self,
            radius_mm=radius_mm,
            turns=None,
            percent=None,
            rise_mm=None,
            rise_per_turn_mm=None,
        )


def winding_of(
    helix: AskedHelix, *, rise_mm: float | None, run_mm: float | None
) -> Winding:
    """Return what is said of a helix, with the rise and the run of its climb where
    those are.
    """
    return Winding(
        radius_mm=helix.radius_mm,
        turns=helix.turns,
        run_mm=run_mm,
        rise_mm=helix.rise_mm if rise_mm is None else rise_mm,
        percent=helix.percent,
        rise_per_turn_mm=helix.rise_per_turn_mm,
    )


def winding_faults(
    helix: AskedHelix, said: Winding, *, eased: Climb
) -> Iterator[Fault]:
    """Yield what keeps a helix from being wound: too little that is said of it, figures
    that contradict each other, and what nobody builds.
    """
    if helix.rise_mm is not None and helix.rise_mm != said.rise_mm:
        message = (
            f"is {_in_words(helix.rise_mm)} mm, but rise_mm of the climb is"
            f" {_in_words(said.rise_mm or 0.0)} mm: leave one of them out"
        )
        yield Fault(code="contradiction", message=message, pointer="/helix/rise_mm")
        return
    found = wound(said, eased=eased)
    if found is None:
        yield _not_wound(said)
        return
    for one in disagreeing(said, found):
        unit = _UNITS.get(one.name, " mm")
        message = (
            f"is {_in_words(one.said)}{unit}, but the other figures make it"
            f" {_in_words(one.would_be)}{unit}: leave one of them out"
        )
        yield Fault(
            code="contradiction",
            message=message,
            pointer=f"/helix/{one.name}",
        )
    is_worked_out = said.rise_mm is None or said.run_mm is None
    if is_worked_out and exceeds(found.rise_mm, limit=found.run_mm):
        message = (
            f"makes a rise of {_in_words(found.rise_mm)} mm over"
            f" {_in_words(found.run_mm)} mm of run: no track climbs so steeply"
        )
        yield Fault(code="steeper_than_stairs", message=message, pointer="/helix")
    if not LEAST_RADIUS_MM <= tidy(found.radius_mm) <= LONGEST_MM:
        radius = f"{_in_words(found.radius_mm)} mm"
        message = f"makes a radius of {radius}: from 10 mm to a kilometre is reckoned"
        yield Fault(code="out_of_bounds", message=message, pointer="/helix")


def _in_words(figure: float) -> str:
    """Return a figure as it may be written in its place, to so many places as count."""
    if 0 < figure < _LEAST_SHOWN:
        return f"less than {_LEAST_SHOWN:g}"
    if figure < _SHORT:
        return f"{figure:.6g}"
    return f"{figure:.0f}"


_LEAST_SHOWN, _SHORT = 0.001, 100_000.0
_UNITS = {"percent": " %", "turns": " turns"}


def _not_wound(said: Winding) -> Fault:
    """Return what is to be said of a helix that cannot be wound."""
    if is_enough(said):
        message = (
            "no helix of these figures can be built: its run has no sensible length"
        )
        return Fault(code="out_of_bounds", message=message, pointer="/helix")
    message = (
        "say more of the helix: radius_mm and two of turns (1 if not said), percent,"
        " rise_mm and rise_per_turn_mm; or percent with one of the last two"
    )
    pointer = "/helix/radius_mm" if said.radius_mm is None else "/helix"
    return Fault(code="missing", message=message, pointer=pointer)


class HelixAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The turns of a helix, and how far they clear each other where they clear
    least.
    """

    verdict: HelixVerdict
    radius_mm: Annotated[float, says("The radius of its track, in mm.")]
    turns: Annotated[float, says("How many turns the run makes.")]
    percent: Annotated[float, says("The gradient between its vertical curves.")]
    rise_mm: Annotated[float, says("How much it rises in all, in mm.")]
    run_mm: Annotated[float, says("The length of its track, in mm.")]
    rise_per_turn_mm: Annotated[
        float | None,
        says(
            "The least rise from a turn to the next, in mm; of less than a turn what a"
            " whole one would rise."
        ),
    ]
    headroom_mm: Annotated[
        float | None,
        says(
            "That, less deck and track, in mm; null if no turn lies over another, or if"
            " deck or track is not known."
        ),
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
    """Return how far the turns of ``helix``, by its radius, clear each other, against
    the headroom that is needed: None where nobody says it.
    """
    radius_mm = helix.radius_mm or LEAST_RADIUS_MM
    built = _built(helix)
    least_mm = least_rise_per_turn_mm(climb, built)
    taken_up_mm = _taken_up_mm(helix)
    headroom_mm = turn_rise_mm = None
    brought: HelixVerdict | None = None
    if least_mm is not None and taken_up_mm is not None:
        headroom_mm = least_mm - taken_up_mm
    if needed_mm is not None and taken_up_mm is not None:
        turn_rise_mm = tidy(needed_mm + taken_up_mm)
        with_that_mm = turn_rise_mm - taken_up_mm
        brought = _helix_verdict(with_that_mm, needed_mm)
    return HelixAnswer(
        verdict=_verdict(helix, least_mm, needed_mm=needed_mm),
        radius_mm=tidy(radius_mm),
        turns=tidy(climb.run_mm / built.turn_mm),
        percent=tidy(steepest_percent(climb)),
        rise_mm=tidy(climb.rise_mm),
        run_mm=tidy(climb.run_mm),
        rise_per_turn_mm=tidy(turn_rises_mm(climb, radius_mm=radius_mm)),
        headroom_mm=tidy_if_known(headroom_mm),
        headroom_needed_mm=needed_mm,
        turn_rise_needed_mm=turn_rise_mm,
        turn_rise_needed_brings=brought,
    )


def _built(helix: AskedHelix) -> Helix:
    """Return a helix with as little deck and track as is certain."""
    return Helix(
        radius_mm=helix.radius_mm or LEAST_RADIUS_MM,
        deck_mm=helix.deck_mm or 0.0,
        track_mm=helix.track_mm or 0.0,
    )


def _verdict(
    helix: AskedHelix, least_mm: float | None, *, needed_mm: float | None
) -> HelixVerdict:
    if least_mm is None:
        return "clear"
    built = _built(helix)
    at_most_mm = least_mm - built.deck_mm - built.track_mm
    verdict = _helix_verdict(at_most_mm, needed_mm)
    if verdict == "clear" and _taken_up_mm(helix) is None:
        return "cannot_tell"
    return verdict


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
    if exceeds(1.0, limit=answer.turns):
        message = (
            f"the run makes {answer.turns:.2f} of a turn: no part of it lies over"
            " another"
        )
        return Reason(code="less_than_a_turn", message=message)
    rise_mm = answer.rise_per_turn_mm or 0.0
    if answer.headroom_mm is None:
        return _deck_unknown(helix, answer, rise_mm=rise_mm)
    if answer.headroom_mm <= 0:
        return _overlapping(
            helix,
            headroom_mm=answer.headroom_mm,
            rise_mm=rise_mm,
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


def _deck_unknown(helix: AskedHelix, answer: HelixAnswer, *, rise_mm: float) -> Reason:
    """Return that deck or track is not known, or that the turns are too low with any."""
    rises = f"a turn of the helix rises {millimetres(rise_mm)}"
    if answer.verdict == "no_headroom":
        message = f"{rises}: too low, whatever else deck and track take"
        return Reason(
            code="no_headroom",
            message=message,
            value_mm=rise_mm,
            limit_mm=answer.headroom_needed_mm,
        )
    field = "deck_mm" if helix.deck_mm is None else "track_mm"
    message = (
        f"{rises}: say how thick its deck and its track are, to know what that leaves"
    )
    return Reason(
        code="headroom_unjudged",
        message=message,
        field=f"helix/{field}",
        value_mm=rise_mm,
    )


def _taken_up_mm(helix: AskedHelix) -> float | None:
    """Return what deck and track take of a turn's rise; None where one is not known."""
    if helix.deck_mm is None or helix.track_mm is None:
        return None
    return helix.deck_mm + helix.track_mm


def _helix_verdict(headroom_mm: float | None, needed_mm: float | None) -> HelixVerdict:
    if headroom_mm is None:
        return "clear"
    if not exceeds(headroom_mm, limit=0.0):
        # no vehicle is so low
        return "no_headroom"
    if needed_mm is None:
        return "cannot_tell"
    return "no_headroom" if exceeds(needed_mm, limit=headroom_mm) else "clear"


def _overlapping(helix: AskedHelix, *, headroom_mm: float, rise_mm: float) -> Reason:
    rises = millimetres(rise_mm)
    needs = millimetres(_taken_up_mm(helix) or 0.0)
    more = f"{millimetres(-headroom_mm)} more" if headroom_mm else "just as much"
    message = (
        f"the turns of the helix cannot be built: a turn rises {rises}, and the deck"
        f" and the track on it need {needs}, {more}"
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


def helix_assumed(
    helix: AskedHelix | None, found: Wound | None, *, scale: ScaleName | None
) -> Iterator[Assumed]:
    """Yield what is taken of a helix that nobody said."""
    if helix is None or found is None:
        return
    if found.one_turn:
        message = "the helix is taken to make one turn, as nothing says how many"
        yield Assumed(field="helix/turns", message=message, source="default", value="1")
    needed_mm = headroom_needed_mm(helix, scale=scale)
    if needed_mm is not None and helix.headroom_needed_mm is None:
        yield Assumed(
            field="helix/headroom_needed_mm",
            message=f"the turns must be clear to {millimetres(needed_mm)}, as NEM 102 has it",
            source="scaled",
            value_mm=needed_mm,
        )
