"""Passphrases: kept as argon2id hashes, and told from others by hashing."""

import unicodedata
from base64 import b64encode

from argon2 import PasswordHasher
from argon2.exceptions import VerifyMismatchError

MEMORY_KIB = 19 * 1024
PASSES = 2
"""**Source** the least that common guidance asks of argon2id with one lane: 19 MiB and
two passes.
"""

_SALT_BYTES = 16
_HASH_BYTES = 32


class Hasher:
    """Hashes passphrases; each hash takes some hundredths of a second and
    ``memory_kib``.
    """

    def __init__(self, *, memory_kib: int = MEMORY_KIB, passes: int = PASSES) -> None:
        self._argon = PasswordHasher(
            time_cost=passes,
            memory_cost=memory_kib,
            parallelism=1,
            hash_len=_HASH_BYTES,
            salt_len=_SALT_BYTES,
        )
        salt, nothing = (
            b64encode(bytes(size)).decode().rstrip("=")
            for size in (_SALT_BYTES, _HASH_BYTES)
        )
        self._of_nobody = (
            f"$argon2id$v=19$m={memory_kib},t={passes},p=1${salt}${nothing}"
        )

    def hash(self, passphrase: str) -> str:
        """Return the hash of a passphrase, with a salt of its own."""
        return self._argon.hash(_as_typed(passphrase))

    def verify(self, hashed: str | None, passphrase: str) -> bool:
        """Tell whether it is the passphrase of that hash; for nobody's, ``None``, it
        takes as long and is not.
        """
        try:
            return self._argon.verify(
                self._of_nobody if hashed is None else hashed, _as_typed(passphrase)
            )
        except VerifyMismatchError:
            return False


def _as_typed(passphrase: str) -> str:
    """Return the passphrase in one form, however a keyboard composes its characters."""
    return unicodedata.normalize("NFKC", passphrase)
