"""What a column of a stock list may hold: one table of the fields, their words and how
their cells are read.
"""

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Literal

import msgspec

from standage.exchange.choices import KINDS
from standage.railway.terms.spellings import SCALE_SPELLINGS
from standage.railway.terms.synonyms import (
    LENGTHS_FROM,
    LENGTHS_OVER,
    MOUNTINGS,
    PRACTICES,
    by_word,
)

Sort = Literal[
    "text",
    "remark",
    "word",
    "whole",
    "length",
    "radius",
    "reach",
    "full_size",
    "mass",
    "degrees",
    "lengths",
]
Unit = Literal["mm", "cm", "m", "in", "ft", "g", "kg", "oz", "lb"]

UNITS: Mapping[str, tuple[Unit, ...]] = {
    "length": ("mm", "cm", "m", "in", "ft"),
    "radius": ("mm", "cm", "m", "in", "ft"),
    "reach": ("mm", "cm", "m", "in", "ft"),
    "lengths": ("mm", "cm", "in"),
    "full_size": ("m", "ft"),
    "mass": ("g", "kg", "oz", "lb"),
}
"""The units that a sort of figure may be in, the service's own first."""


UNIT_WORDS: Mapping[str, Unit] = {
    **dict.fromkeys(("mm", "millimetres", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetres", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metres", "meters"), "m"),
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "″"), "in"),
    **dict.fromkeys(("ft", "feet", "foot", "'", "scale feet", "scale ft"), "ft"),
    **dict.fromkeys(("g", "grams", "gram"), "g"),
    **dict.fromkeys(("kg", "kilos"), "kg"),
    **dict.fromkeys(("oz", "ounces"), "oz"),
    **dict.fromkeys(("lb", "lbs", "pounds"), "lb"),
}
"""The units as headings and formats of cells name them."""

_SUCH_AS = {
    "length": "163.8, 6 3/8 in or 57' full size",
    "radius": "438 or 18 in",
    "reach": "4.5 or 3/16 in",
    "full_size": "17.4 or 57 ft",
    "lengths": "20; 62",
    "mass": "42, 42 g or 1.5 oz",
    "whole": "6",
    "degrees": "12.5",
}
_SMALL = {
    "width_mm": "34.5",
    "height_mm": "51.5",
    "gauge_mm": "16.5",
    "buffer_centres_mm": "23",
    "buffer_head_width_mm": "5",
    "rigid_axles": "3",
}


class Field(msgspec.Struct, frozen=True, kw_only=True):
    """One field of a vehicle as a column holds it; ``path`` is its place in the
    vehicle, empty for what steers.
    """

    name: str
    sort: Sort
    title: str
    """How the column is headed in the service's own files."""
    path: tuple[str, ...]
    words: Mapping[str, str] = {}
    """What a cell may say instead of the value itself, in plain letters."""
    also: Mapping[str, str] = {}
    """What the column's own meaning says besides: over buffers."""
    aliases: tuple[str, ...] = ()
    exported: bool = True

    @property
    def is_figure(self) -> bool:
        """Whether its cells hold figures."""
        return self.sort in _SUCH_AS

    @property
    def such_as(self) -> str:
        """What a cell may look like, for a field of figures."""
        if self.name.endswith("plus_minus_mm"):
            return "0.5"
        return _SMALL.get(self.name, _SUCH_AS[self.sort])


_BEFORE_THE_COUPLINGS = """
id | text | Record id | id
external_key | text | Key |
    external key, our key, stock number, asset number, register number, ref,
    reference, ref no, stock id, inventory number
name | text | Name |
    vehicle name, description, desc, vehicle, wagon, engine, coach, engine
    wagon, stock, model, item
number | text | Number |
    running number, fleet number, cab number, vehicle number, wagon number,
    engine number, coach number, road number, unit number, set number, unit,
    number
count | whole | Count |
    quantity, qty, how many, how many wagons, how many vehicles, how many
    coaches, how many engines, how many items, how many pieces, quantity owned,
    pieces, pcs
kind | word | Kind |
    type, vehicle type, vehicle kind, wagon type, sort, stock type, type kind,
    class type, type class, category, class
owner | text | Owner | owner name, member, member name, belongs to, owned by, whose
scale | word | Scale | model scale, scale ratio, ratio, scale gauge, gauge scale
practice | word | Practice | railway practice
nominal_length_ft | whole | Nominal length (ft) | nominal length, class in feet
wheels | text | Wheels | wheel standard, wheel profile
gauge_mm | length | Gauge (mm) | track gauge
length_mm | length | Length (mm) |
    length each, each length, length per vehicle, length per wagon, length per
    coach, model length, overall length, length o a, total length, len, l
length_over_buffers_mm | length | Length over buffers (mm) |
    over buffers, buffers to buffers, lob, length ob, length o b, l o b, length
    excl coupling, length excluding coupling
length_over_couplings_mm | length | Length over couplings (mm) |
    over couplings, coupled length, over pulling faces, length over pulling
    faces, length incl coupling, length including coupling, length with
    coupling, length inc coupling
length_over | word | Length over | measured over
length_plus_minus_mm | length | Length plus minus (mm) | length ±, length tolerance
length_from | word | Length from | length source, how measured
full_size_length_m | full_size | Full-size length (m) |
    prototype length, real length, length of the full size
width_mm | length | Width (mm) | body width, breadth, width o a, w
width_plus_minus_mm | length | Width plus minus (mm) | width ±, width tolerance
height_mm | length | Height (mm) | height above rail, h
body_length_mm | length | Body length (mm) |
    length of body, length over body, length over headstocks, over headstocks
bogie_centres_mm | length | Bogie centres (mm) |
    bogie spacing, bogie pivots, between bogies
bogie_wheelbase_mm | length | Bogie wheelbase (mm) | wheelbase of bogie
rigid_wheelbase_mm | length | Rigid wheelbase (mm) | wheelbase, fixed wheelbase
rigid_axles | whole | Rigid axles | fixed axles
total_wheelbase_mm | length | Total wheelbase (mm) | overall wheelbase
first_axle_mm | length | First axle (mm) | first axle from buffers
bridging_axles_mm | lengths | Bridging axles (mm) | pick-ups, metal wheels
front_overhang_mm | reach | Front overhang (mm) |
rear_overhang_mm | reach | Rear overhang (mm) |
minimum_radius_mm | radius | Minimum radius (mm) |
    least radius, smallest radius, min radius, min curve, minimum curve,
    tightest curve, radius, min rad, rad, curve radius, curve
trial.ran_at_radius_mm | radius | Ran at radius (mm) |
trial.failed_at_radius_mm | radius | Failed at radius (mm) |
mass_g | mass | Mass (g) | weight
buffer_centres_mm | length | Buffer centres (mm) | buffer spacing
buffer_head_width_mm | length | Buffer head width (mm) | buffer width
couplings | text | Couplings | coupling, coupling type, both couplings
"""
"""One field a line: its name, its sort, how its column is headed in the service's own
files, and by what words else a column may be. What is indented goes on.
"""

_AT_EACH_END = """
{end}_coupling.type | text | {End} coupling |
    {end} coupling type, coupling {end}, coupling {letter}, coupling {number},
    coupling {letter} end
{end}_coupling.reach_mm | reach | {End} coupling reach (mm) |
{end}_coupling.reach_plus_minus_mm | length | {End} coupling reach plus minus (mm) |
    {end} coupling reach ±
{end}_coupling.projection_mm | length | {End} coupling projection (mm) |
{end}_coupling.play_mm | length | {End} coupling play (mm) |
{end}_coupling.swing_deg | degrees | {End} coupling swing (degrees) |
    {end} coupling swing degrees
{end}_coupling.mounting | word | {End} coupling mounting |
{end}_coupling.pivot_behind_mm | length | {End} coupling pivot behind buffers (mm) |
"""

_BEHIND_THE_COUPLINGS = """
notes | remark | Notes | remarks, comments, comment, note
"""

_STEERS = frozenset({"id", "owner", "couplings"})
_WORDS: Mapping[str, Mapping[str, str]] = {
    "kind": KINDS,
    "scale": {name: name for name in SCALE_SPELLINGS},
    "practice": by_word(PRACTICES),
    "length_over": by_word(LENGTHS_OVER),
    "length_from": by_word(LENGTHS_FROM),
    "front_coupling.mounting": by_word(MOUNTINGS),
    "rear_coupling.mounting": by_word(MOUNTINGS),
}
_MEASURED_OVER = {
    "length_over_buffers_mm": "buffers",
    "length_over_couplings_mm": "couplings",
}
"""Columns for a length that say what it was measured over."""


def _fields(table: str) -> Iterator[Field]:
    lines = re.sub(r"\n +", " ", table.strip()).splitlines()
    for line in lines:
        name, sort, title, aliases = (part.strip() for part in line.split("|"))
        field = Field(
            name=name,
            sort=msgspec.convert(sort, Sort),
            title=title,
            path=() if name in _STEERS else tuple(name.split(".")),
            words=_WORDS.get(name, {}),
            aliases=tuple(aliases.split(", ")) if aliases else (),
            exported=name != "couplings",
        )
        yield _measured_over(field)


def _measured_over(field: Field) -> Field:
    over = _MEASURED_OVER.get(field.name)
    if over is None:
        return field
    return msgspec.structs.replace(
        field, path=("length_mm",), also={"length_over": over}, exported=False
    )


def _of_end(end: str, *, letter: str, number: str) -> Iterator[Field]:
    table = _AT_EACH_END.format(
        end=end, End=end.capitalize(), letter=letter, number=number
    )
    return _fields(table)


HOW_FAR_OFF = {
    "length_mm": "length_plus_minus_mm",
    "length_over_buffers_mm": "length_plus_minus_mm",
    "length_over_couplings_mm": "length_plus_minus_mm",
    "width_mm": "width_plus_minus_mm",
    "front_coupling.reach_mm": "front_coupling.reach_plus_minus_mm",
    "rear_coupling.reach_mm": "rear_coupling.reach_plus_minus_mm",
}
"""The fields beside which another says how far they may be off."""

FIELDS: tuple[Field, ...] = (
    *_fields(_BEFORE_THE_COUPLINGS),
    *_of_end("front", letter="a", number="1"),
    *_of_end("rear", letter="b", number="2"),
    *_fields(_BEHIND_THE_COUPLINGS),
)
"""Every field, in the order of the columns of the service's own files."""

BY_NAME: Mapping[str, Field] = {field.name: field for field in FIELDS}
if TYPE_CHECKING:
    FieldName = str
else:
    FieldName = Literal[tuple(BY_NAME)]
"""The name of a field; made from the table itself."""

_SAME = {
    **dict.fromkeys(("wagons", "car", "cars", "freightcar"), "wagon"),
    **dict.fromkeys(("bogies", "truck", "trucks"), "bogie"),
    **dict.fromkeys(("centre", "center", "centers", "ctrs", "ctr"), "centres"),
    **dict.fromkeys(("coupler", "couplers", "couplings"), "coupling"),
    **dict.fromkeys(("gage",), "gauge"),
    **dict.fromkeys(
        ("engines", "loco", "locos", "locomotive", "locomotives"), "engine"
    ),
    **dict.fromkeys(("coaches", "carriage", "carriages"), "coach"),
    **dict.fromkeys(("buffer",), "buffers"),
    **dict.fromkeys(("min",), "minimum"),
    **dict.fromkeys(("no", "nr", "num", "#"), "number"),
    **dict.fromkeys(("weight", "wt", "wght"), "mass"),
    **dict.fromkeys(("axle",), "axles"),
    **dict.fromkeys(("wb",), "wheelbase"),
    **dict.fromkeys(("wheel",), "wheels"),
    **dict.fromkeys(("color",), "colour"),
}
_SEVERAL_WORDS = {
    "plus minus": "plusminus",
    "passenger car": "coach",
    "wheel base": "wheelbase",
}
_PLURAL = re.compile(r"\(s\)|'s\b|(?<=s)'(?=\s|$)")
_HOW_MANY = re.compile(r"\b(?:no|nr|num|number)\b\W*\s*(?:off?)\b|#\s*off?\b")
_FILLING = frozenset({"the", "of", "our", "or", "and", "approx", "approximate"})


def plain(words: str) -> str:
    """Return a heading in plain words: British for American, small letters, without
    marks and filling words.

    >>> plain("Truck Centers")
    'bogie centres'
    """
    spoken = _PLURAL.sub("", words.casefold().replace("’", "'"))
    spoken = spoken.replace("#", " number ").replace("±", " plusminus ")
    spoken = _HOW_MANY.sub("how many", spoken)
    spaced = re.sub(r"[\W_]+", " ", spoken)
    for several, one in _SEVERAL_WORDS.items():
        spaced = spaced.replace(several, one)
    telling = [word for word in spaced.split() if word not in _FILLING]
    return " ".join(_SAME.get(word, word) for word in telling)


def _aliases() -> tuple[dict[str, Field], dict[str, int]]:
    found: dict[str, Field] = {}
    ranks: dict[str, int] = {}
    for field in FIELDS:
        own = [plain(words) for words in field.aliases]
        title = plain(re.sub(r" \(\w+\)$", "", field.title))
        # the title says it best, unless it is listed among the others at its own rank
        if title not in own:
            own.insert(0, title)
        own.append(plain(field.name))
        for rank, words in enumerate(own):
            found.setdefault(words, field)
            ranks.setdefault(words, rank)
    return found, ranks


BY_ALIAS: Mapping[str, Field]
"""Every field by the plain words that may head its column."""

RANKS: Mapping[str, int]
"""How well such words say what the column holds, 0 best: of several columns for one
field, the best is taken.
"""

BY_ALIAS, RANKS = _aliases()
