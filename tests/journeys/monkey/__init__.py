"""A monkey at the keyboard: random keys, pastes, clicks and sizes over all screens.

``python -m tests.journeys.monkey 20000 [SEED]`` lets it play; the suite has a short version.
"""
