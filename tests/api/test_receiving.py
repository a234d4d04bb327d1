"""A body is received in bounds: of itself, of all at once, and of time."""

from collections.abc import Awaitable, Callable, Iterable
from functools import partial
from typing import Any

import anyio
import anyio.lowlevel
import pytest
from anyio.abc import TaskStatus

from standage.api.web import receiving
from standage.api.web.outermost_layer import has_body, require_one_reading
from standage.api.web.problems import Rejected
from standage.api.web.receiving import LARGE_BYTES, Intake, may_be_large
from standage.shapes.refusals import Busy

SMALL, LARGE = LARGE_BYTES, LARGE_BYTES + 1
Headers = Iterable[tuple[bytes, bytes]]


def scope(*headers: tuple[bytes, bytes], version: str = "1.1") -> Any:
    return {"type": "http", "http_version": version, "headers": list(headers)}


def sending(*parts: bytes, ends: bool = True) -> Callable[[], Awaitable[Any]]:
    """Return what gives one part after another, and then nothing for ever, unless the
    body ends.
    """
    left = list(parts)

    async def receive() -> Any:
        if not left:
            await anyio.sleep_forever()
        part = left.pop(0)
        return {
            "type": "http.request",
            "body": part,
            "more_body": bool(left) or not ends,
        }

    return receive


async def received(
    intake: Intake, receive: Callable[[], Awaitable[Any]], *, most_bytes: int = SMALL
) -> bytes:
    with intake.held(is_known=most_bytes == LARGE) as held:
        return await intake.body(
            scope((b"transfer-encoding", b"chunked")),
            receive,
            held,
            most_bytes=most_bytes,
        )


def run(work: Callable[[], Awaitable[Any]]) -> Any:
    return anyio.run(work)


def test_the_parts_of_a_body_are_put_together() -> None:
    assert (
        run(partial(received, Intake(), sending(b'{"na', b'me": ', b'"Van"}')))
        == b'{"name": "Van"}'
    )


def test_a_request_without_a_body_waits_for_none() -> None:
    assert not has_body(scope())
    assert not has_body(scope((b"content-length", b"0")))
    assert has_body(scope((b"content-length", b"1")))
    assert has_body(scope((b"transfer-encoding", b"chunked")))


def test_a_body_that_stays_away_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(receiving, "LONGEST_SILENCE_S", 0.05)
    with pytest.raises(Rejected) as rejected:
        run(partial(received, Intake(), sending(b"{", ends=False)))
    assert rejected.value.sort_code == "too_slow"


def test_a_body_that_trickles_is_given_up_as_a_whole(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(receiving, "LONGEST_BODY_S", 0.1)

    async def trickle() -> Any:
        await anyio.sleep(0.02)
        return {"type": "http.request", "body": b" ", "more_body": True}

    with pytest.raises(Rejected) as rejected:
        run(partial(received, Intake(), trickle))
    assert rejected.value.sort_code == "too_slow"


@pytest.mark.parametrize(
    ("most_bytes", "share"), [(SMALL, "anybody"), (LARGE, "known")]
)
def test_of_all_bodies_together_only_so_much_is_held(
    most_bytes: int, share: str
) -> None:
    intake = Intake()
    getattr(intake, share).most_bytes = 100

    async def two() -> None:
        with intake.held(is_known=most_bytes == LARGE) as held:
            chunked = scope((b"transfer-encoding", b"chunked"))
            assert (
                await intake.body(
                    chunked, sending(b"x" * 60), held, most_bytes=most_bytes
                )
                == b"x" * 60
            )
            with pytest.raises(Busy):
                await received(intake, sending(b"y" * 41), most_bytes=most_bytes)
            assert (
                await received(intake, sending(b"z" * 40), most_bytes=most_bytes)
                == b"z" * 40
            )
        assert (
            await received(intake, sending(b"y" * 100), most_bytes=most_bytes)
            == b"y" * 100
        )

    run(two)
    assert getattr(intake, share).held_bytes == 0


def test_small_bodies_of_anybody_leave_room_for_large_ones_of_the_known() -> None:
    intake = Intake()
    intake.anybody.most_bytes = 0
    assert (
        run(partial(received, intake, sending(b"sheet"), most_bytes=LARGE)) == b"sheet"
    )
    with pytest.raises(Busy):
        run(partial(received, intake, sending(b"{}")))


def test_whoever_is_sending_when_the_service_stops_is_told() -> None:
    intake = Intake()
    ended: list[str] = []

    async def send(
        *, task_status: TaskStatus[None] = anyio.TASK_STATUS_IGNORED
    ) -> None:
        task_status.started()
        try:
            await received(intake, sending(b"{", ends=False))
        except Busy as busy:
            ended.append(str(busy))

    async def stop() -> None:
        async with anyio.create_task_group() as tasks:
            await tasks.start(send)
            await anyio.lowlevel.checkpoint()
            intake.cut_off()
        with pytest.raises(Busy):
            await received(intake, sending(b"{}"))

    run(stop)
    assert ended == ["The service is stopping."]


def test_what_is_refused_as_too_large_is_read_a_little() -> None:
    taken: list[int] = []

    async def receive() -> Any:
        taken.append(1000)
        return {
            "type": "http.request",
            "body": b"x" * 1000,
            "more_body": len(taken) < 20,
        }

    with pytest.raises(Rejected) as rejected:
        run(partial(received, Intake(), receive, most_bytes=5000))
    assert rejected.value.sort_code == "too_large"
    assert len(taken) == 20


@pytest.mark.parametrize(
    "headers",
    [
        ((b"host", b"a"), (b"host", b"b")),
        ((b"host", b"a"), (b"host", b"a")),
        (),
        ((b"host", b""),),
        (
            (b"host", b"a"),
            (b"content-length", b"3"),
            (b"transfer-encoding", b"chunked"),
        ),
        ((b"host", b"a"), (b"content-length", b"3"), (b"content-length", b"4")),
    ],
)
def test_what_can_be_read_in_two_ways_is_refused(headers: Headers) -> None:
    with pytest.raises(Rejected) as rejected:
        require_one_reading(scope(*headers))
    assert rejected.value.sort_code == "malformed"


def test_what_can_be_read_in_one_way_is_let_through() -> None:
    require_one_reading(scope((b"host", b"a"), (b"content-length", b"3")))
    require_one_reading(scope((b"host", b"a"), (b"transfer-encoding", b"chunked")))


@pytest.mark.parametrize(
    ("headers", "large"),
    [
        ({b"content-length": str(LARGE_BYTES).encode()}, False),
        ({b"content-length": str(LARGE_BYTES + 1).encode()}, True),
        ({b"content-length": b"9" * 40}, True),
        ({b"content-length": b"a lot"}, True),
        ({b"transfer-encoding": b"chunked"}, True),
        ({}, False),
    ],
)
def test_a_body_may_be_large_unless_it_is_said_to_be_small(
    headers: dict[bytes, bytes], *, large: bool
) -> None:
    assert may_be_large(headers) is large
