"""A small club in an invented place, and a tour of the questions it asks: a caller of
the service like any other.
"""
