"""What a column of a list of stock may hold: the table of its fields, and their words."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Literal

import msgspec

from standage.exchange.fields import Field, Fields, Vocabulary, fields_of
from standage.exchange.stock.cells import as_code, as_gauge, as_kind, as_scale
from standage.exchange.stock.choices import KINDS
from standage.railway.terms.spellings import SCALE_SPELLINGS
from standage.railway.terms.synonyms import (
    LENGTHS_FROM,
    LENGTHS_OVER,
    MOUNTINGS,
    PRACTICES,
    by_word,
)

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
_VOCABULARY = Vocabulary(
    same=_SAME,
    several={
        "plus minus": "plusminus",
        "passenger car": "coach",
        "wheel base": "wheelbase",
    },
)
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
width_at_platform_mm | length | Width at platform (mm) |
    width low down, width over footboards, width over steps, width over cylinders
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


_EXAMPLES = {
    "width_mm": "34.5",
    "height_mm": "51.5",
    "gauge_mm": "16.5",
    "buffer_centres_mm": "23",
    "buffer_head_width_mm": "5",
    "rigid_axles": "3",
}
_OFF_BY = {
    "length_mm": "Length plus minus (mm)",
    "length_over_buffers_mm": "Length plus minus (mm)",
    "length_over_couplings_mm": "Length plus minus (mm)",
    "width_mm": "Width plus minus (mm)",
    "front_coupling.reach_mm": "Front coupling reach plus minus (mm)",
    "rear_coupling.reach_mm": "Rear coupling reach plus minus (mm)",
}
_READERS = {
    "scale": as_scale,
    "gauge_mm": as_gauge,
    "kind": as_kind,
    "number": as_code,
    "external_key": as_code,
}
_NOT_SCALED = {
    "gauge_mm": (
        "is the full size's gauge: the model's is the scale's own, or stands in mm"
    ),
}
_NEEDED = frozenset({"count", "scale", "length_over", "length_from", "practice"})
"""Without these a row is not silent but says something else: one vehicle, the club's
scale, over buffers.
"""


def _stock_fields(table: str) -> Iterator[Field]:
    for field in fields_of(table, _VOCABULARY, words=_WORDS, steers=_STEERS):
        yield _measured_over(_told_apart(field))


def _told_apart(field: Field) -> Field:
    """Return a field with what it has of its own."""
    name = field.name
    small = "0.5" if name.endswith("plus_minus_mm") else ""
    return msgspec.structs.replace(
        field,
        exported=name != "couplings",
        example=_EXAMPLES.get(name, small),
        off_by=_OFF_BY.get(name, ""),
        said_by="couplings" if name.endswith("_coupling.type") else "",
        not_scaled=_NOT_SCALED.get(name, ""),
        sets_scale=name == "scale",
        is_needed=name in _NEEDED,
        reader=_READERS.get(name),
    )


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
    return _stock_fields(table)


FIELDS = Fields(
    (
        *_stock_fields(_BEFORE_THE_COUPLINGS),
        *_of_end("front", letter="a", number="1"),
        *_of_end("rear", letter="b", number="2"),
        *_stock_fields(_BEHIND_THE_COUPLINGS),
    ),
    vocabulary=_VOCABULARY,
    whose=("engine", "wagon", "coach", "vehicle", "model"),
)
"""Every field, in the order of the columns of the service's own files."""

if TYPE_CHECKING:
    FieldName = str
else:
    FieldName = Literal[tuple(FIELDS.by_name)]
"""The name of a field; made from the table itself."""
