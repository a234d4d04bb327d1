"""What a whole plan is made of, and what an alteration of it lays and takes up."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import get_args

import msgspec

from standage.railway.materials.cutting import Cut, Cutting, cutting
from standage.railway.materials.goods import PLAIN, Geometry, Good, What
from standage.railway.materials.joints import goods_of_joints
from standage.railway.materials.pieces import goods_of_pieces
from standage.railway.materials.rules import Rules
from standage.railway.terms.figures import tidy
from standage.railway.track.pieces.pieces import State
from standage.railway.track.plans.plan import Fitting
from standage.railway.track.survey.survey import Survey

_ORDER: tuple[What, ...] = get_args(What)
_NAMELESS: frozenset[What] = frozenset(
    {
        "joiners",
        "joiners_within",
        "insulated_joiners",
        "board_joints",
        "droppers",
        "point_motors",
        "underlay",
    }
)
"""What goes by no piece: its pieces are not listed."""
_LAID: frozenset[State] = frozenset({"laid", "fixed"})


class Amount(msgspec.Struct, frozen=True, kw_only=True):
    """How many, and how long together; null where nothing has a length that is
    known.
    """

    count: int
    length_mm: float | None


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """What is alike, with how much of it there is."""

    what: What
    geometry: dict[str, str | float]
    count: int
    length_mm: float | None
    laid: Amount
    planned: Amount
    fixed: Amount
    pieces: tuple[str, ...]


class Counted(msgspec.Struct, frozen=True, kw_only=True):
    """All that a plan is made of, thing by thing."""

    goods: tuple[Good, ...]
    off_the_track: tuple[Fitting, ...]

    @property
    def unknown(self) -> tuple[str, ...]:
        """The pieces with track of which nobody knows the length."""
        beneath = (one for one in self.goods if one.what == "underlay")
        return tuple(one.pieces[0] for one in beneath if one.length_mm is None)


def counted(found: Survey, rules: Rules) -> Counted:
    """Return what a plan is made of, its modules included. In mm. **Source**
    derived.
    """
    fitted = goods_of_joints(found)
    goods = (*goods_of_pieces(found, rules), *fitted.goods)
    return Counted(goods=goods, off_the_track=fitted.off_the_track)


def lines_of(goods: Iterable[Good]) -> tuple[Line, ...]:
    """Return goods with those that are alike together, in the order of a list.
    **Source** derived.
    """
    alike: dict[tuple[What, Geometry], list[Good]] = {}
    for one in goods:
        alike.setdefault((one.what, one.geometry), []).append(one)
    keys = sorted(alike, key=_place)
    return tuple(_line(*key, alike[key]) for key in keys)


def _place(key: tuple[What, Geometry]) -> tuple[int, str]:
    what, geometry = key
    figures = [
        f"{value:020.6f}" if isinstance(value, float) else str(value)
        for _, value in geometry
    ]
    return _ORDER.index(what), " ".join(figures)


def _line(what: What, geometry: Geometry, goods: list[Good]) -> Line:
    whole = _amount(goods)
    names: dict[str, None] = {}
    if what not in _NAMELESS:
        names = dict.fromkeys(name for one in goods for name in one.pieces)
    return Line(
        what=what,
        geometry=dict(geometry),
        count=whole.count,
        length_mm=whole.length_mm,
        laid=_amount(one for one in goods if one.state == "laid"),
        planned=_amount(one for one in goods if one.state == "planned"),
        fixed=_amount(one for one in goods if one.state == "fixed"),
        pieces=tuple(names),
    )


def _amount(goods: Iterable[Good]) -> Amount:
    counted = list(goods)
    lengths_mm = [one.length_mm for one in counted if one.length_mm is not None]
    length_mm = tidy(sum(lengths_mm)) if lengths_mm else None
    return Amount(count=sum(one.count for one in counted), length_mm=length_mm)


def cut_list(goods: Iterable[Good], rules: Rules) -> Cutting:
    """Return how the plain track among goods is cut from stock lengths. In mm.
    **Source** ``cutting``.
    """
    return cutting(
        _cuts(goods),
        stock_length_mm=rules.stock_length_mm,
        saw_mm=rules.saw_mm,
    )


def _cuts(goods: Iterable[Good]) -> Iterator[Cut]:
    for one in goods:
        if _is_plain(one) and one.length_mm is not None:
            yield Cut(piece=one.pieces[0], length_mm=one.length_mm)


def to_get(goods: Iterable[Good]) -> tuple[Good, ...]:
    """Return what is planned, and so is still to be got. **Source** derived."""
    return tuple(one for one in goods if one.state == "planned")


def altered(before: Counted, after: Counted) -> tuple[list[Good], list[Good]]:
    """Return what is laid to make the plan ``before`` that ``after``, and what of it is
    laid and taken up; what only moves is neither. **Source** derived.
    """
    to_lay = _besides(after.goods, before.goods)
    gone = _besides(before.goods, after.goods)
    return to_lay, [one for one in gone if one.state in _LAID]


def _besides(goods: Iterable[Good], others: Iterable[Good]) -> list[Good]:
    """Return the goods that are not among the others, however far they are laid."""
    left = Counter(map(_itself, others))
    found: list[Good] = []
    for one in goods:
        key = _itself(one)
        if left[key] > 0:
            left[key] -= 1
        else:
            found.append(one)
    return found


def _itself(good: Good) -> Good:
    return msgspec.structs.replace(good, state="planned")


def _is_plain(good: Good) -> bool:
    return good.what in PLAIN
