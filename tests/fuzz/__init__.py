"""Hostile input of every kind, by seed. ``python -m tests.fuzz 100000`` runs many; the suite runs a few."""
