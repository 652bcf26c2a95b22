"""A second reading of what a plan means: nothing here imports the program that is tested."""
