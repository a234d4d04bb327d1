"""Scales and gauges as cells name them: OO gauge, 4mm/ft, 1/76, HO (16.5 mm)."""

import re
from collections.abc import Iterator
from typing import get_args

from standage.exchange.numbers import Trouble
from standage.railway.terms.scales import ScaleName, same_scale, scale
from standage.railway.terms.spellings import choice_spelt

_EVERY: tuple[ScaleName, ...] = get_args(ScaleName)
_GAUGES_MM = frozenset(scale(name).gauge_mm for name in _EVERY)
_RATIOS = frozenset(scale(name).ratio for name in _EVERY)
ONLY_GAUGES_MM = frozenset(
    gauge_mm for gauge_mm in _GAUGES_MM if gauge_mm not in _RATIOS
)
"""The gauges of which the figure is no scale's ratio: 32 can be a gauge of 32 mm and a
scale of 1:32.
"""

_LEAST_RATIO = 20.0
_LONGEST = 60
_SAME_GAUGE_MM = 0.5
_IN_BRACKETS = re.compile(r"\s*[(\[]([^()\[\]]*)[)\]]\s*")
_TO_THE_FOOT = re.compile(
    r"(?<=mm)\s*(?:/|:|to)\s*(?:1\s*|the\s+|a\s+)?(?:ft|foot)\b.*"
)
_RATIO = re.compile(r"1\s*[:/\-–]\s*(\d+(?:[.,]\d+)?)")
_FIGURE_BEHIND = re.compile(r"(?<=[^\d.,])\s*\d+(?:[.,]\d+)?\s*mm$")
_BETWEEN = re.compile(r"\s*(?:/|&|,|\bor\b|\band\b)\s*")
_WRITE_SCALE = (
    "write its name, such as N, TT, H0, HO, 00, EM, P4, S, 0 British or O, or its"
    " ratio, such as 1:76"
)


def named_scale(text: str) -> ScaleName | None:
    """Return the scale that a cell names, if it names one.

    >>> (
    ...     named_scale("OO gauge"),
    ...     named_scale("1/76"),
    ...     named_scale("7mm/ft"),
    ...     named_scale("HO (16.5 mm)"),
    ... )
    ('OO', '00', '0 British', 'HO')
    """
    if len(text) > _LONGEST:
        return None
    said = " ".join(text.casefold().split())
    for form in (said, *_barer(said)):
        if (name := _known(form)) is not None:
            return name
    return None


def _known(form: str) -> ScaleName | None:
    return choice_spelt(form, _EVERY)  # type: ignore[return-value]  # one of the names, as that was asked for


def _barer(said: str) -> Iterator[str]:
    """Yield what a cell says with what people write around a scale taken off."""
    yield _IN_BRACKETS.sub(" ", said).strip()
    for found in _IN_BRACKETS.finditer(said):
        yield found[1].strip()
    yield _TO_THE_FOOT.sub("", said).strip()
    yield _FIGURE_BEHIND.sub("", said).strip()
    ratio = _RATIO.search(said)
    if ratio is not None:
        figure = ratio[1].replace(",", ".")
        yield f"1:{figure}"
    elif _is_ratio(said):
        yield f"1:{said}"


def _is_ratio(said: str) -> bool:
    """Tell whether a bare figure is the ratio of a scale, and no gauge in mm."""
    if re.fullmatch(r"\d{2,3}(?:\.\d+)?", said) is None:
        return False
    figure = float(said)
    return figure >= _LEAST_RATIO and figure not in _GAUGES_MM


def read_scale(text: str) -> ScaleName | Trouble:
    """Return the scale of a cell, or why it cannot be told."""
    name = named_scale(text)
    if name is not None:
        return name
    several = _several(text)
    if several and _are_one(several):
        return several[0]
    if several:
        mend = f"write the one that is meant: {' or '.join(several)}"
        return Trouble(
            code="ambiguous", message=f"names {len(several)} scales", mend=mend
        )
    figure = _gauge_figure(text)
    if figure in _GAUGES_MM:
        words = (
            "can be a gauge in mm or the ratio of a scale"
            if figure in _RATIOS
            else "is a gauge in mm, and no scale"
        )
        mend = f"write the scale's name or its ratio, such as {_such_as(figure)}"
        return Trouble(code="ambiguous", message=words, mend=mend)
    return Trouble(
        code="not_a_choice", message="is no scale known here", mend=_WRITE_SCALE
    )


def _such_as(gauge_mm: float) -> str:
    names = [name for name in _EVERY if scale(name).gauge_mm == gauge_mm]
    return " or ".join(names[:2])


def _gauge_figure(text: str) -> float:
    plain = text.casefold().removesuffix("mm").strip().replace(",", ".")
    if re.fullmatch(r"\d{1,3}(?:\.\d{1,3})?", plain) is None:
        return 0.0
    return float(plain)


def _several(text: str) -> tuple[ScaleName, ...]:
    """Return the scales of a cell that names more than one, such as OO/HO."""
    parts = filter(str.strip, _BETWEEN.split(text))
    names: dict[ScaleName, None] = {}
    for part in parts:
        name = named_scale(part)
        if name is None:
            return ()
        names[name] = None
    return tuple(names) if len(names) > 1 else ()


def _are_one(names: tuple[ScaleName, ...]) -> bool:
    """Tell whether names mean one scale on one gauge, as OO and 4 mm do."""
    first, *others = names
    gauge_mm = scale(first).gauge_mm
    for other in others:
        if scale(other).gauge_mm != gauge_mm or not same_scale(other, first):
            return False
    return True


def gauge_mm_named(text: str) -> float | None:
    """Return the gauge of the scale that a cell names, or of several that share it;
    None where it names none.

    >>> gauge_mm_named("EM"), gauge_mm_named("OO/HO"), gauge_mm_named("16.5")
    (18.2, 16.5, None)
    """
    name = named_scale(text)
    if name is not None:
        return scale(name).gauge_mm
    gauges = {scale(one).gauge_mm for one in _several(text)}
    if len(gauges) != 1:
        return None
    return gauges.pop()


def runs_on(name: ScaleName, *, gauge_mm: float) -> bool:
    """Tell whether a gauge is a scale's, or another for its ratio; narrow gauges have
    names of their own.

    >>> runs_on("00", gauge_mm=18.83), runs_on("00", gauge_mm=9), runs_on("00", gauge_mm=32)
    (True, False, False)
    """
    off_mm = abs(scale(name).gauge_mm - gauge_mm)
    for one in _EVERY:
        other = scale(one)
        if same_scale(one, name) and not other.is_narrow:
            off_mm = min(off_mm, abs(other.gauge_mm - gauge_mm))
    return off_mm <= _SAME_GAUGE_MM
