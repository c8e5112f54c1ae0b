"""Invented demonstration jobs."""
