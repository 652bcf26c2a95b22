"""The shop now: what its folder and its journal say, put together."""
