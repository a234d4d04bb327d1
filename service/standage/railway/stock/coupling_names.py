"""Names of couplings as people write them: hyphens, spaces, letter case and the word
coupling make no difference.
"""

from standage.shapes.remembering import remembered

_ENDINGS = ("couplings", "coupling", "couplers", "coupler")


@remembered()
def bare(name: str) -> str:
    """Return what is compared of a coupling's name; never nothing, unless the name has
    neither letter nor figure. **Source** derived.

    >>> bare("Tension-lock coupling"), bare("tension lock"), bare("Hook & bar"), bare("Coupler")
    ('tensionlock', 'tensionlock', 'hookandbar', 'coupler')
    """
    said = name.casefold().replace("&", " and ").replace("+", " and ")
    whole = "".join(letter for letter in said if letter.isalnum())
    for ending in _ENDINGS:
        if whole.endswith(ending) and whole != ending:
            return whole.removesuffix(ending)
    return whole or said
