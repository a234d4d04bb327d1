"""What lies under and beside a plan's track: boards, the joints between them, and
obstacles. In mm of the plan, y up.
"""

from collections.abc import Iterator, Sequence

import msgspec

from standage.drawings.plans.spots_on_track import Line
from standage.railway.track.paths.spots import ORIGIN, Spot
from standage.railway.track.placing.placing import within
from standage.railway.track.plans.flat import inner_plans
from standage.railway.track.plans.plan import Outline
from standage.railway.track.survey.survey import Survey

_HALF_A_JOINT_MM = 30.0
"""So far the line of a boards' joint goes on beyond its outermost track."""


class Shown(msgspec.Struct, frozen=True, kw_only=True):
    """An outline with what it is called: a board, or something beside the track."""

    name: str
    outline: Line


def boards(found: Survey) -> Iterator[Shown]:
    """Yield the boards, those of modules by name."""
    if found.plan.board is not None:
        outline = _outline(found.plan.board.outline, ORIGIN)
        yield Shown(name="", outline=outline)
    for name, inner in inner_plans(found.plan):
        body = found.placed.bodies.get(name)
        if body is not None and inner.board is not None:
            yield Shown(
                name=name,
                outline=_outline(inner.board.outline, body),
            )


def _outline(corners: Outline, frame: Spot) -> Line:
    spots = [
        Spot(
            complex(x_mm, y_mm),
            1 + 0j,
        )
        for x_mm, y_mm in corners
    ]
    return tuple(within(frame, spot).point for spot in spots)


def joints(found: Survey) -> Iterator[Shown]:
    """Yield the joints of modules as lines across the tracks that meet there."""
    for mating in found.placed.flat.matings:
        spots = [found.placed.spot(join[0]) for join in mating.joins]
        known = [spot for spot in spots if spot is not None]
        if known:
            one, other = (end[0] for end in mating.ends)
            outwards = 1j * known[0].direction * _HALF_A_JOINT_MM
            first, last = _outermost(known)
            ends = (first + outwards, last - outwards)
            yield Shown(
                name=f"{one} | {other}",
                outline=ends,
            )


def _outermost(spots: Sequence[Spot]) -> tuple[complex, complex]:
    """Return the leftmost and the rightmost track as one looks along the first."""
    ahead = spots[0].direction.conjugate()
    by_left = sorted(
        spots,
        key=lambda spot: (spot.point * ahead).imag,
    )
    return by_left[-1].point, by_left[0].point


def obstacles(found: Survey) -> Iterator[Shown]:
    """Yield what stands beside or above the track, by what it is."""
    for own in found.plan.obstacles:
        name = own.kind.replace("_", " ")
        yield Shown(
            name=name,
            outline=_outline(own.outline, ORIGIN),
        )
    for module, inner in inner_plans(found.plan):
        body = found.placed.bodies.get(module)
        if body is None:
            continue
        for own in inner.obstacles:
            name = own.kind.replace("_", " ")
            yield Shown(
                name=name,
                outline=_outline(own.outline, body),
            )
