"""How coupled vehicles go round curves: placed on the path, tried at every joint, and
what would cure what fails.
"""
