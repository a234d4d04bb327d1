"""What is true of model railways. Pure: no HTTP, SQL, clock, file or unseeded
chance.
"""
