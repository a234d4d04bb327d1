"""Where does the mark stand beyond points, from which on either road is clear?"""

from collections.abc import Iterable, Iterator
from typing import Annotated

import msgspec

from standage.questions.asked_points import (
    AskedPoints,
    gauge_missing,
    measured_otherwise,
    points_assumed,
    radius_within_gauge,
    spacing_within_gauge,
)
from standage.questions.points_mark_answer import (
    NO_MARK,
    LegName,
    MarkedLeg,
    PointsMarkAnswer,
    PointsMarkVerdict,
)
from standage.questions.points_mark_words import (
    because_clear,
    because_half_known,
    because_no_mark,
)
from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import warned
from standage.railway.pointwork.marks import (
    Between,
    LegMark,
    MarkWanted,
    WayBack,
    centres_at_mark_mm,
    curve_begins_mm,
    held_roads,
    marks,
    outcome,
)
from standage.railway.terms.figures import (
    Length,
    RadiusMm,
    RoadLengthMm,
    SpacingMm,
    at_least,
    exceeds,
    says,
    tidy,
    tidy_if_known,
)
from standage.railway.terms.reasons import Assumed
from standage.shapes.faults import Fault

Ends = Annotated[int, msgspec.Meta(ge=1, le=2)]
WITH_A_MARK = frozenset({"clear", "clear_if_straight"})


class PointsMarkRequest(AskedPoints, frozen=True, kw_only=True):
    """Points, and how far apart the roads are to be where the mark stands."""

    spacing_mm: Annotated[
        SpacingMm | None,
        says("Between centre lines at the mark, in mm; instead of near_rails_mm."),
    ] = None
    near_rails_mm: Annotated[
        Length | None, says("Between the near rails at the mark, in mm.")
    ] = None
    parallel_spacing_mm: Annotated[
        SpacingMm | None,
        says("Between centre lines where the leg has come back to parallel, in mm."),
    ] = None
    curve_back_radius_mm: Annotated[
        RadiusMm | None,
        says("Of the curve by which it comes back, to its centre line, in mm."),
    ] = None
    standing_length_mm: Annotated[
        RoadLengthMm | None, says("What the road is to hold clear of its marks, in mm.")
    ] = None
    ends: Annotated[
        Ends | None,
        says("Points at both ends of that road (2), or a stop at one (1)."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """One distance at the mark; a gauge; ends of a length."""
        yield from super().rules()
        if self.spacing_mm is None and self.near_rails_mm is None:
            message = "give spacing_mm or near_rails_mm"
            yield Fault(code="missing", message=message, pointer="/spacing_mm")
        elif self.spacing_mm is not None and self.near_rails_mm is not None:
            message = "give spacing_mm or near_rails_mm, not both"
            pointer = "/near_rails_mm"
            yield Fault(code="one_or_the_other", message=message, pointer=pointer)
        yield from gauge_missing(self)
        if self.spacing_mm is not None:
            yield from spacing_within_gauge(self, self.spacing_mm)
        radius_mm = self.curve_back_radius_mm
        yield from radius_within_gauge(self, radius_mm, "/curve_back_radius_mm")
        if self.ends is not None and self.standing_length_mm is None:
            message = "says nothing without standing_length_mm"
            yield Fault(code="contradiction", message=message, pointer="/ends")

    @property
    def wanted(self) -> MarkWanted:
        """The mark that is looked for; without a way back where only half of it is
        known.
        """
        between: Between = "centre_lines"
        apart_mm = self.spacing_mm or 0.0
        if self.near_rails_mm is not None:
            between = "near_rails"
            apart_mm = self.near_rails_mm
        return MarkWanted(
            parting=self.parting,
            gauge_mm=self.known_gauge_mm or 0.0,
            apart_mm=apart_mm,
            between=between,
            back=self._back,
        )

    @property
    def _back(self) -> WayBack | None:
        parallel_mm, radius_mm = self.parallel_spacing_mm, self.curve_back_radius_mm
        if parallel_mm is None or radius_mm is None:
            return None
        return WayBack(parallel_mm=parallel_mm, radius_mm=radius_mm)


@warned
def reckon(request: PointsMarkRequest) -> PointsMarkAnswer:
    """Return where the mark of ``request`` stands; where there is none, why."""
    verdict = _verdict(request)
    if verdict in WITH_A_MARK:
        return _marked(request, verdict)
    wanted = request.wanted
    if verdict == "cannot_tell":
        because = because_half_known(wanted, missing=_half_missing(request))
    else:
        because = because_no_mark(
            wanted,
            parallel_mm=request.parallel_spacing_mm,
            radius_mm=request.curve_back_radius_mm,
        )
    return NO_MARK(
        verdict=verdict,
        angle_deg=tidy(wanted.parting.angle_deg),
        because=tuple(because),
        assumed=tuple(_assumed(request)),
    )


def _marked(request: PointsMarkRequest, verdict: PointsMarkVerdict) -> PointsMarkAnswer:
    wanted = request.wanted
    found = marks(wanted)
    from_crossing_mm = tidy(found.from_crossing_mm)
    straight_to_mm = begins_mm = None
    if wanted.back is None:
        straight_to_mm = from_crossing_mm
    else:
        begins_mm = curve_begins_mm(wanted.parting, wanted.back)
    roads = held_roads(
        found, standing_length_mm=request.standing_length_mm, ends=request.ends
    )
    return PointsMarkAnswer(
        verdict=verdict,
        angle_deg=tidy(wanted.parting.angle_deg),
        from_crossing_of_lines_mm=from_crossing_mm,
        from_nose_mm=tidy(found.from_nose_mm),
        mark_length_mm=tidy(found.length_mm),
        squared_from_one_line_mm=tidy(found.squaring_mm),
        from_nose_if_squared_mm=tidy(found.from_nose_if_squared_mm),
        stays_straight_to_mm=straight_to_mm,
        curve_back_begins_mm=tidy_if_known(begins_mm),
        legs=(_leg("through", found.through), _leg("branch", found.branch)),
        nose_to_nose_mm=tidy_if_known(roads.nose_to_nose_mm),
        nose_to_stop_mm=tidy_if_known(roads.nose_to_stop_mm),
        because=tuple(because_clear(wanted, found, roads)),
        assumed=tuple(_assumed(request)),
    )


def _verdict(request: PointsMarkRequest) -> PointsMarkVerdict:
    wanted = request.wanted
    if wanted.back is not None:
        return outcome(wanted)
    parallel_mm = request.parallel_spacing_mm
    if parallel_mm is not None:
        # Whatever the curve, parallel roads come no farther apart than that.
        too_close = exceeds(centres_at_mark_mm(wanted), limit=parallel_mm)
        return "never_clear" if too_close else "cannot_tell"
    if request.curve_back_radius_mm is not None:
        return "cannot_tell"
    return "clear_if_straight"


def _half_missing(request: PointsMarkRequest) -> str:
    """Return which of the two figures of the way back is missing."""
    if request.parallel_spacing_mm is None:
        return "parallel_spacing_mm"
    return "curve_back_radius_mm"


def _leg(name: LegName, mark: LegMark) -> MarkedLeg:
    return MarkedLeg(
        leg=name,
        from_crossing_of_lines_mm=tidy(mark.from_crossing_mm),
        from_nose_mm=tidy(mark.from_nose_mm),
    )


def _assumed(request: PointsMarkRequest) -> Iterator[Assumed]:
    yield from points_assumed(request, otherwise=_otherwise(request))
    if request.curve_back_radius_mm is not None:
        message = (
            "the distance at the mark counts as it is given on the curve back too: long"
            " vehicles swing towards the other road there, so give what they need"
        )
        field = "near_rails_mm" if request.spacing_mm is None else "spacing_mm"
        yield Assumed(field=field, message=message, source="taken_as_read")


def _otherwise(request: PointsMarkRequest) -> str:
    """Return what the answer would be with the number measured the other way."""
    other = measured_otherwise(request)
    if other is None:
        return ""
    if _verdict(other) not in WITH_A_MARK:
        return "no mark can be told"
    from_crossing_mm = marks(other.wanted).from_crossing_mm
    return f"the mark {at_least(from_crossing_mm)} from where the lines cross"


_LOOP = {
    "number": 6,
    "number_is": "centre_line",
    "scale": "00",
    "spacing_mm": 45,
    "parallel_spacing_mm": 50,
    "curve_back_radius_mm": 914,
    "standing_length_mm": 1200,
    "ends": 2,
}
QUESTION = Question(
    id="checkPointsMark",
    at="/v1/checks/points-mark",
    asks="Where does the mark stand beyond points, from which on either road is clear?",
    tells=(
        "From the crossing of the lines and from the nose, along the leg; a leg that"
        " curves back to parallel is clear farther out. With a length to be held: how far"
        " from nose to nose, or to the stop."
    ),
    request=PointsMarkRequest,
    answer=PointsMarkAnswer,
    gather=as_asked,
    reckon=reckon,
    example=_LOOP,
    refused=_LOOP | {"near_rails_mm": 28.5},
    warns=Shows("spacing_or_gap", "spacing_mm", {"spacing_mm": 28.5}),
)
