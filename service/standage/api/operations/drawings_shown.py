"""Drawings as answers: SVG, with leave for the style that says on what paper it prints.

An answer's policy lets no style in, and a browser that is pointed at a drawing would
then print it on whatever paper is in its settings.
"""

import re
from base64 import b64encode
from hashlib import sha256

from standage.api.web.call import SVG, Reply
from standage.api.web.outermost_layer import CLOSED_POLICY

_STYLE = re.compile(r"<style>([^<]*)</style>")


def shown(drawing: str) -> Reply:
    """Answer with a drawing. Its own styles alone are let in, by what they hold."""
    styles = dict.fromkeys(_STYLE.findall(drawing))
    headers: tuple[tuple[str, str], ...] = ()
    if styles:
        name, closed = (part.decode() for part in CLOSED_POLICY)
        sources = " ".join(map(_source, styles))
        headers = ((name, f"{closed}; style-src {sources}"),)
    return Reply(
        content=drawing.encode(),
        media_type=SVG,
        headers=headers,
    )


def _source(style: str) -> str:
    """Return a style as a policy names it. **Source** CSP Level 3, section 2.3.1."""
    digest = sha256(style.encode()).digest()
    return f"'sha256-{b64encode(digest).decode()}'"
