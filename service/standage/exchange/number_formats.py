"""What the format of a cell shows beside its number: noughts before it, a unit or a
percent sign behind it.

People read what is shown. Where that says more than the number, it is what the cell is
taken for.
"""

import re

from standage.exchange.fields import UNIT_WORDS
from standage.exchange.sheets_out import shown_number

_APART = re.compile(r"\[[^\]]*\]|_.|\*.")
_SHAPE = re.compile(r"(?:General|[#0?,./ ]++)(?P<behind>.*)", re.DOTALL)
_LITERAL = re.compile(r'"([^"]*)"|\\(.)')
_NOUGHTS = re.compile(r"0{2,20}")


def says_more(code: str) -> bool:
    """Tell whether a format shows more than the number.

    >>> says_more("0000"), says_more('0.0" in"'), says_more("#,##0.00")
    (True, True, False)
    """
    return as_shown(1.0, code) != 1.0


def as_shown(value: float, code: str) -> str | float:
    """Return a number as its format shows it where that says more than the number, else
    the number.

    >>> (
    ...     as_shown(47.0, "0000"),
    ...     as_shown(4.5, '0.0" in"'),
    ...     as_shown(0.5, "0%"),
    ...     as_shown(4.5, "0.00"),
    ... )
    ('0047', '4.5 in', '50%', 4.5)
    """
    own = _APART.sub("", code.partition(";")[0]).strip()
    if _NOUGHTS.fullmatch(own):
        return _with_noughts(value, len(own))
    shape = _SHAPE.fullmatch(own)
    if shape is None:
        return value
    behind = _LITERAL.sub(_literally, shape["behind"]).strip()
    if behind == "%":
        # rounded, since 0.07 × 100 is not 7 in binary
        percent = round(value * 100, 10)
        return f"{shown_number(percent)}%"
    if behind.casefold().strip(" .") not in UNIT_WORDS:
        return value
    return f"{shown_number(value)} {behind}"


def _with_noughts(value: float, width: int) -> str | float:
    if value < 0 or not value.is_integer():
        return value
    return f"{int(value):0{width}d}"


def _literally(found: re.Match[str]) -> str:
    return found[1] or found[2] or ""
