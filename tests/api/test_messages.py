"""What people read: short, plain, true. All texts in the code, the examples and a
thousand answers are looked at.

A message is read by somebody in a noisy hall. So it is at most 200 characters long, it
counts as people do, nothing in it is too long by nothing at all, and none of its words
is mannered.
"""

import ast
import json
import os
import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from random import Random
from typing import Any

import msgspec
import pytest

from api.declared import DECLARED
from api.ground import OPERATIONS
from standage.api.web.call import Call
from standage.api.web.operation import Reads
from standage.questions.question import Question
from standage.registry.records.record import UNCONDITIONAL
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.asked_at_random import asked
from support.clubs import NOW
from support.walks import at_each

SERVICE = Path(__file__).parents[2] / "service" / "standage"
LONGEST = 200
ID = re.compile(r"[0-9a-f]{8}-(?:[0-9a-f]{4}-){3}[0-9a-f]{12}")
DRAWN = int(os.environ.get("STANDAGE_DRAWN", "60"))
"""Bodies for each question; a curve's couplings take half a second each, so there are
fewer of those.
"""
FEWER = {"checkCurve": 15, "dealShuntingPuzzle": 20, "checkEveryTrain": 20}

ASKED = {
    name: one
    for name, one in DECLARED.items()
    if isinstance(one, Question) and one.asked_by == "body"
}

MANNERED = [
    r"came to grief",
    r"a train of nothing",
    r"clear in the face",
    r"put (?:the|a) mapping",
    r"tried harder",
    r"\bcome to meet\b",
    r"is told of",
    r"nobody (?:need|can) be told",
    r"\bit were\b",
    r"was seen to",
    r"by its maker's word",
    r"taken for granted",
    r"more than the curve is across",
    r"taken to take hold",
    r"of no said type",
    r"have the word\b",
    r"no low voltage",
    r"else visitors",
    r"by eye, it is taken",
    r"what it is to hold",
    r"stands nowhere",
    r"its budget",
    r"\bis a wall\b",
    r"to its like",
    r"asked of it",
    r"never was one",
    r"out of all reason",
    r"that does not let anybody in",
    r"lies? beneath nothing",
    r"begin anew",
    r"\banew\b",
    r"whatever it was sent as",
    r"\bhearken|\bwhilst\b|\bthereof\b|\bhence\b|\bupon\b",
]
"""Turns of phrase that were once in messages, and that a member would have to read
twice.
"""

ALL_MANNERED = re.compile("|".join(MANNERED), re.IGNORECASE)
"""To look for each by itself in every sentence takes long."""

_MANY = (
    "vehicles|trains|wagons|roads|pairs|visits|couplings|cuts|steps|axles|parts|coaches|modules|tracks|pins|figures|"
    "rows|places|sidings|things|columns|bodies|engines|others|records|changes|characters|spots|turns|reasons|moves"
)
_ONE = "vehicle|train|wagon|road|pair|visit|coupling|cut|part|coach|engine|row"
_ALONE = r"(?<![\d.,:/-])1"
MISCOUNTED = re.compile(
    rf"{_ALONE} (?:{_MANY})\b(?! of)"
    rf"|{_ALONE} (?:{_ONE})\b(?: \w+){{0,6}} (?:come|are|stand|run|fit)\b"
    rf"|(?<![\d.,])(?:[02-9]|[1-9]\d+) (?:{_ONE})\b"
    r"|\b(?:[2-9]|[1-9]\d+) (?:vehicles|trains|wagons|engines)\b"
    r" [^,;:]*?\b(?:comes|hauls|stands clear)\b"
)
NOTHING_AT_ALL = re.compile(
    r"(?<![\d.,])0(?:\.0+)? mm (?:too|less|more|short|missing|aside, |of step)"
)
MINUS_NOTHING = re.compile(r"(?<![\w.])-0(?:\.0+)?(?![\d.])")
UNMADE = re.compile(
    r"(?<!/)\{|(?<!_id)\}|\bNone\b|\bnan\b|\binf\b|\bTrue\b|\bFalse\b|  | ,|\bmm mm\b"
)


def sentences(value: Any) -> Iterator[str]:
    """Yield everything in an answer, or in a problem, that is written for people."""
    if isinstance(value, dict):
        for name, part in value.items():
            if name in {"message", "mend", "detail", "not_searched"} and isinstance(
                part, str
            ):
                yield part
            elif name == "cautions":
                yield from (
                    one if isinstance(one, str) else one["message"] for one in part
                )
            else:
                yield from sentences(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from sentences(part)


def amiss(sentence: str) -> list[str]:
    """Return what is wrong with a sentence."""
    found = ALL_MANNERED.findall(sentence)
    rules = {
        "counts": MISCOUNTED,
        "is nothing": NOTHING_AT_ALL,
        "is minus nothing": MINUS_NOTHING,
        "is unmade": UNMADE,
    }
    found += [why for why, rule in rules.items() if rule.search(sentence)]
    # an address is copied, not read: its ids do not count
    read = ID.sub("…", sentence)
    return [*found, *(["is too long"] if len(read) > LONGEST else [])]


def told(operation_id: str, body: dict[str, Any]) -> Any:
    """Return what the question answers, or the faults it finds, as it is written
    out.
    """
    operation = OPERATIONS[operation_id]
    assert isinstance(operation.act, Reads)
    assert operation.takes.body is not None
    try:
        request: Any = convert(body, operation.takes.body)
        call = Call(
            permit=None,
            path={},
            query=None,
            body=request,
            if_match=UNCONDITIONAL,
            now=NOW,
        )
        answer = operation.act.report(operation.act.gather(None, call)).content
    except Faulty as faulty:
        return [{"message": fault.message} for fault in faulty.faults]
    return msgspec.to_builtins(answer)


def literals() -> Iterator[tuple[str, str]]:
    """Yield every text in the code but docstrings, with the place where it stands; what
    is filled in is a mark.
    """
    for file in sorted(SERVICE.rglob("*.py")):
        nodes = list(ast.walk(ast.parse(file.read_text(encoding="utf-8"))))
        documentation = {
            id(node.value)
            for node in nodes
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        }
        for node in nodes:
            where = f"{file.relative_to(SERVICE)}:{getattr(node, 'lineno', 0)}"
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in documentation
            ):
                yield where, node.value
            if isinstance(node, ast.JoinedStr):
                yield (
                    where,
                    "".join(
                        str(part.value) if isinstance(part, ast.Constant) else "…"
                        for part in node.values
                    ),
                )


def test_no_text_in_the_code_is_mannered() -> None:
    found = [
        (where, phrase)
        for where, text in literals()
        for phrase in ALL_MANNERED.findall(text)
    ]
    assert found == []


def test_every_example_is_short_plain_and_counts_as_people_do() -> None:
    examples = json.loads(
        files("standage.api.document")
        .joinpath("examples.json")
        .read_text(encoding="utf-8")
    )
    found = {
        sentence: wrong
        for sentence in sentences(examples)
        if (wrong := amiss(sentence))
    }
    assert found == {}
    assert len(set(sentences(examples))) > 100


@at_each("operation_id", ASKED)
def test_whatever_is_asked_the_answer_is_short_plain_and_counts_as_people_do(
    operation_id: str,
) -> None:
    question, random = ASKED[operation_id], Random(f"{operation_id} in a noisy hall")
    found: dict[str, list[str]] = {}
    said = 0
    for _ in range(FEWER.get(operation_id, DRAWN)):
        body = asked(random, question)
        for sentence in sentences(told(operation_id, body)):
            said += 1
            if wrong := amiss(sentence):
                found[sentence] = wrong
    assert found == {}
    assert said > 0


def test_every_inline_question_is_asked() -> None:
    inline = {
        one.id
        for one in OPERATIONS.values()
        if one.path.startswith("/v1/checks/")
        and one.answers.media_type == "application/json"
        and not one.takes.files
    }
    assert set(ASKED) == inline


@pytest.mark.parametrize(
    "sentence",
    [
        "1 vehicles behind Engine come to 607 mm",
        "1 vehicle behind Harbour tank engine come to 607 mm pulled out",
        "2 vehicle stand clear",
        "the train is 0 mm too long for Dock",
        "the spare is -0 mm",
        "the train came to grief on a radius of 400 mm",
        "x" * 201,
        "the train is {spare} mm long",
    ],
)
def test_the_rules_find_what_they_are_for(sentence: str) -> None:
    assert amiss(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "1 vehicle behind Harbour tank engine comes to 607 mm pulled out",
        "the mean is 2.50 % (1 in 40)",
        "10 vehicles come to 1182 mm, give or take 0.5 mm",
        "one engine hauls between 3 and 11 vehicles",
        "the train stands clear with 0 mm to spare",
    ],
)
def test_sound_sentences_pass(sentence: str) -> None:
    assert amiss(sentence) == []
