"""Plans the breaks of a whole-animal butcher shop: which way to cut each piece, and when."""

__version__ = "0.1.0"
