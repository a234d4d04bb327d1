"""How the tour speaks: plain words, at most 78 columns."""

import textwrap
from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import starmap
from typing import Any

WIDTH = 78


def heading(text: str) -> str:
    """Return a heading with a line beneath it."""
    rule = "─" * len(text)
    return f"\n{text}\n{rule}"


def paragraph(text: str, *, indent: str = "") -> str:
    """Return text wrapped to the page."""
    return textwrap.fill(
        text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent)
    )


def question(number: int, text: str) -> str:
    """Return a question with its number."""
    asked = paragraph(text, indent=f"{number}  ")
    return f"\n{asked}"


def reasons(answer: Mapping[str, Any], *, most: int = 1) -> Iterable[str]:
    """Yield the worst reasons, one paragraph each."""
    because = answer["because"]
    for reason in because[:most]:
        words = sentence(reason["message"])
        yield paragraph(words, indent="   · ")
    left = len(because) - most
    if left > 0:
        yield f"   · {several(left, 'more reason')}."


def guesses(answer: Mapping[str, Any], *, most: int = 1) -> Iterable[str]:
    """Yield what was assumed in one answer: the first few, and how many more
    there are.
    """
    assumed = answer["assumed"]
    yield (
        "   Assumed (every answer lists what nobody measured; the tour shows it once):"
    )
    for guess in assumed[:most]:
        yield paragraph(sentence(guess["message"]), indent="   · ")
    if len(assumed) > most:
        yield f"   · {several(len(assumed) - most, 'more figure')}."


def several(count: int, noun: str) -> str:
    """Return a count with its noun.

    >>> several(1, "more reason"), several(4, "more reason")
    ('1 more reason', '4 more reasons')
    """
    if count == 1:
        return f"1 {noun}"
    return f"{count} {noun}s"


def counted(names: Iterable[str]) -> str:
    """Return names with how often each stands there.

    >>> counted(["Fish van", "Fish van", "Brake coach"])
    '2 × Fish van, Brake coach'
    """
    return ", ".join(starmap(_times, Counter(names).items()))


def _times(name: str, count: int) -> str:
    if count == 1:
        return name
    return f"{count} × {name}"


def sentence(text: str) -> str:
    """Return text with a capital and a full stop."""
    capital = text[:1].upper() + text[1:]
    if text.endswith((".", "!", "?")):
        return capital
    return f"{capital}."
