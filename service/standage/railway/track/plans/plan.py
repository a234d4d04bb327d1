"""The document of a track plan: its pieces, how they are joined, and what lies beside.

Only ``pieces`` and ``joins`` are needed. What is no plan at all is refused here; what
is wrong with a plan is told by ``plan_faults``, so that a draft can be kept and drawn.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from standage.railway.terms.figures import (
    LONGEST_MM,
    IdOrName,
    Length,
    Name,
    Room,
    says,
)
from standage.railway.terms.scales import Practice, ScaleName, scale
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.plain_pieces import reckoned_parts
from standage.shapes.faults import Fault, Ruled

MOST_PIECES = 20_000
MOST_JOINS = 60_000
MOST_OF_A_SORT = 5_000
MOST_MODULES = 200
MOST_CORNERS = 200
MOST_TRACKS = 40
MOST_TRANSITION_PARTS = 400_000
"""Of all transitions together; one of 100 mm to a radius of 300 mm has about 30."""

PieceName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=80,
        pattern=r"^[^\x00-\x1f\x7f\s./]+( +[^\x00-\x1f\x7f\s./]+)*(?!\n)$",
        description="The builder's own name of a piece, without a dot and a stroke.",
    ),
]
AnyName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=200,
        pattern=r"^[^\x00-\x1f\x7f]+(?!\n)$",
        description="A piece by its name, in a layout the module's before it: west/T1.",
    ),
]
EndName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=220,
        pattern=r"^[^\x00-\x1f\x7f]+(?!\n)$",
        description="An end of a piece: T1.b, or P1.toe.",
    ),
]
RoadName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=200,
        description="A road of a plan, or a place of it, as answers call it: siding S1.",
    ),
]
LegName = Annotated[str, Meta(min_length=1, max_length=12)]
Coordinate = Annotated[float, Meta(ge=-LONGEST_MM, le=LONGEST_MM, description="In mm.")]
AlongTrack = Annotated[float, Meta(ge=-LONGEST_MM, le=LONGEST_MM)]
Heading = Annotated[
    float,
    Meta(ge=-360, le=360, description="In degrees, anticlockwise from the right."),
]
Corner = Annotated[
    tuple[Coordinate, ...],
    Meta(min_length=2, max_length=2, description="A corner as [x, y], in mm."),
]
Outline = Annotated[tuple[Corner, ...], Meta(min_length=3, max_length=MOST_CORNERS)]
Join = Annotated[
    tuple[EndName, ...],
    Meta(min_length=2, max_length=2, description="Two ends that meet."),
]
Sizes = Annotated[tuple[Length, ...], Meta(min_length=2, max_length=2)]
Gauge = Annotated[
    float, Meta(ge=1, le=1000, description="Between the rails' inner faces, in mm.")
]
Height = Annotated[float, Meta(ge=-LONGEST_MM, le=LONGEST_MM)]
Revision = Annotated[int, Meta(ge=1, le=1_000_000_000)]
Slack = Annotated[float, Meta(ge=0, le=100)]

PlannedPlaceKind = Literal[
    "loop",
    "siding",
    "headshunt",
    "platform",
    "storage_road",
    "cassette",
    "traverser",
    "sector_plate",
    "turntable",
    "reversing_section",
    "running_line",
    "balloon",
    "circuit",
]
FittingKind = Literal[
    "gap", "feed", "uncoupling", "stopping_mark", "signal", "loading_spot"
]
ObstacleKind = Literal[
    "platform",
    "wall",
    "building",
    "portal",
    "bridge_deck",
    "board_edge",
    "backscene",
    "frame",
]


class PlusMinus(Ruled, frozen=True, kw_only=True):
    """How far off the plan's lengths may be."""

    mm: Annotated[Room, says("Of each length, in mm.")] = 0.0
    mm_per_m: Annotated[Room, says("And for each metre of it, in mm.")] = 0.0

    def of(self, length_mm: float) -> float:
        """Return how far off a length of the plan may be, in mm."""
        return self.mm + self.mm_per_m * length_mm / 1000


class Position(Ruled, frozen=True, kw_only=True):
    """A place on a piece, or past it on what is joined there."""

    piece: Annotated[AnyName, says("The piece from which it counts.")]
    leg: Annotated[
        LegName | None, says("On points, crossings and slips: the leg it counts along.")
    ] = None
    at_mm: Annotated[
        AlongTrack,
        says(
            "From end a or 1, or outwards from the blades, in mm; less than 0 before"
            " that end."
        ),
    ]


class Stretch(Ruled, frozen=True, kw_only=True):
    """A part of a piece, in the order of travel."""

    piece: Annotated[AnyName, says("The piece.")]
    leg: Annotated[LegName | None, says("The leg, on points and the like.")] = None
    from_mm: Annotated[Room, says("Where it begins, in mm.")]
    to_mm: Annotated[Room, says("Where it ends, in mm.")]


class Placed(Ruled, frozen=True, kw_only=True):
    """Where a part of the plan lies: one of its pieces, by its first end."""

    piece: Annotated[PieceName, says("The piece.")]
    x_mm: Annotated[Coordinate, says("To the right, in mm.")]
    y_mm: Annotated[Coordinate, says("Up, in mm.")]
    heading_deg: Annotated[Heading, says("The way into the piece from its first end.")]


class PlannedPlace(Ruled, frozen=True, kw_only=True):
    """A place where trains stand, by the pieces that it lies on or by its stretch."""

    name: Annotated[Name, says("What it is called.")]
    kind: Annotated[PlannedPlaceKind | None, says("What sort of place it is.")] = None
    on: Annotated[
        Annotated[tuple[AnyName, ...], Meta(max_length=MOST_OF_A_SORT)] | None,
        says("Pieces of its road, from the first end to the last."),
    ] = None
    stretch: Annotated[
        Annotated[tuple[Stretch, ...], Meta(min_length=1, max_length=MOST_OF_A_SORT)]
        | None,
        says("What it lies on, in order of travel, as somebody measured it."),
    ] = None
    ends: Annotated[
        Annotated[tuple[Name, ...], Meta(min_length=2, max_length=2)] | None,
        says("The names of its two ends, in that order; what is there if not said."),
    ] = None
    surveyed_usable_length_mm: Annotated[
        Room | None, says("Its usable length as somebody measured it, in mm.")
    ] = None
    stock_in_use: Annotated[
        Annotated[tuple[Name, ...], Meta(max_length=200)],
        says("Vehicles or trains that set its largest stock."),
    ] = ()


class Fitting(Position, frozen=True, kw_only=True):
    """Something on the track: a gap, a feed, a mark."""

    kind: Annotated[FittingKind, says("What it is.")]
    rails: Annotated[
        Literal["both", "left", "right"] | None,
        says("Which rails, looking the way positions count there; both if not said."),
    ] = None


class HeightPoint(Position, frozen=True, kw_only=True):
    """How high the top of the rail lies at a place."""

    height_mm: Annotated[Height, says("Above the plan's zero, in mm.")]
    vertical_curve_mm: Annotated[
        Room | None, says("The vertical curve about it, in mm of track.")
    ] = None


class Obstacle(Ruled, frozen=True, kw_only=True):
    """Something beside or above the track."""

    kind: Annotated[ObstacleKind, says("What it is.")]
    outline: Annotated[Outline, says("Its corners, in the frame of the plan.")]
    height_from_mm: Annotated[Height | None, says("Its lowest part, in mm.")] = None
    height_to_mm: Annotated[Height | None, says("Its highest part, in mm.")] = None


class PlanBoard(Ruled, frozen=True, kw_only=True):
    """The board that the track lies on."""

    outline: Annotated[Outline, says("Its corners in order, as [x, y] in mm.")]


class OperatingSpace(Ruled, frozen=True, kw_only=True):
    """Room that people need around the layout."""

    front: Annotated[Room, says("Before it, in mm.")] = 0.0
    rear: Annotated[Room, says("Behind it, in mm.")] = 0.0
    ends: Annotated[Room, says("At each end, in mm.")] = 0.0


class PlanModuleEnd(Ruled, frozen=True, kw_only=True):
    """An end at which a module is joined to others."""

    name: Annotated[PieceName, says("What it is called.")]
    tracks: Annotated[
        Annotated[tuple[EndName, ...], Meta(min_length=1, max_length=MOST_TRACKS)],
        says("Its tracks from left to right, as one looks out of the board."),
    ]


class ModulePlan(Ruled, frozen=True, kw_only=True):
    """A track plan without modules in it, as a module's own is."""

    form: Annotated[Literal[1], says("The form of the document: 1.")] = 1
    name: Annotated[Name | None, says("What the plan is called.")] = None
    scale: Annotated[ScaleName | None, says("Its scale.")] = None
    gauge_mm: Annotated[
        Gauge | None, says("Its gauge, where it is not the scale's.")
    ] = None
    plus_minus: Annotated[PlusMinus | None, says("How far off its lengths may be.")] = (
        None
    )
    fouling_spacing_mm: Annotated[
        Length | None, says("Between centre lines where trains just pass, in mm.")
    ] = None
    slack_mm: Annotated[Slack, says("A gap that is none, in mm.")] = 1.0
    slack_deg: Annotated[Slack, says("A kink that is none, in degrees.")] = 0.5
    pieces: Annotated[
        Annotated[dict[PieceName, AnyPiece], Meta(max_length=MOST_PIECES)],
        says("Every piece of track by its name."),
    ] = msgspec.field(default_factory=dict)
    joins: Annotated[
        Annotated[tuple[Join, ...], Meta(max_length=MOST_JOINS)],
        says("Ends that meet, by two and two; each end at most once."),
    ] = ()
    placed: Annotated[
        Annotated[tuple[Placed, ...], Meta(max_length=MOST_OF_A_SORT)],
        says("Where each part that nothing joins to another lies."),
    ] = ()
    board: Annotated[PlanBoard | None, says("The board under it.")] = None
    module_ends: Annotated[
        Annotated[tuple[PlanModuleEnd, ...], Meta(max_length=MOST_TRACKS)],
        says("The ends at which this module is joined to others."),
    ] = ()
    heights: Annotated[
        Annotated[tuple[HeightPoint, ...], Meta(max_length=MOST_OF_A_SORT)],
        says("How high the rails lie."),
    ] = ()
    fittings: Annotated[
        Annotated[tuple[Fitting, ...], Meta(max_length=MOST_OF_A_SORT)],
        says("What is on the track."),
    ] = ()
    obstacles: Annotated[
        Annotated[tuple[Obstacle, ...], Meta(max_length=MOST_OF_A_SORT)],
        says("What stands beside or above the track."),
    ] = ()
    places: Annotated[
        Annotated[tuple[PlannedPlace, ...], Meta(max_length=MOST_OF_A_SORT)],
        says("Places where trains stand."),
    ] = ()
    operating_space_mm: Annotated[
        OperatingSpace | None, says("Room for people around it, in mm.")
    ] = None
    room_mm: Annotated[Sizes | None, says("The room's length and width, in mm.")] = None

    @property
    def practice(self) -> Practice:
        """Whose practice holds where nobody says: the scale's, else British."""
        if self.scale is None:
            return "british"
        return scale(self.scale).practice

    @property
    def laid_gauge_mm(self) -> float | None:
        """Its gauge as it is said, else its scale's usual one; None where neither
        is."""
        if self.gauge_mm is not None or self.scale is None:
            return self.gauge_mm
        return scale(self.scale).gauge_mm


class LaidModule(Ruled, frozen=True, kw_only=True):
    """A module of a layout: one on record, or its plan here."""

    module_id: Annotated[IdOrName | None, says("The module on record.")] = None
    revision: Annotated[Revision | None, says("The revision of its plan.")] = None
    plan: Annotated[ModulePlan | None, says("Its plan, given here.")] = None


class Plan(ModulePlan, frozen=True, kw_only=True):
    """A track plan, of a layout or of part of one; its modules' plans have none."""

    modules: Annotated[
        Annotated[dict[PieceName, LaidModule], Meta(max_length=MOST_MODULES)],
        says("The modules of a layout by their names in it."),
    ] = msgspec.field(default_factory=dict)
    module_joins: Annotated[
        Annotated[tuple[Join, ...], Meta(max_length=MOST_OF_A_SORT)],
        says("Ends of modules that are put together: west.east end to bay.west end."),
    ] = ()

    def rules(self) -> Iterable[Fault]:
        """Yield a fault where its transitions take too long to reckon."""
        parts = sum(map(_parts_of, (self, *self._inner())))
        if parts > MOST_TRANSITION_PARTS:
            message = (
                "its transitions are too many, too long or too sharp to be reckoned"
                " together: lay fewer, or shorter ones"
            )
            yield Fault(code="too_many", message=message, pointer="/pieces")

    def _inner(self) -> Iterator[ModulePlan]:
        for module in self.modules.values():
            if module.plan is not None:
                yield module.plan


def _parts_of(plan: ModulePlan) -> int:
    return sum(map(reckoned_parts, plan.pieces.values()))
