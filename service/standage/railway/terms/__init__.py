"""The vocabulary: figures with their bounds, faults, reasons, guesses, scales, lengths,
and how they become words.
"""
