"""Measurements, never assertions of time."""
