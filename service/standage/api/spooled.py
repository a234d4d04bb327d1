"""A long answer that leaves lot by lot: written out whole before its first byte is sent, and never whole in memory."""

import hashlib
from collections.abc import Iterable, Iterator
from tempfile import SpooledTemporaryFile

_MOST_IN_MEMORY = 1024 * 1024
_LOT = 256 * 1024


class Spooled:
    """An answer's bytes: in memory where they are few, else in a file without a name that ends with the answer."""

    def __init__(self, pieces: Iterable[bytes]) -> None:
        """Take every piece in; what they come from is not needed any more then."""
        digest = hashlib.sha256()
        self._file = SpooledTemporaryFile(max_size=_MOST_IN_MEMORY)  # noqa: SIM115 - closed once it has been sent
        self.size = 0
        try:
            for piece in pieces:
                digest.update(piece)
                self.size += self._file.write(piece)
        except BaseException:
            self._file.close()
            raise
        self.etag = f'"{digest.hexdigest()[:32]}"'

    def lots(self) -> Iterator[bytes]:
        """Yield the bytes."""
        self._file.seek(0)
        while lot := self._file.read(_LOT):
            yield lot

    def drop(self) -> None:
        """Let go of the answer, sent or not."""
        self._file.close()
