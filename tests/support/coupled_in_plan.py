"""Two coupled vehicles put on a track drawn as a line of short chords, by bisection: a
second way to the sweep.

It knows nothing of arcs, of Newton's method or of complex numbers: the track is a
shapely line, an axle a point on it, every distance is measured, and everything is found
by halving.
"""

from collections.abc import Callable, Sequence
from math import atan2, cos, degrees, pi, sin
from typing import NamedTuple

from shapely.affinity import rotate  # type: ignore[import-untyped] # shapely ships no types
from shapely.geometry import LineString, Point  # type: ignore[import-untyped] # shapely ships no types

STEP = 0.25
HALVINGS = 24


class Stock(NamedTuple):
    """A body at a joint: pivots, bogie wheelbase, middle of the pivots to the end, end
    to the coupling's pivot.
    """

    pivots: float
    bogie: float
    half: float
    behind: float


class Measured(NamedTuple):
    """What is measured on the drawing, in mm and degrees; left is more than 0."""

    offset: float
    leading_swing: float
    following_swing: float
    left_gap: float
    right_gap: float


class Body(NamedTuple):
    """A body on the drawing: the middle of its pivots and its heading in radians."""

    x: float
    y: float
    heading: float

    def point(self, along: float, aside: float = 0.0) -> Point:
        """Return a point so far ahead of the middle and so far to its left."""
        ahead, left = self.heading, self.heading + pi / 2
        return Point(
            self.x + along * cos(ahead) + aside * cos(left),
            self.y + along * sin(ahead) + aside * sin(left),
        )


def drawn(pieces: Sequence[tuple[float, float]]) -> LineString:
    """Draw pieces of (length, curvature to the left) one after another, each by chords
    of at most a quarter mm.
    """
    points, heading = [(0.0, 0.0)], 0.0
    for length, curvature in pieces:
        steps = max(1, round(length / STEP))
        turn = length / steps * curvature
        chord = length / steps if turn == 0 else 2 / curvature * sin(turn / 2)
        for _ in range(steps if length else 0):
            x, y = points[-1]
            points.append(
                (
                    x + chord * cos(heading + turn / 2),
                    y + chord * sin(heading + turn / 2),
                )
            )
            heading += turn
    return LineString(points)


def halved(miss: Callable[[float], float], low: float, high: float) -> float:
    """Return where ``miss``, which is less than 0 at ``low`` and more at ``high``, is
    0.
    """
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if miss(middle) < 0 else (low, middle)
    return (low + high) / 2


def bogie_pivot(track: LineString, axle: float, wheelbase: float) -> Point:
    """Return the middle between an axle and the one behind it."""
    first = track.interpolate(axle)
    if wheelbase == 0:
        return first
    back = halved(
        lambda by: first.distance(track.interpolate(axle - by)) - wheelbase,
        0.0,
        wheelbase * 1.2,
    )
    return LineString([first, track.interpolate(axle - back)]).centroid


def placed(track: LineString, axle: float, stock: Stock) -> Body:
    """Return a body whose first axle stands at a place on the track."""
    front = bogie_pivot(track, axle, stock.bogie)

    def too_long(by: float) -> float:
        return (
            float(front.distance(bogie_pivot(track, axle - by, stock.bogie)))
            - stock.pivots
        )

    rear = bogie_pivot(
        track,
        axle - halved(too_long, stock.pivots * 0.9, stock.pivots * 1.2),
        stock.bogie,
    )
    middle = LineString([rear, front]).centroid
    return Body(middle.x, middle.y, atan2(front.y - rear.y, front.x - rear.x))


def coupled(
    track: LineString,
    axle: float,
    stocks: tuple[Stock, Stock],
    gap: float,
    buffers: float,
) -> Measured:
    """Return what is measured with the leading body's first axle at a place;
    ``buffers`` is between their middles.

    The follower stands so that the ends are ``gap`` apart along the mean of the two
    headings.
    """
    lead = placed(track, axle, stocks[0])
    straight = _straight(stocks, gap)

    def too_far(by: float) -> float:
        return _level(lead, placed(track, axle - by, stocks[1]), stocks)[0] - gap

    follow = placed(
        track, axle - halved(too_far, straight * 0.9, straight * 1.2), stocks[1]
    )
    return _measured(lead, follow, stocks, buffers=buffers)


def linked(
    track: LineString,
    axle: float,
    stocks: tuple[Stock, Stock],
    link: float,
    buffers: float,
) -> Measured:
    """Return what is measured where a link of that length joins the two pivots,
    wherever they stand.

    The follower comes up from far behind and is stopped by the link: a straight line,
    measured from pivot to pivot.
    """
    lead = placed(track, axle, stocks[0])
    hook = lead.point(stocks[0].behind - stocks[0].half)
    straight = _straight(stocks, link - stocks[0].behind - stocks[1].behind)

    def too_far(by: float) -> float:
        follow = placed(track, axle - by, stocks[1])
        return (
            float(hook.distance(follow.point(stocks[1].half - stocks[1].behind))) - link
        )

    far = straight * 1.15
    while too_far(far) > 0:
        far -= 1.0
    return _measured(
        lead,
        placed(track, axle - halved(too_far, far, far + 1.0), stocks[1]),
        stocks,
        buffers=buffers,
    )


def _straight(stocks: tuple[Stock, Stock], gap: float) -> float:
    """Return how far the follower's first axle stands behind the leading one's on
    straight track.
    """
    lead, follow = stocks
    return (
        lead.half
        + (lead.pivots + lead.bogie) / 2
        + gap
        + follow.half
        - (follow.pivots + follow.bogie) / 2
    )


def _measured(
    lead: Body, follow: Body, stocks: tuple[Stock, Stock], *, buffers: float
) -> Measured:
    pivots = (
        lead.point(stocks[0].behind - stocks[0].half),
        follow.point(stocks[1].half - stocks[1].behind),
    )
    line = atan2(pivots[0].y - pivots[1].y, pivots[0].x - pivots[1].x)
    sides = [
        _level(lead, follow, stocks, aside=aside)[0]
        for aside in (buffers / 2, -buffers / 2)
    ]
    return Measured(
        offset=_level(lead, follow, stocks)[1],
        leading_swing=degrees(lead.heading - line),
        following_swing=degrees(follow.heading - line),
        left_gap=sides[0],
        right_gap=sides[1],
    )


def _level(
    lead: Body, follow: Body, stocks: tuple[Stock, Stock], *, aside: float = 0.0
) -> tuple[float, float]:
    """Turn the drawing so that the mean of the two headings is level; return end to end
    along it, and to its left.
    """
    mean = (lead.heading + follow.heading) / 2
    ends = LineString(
        [follow.point(stocks[1].half, aside), lead.point(-stocks[0].half, aside)]
    )
    (x0, y0), (x1, y1) = rotate(ends, -mean, origin=(0, 0), use_radians=True).coords
    return x1 - x0, y1 - y0
