"""What the figures of each sense are on full-size railways, in metres: the least, the
usual, the most.

The bounds are wide on purpose, so that nothing real is suspected: from a small
four-wheeled engine or a mine wagon to the longest coaches and engines built. **Source**
NEM 103 (2016) for coaches of up to 27.2 m over the body and 19.5 m between pivots; UIC
571-1 and 571-2 for wagons; beyond them common practice.
"""

from collections.abc import Mapping

from msgspec.structs import replace

from standage.railway.slips.slip import Bounds
from standage.railway.stock.vehicles import VehicleFigures, VehicleKind
from standage.railway.terms.senses import Sense

_NARROW = 0.5
"""Narrow-gauge vehicles come half as small as the smallest of standard gauge."""


def _of_stock(what: str, least_m: float, usual_m: float, most_m: float) -> Bounds:
    return Bounds(
        what=what,
        least_m=least_m,
        usual_m=usual_m,
        most_m=most_m,
        narrow_least_m=least_m * _NARROW,
    )


def _length(what: str, least_m: float, usual_m: float, most_m: float) -> Bounds:
    return _of_stock(f"{what}'s length", least_m, usual_m, most_m)


_ROAD = Bounds(what="a road's length", least_m=5.0, usual_m=150.0, most_m=3000.0)
_ANY_VEHICLE = _length("a vehicle", 3.5, 13.0, 45.0)
_ONE_BODY = _length("one body", 2.5, 13.0, 45.0)
"""A tender is one."""
_LENGTHS: dict[VehicleKind, Bounds] = {
    "engine": _length("an engine", 3.5, 15.0, 45.0),
    "coach": _length("a coach", 5.0, 20.0, 32.0),
    "wagon": _length("a wagon", 3.5, 8.0, 35.0),
    "brake_van": _length("a brake van", 3.5, 8.0, 20.0),
    "multiple_unit_car": _length("a multiple-unit car", 7.0, 20.0, 32.0),
    "railcar": _length("a railcar", 5.0, 20.0, 45.0),
}
RADIUS = Bounds(what="a curve's radius", least_m=9.0, usual_m=55.0, most_m=1500.0)
SPACING = Bounds(
    what="the spacing of centre lines",
    least_m=3.3,
    usual_m=4.1,
    most_m=20.0,
    narrow_least_m=2.4,
)
"""British double track has 11 ft 2 in (3.40 m) between centre lines, NEM 112 scales to
4.0 m (H0 46, N 25 mm) and NMRA S-8 to 4.0 m and more: nothing less than 3.3 m is a
spacing. Narrow gauge: common practice."""

BOUNDS: Mapping[Sense, Bounds] = {
    "usable_length": _ROAD,
    "road_length": _ROAD,
    "train_length": Bounds(
        what="a train's length", least_m=3.5, usual_m=100.0, most_m=1500.0
    ),
    "one_body_length": _ONE_BODY,
    "bogie_centres": _of_stock("bogie centres", 2.0, 12.0, 26.0),
    "bogie_wheelbase": _of_stock("a bogie's wheelbase", 0.9, 2.2, 7.0),
    "rigid_wheelbase": _of_stock("a rigid wheelbase", 0.9, 4.0, 14.0),
    "total_wheelbase": _of_stock("the total wheelbase", 0.9, 11.0, 42),
    "width": _of_stock("a vehicle's width", 1.5, 2.9, 4.2),
    "height": _of_stock("a vehicle's height", 0.8, 3.8, 7.0),
    "gauge": Bounds(what="a gauge", least_m=0.35, usual_m=1.435, most_m=2.2),
    "headroom": Bounds(what="headroom", least_m=2.5, usual_m=5.5, most_m=60.0),
    "climb_run": Bounds(
        what="a climb's run", least_m=5.0, usual_m=300.0, most_m=10_000.0
    ),
    "rim_spacing": Bounds(
        what="spacing at a turntable",
        least_m=1.0,
        usual_m=3.5,
        most_m=40.0,
        narrow_least_m=0.6,
    ),
    "turn_rise": Bounds(
        what="the rise of a turn",
        least_m=2.0,
        usual_m=6.5,
        most_m=60.0,
        narrow_least_m=1.2,
    ),
    "turntable_circle": Bounds(
        what="a turntable's circle", least_m=4.0, usual_m=25.0, most_m=120.0
    ),
    "board_side": Bounds(
        what="a board's side",
        least_m=0.08,
        usual_m=1.2,
        most_m=30.0,
        follows_no_scale=True,
    ),
}
"""Of the senses that are judged by nothing else. A gauge is anything from that of the
15 in lines, 381 mm, to the broad gauge of 7 ft, 2140 mm: from memory. Across a board of
less than 80 mm no loop lies in any usual scale, as its least radius is 9 m full size.
"""


def vehicle_bounds(beside: object) -> Bounds:
    """Return the bounds, in metres, of the length of the vehicle that ``beside`` tells
    of: by its kind, and by how many bodies it has; of any vehicle where it tells of
    none.

    **Source** as all bounds here.
    """
    if not isinstance(beside, VehicleFigures):
        return _ANY_VEHICLE
    of_its_kind = _ANY_VEHICLE
    if beside.kind is not None:
        of_its_kind = _LENGTHS.get(beside.kind, _ANY_VEHICLE)
    if not beside.bodies:
        return of_its_kind
    # A set of several bodies may be as long as they are together.
    return replace(of_its_kind, most_m=of_its_kind.most_m * len(beside.bodies))


def body_bounds(beside: object) -> Bounds:
    """Return the bounds, in metres, of a body's length without its buffers: of the
    whole vehicle, or of one of its bodies where ``beside`` is one. **Source** as
    above.
    """
    if isinstance(beside, VehicleFigures):
        return vehicle_bounds(beside)
    return _ONE_BODY
