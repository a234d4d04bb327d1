"""What every room shares: figures, scales, lengths as people write them, and how
figures are put into words.

Reading order: ``senses`` and ``figures`` (what is asked for: bounds, units, senses;
whether a length goes into its room; figures in words), ``scales`` and ``nem`` (what the
standards say), ``reasons`` (what stands behind an answer, guesses among it); then what
people write: ``lengths``, ``spellings``, ``synonyms``, ``understanding``,
``look_alikes``.

Words. A *figure* is a number with its unit; its *sense* is what it is about. *Dust* is
what binary fractions are off by, and a *tidied* figure is without it. A *grain* is a
millionth of a millimetre. A *guess* is a figure that nobody measured, and is told as
*assumed*; a *reason* is why a verdict is what it is. What was *heard* is what was sent,
in our own words.

Decisions, each with the test that holds it:

- Lengths are compared in one place, to a millionth of a millimetre: what is equal fits.
  Figures are tidied before they are added up, and searches add up whole millionths, so
  that a search, its answer and the figures shown cannot differ at equality:
  tests/laws/test_equal_lengths_laws.py, in exact fractions.
- A figure's sense stands in its type, and no document shows it:
  tests/questions/test_senses_of_figures.py, tests/contract/test_document.py.
- A ± is printed rounded up, and beside a spare both figures have as many places as show
  what the verdict says of them; what is printed lies on the side of its limit on which
  it is judged: tests/api/test_messages.py and the examples in ``figures``.
- Lengths beside a scale: feet, yards and metres are the full size's, which the answer
  says; inches and millimetres stand. A lone point is decimal, which is said where three
  figures follow it; a comma before three figures is refused:
  tests/laws/test_length_laws.py, tests/railway/terms/test_lengths.py.
- A choice is understood however it is spelt, and kept in its own word: "OO9" is 009.
  Spellings are looked at only where a body is none as it stands. What may mean two
  (1:22.5) is a fault that lists the names: tests/railway/terms/test_spellings.py.
- Other words for one thing are put into ours in one walk, and only where ours do not
  do: what is sound takes no longer, and no word of ours changes its meaning. Faults
  point to the words that were sent: tests/railway/terms/test_understanding.py.
- EM is 18.2 mm, as it is laid today; the British bureau of 1950 had 18.0:
  tests/published/test_scales_published.py.
- A height for scales that NEM 102 does not have is the nearest size's, brought to the
  scale and rounded up; American stock's is 6.15 m of full size, double-stacked
  containers being about, in a helix as under a bridge:
  tests/published/test_nem_published.py.
- **What nobody sees is refused in a name that is sent** (``shapes/plain_text``): bidi
  controls, C1, line breaks, noncharacters and all that is default-ignorable, but for
  joiners within emoji and scripts that need them. So no two names differ by what does
  not show, and the key of a name needs to drop nothing. It is a rule, not a pattern:
  what is on record is read as it is.
"""
