"""A long answer that leaves lot by lot: written out whole before its first byte is
sent, and never whole in memory.
"""

import hashlib
import logging
from collections.abc import Iterable, Iterator
from contextlib import suppress
from tempfile import SpooledTemporaryFile

from standage.shapes.refusals import Unready

log = logging.getLogger(__name__)

_MOST_IN_MEMORY = 1024 * 1024
_LOT = 256 * 1024
_NO_ROOM = (
    "the temporary folder of the service is full or cannot be written to, so that this"
    " long answer could not be gathered; whoever runs the service must make room there"
)


class Spooled:
    """An answer's bytes: in memory where they are few, else in a file without a name
    that ends with the answer.
    """

    def __init__(self, pieces: Iterable[bytes]) -> None:
        """Take every piece in; what they come from is not needed any more then.

        Raises ``Unready`` where there is no room for them.
        """
        digest = hashlib.sha256()
        self._file = SpooledTemporaryFile(max_size=_MOST_IN_MEMORY)  # noqa: SIM115 - closed once it has been sent
        self.size = 0
        try:
            for piece in pieces:
                digest.update(piece)
                self.size += len(piece)
                self._keep(piece)
            self._keep(b"", last=True)
        except BaseException:
            self.drop()
            raise
        self.etag = f'"{digest.hexdigest()[:32]}"'

    def _keep(self, piece: bytes, *, last: bool = False) -> None:
        try:
            self._file.write(piece)
            if last:
                self._file.flush()
        except OSError as error:
            log.warning(
                "a long answer found no room in the temporary folder", exc_info=error
            )
            raise Unready(_NO_ROOM) from error

    def lots(self) -> Iterator[bytes]:
        """Yield the bytes."""
        self._file.seek(0)
        while lot := self._file.read(_LOT):
            yield lot

    def drop(self) -> None:
        """Let go of the answer, sent or not."""
        with suppress(OSError):  # what there was no room for is asked for once more
            self._file.close()
