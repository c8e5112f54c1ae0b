"""The job file: read, validate, lock and write it."""
