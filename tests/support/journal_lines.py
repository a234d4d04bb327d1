"""What the service logs, as it leaves: each line read back."""

import io
import json
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from standage.api.web.journal import JsonLines, Lines

Line = dict[str, Any]


class Written:
    """What was logged so far."""

    def __init__(self, stream: io.StringIO) -> None:
        self._stream = stream

    @property
    def text(self) -> str:
        return self._stream.getvalue()

    def lines(self, event: str | None = None) -> list[Line]:
        """Return the lines, or those of one event."""
        return read(self.text, event)


def read(text: str, event: str | None = None) -> list[Line]:
    """Return lines as they were logged, each a JSON object; those of one event where it
    is given.
    """
    lines = [json.loads(line) for line in text.splitlines()]
    return [line for line in lines if event in {None, line["event"]}]


@contextmanager
def logged(formatter: logging.Formatter | None = None) -> Iterator[Written]:
    """Give what is logged within, in the form in which the service logs."""
    stream = io.StringIO()
    handler = Lines(stream)
    handler.setFormatter(formatter or JsonLines())
    root, ours = logging.getLogger(), logging.getLogger("standage")
    before = ours.level
    root.addHandler(handler)
    ours.setLevel(logging.INFO)
    try:
        yield Written(stream)
    finally:
        root.removeHandler(handler)
        ours.setLevel(before)
