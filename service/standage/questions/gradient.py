"""How steep a climb is, what a train feels of it, the run that it needs, and the
headroom in a helix.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated

from msgspec.structs import replace

from standage.questions.gradient_answer import (
    GradientAnswer,
    GradientInstead,
    GradientVerdict,
    against_limit,
    shown_gradient,
)
from standage.questions.helix import (
    LEAST_RADIUS_MM,
    AskedHelix,
    HelixAnswer,
    Limit,
    OneIn,
    headroom_needed_mm,
    headroom_reason,
    helix_answer,
    helix_assumed,
    winding_faults,
    winding_of,
)
from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import warned
from standage.railway.climbs import gradients
from standage.railway.climbs.gradients import Climb
from standage.railway.climbs.winding import Winding, Wound, wound
from standage.railway.terms.figures import (
    LONGEST_MM,
    ClimbRiseMm,
    ClimbRunMm,
    Room,
    TrainLengthMm,
    VehicleLengthMm,
    millimetres,
    says,
    tidy,
    tidy_down,
    tidy_if_known,
    tidy_up,
)
from standage.railway.terms.reasons import Assumed, Reason, worst
from standage.railway.terms.scales import ScaleName
from standage.shapes.faults import Fault, Ruled

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


class GradientRequest(Ruled, frozen=True, kw_only=True):
    """A climb, and what is to be judged by it."""

    rise_mm: Annotated[
        ClimbRiseMm | None,
        says(
            "How much higher its top is than its foot, in mm; needed without a helix."
        ),
    ] = None
    run_mm: Annotated[
        ClimbRunMm | None,
        says(
            "From the first of the rise to the last, vertical curves included, in mm;"
            " needed without a helix."
        ),
    ] = None
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
        """The climb by itself, once its rise and its run are known."""
        foot_mm = self.vertical_curve_mm or 0.0
        top_mm = self.top_vertical_curve_mm
        if top_mm is None:
            top_mm = foot_mm
        return Climb(
            rise_mm=self.rise_mm or 0.0,
            run_mm=self.run_mm or 1.0,
            foot_curve_mm=foot_mm,
            top_curve_mm=top_mm,
        )

    @property
    def wound(self) -> Wound | None:
        """Its helix; None where there is none, or where it cannot be wound."""
        if self.helix is None:
            return None
        return wound(self._winding(self.helix), eased=self.climb)

    def _winding(self, helix: AskedHelix) -> Winding:
        return winding_of(helix, rise_mm=self.rise_mm, run_mm=self.run_mm)

    def settled(self) -> "GradientRequest":
        """Return it with the rise and the run that its helix makes, and the helix by
        its radius.
        """
        found = self.wound
        if self.helix is None or found is None:
            return self
        return replace(
            self,
            rise_mm=found.rise_mm,
            run_mm=found.run_mm,
            helix=self.helix.of_radius(found.radius_mm),
        )

    def rules(self) -> Iterable[Fault]:
        """The climb can be built, and there is one limit at most."""
        unwound = tuple(self._unwound())
        yield from unwound
        if not unwound:
            yield from self._unbuilt()
        if self.limit_percent is not None and self.limit_one_in is not None:
            yield Fault(
                code="one_or_the_other",
                message="give limit_percent or limit_one_in, not both",
                pointer="/limit_one_in",
            )

    def _unwound(self) -> Iterator[Fault]:
        """Yield what is missing of the climb, or contradicts itself in its helix."""
        if self.helix is None:
            for field in ("rise_mm", "run_mm"):
                if getattr(self, field) is None:
                    message = f"{field} is missing"
                    yield Fault(code="missing", message=message, pointer=f"/{field}")
            return
        said = self._winding(self.helix)
        yield from winding_faults(self.helix, said, eased=self.climb)

    def _unbuilt(self) -> Iterator[Fault]:
        for fault in self.settled().climb.rules():
            pointer = fault.pointer
            if pointer == "/foot_curve_mm":
                # the request has one curve for both ends unless the top has its own
                pointer = "/vertical_curve_mm"
            yield replace(fault, pointer=pointer)


@warned
def reckon(request: GradientRequest) -> GradientAnswer:
    """Return how steep the climb of ``request`` is, against its limit or against
    practice.
    """
    found, request = request.wound, request.settled()
    climb = request.climb
    mean = gradients.mean_percent(climb)
    steepest = gradients.steepest_percent(climb)
    felt = _felt(request)
    limit = _limit(request)
    helix = _helix(request)
    instead = _instead(request, limit)
    return GradientAnswer(
        verdict=_verdict(request),
        mean_percent=tidy(mean),
        mean_one_in=_one_in(mean),
        steepest_percent=tidy(steepest),
        steepest_one_in=_one_in(steepest),
        train_feels_percent=tidy_if_known(felt),
        train_feels_one_in=_one_in(felt),
        limit_percent=tidy(limit),
        run_needed_mm=instead.run_needed_mm,
        helix=helix,
        because=tuple(_because(request, helix, limit=limit)),
        assumed=(
            *_assumed(request),
            *helix_assumed(request.helix, found, scale=request.scale),
        ),
        instead=instead,
    )


def _instead(request: GradientRequest, limit: float) -> GradientInstead:
    """Return what would keep to the limit, each with the verdict that it brings when it
    is asked again.
    """
    climb = request.climb
    train_mm = request.train_length_mm
    # rounded to the side that keeps to the limit
    run_mm = tidy_up(
        gradients.least_run_mm(climb, limit_percent=limit, train_length_mm=train_mm)
    )
    rise_mm = tidy_down(
        gradients.greatest_rise_mm(climb, limit_percent=limit, train_length_mm=train_mm)
    )
    return GradientInstead(
        run_needed_mm=run_mm,
        run_needed_brings=_with_run(request, run_mm),
        rise_allowed_mm=rise_mm,
        rise_allowed_brings=_verdict(replace(request, rise_mm=rise_mm)),
        vertical_curve_mm=_easing(request),
        vertical_curve_brings=_with_easing(request),
        radius_mm=_radius_mm(request, limit),
        radius_brings=_with_radius(request, limit),
    )


def _radius_mm(request: GradientRequest, limit: float) -> float | None:
    """Return the radius on which as many turns of a helix keep to the limit; None
    without one, and where nobody lays that.
    """
    if request.helix is None:
        return None
    run_mm = gradients.least_run_mm(
        request.climb,
        limit_percent=limit,
        train_length_mm=request.train_length_mm,
    )
    if run_mm > LONGEST_MM:
        return None
    share = run_mm / request.climb.run_mm
    radius_mm = tidy_up((request.helix.radius_mm or 0.0) * share)
    return radius_mm if LEAST_RADIUS_MM <= radius_mm <= LONGEST_MM else None


def _with_radius(request: GradientRequest, limit: float) -> GradientVerdict | None:
    radius_mm = _radius_mm(request, limit)
    if radius_mm is None or request.helix is None:
        return None
    share = radius_mm / (request.helix.radius_mm or radius_mm)
    larger = replace(
        request,
        run_mm=request.climb.run_mm * share,
        helix=request.helix.of_radius(radius_mm),
    )
    return _verdict(larger)


def _with_run(request: GradientRequest, run_mm: float) -> GradientVerdict | None:
    if run_mm == 0:
        return None
    return _verdict(replace(request, run_mm=run_mm))


def _with_easing(request: GradientRequest) -> GradientVerdict | None:
    easing_mm = _easing(request)
    if easing_mm is None:
        return None
    eased = replace(
        request,
        vertical_curve_mm=easing_mm,
        top_vertical_curve_mm=None,
    )
    return _verdict(eased)


def _verdict(request: GradientRequest) -> GradientVerdict:
    """Return the verdict of a climb: the worse of how steep it is and whether a helix
    is high enough.
    """
    judged = gradients.judged_percent(
        request.climb, train_length_mm=request.train_length_mm
    )
    given = _limit_given(request)
    verdict = _verdict_by_limit(tidy(judged), _limit(request), given=given)
    helix = _helix(request)
    if helix is None or helix.verdict != "no_headroom":
        return verdict
    return worst((verdict, "no_headroom"), order=_WORST_FIRST)


def _helix(request: GradientRequest) -> HelixAnswer | None:
    if request.helix is None:
        return None
    needed_mm = headroom_needed_mm(request.helix, scale=request.scale)
    return helix_answer(request.climb, request.helix, needed_mm=needed_mm)


def _felt(request: GradientRequest) -> float | None:
    if request.train_length_mm is None:
        return None
    return gradients.felt_percent(
        request.climb, train_length_mm=request.train_length_mm
    )


def _one_in(percent: float | None) -> float | None:
    if percent is None:
        return None
    return tidy_if_known(gradients.one_in(percent))


def _limit_given(request: GradientRequest) -> bool:
    return request.limit_percent is not None or request.limit_one_in is not None


def _limit(request: GradientRequest) -> float:
    if request.limit_percent is not None:
        return request.limit_percent
    if request.limit_one_in is not None:
        return 100 / request.limit_one_in
    return GOOD_PERCENT


def _verdict_by_limit(judged: float, limit: float, *, given: bool) -> GradientVerdict:
    if judged <= tidy(limit):
        return "good"
    if not given and judged <= tidy(STEEP_PERCENT):
        return "steep"
    return "too_steep"


def _easing(request: GradientRequest) -> float | None:
    if request.longest_vehicle_mm is None:
        return None
    easing_mm = gradients.easing_needed_mm(
        request.climb, longest_vehicle_mm=request.longest_vehicle_mm
    )
    if easing_mm is None:
        return None
    return min(tidy(easing_mm), request.climb.run_mm / 2)


def _because(
    request: GradientRequest, helix: HelixAnswer | None, *, limit: float
) -> Iterator[Reason]:
    climb = request.climb
    yield from _headroom_and_limit(request, helix, limit=limit)
    mean = tidy(gradients.mean_percent(climb))
    steepest = tidy(gradients.steepest_percent(climb))
    if steepest > mean:
        message = (
            f"the mean is {shown_gradient(mean)}, but between the vertical curves it is"
            f" {shown_gradient(steepest)}"
        )
        yield Reason(code="steeper_than_mean", message=message, value_percent=steepest)
    if request.longest_vehicle_mm is not None:
        yield from _easing_reasons(request)


def _headroom_and_limit(
    request: GradientRequest, helix: HelixAnswer | None, *, limit: float
) -> Iterator[Reason]:
    """Yield the worse of the two first: a headroom that nobody can judge is less than a
    climb that is too steep.
    """
    judged = gradients.judged_percent(
        request.climb, train_length_mm=request.train_length_mm
    )
    by_train = request.train_length_mm is not None
    against = against_limit(judged, limit=limit, by_train=by_train)
    if request.helix is None or helix is None:
        yield against
        return
    headroom = headroom_reason(request.helix, helix)
    is_unjudged = headroom.code == "headroom_unjudged"
    if is_unjudged and against.code == "over_limit":
        yield from (against, headroom)
    else:
        yield from (headroom, against)


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


def _assumed(request: GradientRequest) -> Iterator[Assumed]:
    if request.vertical_curve_mm is None:
        message = (
            "no vertical curves are given: the ends are taken as sharp bends, the"
            " steepest as the mean"
        )
        yield Assumed(
            field="vertical_curve_mm",
            message=message,
            source="default",
            value_mm=0.0,
        )
    if not _limit_given(request):
        yield Assumed(
            field="limit_percent",
            message="no limit is given: 1 in 50 is good and 1 in 30 steep",
            source="common_practice",
            value_percent=tidy(GOOD_PERCENT),
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
