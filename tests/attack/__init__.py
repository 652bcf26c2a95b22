"""An attack on the program: spoilt files, killed writers and extreme shops."""
