"""Settings shared by every test: the same examples each time, unless one goes exploring.

``HYPOTHESIS_PROFILE=explore pytest`` draws fresh examples, to look for what the fixed ones
miss; a failure it finds belongs into a test of its own.
"""

import os

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fixed"))
