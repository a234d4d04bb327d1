"""How the tour speaks: plain words, a road drawn to length, at most 78 columns."""

import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

WIDTH = 78
ROAD = 60

_WORDS = {
    "fits": "IT FITS",
    "tight": "TIGHT",
    "does_not_fit": "IT DOES NOT FIT",
    "cannot_tell": "CANNOT TELL",
    "runs": "IT RUNS",
    "marginal": "MARGINAL",
    "does_not_run": "IT DOES NOT RUN",
    "clear": "CLEAR",
    "fouls": "THEY TOUCH",
    "holds": "IT HOLDS SOME",
    "holds_none": "IT HOLDS NONE",
    "good": "GOOD",
    "steep": "STEEP",
    "too_steep": "TOO STEEP",
    "joins": "THEY JOIN",
    "joins_with_care": "THEY JOIN, WITH CARE",
    "does_not_join": "THEY DO NOT JOIN",
    "all_stand": "ALL OF THEM STAND",
    "some_left_over": "NOT ALL OF THEM STAND",
    "complete": "ALL IS KNOWN",
    "incomplete": "NOT ALL IS KNOWN",
    "meets": "ALL KEEP TO IT",
    "waived": "WHAT DOES NOT IS LET OFF",
    "fails": "NOT ALL KEEP TO IT",
}


def heading(text: str) -> str:
    """Return a heading with a line beneath it."""
    return f"\n{text}\n{'─' * len(text)}"


def paragraph(text: str, *, indent: str = "") -> str:
    """Return text wrapped to the page."""
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))


def question(number: int, text: str) -> str:
    """Return a question with its number."""
    return "\n" + paragraph(text, indent=f"{number}  ")


def road(answer: Mapping[str, Any]) -> str | None:
    """Return the road and the train on it, drawn to one scale; None where either length is not known."""
    usable_mm, train_mm = answer.get("usable_length_mm"), answer.get("counted_length_mm")
    if not usable_mm or not train_mm:
        return None
    scale = ROAD / max(usable_mm, train_mm)
    train, whole = max(1, round(train_mm * scale)), max(1, round(usable_mm * scale))
    over = "▓" * max(0, train - whole)
    inside = "█" * min(train, whole) + "·" * max(0, whole - train)
    return f"   |{inside}|{over}  {train_mm:,.0f} mm in {usable_mm:,.0f} mm"


def verdict(answer: Mapping[str, Any]) -> str:
    """Return the verdict in capitals."""
    return f"   {_WORDS.get(answer['verdict'], answer['verdict'])}"


def reasons(answer: Mapping[str, Any], *, most: int = 6) -> Iterable[str]:
    """Yield the worst reasons, one paragraph each."""
    for reason in answer["because"][:most]:
        yield paragraph(sentence(reason["message"]), indent="   · ")


def guesses(answer: Mapping[str, Any], *, most: int = 2) -> Iterable[str]:
    """Yield what was assumed: the first few, and how many more there are."""
    assumed = answer["assumed"]
    for guess in assumed[:most]:
        yield paragraph(sentence(guess["message"]), indent="     assumed: ")
    if len(assumed) > most:
        yield f"     and {len(assumed) - most} more figures that nobody measured"


def counted(names: Iterable[str]) -> str:
    """Return names with how often each stands there.

    >>> counted(["Fish van", "Fish van", "Brake coach"])
    '2 × Fish van, Brake coach'
    """
    listed = list(names)
    once = dict.fromkeys(listed)
    return ", ".join(f"{listed.count(name)} × {name}" if listed.count(name) > 1 else name for name in once)


def sentence(text: str) -> str:
    """Return text with a capital and a full stop."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")
