"""A JSON document read part by part: its plain fields, and the elements of its lists
one after the other.

No more is in memory than one element and a lot of the file.
"""

import codecs
import json
from collections.abc import Iterable, Iterator
from typing import Any

from standage.exchange.cells import unreadable

MOST_BYTES = 64 * 1024 * 1024
MOST_OF_AN_ELEMENT = 4 * 1024 * 1024
"""A change of a plan holds it twice, before and after, of up to 1 MB each."""
_SPACE = " \t\r\n"
Part = tuple[str, Any]


def parts(lots: Iterable[bytes]) -> Iterator[Part]:
    """Yield each field of a JSON object by its name; of a field that is a list, each
    element by itself.

    Raises ``Faulty`` where it is no such document, is longer than ``MOST_BYTES``, or
    has an element too large.
    """
    text = _Text(lots)
    text.expect("{")
    if text.peek() == "}":
        text.take()
    else:
        while True:
            name = text.value()
            if not isinstance(name, str):
                raise _no_document("a field has no name")
            text.expect(":")
            if text.peek() == "[":
                yield from ((name, element) for element in text.elements())
            else:
                yield name, text.value()
            if text.take() == "}":
                break
    if text.peek() != "":
        raise _no_document("something follows its end")


class _Text:
    """What is not yet read of the document, as far as it has come in."""

    def __init__(self, lots: Iterable[bytes]) -> None:
        self._lots = iter(lots)
        self._decode = codecs.getincrementaldecoder("utf-8")()
        self._json = json.JSONDecoder(parse_constant=_no_constant)
        self._buffer = ""
        self._at = 0
        self._size = 0
        self._ended = False

    def peek(self) -> str:
        """Return the next character that is no space, without taking it; nothing at the
        end.
        """
        while True:
            while self._at < len(self._buffer) and self._buffer[self._at] in _SPACE:
                self._at += 1
            if self._at < len(self._buffer):
                return self._buffer[self._at]
            if not self._more():
                return ""

    def take(self) -> str:
        """Take the next character that is no space: a comma or a closing bracket."""
        found = self.peek()
        if found not in {",", "}", "]"}:
            raise _no_document("a comma or a bracket is missing")
        self._at += 1
        return found

    def expect(self, mark: str) -> None:
        """Take one mark and no other."""
        if self.peek() != mark:
            raise _no_document(f"{mark!r} is missing")
        self._at += 1

    def value(self) -> Any:
        """Take one whole value."""
        self.peek()
        while True:
            try:
                found, end = self._json.raw_decode(self._buffer, self._at)
            except (ValueError, RecursionError) as error:
                if (
                    len(self._buffer) - self._at > MOST_OF_AN_ELEMENT
                    or not self._more()
                ):
                    raise _no_document(
                        "one of its parts is no sound JSON, or far too large"
                    ) from error
                continue
            if end == len(self._buffer) and self._more():
                continue  # a number may go on
            self._at = end
            return found

    def elements(self) -> Iterator[Any]:
        """Take a list, element by element."""
        self.expect("[")
        if self.peek() == "]":
            self._at += 1
            return
        while True:
            yield self.value()
            mark = self.take()
            if mark == "]":
                return
            if mark != ",":
                raise _no_document("a list does not end as it began")

    def _more(self) -> bool:
        """Take another lot in; tell whether there was one."""
        if self._ended:
            return False
        lot = next(self._lots, None)
        self._size += len(lot or b"")
        if self._size > MOST_BYTES:
            raise unreadable(
                "too_large", f"the file is longer than {MOST_BYTES // 2**20} MB"
            )
        try:
            more = self._decode.decode(lot or b"", final=lot is None)
        except UnicodeDecodeError as error:
            raise _no_document("it is not in UTF-8") from error
        self._buffer, self._at = self._buffer[self._at :] + more, 0
        self._ended = lot is None
        return not self._ended


def _no_constant(name: str) -> Any:
    message = f"{name} is no JSON"
    raise ValueError(message)


def _no_document(why: str) -> Exception:
    return unreadable(
        "not_a_document", f"the file cannot be read as a club's document: {why}"
    )
