"""Modules: boards with track that members bring, and the ends at which they are put
together.

At an end, right and left are as seen by somebody who stands in the module and looks out
of it. What lies to the right at one end therefore lies to the left at the end it is put
against.
"""

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from standage.railway.modules.outlines import Outline, outline_faults
from standage.railway.roads.places import radius_of_no_curve
from standage.railway.terms.figures import (
    LONGEST_MM,
    GaugeMm,
    Mass,
    Name,
    RadiusMm,
    Room,
    says,
)
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import NAMES_IT, sense
from standage.shapes.faults import Fault, Ruled

MOST_ENDS = 8
MOST_TRACKS = 20
MOST_PINS = 64

LineClass = Literal["main", "branch", "light", "yard", "industrial"]
Offset = Annotated[
    float,
    msgspec.Meta(
        ge=-LONGEST_MM,
        le=LONGEST_MM,
        description="Millimetres to the right; less than 0 is to the left.",
    ),
]
WireArea = Annotated[
    float, msgspec.Meta(gt=0, le=1000, description="Copper in one wire, in mm².")
]
TrackOffsetMm = Annotated[Offset, sense("track_offset")]
WireAreaMm2 = Annotated[WireArea, sense("wire_area")]
PointsNumber = Annotated[
    float,
    msgspec.Meta(
        ge=1, le=100, description="A number of points: 6 of a No. 6, 9 of a 1:9."
    ),
]
PinNumber = Annotated[int, msgspec.Meta(ge=0, le=9999)]
PinText = Annotated[
    str,
    msgspec.Meta(min_length=1, max_length=20, pattern=r"^[^\x00-\x1f\x7f\s]+(?!\n)$"),
]


class EndTrack(Ruled, frozen=True, kw_only=True):
    """Where one track crosses the end of a module."""

    name: Annotated[Name, says("What the track is called.")]
    offset_mm: Annotated[
        TrackOffsetMm,
        says(
            "From the middle of the end to the track's centre line, in mm; to the right"
            " looking out is more."
        ),
    ]


class ConnectorPin(Ruled, frozen=True, kw_only=True):
    """One pin of a connector."""

    pin: Annotated[PinNumber | PinText, says("Its number or letter.")]
    carries: Annotated[
        Name,
        says(
            "What it carries, in words that hold from both sides: 'front rail' and"
            " 'back rail' rather than left and right, which change places when one"
            " looks from the other module."
        ),
    ]

    @property
    def key(self) -> str:
        """What two pins that meet have in common: 5 and '5' are one."""
        written = str(self.pin)
        return written.casefold()


Pins = Annotated[tuple[ConnectorPin, ...], msgspec.Meta(max_length=MOST_PINS)]


class EndConnector(Ruled, frozen=True, kw_only=True):
    """The connector that carries the wiring from module to module, for low voltage
    only.
    """

    type: Annotated[
        Name,
        says(
            "What sort it is, in general words: 9-way D, 5-pin DIN, pair of 4 mm"
            " sockets."
        ),
    ]
    pins: Annotated[
        Pins, says("What each pin carries; empty where nobody wrote it down.")
    ] = ()

    def rules(self) -> Iterable[Fault]:
        """Each pin is listed once."""
        yield from pins_listed_twice(self.pins)


class EndFigures(Ruled, frozen=True, kw_only=True):
    """What is known of the end of a module, its tracks apart."""

    rail_height_mm: Annotated[
        Room | None, says("From the floor to the top of the rails, in mm.")
    ] = None
    straight_mm: Annotated[
        Room | None, says("Straight track before the end, in mm.")
    ] = None
    minimum_radius_mm: Annotated[
        RadiusMm | None, says("The sharpest curve on the way to the end, in mm.")
    ] = None
    connector: Annotated[EndConnector | None, says("Its electrical connector.")] = None


Tracks = Annotated[
    tuple[EndTrack, ...], msgspec.Meta(min_length=1, max_length=MOST_TRACKS)
]


class ModuleEnd(EndFigures, frozen=True, kw_only=True):
    """One end of a module."""

    name: Annotated[
        Name,
        says("What the end is called; no two ends of a module share a name."),
        NAMES_IT,
    ]
    tracks: Annotated[Tracks, says("Every track that crosses it.")]

    def rules(self) -> Iterable[Fault]:
        """Tracks have names and places of their own."""
        yield from tracks_in_each_others_way(self.tracks)


class Board(Ruled, frozen=True, kw_only=True):
    """The board that the track lies on."""

    outline: Annotated[
        Outline | None,
        says(
            "Its corners in order, each as [x, y] in mm, seen from above; it closes by"
            " itself."
        ),
    ] = None
    mass_g: Annotated[
        Mass | None, says("With all that stays on it when it is carried, in grams.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The outline goes once round an area and never crosses itself."""
        if self.outline is not None:
            yield from outline_faults(self.outline)


class ModuleFigures(Ruled, frozen=True, kw_only=True):
    """What is known of a module; what nobody measured is left out."""

    scale: Annotated[ScaleName | None, says("Its scale.")] = None
    gauge_mm: Annotated[
        GaugeMm | None, says("Its gauge, where it is not its scale's usual one, in mm.")
    ] = None
    wheels: Annotated[
        Name | None, says("The wheel standard its track is laid for.")
    ] = None
    board: Annotated[Board | None, says("Its board.")] = None
    minimum_radius_mm: Annotated[
        RadiusMm | None,
        says("The sharpest curve on it that trains run through, in mm."),
    ] = None
    no_curves: Annotated[
        bool, says("Whether all its track is straight, so that it has no least radius.")
    ] = False
    class_of_line: Annotated[LineClass | None, says("What sort of line it is.")] = None
    wire_area_mm2: Annotated[
        WireAreaMm2 | None,
        says("Copper in the thinnest wire that runs right through, in mm²."),
    ] = None
    wire: Annotated[
        Name | None,
        says(
            "What that wire is called, where its area is not known: 16/0.2 mm, 22 AWG"
            " or 22 SWG."
        ),
        sense("wire"),
    ] = None
    least_points_number: Annotated[
        PointsNumber | None,
        says("The number of its sharpest points: 6 of a No. 6, 9 of a 1:9."),
    ] = None
    no_points: Annotated[
        bool, says("Whether it has no points, so that they have no number.")
    ] = False
    ends: Annotated[
        Annotated[tuple[ModuleEnd, ...], msgspec.Meta(max_length=MOST_ENDS)],
        says("The ends it can be joined at."),
    ] = ()

    def rules(self) -> Iterable[Fault]:
        """Ends have names of their own; track without curves has no radius."""
        seen: set[str] = set()
        for position, end in enumerate(self.ends):
            if end.name.casefold() in seen:
                message = f"there is an end called {end.name} already"
                yield Fault(
                    code="repeated", message=message, pointer=f"/ends/{position}/name"
                )
            seen.add(end.name.casefold())
        yield from radius_of_no_curve(
            no_curves=self.no_curves, radius_mm=self.minimum_radius_mm
        )
        if self.no_points and self.least_points_number is not None:
            message = (
                "cannot be given beside no_points: there are none that could have a"
                " number"
            )
            yield Fault(
                code="contradiction", message=message, pointer="/least_points_number"
            )


def tracks_in_each_others_way(tracks: Iterable[EndTrack]) -> Iterable[Fault]:
    """Yield a fault for every track that bears the name, or lies in the place, of one
    before it. **Source** derived.
    """
    names: set[str] = set()
    offsets_mm: set[float] = set()
    for position, track in enumerate(tracks):
        if track.name.casefold() in names:
            message = f"there is a track called {track.name} already"
            yield Fault(
                code="repeated", message=message, pointer=f"/tracks/{position}/name"
            )
        if track.offset_mm in offsets_mm:
            message = "another track lies there already"
            yield Fault(
                code="contradiction",
                message=message,
                pointer=f"/tracks/{position}/offset_mm",
            )
        names.add(track.name.casefold())
        offsets_mm.add(track.offset_mm)


def pins_listed_twice(pins: Iterable[ConnectorPin]) -> Iterable[Fault]:
    """Yield a fault for every pin that was listed before. **Source** derived."""
    seen: set[str] = set()
    for position, pin in enumerate(pins):
        if pin.key in seen:
            message = f"pin {pin.pin} is listed already"
            yield Fault(
                code="repeated", message=message, pointer=f"/pins/{position}/pin"
            )
        seen.add(pin.key)
