"""Which sheet of a workbook is the list that is meant, and what is told of the others."""

from collections.abc import Callable, Iterable, Sequence
from urllib.parse import quote

import msgspec

from standage.exchange.cells import Sheet, unreadable
from standage.shapes.faults import Faulty

_MOST_NAMED = 8
_MOST_READ = 12
"""As many sheets are read to find the list; a club's book has engines, coaches, wagons
and a few more.
"""


class Leaf(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet of a workbook: whether it is hidden, whether anything stands in it, and
    how it is read.
    """

    name: str
    hidden: bool
    is_filled: Callable[[], bool]
    read: Callable[[], Sheet]


def chosen(
    leaves: Sequence[Leaf], is_list: Callable[[Sheet], bool], *, wanted: str | None
) -> Sheet:
    """Return the sheet called ``wanted``; if none is, the first shown one that is
    such a list, else the first filled one.

    Raises ``Faulty`` where there is no such sheet, or where all that are shown are
    empty.
    """
    if wanted is not None:
        leaf = _called(leaves, wanted)
        return msgspec.structs.replace(leaf.read(), others=_others(leaves, leaf.name))
    shown = [leaf for leaf in leaves if not leaf.hidden]
    not_shown = [leaf for leaf in leaves if leaf.hidden]
    hidden = [leaf for leaf in not_shown if _seems_filled(leaf)]
    first = next((leaf for leaf in shown if leaf.is_filled()), None)
    if first is None:
        raise _empty(hidden)
    sheets = {first.name: first.read()}
    rest = [leaf for leaf in shown if leaf is not first]
    others = [leaf for leaf in rest if _seems_filled(leaf)]
    for leaf in others[: _MOST_READ - 1]:
        sheet = _read(leaf)
        if sheet is not None:
            sheets[leaf.name] = sheet
    lists = [name for name, sheet in sheets.items() if is_list(sheet)]
    name = lists[0] if lists else first.name
    hidden_lists = [
        leaf.name for leaf in hidden[:_MOST_READ] if _is_list(leaf, is_list)
    ]
    return msgspec.structs.replace(
        sheets[name],
        others=_others(leaves, name),
        lists=tuple(one for one in lists if one != name),
        hidden=tuple(hidden_lists),
    )


def _called(leaves: Sequence[Leaf], wanted: str) -> Leaf:
    exactly = [leaf for leaf in leaves if leaf.name == wanted]
    plainly = _plainly(wanted)
    nearly = [leaf for leaf in leaves if _plainly(leaf.name) == plainly]
    for leaf in (*exactly, *nearly):
        if leaf.is_filled():
            return leaf
    listed = ", ".join(leaf.name for leaf in leaves[:_MOST_NAMED])
    raise unreadable(
        "no_such_sheet",
        f"has no sheet called {wanted!r} with anything in it; it has {listed}",
    )


def _plainly(name: str) -> str:
    return name.strip().casefold()


def _others(leaves: Iterable[Leaf], name: str) -> tuple[str, ...]:
    return tuple(leaf.name for leaf in leaves if leaf.name != name)


def _seems_filled(leaf: Leaf) -> bool:
    """Tell whether anything stands in a sheet, even what cannot be read: what is wrong
    there harms no other sheet.
    """
    try:
        return leaf.is_filled()
    except Faulty:
        return True


def _read(leaf: Leaf) -> Sheet | None:
    """Return a sheet; one that cannot be read says why only where it is asked for."""
    try:
        return leaf.read()
    except Faulty:
        return None


def _is_list(leaf: Leaf, is_list: Callable[[Sheet], bool]) -> bool:
    sheet = _read(leaf)
    if sheet is None:
        return False
    return is_list(sheet)


def _empty(hidden: Sequence[Leaf]) -> Exception:
    if not hidden:
        return unreadable("empty", "holds no row at all: is it the right file?")
    names = [leaf.name for leaf in hidden]
    listed = ", ".join(names[:_MOST_NAMED])
    message = (
        f"shows empty sheets only; hidden is {listed}: to have that, send the file"
        f" again with {asked_for(names)}"
    )
    return unreadable("empty", message)


def asked_for(names: Sequence[str]) -> str:
    """Return how sheets are asked for by their names.

    >>> asked_for(["My stock", "Vans"])
    'sheet=My%20stock or sheet=Vans'
    """
    asked = [f"sheet={quote(name)}" for name in names[:_MOST_NAMED]]
    return " or ".join(asked)
