"""The process that reckons: it takes one question after another from its parent, and
ends when its parent does.

Questions come in on standard input and answers go out on standard output, each pickled
and with its length before it. Only the parent holds the other ends, so that the end of
the input is the end of the parent, however that came.
"""

import os
import pickle
import signal
import struct
import sys
from collections.abc import Callable
from queue import SimpleQueue
from threading import Thread
from typing import IO, Any, Literal

from standage.api.web.journal import bare_traceback
from standage.shapes.refusals import Refusal

Question = tuple[Callable[..., Any], tuple[Any, ...]]
Answer = tuple[Literal["answered", "refused", "failed"], Any]
"""What the function returned, the refusal that it raised, or the bare traceback of any
other error.
"""

_LENGTH = struct.Struct(">Q")
_LESS_URGENT = 5


def write_frame(stream: IO[bytes], value: object) -> None:
    """Send ``value``, all of it or, where it cannot be pickled, nothing."""
    pickled = pickle.dumps(value)
    stream.write(_LENGTH.pack(len(pickled)) + pickled)
    stream.flush()


def read_frame(stream: IO[bytes]) -> bytes:
    """Return one pickled value, once it has come in whole; raises ``EOFError`` where
    the other end is gone.
    """
    (length,) = _LENGTH.unpack(_exactly(stream, _LENGTH.size))
    return _exactly(stream, length)


def _exactly(stream: IO[bytes], size: int) -> bytes:
    read = stream.read(size)
    if len(read) < size:
        raise EOFError
    return read


def work() -> None:
    """Answer until the parent is gone. A signal for the whole group is for the parent
    to follow.
    """
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(_LESS_URGENT)
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(
        sys.stderr.fileno(), sys.stdout.fileno()
    )  # whatever prints does not print between the answers
    questions = SimpleQueue[bytes]()
    Thread(
        target=_listen,
        args=(sys.stdin.buffer, questions),
        daemon=True,
    ).start()
    while True:
        _answer(answers, questions.get())


def _listen(stream: IO[bytes], questions: SimpleQueue[bytes]) -> None:
    """Take in questions; the moment that no more can come, end the process, whatever it
    is about.
    """
    try:
        while True:
            questions.put(read_frame(stream))
    finally:
        os._exit(0)


def _answer(answers: IO[bytes], question: bytes) -> None:
    try:
        write_frame(answers, _answered(question))
    except Exception as error:  # noqa: BLE001 - an answer that cannot be pickled is told like any other failure
        write_frame(answers, ("failed", bare_traceback(error)))


def _answered(question: bytes) -> Answer:
    try:
        function, arguments = pickle.loads(question)  # noqa: S301 - from our own parent
        return "answered", function(*arguments)
    except Refusal as refusal:
        return "refused", refusal
    except Exception as error:  # noqa: BLE001 - the parent is told, whatever it is
        return "failed", bare_traceback(error)


if __name__ == "__main__":
    work()
