"""Lists of stock: all that the import of vehicles is, in one description."""
