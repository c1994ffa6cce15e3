"""Proofs: problems that anyone can state, and the cases that show what the solver gets right."""
