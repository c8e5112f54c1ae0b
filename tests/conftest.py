"""What many tests share: the shipped rules and a cache folder of their own."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

import pytest
from hypothesis import settings

# Before any rule base is loaded: tests never read or fill the user's own cache.
os.environ["XDG_CACHE_HOME"] = tempfile.mkdtemp(prefix="lidwork-tests-")

from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in

atexit.register(shutil.rmtree, os.environ["XDG_CACHE_HOME"], ignore_errors=True)
#: Measurements run on demand, some with packages of their own.
collect_ignore = ["bench"]

settings.register_profile("fixed", derandomize=True, deadline=None)
settings.load_profile("fixed")


@pytest.fixture(scope="session")
def base() -> RuleBase:
    """Return the rule base that ships with lidwork."""
    return built_in()
