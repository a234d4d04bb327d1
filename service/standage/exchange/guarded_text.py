"""Text that a spreadsheet would take for a formula, and how it is kept text on the way
out and in.
"""

_RISKY = ("=", "+", "-", "@", "\t", "\r", "'")
"""What a formula begins with, what hides one, and the mark itself, so that every
guarded text is read back exactly.
"""


def guarded(text: str) -> str:
    """Return ``text`` as it goes out: with a mark before it where a spreadsheet would
    reckon it.

    >>> guarded("=1+1"), guarded("47-012")
    ("'=1+1", '47-012')
    """
    if text.startswith(_RISKY):
        return f"'{text}"
    return text


def unguarded(text: str) -> str:
    """Return ``text`` as it was before it was guarded.

    >>> unguarded("'=1+1"), unguarded("'47")
    ('=1+1', "'47")
    """
    bare = text.removeprefix("'")
    if bare != text and bare.startswith(_RISKY):
        return bare
    return text
