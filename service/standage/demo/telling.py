"""How the tour speaks: plain words, at most 78 columns."""

import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

WIDTH = 78


def heading(text: str) -> str:
    """Return a heading with a line beneath it."""
    return f"\n{text}\n{'─' * len(text)}"


def paragraph(text: str, *, indent: str = "") -> str:
    """Return text wrapped to the page."""
    return textwrap.fill(
        text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent)
    )


def question(number: int, text: str) -> str:
    """Return a question with its number."""
    return "\n" + paragraph(text, indent=f"{number}  ")


def reasons(answer: Mapping[str, Any], *, most: int = 1) -> Iterable[str]:
    """Yield the worst reasons, one paragraph each."""
    because = answer["because"]
    for reason in because[:most]:
        yield paragraph(sentence(reason["message"]), indent="   · ")
    if len(because) > most:
        yield f"   · {several(len(because) - most, 'more reason')}."


def guesses(answer: Mapping[str, Any], *, most: int = 3) -> Iterable[str]:
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
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def counted(names: Iterable[str]) -> str:
    """Return names with how often each stands there.

    >>> counted(["Fish van", "Fish van", "Brake coach"])
    '2 × Fish van, Brake coach'
    """
    listed = list(names)
    once = dict.fromkeys(listed)
    return ", ".join(
        f"{listed.count(name)} × {name}" if listed.count(name) > 1 else name
        for name in once
    )


def sentence(text: str) -> str:
    """Return text with a capital and a full stop."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")
