"""JSON read strictly: a key that an object has twice is always refused, and one that
only looks so never is.

The oracle counts the pairs of every object as the standard library reads them, and
writes texts out by hand, so that a key can come twice at all.
"""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.shapes.json_text import NotJsonError, parse, require_each_key_once

KEYS = st.sampled_from(["a", "b", ":", 'a":', "a:b", "\\", '"', "é", "", "a\\u003a"])
TEXTS = KEYS | st.text(max_size=6)
LEAVES = TEXTS | st.integers(-9, 9) | st.floats(-9, 9) | st.booleans() | st.none()


def written(value: Any, *, escapes: bool) -> str:
    """Return JSON; a list of pairs is an object, and any letter may be escaped."""
    if isinstance(value, tuple):
        pairs = (
            f"{written(name, escapes=escapes)} : {written(one, escapes=escapes)}"
            for name, one in value
        )
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(written(one, escapes=escapes) for one in value) + "]"
    if isinstance(value, str) and escapes:
        return '"' + "".join(f"\\u{unit:04x}" for unit in _units(value)) + '"'
    return json.dumps(value, ensure_ascii=escapes)


def _units(text: str) -> list[int]:
    raw = text.encode("utf-16-be")
    return [int.from_bytes(raw[at : at + 2], "big") for at in range(0, len(raw), 2)]


VALUES = st.recursive(
    LEAVES,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.lists(st.tuples(TEXTS, inner), max_size=4).map(tuple)
    ),
    max_leaves=12,
)


def has_a_key_twice(text: str) -> bool:
    found: list[bool] = []

    def noted(pairs: list[tuple[str, Any]]) -> None:
        names = [name for name, _ in pairs]
        found.append(len(names) > len(set(names)))

    json.loads(text, object_pairs_hook=noted)
    return any(found)


@given(value=VALUES, escapes=st.booleans())
def test_an_object_with_a_key_twice_is_refused_and_no_other(
    *, value: Any, escapes: bool
) -> None:
    text = written(value, escapes=escapes)
    if not has_a_key_twice(text):
        require_each_key_once(text.encode())
        return
    for read in (require_each_key_once, parse):
        with pytest.raises(NotJsonError, match="stands twice in one object"):
            read(text.encode())


@pytest.mark.parametrize(
    "text",
    [
        '{"a": 1, "a": 1}',
        '[{"b": {"a": 1, "a": 2}}]',
        r'{"a": 1, "\u0061": 2}',
        r'{"a": 1, "a": 2, "b": "\u003a"}',
        '{"a:": 1, "a:": 2}',
        '{"": 0, "": 0}',
    ],
)
def test_a_key_twice_is_found_however_it_is_written(text: str) -> None:
    with pytest.raises(NotJsonError, match="write it once"):
        require_each_key_once(text.encode())
