"""Names of pieces in cells, and what a cell says that an end joins."""

import re
from collections.abc import Iterator

import msgspec

from standage.exchange.plans.fields import TRACK
from standage.exchange.rows_apart import is_of_totals
from standage.exchange.unknown_figures import nobody_knows
from standage.railway.terms.synonyms import in_plain_letters

_MARK = '"'
_PARTED = re.compile(r"[;\n\r]")
_QUOTED = re.compile(r'"(?:[^"]|"")*"')
_PART = re.compile(
    r'[^\S\n\r]*(?:\w{1,9}[^\S\n\r]*:[^\S\n\r]*)?"(?:[^"]|"")*"[^;\n\r]*|[^;\n\r]+'
)
_OPEN = frozenset({"open", "free", "nothing", "open end", "nowhere"})


class Reference(msgspec.Struct, frozen=True, kw_only=True):
    """What a cell names: a piece and its end, or a piece alone."""

    piece: str
    end: str | None = None
    is_quoted: bool = False


def named(piece: str) -> str:
    """Return a name as a cell has it: in quotes where a reader could take it for
    something else.

    >>> named("Loop 2"), named("Total")
    ('Loop 2', '"Total"')
    """
    if _is_plain(piece):
        return piece
    return _in_quotes(piece)


def _is_plain(piece: str) -> bool:
    if piece != " ".join(piece.split()) or _MARK in piece or ":" in piece:
        return False
    if _PARTED.search(piece) or is_of_totals((piece,), TRACK):
        return False
    return not says_nothing(piece)


def name_in(text: str) -> str:
    """Return the name that a cell holds, as ``named`` has written it.

    >>> name_in(' Loop 2 '), name_in('"Total"')
    ('Loop 2', 'Total')
    """
    plain = text.strip()
    if _QUOTED.fullmatch(plain) is None:
        return " ".join(plain.split())
    return _unquoted(plain)


def _unquoted(text: str) -> str:
    return text[1:-1].replace(_MARK * 2, _MARK)


def says_nothing(text: str) -> bool:
    """Tell whether a cell says that an end joins nothing."""
    return nobody_knows(text) or in_plain_letters(text) in _OPEN


def reference(piece: str, end: str, *, exactly: bool = False) -> str:
    """Return an end as a cell has it; in quotes where it is to be taken ``exactly``.

    >>> reference("P1", "toe"), reference("P1", "Toe", exactly=True)
    ('P1.toe', '"P1".Toe')
    """
    name = _in_quotes(piece) if exactly else named(piece)
    return f"{name}.{end}"


def _in_quotes(piece: str) -> str:
    inner = piece.replace(_MARK, _MARK * 2)
    return f"{_MARK}{inner}{_MARK}"


def references(text: str) -> Iterator[Reference]:
    """Yield what a cell names, in its order; more than one are parted by semicolons.

    >>> [(one.piece, one.end) for one in references("P1.toe; Shed")]
    [('P1', 'toe'), ('Shed', None)]
    """
    for part in parted(text):
        yield _reference(part)


def parted(text: str) -> Iterator[str]:
    """Yield the parts of a cell between semicolons that stand in no quotes."""
    for found in _PART.finditer(text):
        part = found[0].strip()
        if part:
            yield part


def _reference(part: str) -> Reference:
    quoted = _QUOTED.match(part)
    if quoted is not None:
        end = part[quoted.end() :].removeprefix(".").strip()
        piece = _unquoted(quoted[0])
        return Reference(
            piece=piece,
            end=end or None,
            is_quoted=True,
        )
    piece, dot, end = part.rpartition(".")
    if not dot:
        return Reference(piece=" ".join(part.split()))
    return Reference(piece=" ".join(piece.split()), end=end.strip())
