"""The record of what a learner did: one SQLite file for each learner.

Every answer is an event, appended and durable before its mark is on the screen; everything
else in the file is derived from the events and can be made anew.  Screens and plans reach
the record through :class:`~rungwise.tutor.store.keeper.Keeper`, which never fails them.
"""
