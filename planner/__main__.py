"""Run ``python -m planner`` like the command ``lidwork``."""

from planner.cli import main

main()
