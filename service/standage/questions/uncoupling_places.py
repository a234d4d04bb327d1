"""Where a plan's uncoupling fittings lie, and whether an arm reaches them."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from standage.railway.moves.ground import Span
from standage.railway.moves.standing import Stand
from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.reasons import Assumed
from standage.railway.track.network.positions import resolved
from standage.railway.track.plans.plan import Fitting
from standage.railway.track.survey.lying import at
from standage.railway.track.survey.lying import lying as lying_in_the_plane
from standage.railway.track.survey.survey import Survey

REACH_MM = 600.0
"""So far from a board's edge an arm reaches. **Source** common practice."""
_NEAR_MM = 0.001


class UncouplingPlace(NamedTuple):
    """A fitting of the plan, as a stretch of no length."""

    fitting: Fitting
    span: Span


def uncoupling_places(found: Survey) -> Iterator[UncouplingPlace]:
    """Yield the uncoupling fittings that lie on the plan's track."""
    network = found.network
    for fitting in found.plan.fittings:
        if fitting.kind != "uncoupling" or fitting.piece not in network.shapes:
            continue
        spotted = resolved(network, fitting)
        if spotted is None:
            continue
        at_mm = spotted.along_mm
        if spotted.course & 1:
            at_mm = (network.strand(spotted.course).length_mm or 0.0) - at_mm
        yield UncouplingPlace(fitting, Span(spotted.course >> 1, at_mm, at_mm))


def out_of_reach(found: Survey, place: Stand, joint_mm: float) -> Iterator[Assumed]:
    """Yield what is said of a joint so far along a place, in mm, that is parted where no
    arm reaches from the board's edge.
    """
    board = found.plan.board
    bases_mm = _bases_mm(found, place)
    for course, base_mm in zip(place.courses, bases_mm, strict=True):
        own_mm = found.network.strand(course).length_mm or 0.0
        is_there = -_NEAR_MM <= joint_mm - base_mm <= own_mm + _NEAR_MM
        places = lying_in_the_plane(found, course) if is_there and board else []
        if not places or board is None:
            continue
        point = at(places, joint_mm - base_mm).spot.point
        edge_mm = _from_edge_mm([complex(*corner) for corner in board.outline], point)
        if edge_mm <= REACH_MM:
            return
        piece = found.network.piece(course)
        message = (
            f"the uncoupling place on {piece} is {millimetres(edge_mm)} from the board's"
            f" edge: an arm reaches {millimetres(REACH_MM)}"
        )
        yield Assumed(
            field="uncoupling",
            message=message,
            source="common_practice",
            value_mm=tidy(round(edge_mm, 1)),
        )
        return


def _bases_mm(found: Survey, place: Stand) -> list[float]:
    bases_mm: list[float] = []
    base_mm = 0.0
    for course in place.courses:
        bases_mm.append(base_mm)
        base_mm += found.network.strand(course).length_mm or 0.0
    return bases_mm


def _from_edge_mm(corners: Sequence[complex], point: complex) -> float:
    """Return how far a point is from the nearest edge of an outline."""
    sides = pairwise([*corners, corners[0]])
    return min(_from_side_mm(one, other, point) for one, other in sides)


def _from_side_mm(one: complex, other: complex, point: complex) -> float:
    along = other - one
    if along == 0:
        return abs(point - one)
    share = ((point - one) * along.conjugate()).real / abs(along) ** 2
    nearest = one + min(1.0, max(0.0, share)) * along
    return abs(point - nearest)
