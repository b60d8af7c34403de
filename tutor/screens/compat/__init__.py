"""What is done to the screen library's insides: a matter a module, with version and reason.

A test (``tests/tutor/screens/test_compat.py``) shows for each what Textual does by itself; where
it fails, Textual does something else now, and the module can go or has to change.
"""
