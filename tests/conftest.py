"""What many tests share: the shipped rules and a cache folder of their own."""

from __future__ import annotations

import os
import tempfile

import pytest
from hypothesis import settings

# Before any rule base is loaded: tests never read or fill the user's own cache.
_CACHE = tempfile.TemporaryDirectory(prefix="lidwork-tests-")  # goes when the tests end
os.environ["XDG_CACHE_HOME"] = _CACHE.name

from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in

#: Measurements run on demand, some with packages of their own.
collect_ignore = ["bench"]

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")


@pytest.fixture(scope="session")
def base() -> RuleBase:
    """Return the rule base that ships with lidwork."""
    return built_in()
