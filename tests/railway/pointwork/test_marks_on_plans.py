"""Marks beyond points, against the fouling points of a plan with the same track laid as
pieces.
"""

from math import isclose, radians, sin, tan
from typing import NamedTuple

from standage.railway.pointwork.marks import MarkWanted, WayBack, marks, outcome
from standage.railway.pointwork.parting import Parting
from standage.railway.terms.crossings import crossing_angle_deg
from support.track_plans import Document, curve, points, straight, worked
from support.walks import at_each

SHARP_MM = 60.0
"""Of the curve in the points: it is over long before any mark."""


class Laid(NamedTuple):
    """Points, how far apart their roads are to be, and the way back."""

    angle_deg: float
    apart_mm: float
    back: tuple[float, float] | None = None


NUMBER_6 = crossing_angle_deg(6, measure="centre_line")
CASES = [
    Laid(NUMBER_6, 45),
    Laid(NUMBER_6, 45, (50, 914)),
    Laid(NUMBER_6, 45, (45, 914)),
    Laid(NUMBER_6, 45, (67, 914)),
    Laid(12.0, 46, (50, 610)),
    Laid(22.5, 46, (67, 438)),
    Laid(45.0, 45, (50, 46)),
    Laid(NUMBER_6, 45, (44.9, 914)),
]


def as_plan(case: Laid) -> Document:
    """Lay the case as pieces: points, a straight up to the curve back, the curve, and a
    straight.
    """
    angle = radians(case.angle_deg)
    taken_mm = SHARP_MM * tan(angle / 2)
    pieces: Document = {
        "P": points(
            angle_deg=case.angle_deg,
            radius_mm=SHARP_MM,
            through_after_blades_mm=200.0,
            branch_straight_mm=1.0,
        ),
        "M": straight(2000.0),
    }
    joins = [["P.through", "M.a"]]
    if case.back is None:
        pieces["S"] = straight(2000.0)
        joins.append(["P.branch", "S.a"])
    else:
        parallel_mm, radius_mm = case.back
        begins_mm = parallel_mm / sin(angle) - radius_mm * tan(angle / 2)
        pieces["S"] = straight(begins_mm - taken_mm - 1.0)
        pieces["C"] = curve(radius_mm, case.angle_deg, "right")
        pieces["L"] = straight(2000.0)
        joins += [["P.branch", "S.a"], ["S.b", "C.a"], ["C.b", "L.a"]]
    return {
        "pieces": pieces,
        "joins": joins,
        "fouling_spacing_mm": case.apart_mm,
    }


@at_each("case", CASES)
def test_a_plan_s_fouling_points_are_the_marks_of_the_same_track(case: Laid) -> None:
    back = None
    if case.back is not None:
        parallel_mm, radius_mm = case.back
        back = WayBack(parallel_mm=parallel_mm, radius_mm=radius_mm)
    wanted = MarkWanted(
        parting=Parting(case.angle_deg),
        gauge_mm=16.5,
        apart_mm=case.apart_mm,
        back=back,
    )
    found = worked(as_plan(case))
    through_mm, branch_mm = found.leg_mm("P", "through"), found.leg_mm("P", "branch")
    assert through_mm is not None
    assert branch_mm is not None
    if outcome(wanted) == "never_clear":
        assert min(through_mm, branch_mm) == float("inf")
        return
    mark = marks(wanted)
    angle = radians(case.angle_deg)
    taken_mm = SHARP_MM * tan(angle / 2)
    assert isclose(through_mm, taken_mm + mark.through.from_crossing_mm, abs_tol=0.01)
    # Along the branch the curve is shorter than its two tangents.
    by_curve_mm = SHARP_MM * angle - taken_mm
    assert isclose(branch_mm, by_curve_mm + mark.branch.from_crossing_mm, abs_tol=0.01)
