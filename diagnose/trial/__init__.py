"""Trying the tool on the rig: what a hand would see of a simulated plant, and callouts worked on it.

The rig knows nothing of the book, and the reasoning nothing of the rig; they meet here only.
"""
