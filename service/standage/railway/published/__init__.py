"""Tables of standards as they are published, as data: a second opinion beside the
arithmetic.

Reading order: ``tables`` (a standard, and what looking a figure up can come to), then
one small file a standard, by its number.

Words. A *row* is one figure of a table with the words that it is found by. A figure is
*held*, *not held* where no row is just what was asked, and *not allowed* where the
table itself says so. A standard that was not read itself, but in somebody's quotation
of it, is *as quoted*.

Decisions, each with the test that holds it:

- Only rows that are published are here. Nothing is taken from between two of them, from
  a scale that is nearly the same, nor worked out: tests/railway/published/test_tables.py.
- A table never decides: it stands beside what geometry says, with the difference:
  tests/railway/published/test_tables.py.
"""
