"""The full-screen face of a walk."""
