"""The question flow and the measure-up sheet."""
