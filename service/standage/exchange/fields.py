"""What a column of a stock list may hold: one table of the fields, their words and how
their cells are read.
"""

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, Literal

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


def _field(
    name: str,
    sort: Sort,
    title: str,
    *aliases: str,
    path: tuple[str, ...] | None = None,
    **more: Any,
) -> Field:
    placed = tuple(name.split(".")) if path is None else path
    return Field(
        name=name, sort=sort, title=title, path=placed, aliases=aliases, **more
    )


_ENDS = {
    "front": ("coupling a", "coupling 1", "coupling a end"),
    "rear": ("coupling b", "coupling 2", "coupling b end"),
}


def _coupling(end: str) -> Iterator[Field]:
    at = f"{end}_coupling"
    words = f"{end.capitalize()} coupling"
    yield _field(
        f"{at}.type",
        "text",
        words,
        f"{end} coupling type",
        f"coupling {end}",
        *_ENDS[end],
    )
    yield _field(f"{at}.reach_mm", "reach", f"{words} reach (mm)")
    yield _field(
        f"{at}.reach_plus_minus_mm",
        "length",
        f"{words} reach plus minus (mm)",
        f"{end} coupling reach ±",
    )
    yield _field(f"{at}.projection_mm", "length", f"{words} projection (mm)")
    yield _field(f"{at}.play_mm", "length", f"{words} play (mm)")
    yield _field(
        f"{at}.swing_deg",
        "degrees",
        f"{words} swing (degrees)",
        f"{end} coupling swing degrees",
    )
    yield _field(
        f"{at}.mounting", "word", f"{words} mounting", words=by_word(MOUNTINGS)
    )
    yield _field(
        f"{at}.pivot_behind_mm", "length", f"{words} pivot behind buffers (mm)"
    )


HOW_FAR_OFF = {
    **dict.fromkeys(
        ("length_mm", "length_over_buffers_mm", "length_over_couplings_mm"),
        "length_plus_minus_mm",
    ),
    **{
        f"{one}_mm": f"{one}_plus_minus_mm"
        for one in ("width", "front_coupling.reach", "rear_coupling.reach")
    },
}
"""The fields beside which another says how far they may be off."""

FIELDS: tuple[Field, ...] = (
    _field("id", "text", "Record id", "id", path=()),
    _field(
        *(
            "external_key",
            "text",
            "Key",
            "external key",
            "our key",
            "stock number",
            "asset number",
            "register number",
            "ref",
            "reference",
            "ref no",
            "stock id",
        ),
        "inventory number",
    ),
    _field(
        *(
            "name",
            "text",
            "Name",
            "vehicle name",
            "description",
            "desc",
            "vehicle",
            "wagon",
            "engine",
            "coach",
            "engine wagon",
        ),
        *("stock", "model", "item"),
    ),
    _field(
        *(
            "number",
            "text",
            "Number",
            "running number",
            "fleet number",
            "cab number",
            "vehicle number",
            "wagon number",
        ),
        *(
            "engine number",
            "coach number",
            "road number",
            "unit number",
            "set number",
            "unit",
            "number",
        ),
    ),
    _field(
        "count",
        "whole",
        "Count",
        "quantity",
        "qty",
        "how many",
        "how many wagons",
        "how many vehicles",
        "how many coaches",
        "how many engines",
        "how many items",
        "how many pieces",
        "quantity owned",
        "pieces",
        "pcs",
    ),
    _field(
        *(
            "kind",
            "word",
            "Kind",
            "type",
            "vehicle type",
            "vehicle kind",
            "wagon type",
            "sort",
            "stock type",
        ),
        *("type kind", "class type", "type class", "category", "class"),
        words=KINDS,
    ),
    _field(
        "owner",
        "text",
        "Owner",
        "owner name",
        "member",
        "member name",
        "belongs to",
        "owned by",
        "whose",
        path=(),
    ),
    _field(
        *(
            "scale",
            "word",
            "Scale",
            "model scale",
            "scale ratio",
            "ratio",
            "scale gauge",
            "gauge scale",
        ),
        words={name: name for name in SCALE_SPELLINGS},
    ),
    _field(
        "practice", "word", "Practice", "railway practice", words=by_word(PRACTICES)
    ),
    _field(
        "nominal_length_ft",
        "whole",
        "Nominal length (ft)",
        "nominal length",
        "class in feet",
    ),
    _field("wheels", "text", "Wheels", "wheel standard", "wheel profile"),
    _field("gauge_mm", "length", "Gauge (mm)", "track gauge"),
    _field(
        *(
            "length_mm",
            "length",
            "Length (mm)",
            "length each",
            "each length",
            "length per vehicle",
            "length per wagon",
        ),
        *(
            "length per coach",
            "model length",
            "overall length",
            "length o a",
            "total length",
            "len",
            "l",
        ),
    ),
    _field(
        *(
            "length_over_buffers_mm",
            "length",
            "Length over buffers (mm)",
            "over buffers",
            "buffers to buffers",
            "lob",
        ),
        *(
            "length ob",
            "length o b",
            "l o b",
            "length excl coupling",
            "length excluding coupling",
        ),
        path=("length_mm",),
        also={"length_over": "buffers"},
        exported=False,
    ),
    _field(
        *(
            "length_over_couplings_mm",
            "length",
            "Length over couplings (mm)",
            "over couplings",
            "coupled length",
        ),
        *(
            "over pulling faces",
            "length over pulling faces",
            "length incl coupling",
            "length including coupling",
        ),
        *("length with coupling", "length inc coupling"),
        path=("length_mm",),
        also={"length_over": "couplings"},
        exported=False,
    ),
    _field(
        "length_over",
        "word",
        "Length over",
        "measured over",
        words=by_word(LENGTHS_OVER),
    ),
    _field(
        "length_plus_minus_mm",
        "length",
        "Length plus minus (mm)",
        "length ±",
        "length tolerance",
    ),
    _field(
        "length_from",
        "word",
        "Length from",
        "length source",
        "how measured",
        words=by_word(LENGTHS_FROM),
    ),
    _field(
        *(
            "full_size_length_m",
            "full_size",
            "Full-size length (m)",
            "prototype length",
            "real length",
        ),
        "length of the full size",
    ),
    _field(
        "width_mm", "length", "Width (mm)", "body width", "breadth", "width o a", "w"
    ),
    _field(
        "width_plus_minus_mm",
        "length",
        "Width plus minus (mm)",
        "width ±",
        "width tolerance",
    ),
    _field("height_mm", "length", "Height (mm)", "height above rail", "h"),
    _field(
        "body_length_mm",
        "length",
        "Body length (mm)",
        "length of body",
        "length over body",
        "length over headstocks",
        "over headstocks",
    ),
    _field(
        "bogie_centres_mm",
        "length",
        "Bogie centres (mm)",
        "bogie spacing",
        "bogie pivots",
        "between bogies",
    ),
    _field(
        "bogie_wheelbase_mm", "length", "Bogie wheelbase (mm)", "wheelbase of bogie"
    ),
    _field(
        "rigid_wheelbase_mm",
        "length",
        "Rigid wheelbase (mm)",
        "wheelbase",
        "fixed wheelbase",
    ),
    _field("rigid_axles", "whole", "Rigid axles", "fixed axles"),
    _field("total_wheelbase_mm", "length", "Total wheelbase (mm)", "overall wheelbase"),
    _field("first_axle_mm", "length", "First axle (mm)", "first axle from buffers"),
    _field(
        "bridging_axles_mm",
        "lengths",
        "Bridging axles (mm)",
        "pick-ups",
        "metal wheels",
    ),
    _field("front_overhang_mm", "reach", "Front overhang (mm)"),
    _field("rear_overhang_mm", "reach", "Rear overhang (mm)"),
    _field(
        *(
            "minimum_radius_mm",
            "radius",
            "Minimum radius (mm)",
            "least radius",
            "smallest radius",
            "min radius",
        ),
        *(
            "min curve",
            "minimum curve",
            "tightest curve",
            "radius",
            "min rad",
            "rad",
            "curve radius",
            "curve",
        ),
    ),
    _field("trial.ran_at_radius_mm", "radius", "Ran at radius (mm)"),
    _field("trial.failed_at_radius_mm", "radius", "Failed at radius (mm)"),
    _field("mass_g", "mass", "Mass (g)", "weight"),
    _field("buffer_centres_mm", "length", "Buffer centres (mm)", "buffer spacing"),
    _field("buffer_head_width_mm", "length", "Buffer head width (mm)", "buffer width"),
    _field(
        "couplings",
        "text",
        "Couplings",
        "coupling",
        "coupling type",
        "both couplings",
        path=(),
        exported=False,
    ),
    *_coupling("front"),
    *_coupling("rear"),
    _field("notes", "remark", "Notes", "remarks", "comments", "comment", "note"),
)
"""Every field, in the order of the columns of the service's own files."""

BY_NAME: Mapping[str, Field] = {field.name: field for field in FIELDS}
if TYPE_CHECKING:
    FieldName = str
else:
    FieldName = Literal[tuple(BY_NAME)]
"""The name of a field; made from the table itself."""

_SAME = {
    word: instead
    for instead, words in {
        "wagon": "wagons car cars freightcar",
        "bogie": "bogies truck trucks",
        "centres": "centre center centers ctrs ctr",
        "coupling": "coupler couplers couplings",
        "gauge": "gage",
        "engine": "engines loco locos locomotive locomotives",
        "coach": "coaches carriage carriages",
        "buffers": "buffer",
        "minimum": "min",
        "number": "no nr num #",
        "mass": "weight wt wght",
        "axles": "axle",
        "wheelbase": "wb",
        "wheels": "wheel",
        "colour": "color",
    }.items()
    for word in words.split()
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
    spoken = _HOW_MANY.sub(
        "how many", spoken.replace("#", " number ").replace("±", " plusminus ")
    )
    spaced = re.sub(r"[\W_]+", " ", spoken)
    spaced = (
        spaced.replace("plus minus", "plusminus")
        .replace("passenger car", "coach")
        .replace("wheel base", "wheelbase")
    )
    return " ".join(
        _SAME.get(word, word) for word in spaced.split() if word not in _FILLING
    )


def _aliases() -> tuple[dict[str, Field], dict[str, int]]:
    found: dict[str, Field] = {}
    ranks: dict[str, int] = {}
    for field in FIELDS:
        own = [plain(words) for words in field.aliases]
        title = plain(re.sub(r" \(\w+\)$", "", field.title))
        for rank, words in enumerate(
            [*([] if title in own else [title]), *own, plain(field.name)]
        ):
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
