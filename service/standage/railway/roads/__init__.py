"""Places where trains stand, what is allowed for there, and the limits of a layout."""
