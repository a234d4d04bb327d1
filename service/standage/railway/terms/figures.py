"""Figures: the sorts that a member writes down, each with its unit, its bounds and its
meaning; how two are compared; and how they, and lists of names, are put into words.

Bounds are for what is sent to the service; they keep an absurd number out before any
arithmetic sees it. One model kilometre is more than any exhibition hall holds.

There is one comparison of lengths, for every question: whether a length goes into the
room that there is for it. People measure in tenths of a millimetre. Binary fractions
hold none of those exactly, so that a sum is off by a hair: 3 × 60.2 comes out above
180.6. Lengths are therefore compared to a millionth of a millimetre, which is more than
such sums are ever off by and less than anybody measures. What is equal fits. Heights,
radii and other figures that a sum or a difference goes into are compared in the same
way.
"""

from collections.abc import Sequence
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
PointsRadiusMm = Annotated[Radius, sense("points_radius")]
"""Of the curve in points, between tracks that are straight."""
SpacingMm = Annotated[Length, sense("spacing")]
HeadroomMm = Annotated[Length, sense("headroom")]
TurntableCircleMm = Annotated[Length, sense("turntable_circle")]
ClimbRunMm = Annotated[Length, sense("climb_run")]
ClimbRiseMm = Annotated[Room, sense("climb_rise")]
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


DUST_MM = 5e-7
"""Lengths that differ by no more are equal."""
_GRAINS_IN_A_MM = 1_000_000


def exceeds(value: float, *, limit: float) -> bool:
    """Tell whether ``value`` is more than ``limit``, both in the same unit; what is
    equal is not. **Source** derived.

    >>> exceeds(3 * 60.2, limit=180.6), exceeds(180.7, limit=180.6)
    (False, True)
    """
    over = tidy(value - limit)
    return over > 0


def goes_into(length_mm: float, *, room_mm: float) -> bool:
    """Tell whether a length goes into the room for it; one that is just as long does.
    **Source** derived.

    >>> goes_into(3 * 60.2, room_mm=180.6), goes_into(3 * 60.2, room_mm=180.5)
    (True, False)
    """
    is_longer = exceeds(length_mm, limit=room_mm)
    return not is_longer


def grains(length_mm: float) -> int:
    """Return a length in whole millionths of a millimetre, whose sums are exact: for
    searches that add up many. **Source** derived.

    >>> 3 * grains(60.2) == grains(180.6)
    True
    """
    in_grains = length_mm * _GRAINS_IN_A_MM
    return round(in_grains)


MOST_NAMED = 6
"""So many vehicles are named one by one in a sentence."""
_FINEST_PLACES = 6


def millimetres(value_mm: float) -> str:
    """Return a length in words, to a tenth of a millimetre; what is less than that, yet
    something, is said to be. **Source** derived.

    >>> millimetres(1234.04), millimetres(0.1 + 0.2 - 0.3), millimetres(0.04)
    ('1234 mm', '0 mm', 'less than 0.1 mm')
    """
    tenths_mm = round(value_mm, 1)
    if tenths_mm == 0 and tidy(value_mm) != 0:
        return "less than 0.1 mm"
    figure = f"{tenths_mm + 0.0:.1f}"
    shown = figure.removesuffix(".0")
    return f"{shown} mm"


def grams(value_g: float) -> str:
    """Return a mass in words, to a tenth of a gram; what is less than that, yet
    something, is said to be. **Source** derived.

    >>> grams(113.398), grams(85.0), grams(0.04)
    ('113.4 g', '85 g', 'less than 0.1 g')
    """
    in_millimetres = millimetres(value_g)
    return in_millimetres.removesuffix("mm") + "g"


def at_most(value_mm: float) -> str:
    """Return a length that is not to be exceeded in words, to a tenth of a millimetre
    and never more than it is. **Source** derived.

    >>> at_most(997.75), at_most(3 * 60.2), at_most(0.04)
    ('997.7 mm', '180.6 mm', '0 mm')
    """
    shown_mm = tidy_down(value_mm, step=0.1)
    return millimetres(shown_mm)


def at_least(value_mm: float) -> str:
    """Return a length that is needed in words, to a tenth of a millimetre and never
    less than it is. **Source** derived.

    >>> at_least(997.71), at_least(3 * 60.2)
    ('997.8 mm', '180.6 mm')
    """
    shown_mm = tidy_up(value_mm, step=0.1)
    return millimetres(shown_mm)


def beside(value: float, *, limit: float, places: int = 1) -> str:
    """Return a figure to so many places, or to as many as it takes to tell it from the
    limit it is held against.

    What is printed then lies on the same side of the limit as what is judged.
    **Source** derived.

    >>> beside(25.04, limit=25.0), beside(25.0, limit=25.0), beside(31.06, limit=25.0)
    ('25.04', '25', '31.1')
    """
    is_at_the_limit = tidy(value) == tidy(limit)
    shown = f"{value:.{places}f}"
    while places < _FINEST_PLACES:
        if is_at_the_limit or _same_side(value, float(shown), limit):
            break
        places += 1
        shown = f"{value:.{places}f}"
    return _without_noughts(shown)


def _same_side(value: float, shown: float, limit: float) -> bool:
    if shown == limit:
        return False
    is_above = value > limit
    return is_above == (shown > limit)


def _without_noughts(figure: str) -> str:
    if "." not in figure:
        return figure
    shown = figure.rstrip("0")
    return shown.removesuffix(".")


def give_or_take(plus_minus_mm: float) -> str:
    """Return the words that follow a figure that is off by as much either way, never
    less; none where it is not off. **Source** derived.

    >>> give_or_take(6.0), give_or_take(8.45), give_or_take(0.0)
    (', give or take 6 mm', ', give or take 8.5 mm', '')
    """
    if plus_minus_mm <= 0:
        return ""
    return f", give or take {at_least(plus_minus_mm)}"


def spare_beside_doubt(spare_mm: float, *, plus_minus_mm: float) -> tuple[str, str]:
    """Return what is to spare, or too little, and its ± as it follows it, to as many
    places as tell them apart.

    A reader who holds one printed figure against the other then comes to what they make
    of each other. **Source** derived.

    >>> spare_beside_doubt(8.42, plus_minus_mm=8.45), spare_beside_doubt(-8.46, plus_minus_mm=8.45)
    (('8.4 mm', ', give or take 8.5 mm'), ('8.46 mm', ', give or take 8.45 mm'))
    """
    as_it_is = _made_of(spare_mm, plus_minus_mm)
    places = 1
    printed = _printed(spare_mm, plus_minus_mm, places=places)
    while places < _FINEST_PLACES and _made_of(*printed) != as_it_is:
        places += 1
        printed = _printed(spare_mm, plus_minus_mm, places=places)
    if places == 1 or plus_minus_mm <= 0:
        return millimetres(abs(spare_mm)), give_or_take(plus_minus_mm)
    printed_spare_mm, printed_doubt_mm = printed
    shown = _without_noughts(f"{abs(printed_spare_mm):.{places}f}")
    off = _without_noughts(f"{printed_doubt_mm:.{places}f}")
    return f"{shown} mm", f", give or take {off} mm"


def _printed(
    spare_mm: float, plus_minus_mm: float, *, places: int
) -> tuple[float, float]:
    step = 10.0**-places
    printed_spare_mm = round(spare_mm, places)
    printed_doubt_mm = tidy_up(plus_minus_mm, step=step)
    return printed_spare_mm, printed_doubt_mm


def _made_of(spare_mm: float, plus_minus_mm: float) -> tuple[bool, bool]:
    """Tell whether the spare covers the ±, and whether it falls short by more."""
    doubt_mm = tidy(plus_minus_mm)
    covers_it = tidy(spare_mm) >= doubt_mm
    lacks_more = tidy(-spare_mm) > doubt_mm
    return covers_it, lacks_more


def left_for_stopping(margin_mm: float, *, joined: str = "with") -> str:
    """Return the words that say of a figure that so much room was left for stopping;
    none where none was left. **Source** plain English.

    >>> left_for_stopping(25.0), left_for_stopping(10.0, joined="and"), left_for_stopping(0.0)
    (', with 25 mm left for stopping', ', and 10 mm left for stopping', '')
    """
    if margin_mm <= 0:
        return ""
    return f", {joined} {millimetres(margin_mm)} left for stopping"


def counted(count: int, noun: str, *, plural: str | None = None) -> str:
    """Return a number with its noun, as many as there are. **Source** plain English.

    >>> (
    ...     counted(1, "vehicle"),
    ...     counted(0, "vehicle"),
    ...     counted(2, "cut by hand", plural="cuts by hand"),
    ... )
    ('1 vehicle', '0 vehicles', '2 cuts by hand')
    """
    several = plural or f"{noun}s"
    word = agreeing(count, noun, several)
    return f"{count} {word}"


def agreeing(count: int, one: str, several: str) -> str:
    """Return the word that goes with so many: a verb, or whatever else differs.
    **Source** plain English.

    >>> agreeing(1, "comes", "come"), agreeing(0, "is", "are")
    ('comes', 'are')
    """
    return one if count == 1 else several


def search_stopped(steps: int) -> str:
    """Return that a search ended before it was through. **Source** plain English.

    >>> search_stopped(1), search_stopped(500)
    ('the search stopped at its limit of 1 step', 'the search stopped at its limit of 500 steps')
    """
    limit = counted(steps, "step")
    return f"the search stopped at its limit of {limit}"


MOST_LETTERS_SHOWN = 40
"""So much of a name goes into a sentence."""


def cut(name: str) -> str:
    """Return a name, cut short where it is too long for a sentence. **Source** plain
    English.

    >>> cut("Oak"), cut("M" * 50)
    ('Oak', 'MMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMM…')
    """
    if len(name) <= MOST_LETTERS_SHOWN:
        return name
    return f"{name[:MOST_LETTERS_SHOWN]}…"


def listed(names: Sequence[str]) -> str:
    """Return names as they stand in a sentence; a long list is cut short, and says so.
    **Source** plain English.

    >>> listed(["Ash", "Elm", "Oak"])
    'Ash, Elm and Oak'
    >>> listed([f"Wagon {number}" for number in range(1, 10)])
    'Wagon 1, Wagon 2, Wagon 3, Wagon 4, Wagon 5, Wagon 6 and 3 more'
    """
    if len(names) > MOST_NAMED:
        shown = ", ".join(names[:MOST_NAMED])
        others = len(names) - MOST_NAMED
        return f"{shown} and {others} more"
    if len(names) < 2:  # noqa: PLR2004 - one name needs no "and"
        return "".join(names)
    *first, last = names
    return f"{', '.join(first)} and {last}"
