"""Every kind of piece that a plan may have, one definition for each."""

from standage.railway.track.pieces.crossing_pieces import (
    Diamond,
    DoubleSlip,
    SingleSlip,
)
from standage.railway.track.pieces.curved_points import CurvedPoints, YPoints
from standage.railway.track.pieces.end_pieces import (
    BufferStop,
    Cassette,
    OpenEnd,
    SectorPlate,
    Trap,
    Traverser,
    Turntable,
)
from standage.railway.track.pieces.plain_pieces import (
    Curve,
    Flexible,
    Straight,
    Track,
    Transition,
)
from standage.railway.track.pieces.points_pieces import Points
from standage.railway.track.pieces.three_way_points import ThreeWay

AnyPiece = (
    Straight
    | Curve
    | Transition
    | Flexible
    | Track
    | Points
    | YPoints
    | CurvedPoints
    | ThreeWay
    | Diamond
    | SingleSlip
    | DoubleSlip
    | BufferStop
    | OpenEnd
    | Trap
    | Turntable
    | Traverser
    | SectorPlate
    | Cassette
)
