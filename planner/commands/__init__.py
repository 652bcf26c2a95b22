"""The commands of the program, one a file: read, ask, show."""
