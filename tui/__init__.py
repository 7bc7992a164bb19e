"""The faces: what a person sees and types. They compute nothing."""
