"""The rules as data: models, loading, conditions and checks."""
