"""Tools for a shop's own rules: sweep, compare and why."""
