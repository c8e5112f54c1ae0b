"""Pure engineering functions, one subject a file, units in the names."""
