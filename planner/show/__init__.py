"""A plan in, words or data out; no arithmetic of its own."""
