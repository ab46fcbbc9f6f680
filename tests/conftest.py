"""What holds for every test."""

import os

from hypothesis import settings

# No deadline: how long an example takes says more about the machine than about the code. On CI
# the examples are the same in every run, so that a failure there can be repeated.
settings.register_profile("potash", deadline=None)
settings.register_profile("potash-ci", deadline=None, derandomize=True)
settings.load_profile("potash-ci" if os.environ.get("CI") else "potash")
