"""Names that are nearly another: for saying which one was meant."""

from collections.abc import Iterable

MOST_NEAR = 3
_MOST_LETTERS = 24
"""Longer names are compared by that many letters, so that a list of them stays
small."""


class NearNames:
    """Names in which those near another one are found without comparing it with each.

    Two names are near if they are the same in small letters, or if leaving out a letter
    of the one or of both makes them so. Takes as many steps as the names have letters.
    """

    def __init__(self, names: Iterable[str]) -> None:
        self._names = names
        self._by_stub: dict[str, list[str]] | None = None

    def near(self, name: str) -> list[str]:
        """Return the names that are near another, at most three, in their order.

        >>> NearNames(["S1", "S12", "P1"]).near("s-12")
        ['S12']
        """
        if self._by_stub is None:
            self._by_stub = _by_stub(self._names)
        found: dict[str, None] = {}
        for stub in _stubs(name):
            found |= dict.fromkeys(self._by_stub.get(stub, ()))
        return list(found)[:MOST_NEAR]


def _by_stub(names: Iterable[str]) -> dict[str, list[str]]:
    by_stub: dict[str, list[str]] = {}
    for name in names:
        for stub in _stubs(name):
            known = by_stub.setdefault(stub, [])
            # What is near to many names says nothing: S1 to S9 all lack a letter of S.
            if len(known) <= MOST_NEAR:
                known.append(name)
    return by_stub


def _stubs(name: str) -> list[str]:
    """Return a name in small letters, and what is left of it without one of them."""
    plain = name.casefold()[:_MOST_LETTERS]
    stubs = {plain: None}
    for place in range(len(plain)):
        stub = plain[:place] + plain[place + 1 :]
        if stub:
            stubs[stub] = None
    return list(stubs)


def did_you_mean(near: list[str]) -> str:
    """Return the words that ask whether one of some names was meant; none for none.
    **Source** plain English.

    >>> did_you_mean(["S12", "S1"]), did_you_mean([])
    ('; did you mean S12 or S1?', '')
    """
    if near:
        return f"; did you mean {' or '.join(near)}?"
    return ""
