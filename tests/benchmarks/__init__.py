"""Benchmarks: ``python -m tests.benchmarks`` prints every claim's ratio, side by side in one run.

Nothing here is a test: speed is reported, never gated.
"""
