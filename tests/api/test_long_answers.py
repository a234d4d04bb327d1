"""Documents leave lot by lot: as long as they say, the same as the whole, and never
whole in memory.
"""

import asyncio
import json
import resource
import tempfile
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from api.asking import Caller, refusal
from standage.api.asking.routes import send_out
from standage.api.web import spooled_answers
from standage.api.web.call import Sent
from standage.api.web.spooled_answers import Spooled
from standage.shapes.refusals import Unready

PIECE = b"x" * 100_000


@pytest.fixture
def small_lots(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a short document be a long one."""
    monkeypatch.setattr(spooled_answers, "_MOST_IN_MEMORY", 100)
    monkeypatch.setattr(spooled_answers, "_LOT", 100)


@pytest.mark.usefixtures("small_lots")
def test_a_club_leaves_in_many_lots_as_long_as_it_says_and_tagged(
    steward: Caller,
) -> None:
    for number in range(3):
        steward.made("/v1/vehicles", {"name": f"Wagon {number} of the quay"})
    answer = steward.ask("GET", "/v1/club/document")
    assert answer.status_code == 200
    assert answer.headers.get_list("content-length") == [str(len(answer.content))]
    assert answer.headers["content-type"] == "application/json"
    assert len(answer.content) > 10 * 100
    names = [
        one["body"].get("name", "") for one in json.loads(answer.content)["records"]
    ]
    assert len([name for name in names if name.endswith("of the quay")]) == 3
    head = steward.ask("HEAD", "/v1/club/document")
    assert (head.status_code, head.content) == (200, b"")
    assert (head.headers["etag"], head.headers["content-length"]) == (
        answer.headers["etag"],
        answer.headers["content-length"],
    )
    again = steward.ask(
        "GET", "/v1/club/document", if_none_match=answer.headers["etag"]
    )
    assert (again.status_code, again.content) == (304, b"")
    steward.made("/v1/vehicles", {"name": "Another wagon"})
    assert (
        steward.ask(
            "GET", "/v1/club/document", if_none_match=answer.headers["etag"]
        ).status_code
        == 200
    )


def test_no_more_than_a_few_lots_are_ever_in_memory() -> None:
    tracemalloc.start()
    try:
        answer = Spooled(PIECE for _ in range(300))
        assert sum(len(lot) for lot in answer.lots()) == answer.size == 300 * len(PIECE)
        answer.drop()
        assert tracemalloc.get_traced_memory()[1] < 4 * 2**20
    finally:
        tracemalloc.stop()


@pytest.mark.usefixtures("small_lots")
def test_nothing_is_kept_of_an_answer_that_the_caller_did_not_wait_for() -> None:
    """As a server says it that cannot send any more."""
    answer = Spooled(PIECE for _ in range(3))
    sent = Sent(status=200, headers=(), body=b"", spooled=answer)
    messages: list[str] = []

    async def send(message: Any) -> None:
        messages.append(message["type"])
        if len(messages) == 3:
            raise ConnectionResetError

    with pytest.raises(ConnectionResetError):
        asyncio.run(send_out(sent, send))
    assert messages == [
        "http.response.start",
        "http.response.body",
        "http.response.body",
    ]
    with pytest.raises(ValueError, match="closed file"):
        next(answer.lots())


def test_what_cannot_be_gathered_whole_is_not_sent_at_all() -> None:
    def torn() -> Iterator[bytes]:
        yield PIECE
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        Spooled(torn())


@pytest.fixture
def no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let there be no temporary folder any more."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))


@pytest.fixture
def full_folder() -> Iterator[None]:
    """Let no file of this process grow, as on a full disk."""
    soft, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1_000_000, most))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, most))


@pytest.mark.usefixtures("small_lots", "no_folder")
def test_a_document_that_finds_no_temporary_folder_is_a_problem_that_says_so(
    steward: Caller,
) -> None:
    response = steward.ask("GET", "/v1/club/document")
    assert "temporary folder" in refusal(response, 503, "unready")["detail"]
    assert int(response.headers["retry-after"]) > 0


@pytest.mark.parametrize(
    "pieces", [[PIECE] * 11, [b"x" * 1_000_001], [b"x" * 1_000_000, b"x"]]
)
@pytest.mark.usefixtures("small_lots", "full_folder")
def test_no_room_for_a_long_answer_is_found_out_before_any_of_it_is_sent(
    pieces: list[bytes],
) -> None:
    with pytest.raises(Unready, match="temporary folder of the service is full"):
        Spooled(pieces)
