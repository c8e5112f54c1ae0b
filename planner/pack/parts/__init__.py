"""The sections of the work pack, each from the plan to plain text blocks."""
