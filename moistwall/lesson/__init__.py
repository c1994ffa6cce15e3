"""Lessons: named moments of a computed year, what to guess and what the run answers."""
