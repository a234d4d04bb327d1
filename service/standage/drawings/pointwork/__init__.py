"""Drawings of points and what is laid with them: true to scale, dimensioned.

Reading order: ``figures`` (what is drawn, in its own mm), ``figure_sheets`` (how it comes
on paper), then what is drawn: ``points_marks``, ``ladders``, ``crossovers``,
``turntables``.

Words. A *figure* is what lies on a sheet; a *dimension* is a length with a line beside
what is measured, and what it is stands in the list beneath.

Decisions, each with the test that holds it:

- **A dimension is drawn along what is measured**, round a curve too, and is as long on
  the paper as it says at the sheet's scale: tests/drawings/test_pointwork_drawings.py.
- **The same paper, title block and bar as a plan's**, so that it prints true to scale on
  A4 and Letter: the same.
- **Small figures are drawn larger than they are**, up to 10 : 1: the same.
"""
