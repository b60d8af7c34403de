"""Benchmarks: every claim's ratio, side by side in one run.

``python -m tests.studies.benchmarks`` prints them.

Nothing here is a test: speed is reported, never gated.
"""
