"""One SVG drawing a file; each takes plain figures and returns SVG text."""
