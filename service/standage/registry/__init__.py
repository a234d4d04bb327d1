"""What is kept: records, their history, who may write them, and the two databases."""
