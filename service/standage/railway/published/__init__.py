"""Tables of standards as they are published, as data: a second opinion beside the
arithmetic.

Reading order: ``tables`` (a standard, and what looking a figure up can come to), then
one small file a standard, by its number; ``full_size`` (a standard of the full size in
a model's scale), and by it ``platforms``, ``fixed_clearances``, ``wires`` and
``loading_gauges``.

Words. A *row* is one figure of a table with the words that it is found by. A figure is
*held*, *not held* where no row is just what was asked, and *not allowed* where the
table itself says so. A standard that was not read itself, but in somebody's quotation
of it, is *as quoted*.

Decisions, each with the test that holds it:

- Only rows that are published are here. Nothing is taken from between two of them, from
  a scale that is nearly the same, nor worked out: tests/railway/published/test_tables.py.
- A table never decides: it stands beside what geometry says, with the difference:
  tests/railway/published/test_tables.py.
- The points' number of NMRA RP-11 is quoted in HO alone, so that in N there is none:
  tests/published/test_least_radii_published.py.
- A group is by the length of the model's body as the sheet prints it, or the full size
  scaled down where that is a little more; in 0 at the sheet's 1:43.5:
  tests/published/test_spacings_published.py.
- RP-20.1 is held for N, TT, HO, S and O. H0 is HO by its European name; Europe's 0 is
  1:45 and its O 1:48, so that 0 is not held: tests/published/test_climbs_published.py.
- A full-size standard is brought to the scales of its own practice and of no narrow
  gauge; a platform's edge counts from the centre line by the full size's gauge, so that
  it lies as far off in 00 as in P4: tests/railway/published/test_lineside_tables.py.
"""
