"""How steep a climb is, what a train feels of it, the run that it needs, and the
headroom in a helix.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec
from msgspec.structs import replace

from standage.questions.question import Question, Shows, as_asked
from standage.questions.warned import NOT_YET, Warnings, warned
from standage.railway.climbs import gradients
from standage.railway.climbs.gradients import Climb, Helix
from standage.railway.terms.comparison import exceeds
from standage.railway.terms.figures import (
    HeadroomMm,
    RoadLengthMm,
    Room,
    TrainLengthMm,
    VehicleLengthMm,
    says,
    tidy,
    tidy_down,
    tidy_up,
)
from standage.railway.terms.nem import ample_height_mm
from standage.railway.terms.phrases import millimetres
from standage.railway.terms.reasons import Assumed, Reason, worst
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import sense
from standage.shapes.faults import Fault, Ruled

GradientVerdict = Literal["no_headroom", "too_steep", "steep", "good"]
HelixVerdict = Literal["no_headroom", "clear", "cannot_tell"]
_WORST_FIRST: tuple[GradientVerdict, ...] = (
    "no_headroom",
    "too_steep",
    "steep",
    "good",
)

GOOD_PERCENT = 100 / 50
"""1 in 50 is good. **Source** common practice."""
STEEP_PERCENT = 100 / 30
"""1 in 30 is steep, and more is too steep without a trial. **Source** common
practice.
"""

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


class AskedHelix(Helix, frozen=True, kw_only=True):
    """The helix that the climb is wound into."""

    headroom_needed_mm: Annotated[
        HeadroomMm | None,
        says(
            "How high the turns must be clear, in mm; by NEM 102 if a scale is given"
            " instead."
        ),
    ] = None


class GradientRequest(Ruled, frozen=True, kw_only=True):
    """A climb, and what is to be judged by it."""

    rise_mm: Annotated[Room, says("How much higher its top is than its foot, in mm.")]
    run_mm: Annotated[
        RoadLengthMm,
        says(
            "From the first of the rise to the last, vertical curves included, in mm."
        ),
    ]
    vertical_curve_mm: Annotated[
        Room | None,
        says("The length of the vertical curve at each end, in mm; none if not said."),
    ] = None
    top_vertical_curve_mm: Annotated[
        Room | None, says("Of the one at the top, where it is another, in mm.")
    ] = None
    train_length_mm: Annotated[
        TrainLengthMm | None, says("The train whose own gradient is asked for, in mm.")
    ] = None
    longest_vehicle_mm: Annotated[
        VehicleLengthMm | None, says("The longest vehicle that is to climb it, in mm.")
    ] = None
    limit_percent: Annotated[
        Limit | None, says("The steepest gradient that is allowed, in per cent.")
    ] = None
    limit_one_in: Annotated[
        OneIn | None, says("The same as 1 in so many, instead.")
    ] = None
    scale: Annotated[ScaleName | None, says("The scale it is laid for.")] = None
    helix: Annotated[AskedHelix | None, says("Where the climb is a helix.")] = None

    @property
    def climb(self) -> Climb:
        """The climb by itself."""
        foot_mm = self.vertical_curve_mm or 0.0
        top_mm = (
            foot_mm
            if self.top_vertical_curve_mm is None
            else self.top_vertical_curve_mm
        )
        return Climb(
            rise_mm=self.rise_mm,
            run_mm=self.run_mm,
            foot_curve_mm=foot_mm,
            top_curve_mm=top_mm,
        )

    def rules(self) -> Iterable[Fault]:
        """The climb can be built, and there is one limit at most."""
        for fault in self.climb.rules():
            pointer = (
                "/vertical_curve_mm"
                if fault.pointer == "/foot_curve_mm"
                else fault.pointer
            )
            yield replace(fault, pointer=pointer)
        if self.limit_percent is not None and self.limit_one_in is not None:
            message = "give limit_percent or limit_one_in, not both"
            yield Fault(
                code="one_or_the_other", message=message, pointer="/limit_one_in"
            )


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


class GradientInstead(msgspec.Struct, frozen=True, kw_only=True):
    """What would keep to the limit."""

    run_needed_mm: Annotated[
        float,
        says(
            "The least run for this rise, with these vertical curves and under this"
            " train, in mm."
        ),
    ]
    run_needed_brings: Annotated[
        GradientVerdict | None,
        says(
            "The verdict with that run; null where all is level and no run is needed."
        ),
    ]
    rise_allowed_mm: Annotated[
        float,
        says(
            "The greatest rise in this run, with these vertical curves and under this"
            " train, in mm."
        ),
    ]
    rise_allowed_brings: Annotated[GradientVerdict, says("The verdict with that rise.")]
    vertical_curve_mm: Annotated[
        float | None,
        says(
            "How long practice has each vertical curve for the longest vehicle, in mm;"
            " null if unknown."
        ),
    ]
    vertical_curve_brings: Annotated[
        GradientVerdict | None,
        says("The verdict with such a one at each end, which make the rest steeper."),
    ]


class GradientAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How steep the climb is; the verdict is on what the train feels where its length
    is given.

    Whether a helix is high enough is in ``helix``: too low is ``no_headroom`` here too,
    but where its verdict is ``cannot_tell``, this one is of the gradient alone.
    """

    verdict: GradientVerdict
    mean_percent: float
    mean_one_in: Annotated[float | None, says("Null on the level.")]
    steepest_percent: float
    steepest_one_in: Annotated[float | None, says("Null on the level.")]
    train_feels_percent: Annotated[
        float | None,
        says("The greatest height from its tail to its head, for 100 of its length."),
    ]
    train_feels_one_in: float | None
    limit_percent: Annotated[float, says("The limit that the verdict keeps to.")]
    run_needed_mm: Annotated[
        float,
        says(
            "The least run that keeps this rise within the limit, under this train"
            " where one is given, in mm."
        ),
    ]
    helix: HelixAnswer | None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    instead: GradientInstead
    warnings: Warnings = NOT_YET


@warned
def reckon(request: GradientRequest) -> GradientAnswer:
    """Return how steep the climb of ``request`` is, against its limit or against
    practice.
    """
    climb = request.climb
    mean, steepest = gradients.mean_percent(climb), gradients.steepest_percent(climb)
    felt = _felt(request)
    limit = _limit(request)
    helix = None if request.helix is None else _helix(request, request.helix)
    instead = _instead(request, limit)
    return GradientAnswer(
        verdict=_verdict(request),
        mean_percent=tidy(mean),
        mean_one_in=_one_in(mean),
        steepest_percent=tidy(steepest),
        steepest_one_in=_one_in(steepest),
        train_feels_percent=None if felt is None else tidy(felt),
        train_feels_one_in=None if felt is None else _one_in(felt),
        limit_percent=tidy(limit),
        run_needed_mm=instead.run_needed_mm,
        helix=helix,
        because=(*_headroom_reasons(request, helix), *_reasons(request, limit=limit)),
        assumed=tuple(_assumed(request)),
        instead=instead,
    )


def _instead(request: GradientRequest, limit: float) -> GradientInstead:
    """Return what would keep to the limit, each with the verdict that it brings when it
    is asked again.
    """
    climb, train_mm = request.climb, request.train_length_mm
    run_mm = tidy_up(
        gradients.least_run_mm(climb, limit_percent=limit, train_length_mm=train_mm)
    )
    rise_mm = tidy_down(
        gradients.greatest_rise_mm(climb, limit_percent=limit, train_length_mm=train_mm)
    )
    easing_mm = _easing(request)
    return GradientInstead(
        run_needed_mm=run_mm,
        run_needed_brings=(
            None if run_mm == 0 else _verdict(replace(request, run_mm=run_mm))
        ),
        rise_allowed_mm=rise_mm,
        rise_allowed_brings=_verdict(replace(request, rise_mm=rise_mm)),
        vertical_curve_mm=easing_mm,
        vertical_curve_brings=(
            None if easing_mm is None else _verdict(_eased(request, easing_mm))
        ),
    )


def _eased(request: GradientRequest, vertical_curve_mm: float) -> GradientRequest:
    return replace(
        request, vertical_curve_mm=vertical_curve_mm, top_vertical_curve_mm=None
    )


def _verdict(request: GradientRequest) -> GradientVerdict:
    """Return the verdict of a climb: the worse of how steep it is and whether a helix
    is high enough.
    """
    judged = gradients.judged_percent(
        request.climb, train_length_mm=request.train_length_mm
    )
    given = _limit_given(request)
    verdict = _verdict_by_limit(tidy(judged), _limit(request), given=given)
    if request.helix is None:
        return verdict
    helix = _helix(request, request.helix)
    if helix.verdict != "no_headroom":
        return verdict
    return worst((verdict, "no_headroom"), order=_WORST_FIRST)


def _felt(request: GradientRequest) -> float | None:
    if request.train_length_mm is None:
        return None
    return gradients.felt_percent(
        request.climb, train_length_mm=request.train_length_mm
    )


def _one_in(percent: float) -> float | None:
    run = gradients.one_in(percent)
    return None if run is None else tidy(run)


def _limit_given(request: GradientRequest) -> bool:
    return request.limit_percent is not None or request.limit_one_in is not None


def _limit(request: GradientRequest) -> float:
    if request.limit_percent is not None:
        return request.limit_percent
    return GOOD_PERCENT if request.limit_one_in is None else 100 / request.limit_one_in


def _verdict_by_limit(judged: float, limit: float, *, given: bool) -> GradientVerdict:
    if judged <= tidy(limit):
        return "good"
    return "steep" if not given and judged <= tidy(STEEP_PERCENT) else "too_steep"


def _easing(request: GradientRequest) -> float | None:
    if request.longest_vehicle_mm is None:
        return None
    easing_mm = gradients.easing_needed_mm(
        request.climb, longest_vehicle_mm=request.longest_vehicle_mm
    )
    if easing_mm is None:
        return None
    return min(tidy(easing_mm), request.run_mm / 2)


def _helix(request: GradientRequest, helix: AskedHelix) -> HelixAnswer:
    rise_mm = gradients.least_rise_per_turn_mm(request.climb, helix)
    headroom_mm = gradients.headroom_mm(request.climb, helix)
    needed_mm = _headroom_needed_mm(request)
    turn_rise_mm = (
        None if needed_mm is None else tidy(needed_mm + helix.deck_mm + helix.track_mm)
    )
    return HelixAnswer(
        verdict=_helix_verdict(headroom_mm, needed_mm),
        turns=tidy(request.run_mm / helix.turn_mm),
        rise_per_turn_mm=None if rise_mm is None else tidy(rise_mm),
        headroom_mm=None if headroom_mm is None else tidy(headroom_mm),
        headroom_needed_mm=needed_mm,
        turn_rise_needed_mm=turn_rise_mm,
        turn_rise_needed_brings=_brought_by_turns(helix, turn_rise_mm, needed_mm),
    )


def _brought_by_turns(
    helix: Helix, turn_rise_mm: float | None, needed_mm: float | None
) -> HelixVerdict | None:
    if turn_rise_mm is None:
        return None
    return _helix_verdict(turn_rise_mm - helix.deck_mm - helix.track_mm, needed_mm)


def _helix_verdict(headroom_mm: float | None, needed_mm: float | None) -> HelixVerdict:
    if headroom_mm is None:
        return "clear"
    if exceeds(needed_mm or 0.0, limit=headroom_mm):
        return "no_headroom"
    return "cannot_tell" if needed_mm is None else "clear"


def _headroom_needed_mm(request: GradientRequest) -> float | None:
    helix = request.helix
    if helix is None:
        return None
    if helix.headroom_needed_mm is not None:
        return helix.headroom_needed_mm
    return None if request.scale is None else ample_height_mm(request.scale)


def _headroom_reasons(
    request: GradientRequest, helix: HelixAnswer | None
) -> Iterator[Reason]:
    if helix is None or request.helix is None:
        return
    if helix.headroom_mm is None:
        message = (
            f"the run makes {helix.turns:.2f} of a turn: no part of it lies over"
            " another"
        )
        yield Reason(code="less_than_a_turn", message=message)
    elif helix.headroom_mm < 0 and helix.rise_per_turn_mm is not None:
        takes_mm = request.helix.deck_mm + request.helix.track_mm
        message = (
            "the turns of the helix cannot be built: a turn rises"
            f" {millimetres(helix.rise_per_turn_mm)}, and the deck and the track on it"
            f" need {millimetres(takes_mm)}, {millimetres(-helix.headroom_mm)} more"
        )
        yield Reason(
            code="turns_overlap",
            message=message,
            value_mm=helix.headroom_mm,
            amount_mm=-helix.headroom_mm,
        )
    elif helix.headroom_needed_mm is None:
        message = (
            f"the turns leave {millimetres(helix.headroom_mm)}: say how high your"
            " tallest vehicle is"
        )
        yield Reason(
            code="headroom_unjudged", message=message, field="helix/headroom_needed_mm"
        )
    else:
        spare_mm = tidy(helix.headroom_mm - helix.headroom_needed_mm)
        how = (
            f"{millimetres(-spare_mm)} too low"
            if spare_mm < 0
            else f"high enough, by {millimetres(spare_mm)}"
        )
        yield Reason(
            code="no_headroom" if spare_mm < 0 else "headroom",
            message=(
                f"the turns of the helix leave {millimetres(helix.headroom_mm)} above"
                f" the rail: {how}"
            ),
            value_mm=helix.headroom_mm,
            limit_mm=helix.headroom_needed_mm,
            amount_mm=abs(spare_mm),
        )


def _reasons(request: GradientRequest, *, limit: float) -> Iterator[Reason]:
    climb = request.climb
    judged = tidy(
        gradients.judged_percent(climb, train_length_mm=request.train_length_mm)
    )
    mean, steepest = gradients.mean_percent(climb), gradients.steepest_percent(climb)
    over = judged > tidy(limit)
    whose = "the climb is" if request.train_length_mm is None else "the train feels"
    yield Reason(
        code="over_limit" if over else "within_limit",
        message=(
            f"{whose} {_shown(judged)}, {'steeper than' if over else 'within'} the"
            f" limit of {_shown(limit)}"
        ),
        value_percent=judged,
        limit_percent=tidy(limit),
    )
    if tidy(steepest) > tidy(mean):
        message = (
            f"the mean is {_shown(mean)}, but between the vertical curves it is"
            f" {_shown(steepest)}"
        )
        yield Reason(
            code="steeper_than_mean", message=message, value_percent=tidy(steepest)
        )
    if request.longest_vehicle_mm is not None:
        yield from _easing_reasons(request)


def _easing_reasons(request: GradientRequest) -> Iterator[Reason]:
    needed_mm = _easing(request)
    shortest_mm = min(request.climb.foot_curve_mm, request.climb.top_curve_mm)
    if needed_mm is None:
        message = (
            "the run is too short for vertical curves of a vehicle's length for each"
            " per cent of change"
        )
        yield Reason(code="no_room_to_ease", message=message, field="run_mm")
    elif shortest_mm < needed_mm:
        enough_mm = tidy_up(needed_mm, step=0.1)
        message = (
            f"the vertical curves should be {millimetres(enough_mm)} at each end for"
            " the longest vehicle"
        )
        yield Reason(
            code="vertical_curve_short",
            message=message,
            field="vertical_curve_mm",
            value_mm=shortest_mm,
            limit_mm=needed_mm,
        )


def _shown(percent: float) -> str:
    run = gradients.one_in(tidy(percent))
    return (
        "level"
        if run is None
        else f"{percent:.2f} % (1 in {tidy(round(run, 4)):.1f})".replace(".0)", ")")
    )


def _assumed(request: GradientRequest) -> Iterator[Assumed]:
    if request.vertical_curve_mm is None:
        message = (
            "no vertical curves are given: the ends are taken as sharp bends, the"
            " steepest as the mean"
        )
        yield Assumed(
            field="vertical_curve_mm", message=message, source="default", value_mm=0.0
        )
    if not _limit_given(request):
        message = "no limit is given: 1 in 50 is good and 1 in 30 steep"
        yield Assumed(
            field="limit_percent",
            message=message,
            source="common_practice",
            value_percent=tidy(GOOD_PERCENT),
        )
    needed_mm = _headroom_needed_mm(request)
    if (
        request.helix is not None
        and request.helix.headroom_needed_mm is None
        and needed_mm is not None
    ):
        message = (
            f"the turns must be clear to {millimetres(needed_mm)}, as NEM 102 has it"
        )
        yield Assumed(
            field="helix/headroom_needed_mm",
            message=message,
            source="scaled",
            value_mm=needed_mm,
        )


_RISE = {"rise_mm": 36, "vertical_curve_mm": 300}
QUESTION = Question(
    id="checkGradient",
    at="/v1/checks/gradient",
    asks="How steep is a rise, and what does a train feel of it?",
    tells=(
        "The mean and the steepest gradient of a rise eased at both ends, what a train"
        " of a given length feels, the run that a limit needs, and the headroom of a"
        " helix."
    ),
    request=GradientRequest,
    answer=GradientAnswer,
    gather=as_asked,
    reckon=reckon,
    example=_RISE | {"run_mm": 2400, "train_length_mm": 640},
    refused=_RISE | {"run_mm": 500},
    warns=Shows("percent_or_one_in", "limit_percent", {"limit_percent": 50.0}),
)
