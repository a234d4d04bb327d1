"""What a column of a list may hold: a table of fields, their words, and how their cells
are read.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Literal

import msgspec

from standage.exchange.cells import Cell
from standage.exchange.readings import Around, Read

Sort = Literal[
    "text",
    "remark",
    "word",
    "whole",
    "length",
    "track_length",
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
    "track_length": ("mm", "cm", "m", "in", "ft"),
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
    "track_length": "610, 61 cm or 24 in",
    "radius": "438 or 18 in",
    "reach": "4.5 or 3/16 in",
    "full_size": "17.4 or 57 ft",
    "lengths": "20; 62",
    "mass": "42, 42 g or 1.5 oz",
    "whole": "6",
    "degrees": "12.5",
}
_PLURAL = re.compile(r"\(s\)|'s\b|(?<=s)'(?=\s|$)")
_HOW_MANY = re.compile(r"\b(?:no|nr|num|number)\b\W*\s*(?:off?)\b|#\s*off?\b")
_FILLING = frozenset({"the", "of", "our", "or", "and", "approx", "approximate"})
_NO_WORDS: Mapping[str, str] = MappingProxyType({})


class Vocabulary(msgspec.Struct, frozen=True, kw_only=True):
    """Which words of headings and cells mean the same in one kind of list."""

    same: Mapping[str, str] = {}
    """A word, and what is said for it."""
    several: Mapping[str, str] = {}
    """Several words, and the one that is said for them."""

    def plain(self, words: str) -> str:
        """Return a heading in plain words: small letters, without marks and filling
        words.
        """
        spoken = _PLURAL.sub("", words.casefold().replace("’", "'"))
        spoken = spoken.replace("#", " number ").replace("±", " plusminus ")
        spoken = _HOW_MANY.sub("how many", spoken)
        spaced = re.sub(r"[\W_]+", " ", spoken)
        for several, one in self.several.items():
            spaced = spaced.replace(several, one)
        telling = [word for word in spaced.split() if word not in _FILLING]
        return " ".join(self.same.get(word, word) for word in telling)


Reader = Callable[["Field", Cell, Around], Read | None]
"""A field's own way to read a cell that is not empty; None leaves it to the way of its
sort.
"""


class Field(msgspec.Struct, frozen=True, kw_only=True):
    """One field of a record as a column holds it; ``path`` is its place in the record,
    empty for what steers.
    """

    name: str
    sort: Sort
    title: str
    """How the column is headed in the service's own files."""
    path: tuple[str, ...]
    vocabulary: Vocabulary = Vocabulary()
    words: Mapping[str, str] = {}
    """What a cell may say instead of the value itself, in plain letters."""
    also: Mapping[str, str] = {}
    """What the column's own meaning says besides: over buffers."""
    aliases: tuple[str, ...] = ()
    exported: bool = True
    example: str = ""
    """What a cell may look like, where that is not as its sort has it."""
    off_by: str = ""
    """The title of the column that says how far the figure may be off."""
    said_by: str = ""
    """Another field, whose column says this one too."""
    not_scaled: str = ""
    """Why nothing is taken from the full size's figure, where it is not scaled down."""
    sets_scale: bool = False
    """Whether full-size figures in its row are scaled by it."""
    is_needed: bool = False
    """Whether a row without it says something else, so that it is never left out."""
    reader: Reader | None = None

    @property
    def is_figure(self) -> bool:
        """Whether its cells hold figures."""
        return self.sort in _SUCH_AS

    @property
    def such_as(self) -> str:
        """What a cell may look like, for a field of figures."""
        return self.example or _SUCH_AS[self.sort]

    @property
    def own_words(self) -> tuple[str, ...]:
        """The plain words that may head its column, the one that says it best first:
        its title, unless that is listed among the others at its own rank.
        """
        own = [self.vocabulary.plain(words) for words in self.aliases]
        title = self.vocabulary.plain(re.sub(r" \(\w+\)$", "", self.title))
        if title not in own:
            own.insert(0, title)
        return (*own, self.vocabulary.plain(self.name))


class Fields:
    """What the columns of one kind of list may hold, in the order of the service's own
    files.
    """

    def __init__(
        self,
        every: Iterable[Field],
        *,
        vocabulary: Vocabulary,
        whose: Iterable[str] = (),
    ) -> None:
        self.every = tuple(every)
        self.vocabulary = vocabulary
        self.whose = frozenset(whose)
        """Words before a heading that say whose it is and no more: a wagon's length."""
        self.by_name: Mapping[str, Field] = {field.name: field for field in self.every}
        self.by_alias: dict[str, Field] = {}
        """Every field by the plain words that may head its column."""
        self.ranks: dict[str, int] = {}
        """How well such words say what the column holds, 0 best: of several columns for
        one field, the best is taken.
        """
        for field in self.every:
            for rank, words in enumerate(field.own_words):
                self.by_alias.setdefault(words, field)
                self.ranks.setdefault(words, rank)


def fields_of(
    table: str,
    vocabulary: Vocabulary,
    *,
    words: Mapping[str, Mapping[str, str]],
    steers: frozenset[str] = frozenset(),
) -> Iterator[Field]:
    """Yield the fields of a table: one a line, its name, its sort, how its column is
    headed in the service's own files, and by what words else. What is indented goes on.
    """
    lines = re.sub(r"\n +", " ", table.strip()).splitlines()
    for line in lines:
        name, sort, title, aliases = (part.strip() for part in line.split("|"))
        yield Field(
            name=name,
            sort=msgspec.convert(sort, Sort),
            title=title,
            path=() if name in steers else tuple(name.split(".")),
            vocabulary=vocabulary,
            words=words.get(name, _NO_WORDS),
            aliases=tuple(aliases.split(", ")) if aliases else (),
        )
