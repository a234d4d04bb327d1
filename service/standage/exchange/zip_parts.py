"""The parts of a zipped workbook, let out only within bounds: a file from a stranger
may say anything of itself.
"""

import io
import zipfile
import zlib
from collections.abc import Iterator, Mapping

from standage.exchange.cells import unreadable

MOST_PARTS = 1000
MOST_BYTES = 40 * 1024 * 1024
"""So much may a workbook come to once it is let out: several times a list of 10,000
rows.
"""

_LOT = 256 * 1024
_OLD = b"\xd0\xcf\x11\xe0"
_MEANT_FOR_ANYTHING = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
_SAVE = "open it and save it as an ordinary XLSX, ODS or CSV file"


class Parts:
    """The parts of a workbook by their names. Everything that its directory says is
    checked before it is believed.
    """

    def __init__(self, raw: bytes) -> None:
        """Raise ``Faulty`` where it is no sound zip, or would come to too much."""
        if raw.startswith(_OLD):
            raise unreadable(
                "not_a_workbook",
                f"is of an old sort, or locked with a password: {_SAVE}",
            )
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(raw))
        except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError) as error:
            raise unreadable(
                "not_a_workbook", f"is no workbook, or not all of one: {_SAVE}"
            ) from error
        found = self._zip.infolist()
        self._infos: Mapping[str, zipfile.ZipInfo] = {
            info.filename: info for info in found
        }
        if len(found) > MOST_PARTS or len(self._infos) < len(found):
            raise unreadable(
                "too_large", f"is made of too many parts for a list of stock: {_SAVE}"
            )
        if sum(info.file_size for info in found) > MOST_BYTES:
            raise unreadable(
                "too_large",
                f"comes to more than {MOST_BYTES // 2**20} MB once it is unpacked",
            )
        _require_apart(found)
        if any(
            info.flag_bits & 1 or info.compress_type not in _MEANT_FOR_ANYTHING
            for info in found
        ):
            raise unreadable(
                "not_a_workbook",
                f"is locked with a password, or packed in a way of its own: {_SAVE}",
            )

    def __contains__(self, name: str) -> bool:
        return name in self._infos

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all parts."""
        return tuple(self._infos)

    def size(self, name: str) -> int:
        """Return how many bytes a part comes to, as the directory says; nothing for one
        that is not there.
        """
        if name not in self._infos:
            return 0
        return self._infos[name].file_size

    def lots(self, name: str) -> Iterator[bytes]:
        """Yield a part lot by lot; raises ``Faulty`` where it is not what the directory
        says of it.
        """
        info = self._infos[name]
        size = 0
        try:
            with self._zip.open(info) as part:
                while lot := part.read(_LOT):
                    size += len(lot)
                    yield lot
        except (
            zipfile.BadZipFile,
            zlib.error,
            EOFError,
            OSError,
            NotImplementedError,
        ) as error:
            raise _lying(name) from error
        if size != info.file_size:
            raise _lying(name)

    def whole(self, name: str) -> bytes:
        """Return a part whole."""
        return b"".join(self.lots(name))


def repacked(parts: Mapping[str, bytes]) -> bytes:
    """Return a zip of these parts and no others: what is read is exactly what was
    looked at.
    """
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_STORED) as pack:
        for name, part in parts.items():
            pack.writestr(zipfile.ZipInfo(name), part)
    return made.getvalue()


def _require_apart(infos: list[zipfile.ZipInfo]) -> None:
    """Raise ``Faulty`` where parts lie over each other, as only a bomb's do."""
    end = 0
    for info in sorted(infos, key=lambda one: one.header_offset):
        if info.header_offset < end:
            raise unreadable(
                "not_a_workbook",
                "has parts that lie over each other: it was not made by a spreadsheet",
            )
        end = info.header_offset + info.compress_size


def _lying(name: str) -> Exception:
    return unreadable(
        "not_a_workbook",
        f"is damaged: its part {name[:60]!r} is not what the file says of it",
    )
