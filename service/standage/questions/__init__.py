"""What is asked: one file per question, each with its request, its answer and gather,
reckon, report.
"""
