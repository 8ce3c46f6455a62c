"""The receiver in numbers: pure functions on SI values and the frozen results that they return.

Nothing here draws, asks, reads a file or remembers.
"""
