"""The sorts of figure a member writes down, each with its unit, its bounds and its
meaning.

Bounds are for what is sent to the service; they keep an absurd number out before any
arithmetic sees it. One model kilometre is more than any exhibition hall holds.
"""

from math import ceil, floor
from typing import Annotated

from msgspec import Meta

from standage.railway.terms.senses import sense

LONGEST_MM = 1_000_000.0
_TEXT = r"^[^\x00-\x1f\x7f\s][^\x00-\x1f\x7f]*(?!\n)$"

Name = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=120,
        pattern=_TEXT,
        description="A name, on one line, that begins with no space.",
    ),
]
Note = Annotated[
    str,
    Meta(
        max_length=2000,
        pattern=r"^[^\x00-\x08\x0b-\x1f\x7f]*$",
        description="Remarks in plain text.",
    ),
    sense("notes"),
]
Identifier = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=64,
        pattern=r"^[A-Za-z0-9-]+(?!\n)$",
        description="The id of a record.",
    ),
]
IdOrName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=120,
        description="The id of a record, or its name if no other has that name.",
    ),
]

Length = Annotated[
    float, Meta(gt=0, le=LONGEST_MM, description="A length in millimetres.")
]
Room = Annotated[
    float,
    Meta(
        ge=0,
        le=LONGEST_MM,
        description="A length in millimetres, which may be nothing at all.",
    ),
]
Radius = Annotated[
    float,
    Meta(
        gt=0,
        le=LONGEST_MM,
        description="A radius in millimetres, to the track's centre line.",
    ),
]
Reach = Annotated[
    float,
    Meta(
        ge=-1000,
        le=1000,
        description="Millimetres beyond the buffer face; less than 0 is behind it.",
    ),
]
Tolerance = Annotated[
    float,
    Meta(
        ge=0,
        le=LONGEST_MM,
        description="How far off the figure may be, either way, in millimetres.",
    ),
]
Mass = Annotated[float, Meta(gt=0, le=1_000_000, description="A mass in grams.")]
Degrees = Annotated[float, Meta(ge=0, le=180, description="An angle in degrees.")]
Percent = Annotated[
    float,
    Meta(ge=0, le=100, description="A gradient in per cent: rise for 100 of run."),
]
Metres = Annotated[
    float, Meta(gt=0, le=1000, description="A full-size length in metres.")
]

# What has a sense besides its unit and its bounds: slips are looked for in it.
UsableLengthMm = Annotated[Room, sense("usable_length")]
"""Of a road that may be called by its length, as a 7 ft loop is."""
RoadLengthMm = Annotated[Length, sense("road_length")]
RoadRoomMm = Annotated[Room, sense("road_length")]
TrainLengthMm = Annotated[Length, sense("train_length")]
VehicleLengthMm = Annotated[Length, sense("vehicle_length")]
BodyLengthMm = Annotated[Length, sense("body_length")]
OneBodyLengthMm = Annotated[Length, sense("one_body_length")]
"""Of one of several bodies that stay joined: a tender is one."""
FullSizeLengthM = Annotated[Metres, sense("full_size_length")]
BogieCentresMm = Annotated[Length, sense("bogie_centres")]
BogieWheelbaseMm = Annotated[Length, sense("bogie_wheelbase")]
RigidWheelbaseMm = Annotated[Length, sense("rigid_wheelbase")]
TotalWheelbaseMm = Annotated[Length, sense("total_wheelbase")]
WidthMm = Annotated[Length, sense("width")]
HeightMm = Annotated[Length, sense("height")]
GaugeMm = Annotated[Length, sense("gauge")]
RadiusMm = Annotated[Radius, sense("radius")]
"""That trains run on. One on which a vehicle failed has no sense: the sharper, the
better it was tried.
"""
SpacingMm = Annotated[Length, sense("spacing")]
HeadroomMm = Annotated[Length, sense("headroom")]
TurntableCircleMm = Annotated[Length, sense("turntable_circle")]
GradientPercent = Annotated[Percent, sense("gradient")]

Count = Annotated[int, Meta(ge=1, le=200, description="How many, all alike.")]


def says(text: str) -> Meta:
    """Return the annotation that gives a field its own description in the OpenAPI
    document. **Source** the document's schema.
    """
    return Meta(description=text)


_MILLION = 1_000_000
_DUST_PLACES = 3
"""Of a millionth: binary fractions are off by less, and nobody measures so finely."""


def tidy(value: float) -> float:
    """Return ``value`` without the dust of binary fractions, to a millionth of its
    unit.

    Verdicts compare tidied figures, so that 0.1 + 0.2 against 0.3 is a draw and not a
    miss. Never returns -0.0. **Source** derived.

    >>> tidy(0.1 + 0.2)
    0.3
    """
    without_dust = round(value, 6)
    return without_dust + 0.0


def tidy_if_known(value: float | None) -> float | None:
    """Return ``value`` tidied; None, which is not known, stays None. **Source**
    derived.

    >>> tidy_if_known(0.1 + 0.2), tidy_if_known(None)
    (0.3, None)
    """
    if value is None:
        return None
    return tidy(value)


def tidy_up(value: float, *, step: float = 1e-6) -> float:
    """Return the least whole number of steps that is not below ``value``, dust apart;
    steps are whole millionths. **Source** derived.

    >>> tidy_up(0.8181817), tidy_up(3 * 60.2, step=0.1), tidy_up(180.60004, step=0.1)
    (0.818182, 180.6, 180.7)
    """
    millionths = ceil(_in_millionths(value))
    step_millionths = round(step * _MILLION)
    # Floor division of what is less than nothing rounds up.
    steps = -(-millionths // step_millionths)
    return tidy(steps * step)


def tidy_down(value: float, *, step: float = 1e-6) -> float:
    """Return the greatest whole number of steps that is not above ``value``, dust
    apart; steps are whole millionths. **Source** derived.

    >>> tidy_down(9 / 11), tidy_down(3 * 60.2, step=0.1), tidy_down(180.59996, step=0.1)
    (0.818181, 180.6, 180.5)
    """
    millionths = floor(_in_millionths(value))
    step_millionths = round(step * _MILLION)
    steps = millionths // step_millionths
    return tidy(steps * step)


def _in_millionths(value: float) -> float:
    millionths = value * _MILLION
    return round(millionths, _DUST_PLACES)
