"""How else a choice is written, so that an honest spelling is understood; what is kept
is always the choice's own word.

**Source** common practice of the trade, no source.
"""

from collections.abc import Mapping, Sequence
from typing import get_args

from standage.railway.terms.scales import ScaleName

_OF_SCALES: dict[ScaleName, str] = {
    "Z": "1:220",
    "N": "1:160",
    "N British": "british n, n gb, n uk, 1:148",
    "N Japanese": "japanese n, n 1:150, 1:150",
    "2 mm fine": "2 mm, 2fs, 2 mm fs, 2 mm finescale, 1:152, 1:152.4",
    "3 mm": "tt british, british tt, tt3, 1:101.6",
    "3 mm fine": "3fs, 3 mm fs, 3 mm finescale",
    "TT": "tt:120, tt120, tt 1:120, 1:120",
    "H0": "1:87, 3.5 mm",
    "HO": "1:87.1",
    "H0 Japanese": (
        "ho japanese, japanese h0, japanese ho, h0 1:80, ho 1:80, h0j, hoj, 1:80"
    ),
    "H0m": "hom",
    "H0e": "hoe",
    "HOn3": "h0n3",
    "HOn30": "h0n30, hon2½, h0n2½, hon2.5, h0n2.5, hon2 1/2, h0n2 1/2",
    "00": "4 mm, 1:76, 1:76.2",
    "009": "oo9",
    "S": "1:64",
    "0": "1:45",
    "0 British": "british 0, british o, o british, 7 mm, 1:43, 1:43.5",
    "O": "1:48",
    "0e": "oe",
    "016.5": "o16.5",
    "On3": "0n3",
    "On30": "0n30, on2½, 0n2½, on2.5, 0n2.5, on2 1/2, 0n2 1/2",
    "1": "i, 1:32",
    "G": "iim",
}
"""A ratio that several gauges share means the gauge that most people have; 1:22.5 says
neither II nor G.
"""
_FILLERS = frozenset({"scale", "gauge"})


def choice_spelt(text: str, choices: Sequence[object]) -> str | None:
    """Return the one of ``choices`` that ``text`` means, whatever its case, spaces and
    hyphens.

    None where no other spelling of these choices is known, or where it means none of
    them, or two. **Source** that of this file.

    >>> scales = get_args(ScaleName)
    >>> (
    ...     choice_spelt("OO-9", scales),
    ...     choice_spelt("S gauge", scales),
    ...     choice_spelt("1:22.5", scales),
    ... )
    ('009', 'S', None)
    """
    known = _BY_CHOICES.get(frozenset(choices))
    if known is None:
        return None
    return known.get(_plain(text))


def _plain(text: str) -> str:
    spaced = text.casefold().replace("-", " ")
    words = spaced.replace("_", " ").split()
    telling = (word for word in words if word not in _FILLERS)
    return "".join(telling)


SCALE_SPELLINGS: Mapping[ScaleName, tuple[str, ...]] = {
    name: (name, *filter(None, _OF_SCALES.get(name, "").split(", ")))
    for name in get_args(ScaleName)
}
"""Every scale with its spellings, its own name first."""
_BY_CHOICES: Mapping[frozenset[object], Mapping[str, str]] = {
    frozenset(SCALE_SPELLINGS): {
        _plain(one): name for name, spelt in SCALE_SPELLINGS.items() for one in spelt
    },
}
"""Known spellings, by the choices that they are among."""
