"""The exact domain of Rungwise: circuits, transfer functions, problems, marks.

Everything here is pure: no disk, clock, screen or global randomness.
"""
