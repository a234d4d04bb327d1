"""What people write into a cell where they do not know the figure, or know it roughly
only.
"""

import re

_NOBODY_KNOWS = frozenset(
    {
        *(
            "?",
            "??",
            "???",
            "-",
            "--",
            "---",
            "–",
            "—",
            ".",
            "..",
            "...",
            "…",
            "*",
            "x",
            "none",
            "nil",
            "missing",
        ),
        *(
            "n/a",
            "n.a.",
            "na",
            "n/k",
            "nk",
            "unknown",
            "not known",
            "don't know",
            "tbc",
            "tba",
            "tbd",
        ),
        *("not measured", "to be measured", "to measure"),
    }
)
_LONGEST = 60
_BEFORE = re.compile(
    r"(?:[~≈<>±]|(?:about|abt|approx|approximately|around|roughly|nearly|circa|ca|c|max|min|over|under|say)\b\.?|c(?=\d))"
    r"\s*(?P<figure>.*\d.*)"
)
_AFTER = re.compile(
    r".*\d.*?(?:\?+|\+|\s*ish|\s+approx(?:imately)?\.?|\s+or so|\s+roughly)"
)
_WITHIN = re.compile(r".*\d.*(?:±|\+/-|\+-|\+/−).*")
_FROM_TO = re.compile(
    r"(?P<least>\d+(?:[.,]\d+)?)\s*(?:[-–—]|to|\.\.+)\s*(?P<most>\d+(?:[.,]\d+)?)\s*(?:[a-z]{1,12}\.?|[\"'″′])?"
)


def nobody_knows(text: str) -> bool:
    """Tell whether a cell for a figure says that nobody knows it.

    >>> nobody_knows(" N/A "), nobody_knows("0")
    (True, False)
    """
    if len(text) > _LONGEST:
        return False
    return _plainly(text) in _NOBODY_KNOWS


def is_rough(text: str) -> bool:
    """Tell whether a cell holds a figure that is known roughly only: about so much, or
    from one to another.

    >>> is_rough("~130"), is_rough("130-135"), is_rough("4-1/2")
    (True, True, False)
    """
    if len(text) > _LONGEST:
        return False
    plain = _plainly(text)
    between = _FROM_TO.fullmatch(plain)
    if between is not None:
        return float(between["least"].replace(",", ".")) < float(
            between["most"].replace(",", ".")
        )
    return any(shape.fullmatch(plain) for shape in (_BEFORE, _AFTER, _WITHIN))


def _plainly(text: str) -> str:
    spoken = text.casefold().replace("’", "'")
    return " ".join(spoken.split())
