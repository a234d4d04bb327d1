"""What the words at a column's head name: a field, and the unit beside it."""

import re
from difflib import SequenceMatcher

import msgspec

from standage.exchange.fields import UNIT_WORDS, UNITS, Field, Fields, Unit

_LONGEST_HEAD = 200
_LEAST_ALIKE = 0.8
_SHORTEST_MISSPELT = 4
_WORSE = 1000
_IN_BRACKETS = re.compile(
    r"\s*[(\[{]\s*(?:in |actual |model )?([^()\[\]{}]*?)\s*[)\]}]", re.IGNORECASE
)
_AT_END = re.compile(r"(?:\s*[,/:]\s*|\s+(?:in )?)([a-z]+|[\"″'])\.?$", re.IGNORECASE)


class Known(msgspec.Struct, frozen=True, kw_only=True):
    """What a heading says: a field, the unit beside it, and how well it says it."""

    field: Field
    unit: Unit | None
    rank: int
    nearly: bool = False

    def in_unit(self, unit: Unit | None) -> "Known":
        """Return the same with a unit that is said elsewhere, where the heading says
        none and the field has it.
        """
        if self.unit is not None or unit not in UNITS.get(self.field.sort, ()):
            return self
        return msgspec.structs.replace(self, unit=unit)


def known_head(head: str, fields: Fields) -> Known | None:
    """Return what a heading says, misspelt if need be; None where it is not known."""
    return by_words(head, fields) or by_words(head, fields, misspelt=True)


def by_words(head: str, fields: Fields, *, misspelt: bool = False) -> Known | None:
    """Return what a heading says in the very words that are known, or in such as only
    nearly are.
    """
    if len(head) > _LONGEST_HEAD:
        return None
    words, unit = _parted(head)
    name = fields.vocabulary.plain(words)
    if misspelt:
        name = _nearest(name, fields) or ""
    elif name not in fields.by_alias:
        first, _, rest = name.partition(" ")
        name = rest if first in fields.whose else ""
    field = fields.by_alias.get(name)
    if field is None:
        return None
    if unit not in UNITS.get(field.sort, ()):
        unit = None
    rank = fields.ranks[name]
    if misspelt:
        rank += _WORSE
    return Known(
        field=field,
        unit=unit,
        rank=rank,
        nearly=misspelt,
    )


def _nearest(name: str, fields: Fields) -> str | None:
    """Return the known words of which each is one of ``name``, in any order, but for
    slips of the pen.

    Another word means another thing: an old number is no number, and a diameter no
    radius.
    """
    words = name.split()
    best, nearest = 0.0, None
    for alias in fields.by_alias:
        nearness = _nearness(words, alias.split())
        if nearness > best:
            best, nearest = nearness, alias
    return nearest


def _nearness(words: list[str], others: list[str]) -> float:
    if len(words) != len(others):
        return 0.0
    left = sorted(word for word in words if word not in others)
    right = sorted(word for word in others if word not in words)
    if len(left) != len(right):
        return 0.0
    alike = [_alike(one, other) for one, other in zip(left, right, strict=True)]
    if not all(alike):
        return 0.0
    return 1.0 + sum(alike) - len(alike)


def _alike(one: str, other: str) -> float:
    """Return how alike two words are from 0 to 1; 0 where they are others. Short words
    are all near each other.
    """
    if min(len(one), len(other)) < _SHORTEST_MISSPELT:
        return 0.0
    matcher = SequenceMatcher(None, one, other)
    if matcher.real_quick_ratio() < _LEAST_ALIKE:
        return 0.0
    ratio = matcher.ratio()
    if ratio >= _LEAST_ALIKE:
        return ratio
    return 0.0


def _parted(head: str) -> tuple[str, Unit | None]:
    text = " ".join(head.split())
    for found in _IN_BRACKETS.finditer(text):
        unit = _unit(found[1])
        if unit is not None:
            return text[: found.start()] + text[found.end() :], unit
    at_end = _AT_END.search(text)
    unit = None if at_end is None else _unit(at_end[1])
    if at_end is None or unit is None:
        return text, None
    before, other = _parted(text[: at_end.start()])
    if other is not None and other != unit:
        return before, None  # two units say none
    return before, unit


def _unit(words: str) -> Unit | None:
    plainly = words.casefold().strip(" .")
    return UNIT_WORDS.get(plainly)
