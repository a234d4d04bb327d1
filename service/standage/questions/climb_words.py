"""A climb in words: what the train feels and where, and why it gets up or does not."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import NamedTuple

from standage.questions.climb_answer import FeltThere, Runaway, WorstFelt
from standage.questions.haulage_answer import one_in_words
from standage.questions.moves_ground import MOST_TOLD, Surveyed, told_faults
from standage.questions.plan import PlanCase
from standage.railway.climbs.gradients import one_in
from standage.railway.climbs.haulage import RUNAWAY_PERCENT
from standage.railway.climbs.profile import Felt, Rising, Step, rising, steepest
from standage.railway.moves.standing import Stand, lying
from standage.railway.moves.stretches import stretch_under
from standage.railway.moves.through import Through
from standage.railway.terms.figures import (
    agreeing,
    cut,
    listed,
    millimetres,
    tidy,
    tidy_if_known,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.network.network import Course
from standage.railway.track.network.positions import Spotted, told
from standage.railway.track.network.profiles import Part
from standage.railway.track.plans.plan import Position

MOST_FELT = 200
"""So many places are told where what the train feels changes."""
_LONGEST_MESSAGE = 200
_A_TRACE_PERCENT = 0.005
"""What is less is 0.00 % in words."""
_SAME_MM = 1e-6
_NAMELESS = {"first": "its first end", "second": "its second end"}
"""Ends of a place to which nobody gave a name, in words."""


class Way(NamedTuple):
    """A way as it is told: the plan that it lies on, and its courses with where each
    ends.
    """

    known: Surveyed
    courses: tuple[Course, ...]
    ends_mm: tuple[float, ...]

    def position(self, at_mm: float) -> Position:
        """Return a place of the way as a position of the plan; a place at a joint is on
        the piece before it.
        """
        found = bisect_left(self.ends_mm, at_mm - _SAME_MM)
        place = min(found, len(self.courses) - 1)
        begins_mm = self.ends_mm[place - 1] if place else 0.0
        spotted = Spotted(course=self.courses[place], along_mm=at_mm - begins_mm)
        return told(self.known.network, spotted)

    def worst(self, felt: Felt, train_mm: float) -> WorstFelt:
        """Return where the train feels the most, with the track that it stands on."""
        percent = tidy(felt.percent)
        network = self.known.network
        rear_mm = felt.head_mm - train_mm
        under = lying(self.known.ground, self.courses, rear_mm=rear_mm)
        return WorstFelt(
            position=self.position(felt.head_mm),
            percent=percent,
            one_in=tidy_if_known(one_in(max(percent, 0.0))),
            stretch=stretch_under(network, under, train_mm=train_mm),
        )

    def felt(self, found: Sequence[Felt]) -> tuple[FeltThere, ...]:
        """Return what the train feels in order; of very many places the steepest."""
        steep = sorted(found, key=lambda one: -abs(one.percent))[:MOST_FELT]
        return tuple(
            FeltThere(position=self.position(one.head_mm), percent=tidy(one.percent))
            for one in sorted(steep)
        )


def way_over(known: Surveyed, courses: tuple[Course, ...]) -> Way:
    """Return a way by the courses that it runs over."""
    lengths_mm = [known.ground.length_mm(course) for course in courses]
    return Way(known, courses, tuple(accumulate(lengths_mm)))


def shown(percent: float) -> str:
    """Return a gradient in words, with its run for 1 of rise."""
    run = one_in(tidy(abs(percent)))
    if run is None:
        return "level"
    figure = f"{abs(percent):.2f} % ({one_in_words(run)})"
    if percent > 0:
        return figure
    return f"{figure} downhill"


def felt_reason(worst: WorstFelt) -> Reason:
    """Return in words how steep it is for the train, and where."""
    message = "nowhere does the whole train feel a rise"
    if 0 < worst.percent < _A_TRACE_PERCENT:
        message = "nowhere does the whole train feel more than a trace of a rise"
    elif worst.percent > 0:
        where = _where(worst.position)
        felt = shown(worst.percent)
        message = f"the whole train feels {felt} at the most, with its head {where}"
    return Reason(
        code="felt",
        message=message,
        value_percent=worst.percent,
    )


def _where(position: Position) -> str:
    leg = "" if position.leg is None else f"'s {position.leg}"
    return f"at {millimetres(position.at_mm)} on {cut(position.piece)}{leg}"


def height_reasons(plan: PlanCase, way: Way, rises: Rising) -> Iterator[Reason]:
    """Yield what is to be measured, so that the heights of a way can be told."""
    known = way.known
    pieces = [known.network.piece(course) for course in rises.unknown]
    named = list(dict.fromkeys(pieces))
    if named or rises.steps:
        yield from told_faults(plan, known.found, ("/heights",))
    for piece in named[:MOST_TOLD]:
        message = f"how high {cut(piece)} lies is not known: measure heights on it"
        yield Reason(
            code="missing_figure",
            message=message,
            field=piece,
        )
    more = len(named) - MOST_TOLD
    if more > 0:
        message = (
            f"nor how high {more} more {agreeing(more, 'piece lies', 'pieces lie')}"
        )
        yield Reason(
            code="missing_figure",
            message=message,
            field="heights",
        )
    for step in rises.steps[:MOST_TOLD]:
        yield _step_reason(way.position(step.at_mm), step)


def _step_reason(position: Position, step: Step) -> Reason:
    one, other = millimetres(step.before_mm), millimetres(step.after_mm)
    message = (
        f"the rails lie at {one} and at {other} at once {_where(position)}: measure one"
        " height there"
    )
    return Reason(
        code="two_heights",
        message=message,
        field=position.piece,
    )


class Stands(NamedTuple):
    """What stands, or may stand, in a place: its name, and its ends by theirs."""

    name: str
    ends: tuple[str, str]
    stand: Stand


def runaway_of(known: Surveyed, one: Stands) -> Runaway | None:
    """Return from where stock runs away that stands in a place; None where it does
    not, or where no height is known.
    """
    stand = one.stand
    rises = rising(known.network, known.found.heights, stand.courses)
    if rises.unknown or rises.steps:
        return None
    part = steepest(rises.parts, stand.from_mm, stand.to_mm)
    if part is None:
        return None
    at_mm, slope = _steepest_of(part)
    percent = tidy(100 * abs(slope))
    if percent < RUNAWAY_PERCENT:
        return None
    towards = one.ends[0] if slope > 0 else one.ends[1]
    end = _NAMELESS.get(towards, cut(towards))
    message = (
        f"{cut(one.name)}: {shown(percent)} down towards {end}; stock left"
        " there runs away: chock its wheels, or brake it"
    )
    return Runaway(
        name=one.name,
        position=way_over(known, stand.courses).position(at_mm),
        percent=percent,
        towards=towards,
        message=message,
    )


def _steepest_of(part: Part) -> tuple[float, float]:
    """Return where a part is steepest, and its slope there."""
    if abs(part.slope_to) > abs(part.slope_from):
        return part.to_mm, part.slope_to
    return part.from_mm, part.slope_from


def route_assumed(
    known: Surveyed, names: Sequence[str], through: Through
) -> Iterator[Assumed]:
    """Yield where a way was chosen, and how heights were taken."""
    for number in sorted(through.chosen):
        message = (
            "the route can be run through the other way round too: the shorter counts"
        )
        if number > 0:
            one, other = cut(names[number - 1]), cut(names[number])
            message = (
                f"from {one} to {other} there are more ways: the shortest is taken"
            )
        yield Assumed(field=f"route/{number}", message=message, source="default")
    if known.standing:
        message = (
            "stock that stands bars the ways between the places of the route; in these"
            " it is taken to be out of the way"
        )
        yield Assumed(field="standing", message=message, source="default")
    if known.no_propelling:
        message = "the engine is taken to lead: where it may not push is not looked at"
        yield Assumed(field="no_propelling", message=message, source="default")
    if known.found.heights.levels_off:
        message = (
            "beyond the last height that is given, the rails are taken to be level"
        )
        yield Assumed(field="heights", message=message, source="default")
    if any(one.vertical_curve_mm for one in known.found.plan.heights):
        message = (
            "where a height has a vertical curve the rails are taken to lie level, and"
            " to bend from there into the gradient"
        )
        yield Assumed(field="heights", message=message, source="taken_as_read")


def left_out(*, is_off: bool, margin_mm: float) -> Iterator[Assumed]:
    """Yield what of the request no figure rests on; ``is_off`` where lengths have a ±."""
    if is_off:
        message = "lengths and heights count as exact: by how much they may be off is left out"
        yield Assumed(field="plus_minus_mm", message=message, source="default")
    if margin_mm > 0:
        message = (
            f"margin_mm of {millimetres(margin_mm)} changes nothing here: on its way the"
            " train never turns back over points"
        )
        yield Assumed(field="margin_mm", message=message, source="default")


def drag_assumed(
    known: Surveyed, courses: Sequence[Course], *, has_scale: bool
) -> Iterator[Assumed]:
    """Yield how the drag of curves was reckoned; ``courses`` have no known shape."""
    if not has_scale:
        message = "the scale is not known: no curve's drag is taken off"
        yield Assumed(field="scale", message=message, source="default")
        return
    message = (
        "curves drag like 0.04 % for each degree of full-size curve, by how much of the"
        " train is on them"
    )
    yield Assumed(field="curve_drag_percent", message=message, source="scaled")
    pieces = dict.fromkeys(known.network.piece(course) for course in courses)
    if pieces:
        named = listed([cut(piece) for piece in list(pieces)[:MOST_TOLD]])
        message = (
            f"{named}: how it bends is not known; straight, or of its least radius"
            " throughout"
        )
        if len(pieces) > MOST_TOLD:
            message = (
                f"how {len(pieces)} pieces bend is not known: straight, or of their"
                " least radius throughout"
            )
        yield Assumed(
            field="curve_drag_percent",
            message=message[:_LONGEST_MESSAGE],
            source="default",
        )


def downhill_caution(felt: Sequence[Felt]) -> Iterator[Reason]:
    """Yield that a train runs down steeper than it climbs, where it does."""
    least = min(one.percent for one in felt)
    most = max(one.percent for one in felt)
    if -least > max(most, RUNAWAY_PERCENT):
        message = (
            f"on its way down it feels {shown(-least)}: it must be held back, and"
            " wagons that break away run off"
        )
        yield Reason(
            code="steeper_down",
            message=message,
            value_percent=tidy(-least),
        )
