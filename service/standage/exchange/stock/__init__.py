"""Lists of stock, as the general reading of sheets asks for them: columns and their
words (``fields``, ``choices``), cells that no other list has (``cells``,
``scale_cells``), what a column holds by its cells (``columns``), what is said of all
rows (``mapping``). ``stock`` is all of it in one value.
"""
